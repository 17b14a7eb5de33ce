"""The steps of a path as the page tells them: loads and deflections in words, and which to show."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fea.collapse.phase import Phase
from fea.collapse.reading import YIELD_STRAIN
from geometry.arrays import Floats
from studies.records.collapse import CollapseRecord

MOST_SHOWN = 25
"""Steps that the view shows, unless more have a meaning of their own."""


@dataclass(frozen=True)
class Place:
    """A load that is read off the curve.

    Attributes:
        name: Of which point.
        rule: What makes it that, empty where its name says it.
        factor: Of the case's load, None where the path does not come so far.
        move: Deflection there, mm or degrees, None likewise.
        look: Its mark's.
    """

    name: str
    rule: str
    factor: float | None
    move: float | None
    look: str


def by_moments(told: CollapseRecord) -> bool:
    """Return whether the case has no force."""
    return told.curve.load_n is None


def units(told: CollapseRecord) -> tuple[str, str]:
    """Return the units of load and deflection on the page."""
    return ("N m", "deg") if by_moments(told) else ("N", "mm")


def move_name(told: CollapseRecord) -> str:
    """Return what a deflection is called on the page."""
    return "rotation" if by_moments(told) else "deflection"


def loads(told: CollapseRecord) -> Floats:
    """Return (steps,) loads, in N or N m."""
    curve = told.curve
    return np.array(curve.load_n) if curve.moment_nmm is None else np.array(curve.moment_nmm) / 1000


def moves(told: CollapseRecord) -> Floats:
    """Return (steps,) deflections along the loads, in mm or degrees."""
    curve = told.curve
    return np.array(curve.rotation_deg if curve.deflection_mm is None else curve.deflection_mm)


def unit_load(told: CollapseRecord) -> float:
    """Return the load at a factor of one, in N or N m."""
    most = int(np.argmax(told.curve.load_factor))
    return float(loads(told)[most]) / told.curve.load_factor[most]


def load_words(told: CollapseRecord, factor: float | None) -> str:
    """Return a load with its unit, a dash where there is none."""
    unit, _ = units(told)
    return "\u2013" if factor is None else f"{factor * unit_load(told):.0f} {unit}"


def move_words(told: CollapseRecord, move: float | None) -> str:
    """Return a deflection in mm or degrees with its unit, a dash where there is none."""
    _, unit = units(told)
    return "\u2013" if move is None else f"{move:.2f} {unit}".replace("-", "\u2212")


def either(in_mm: float | None, in_deg: float | None) -> float | None:
    """Return whichever of the two a record has: mm for forces, degrees for moments alone."""
    return in_deg if in_mm is None else in_mm


def read_off(told: CollapseRecord) -> Iterator[Place]:
    """Yield the loads that are read off the curve, those that it does not come to with None."""
    yielded = either(told.yield_load_deflection_mm, told.yield_load_rotation_deg)
    rule = "0.2 % plastic strain"
    yield Place("yield load", rule, told.yield_load_factor, yielded, "yield-load")
    for one in told.offsets:
        name = f"offset {move_words(told, either(one.shift_mm, one.shift_deg))}"
        rule, met = one.rule if "%" in one.rule else "", either(one.deflection_mm, one.rotation_deg)
        yield Place(name, rule, one.load_factor, met, "offset")
    last = either(told.bifurcation_from_deflection_mm, told.bifurcation_from_rotation_deg)
    yield Place("last before bifurcation", "", told.bifurcation_from_factor, last, "limit")
    limit = either(told.limit_load_deflection_mm, told.limit_load_rotation_deg)
    yield Place("limit load", "the load falls beyond", told.limit_load_factor, limit, "limit")
    torn = either(told.strain_limit_load_deflection_mm, told.strain_limit_load_rotation_deg)
    yield Place("strain limit (elongation)", "", told.strain_limit_load_factor, torn, "torn")


def largest(told: CollapseRecord) -> Place:
    """Return the largest load of the whole path, whatever the strain."""
    move = either(told.max_load_deflection_mm, told.max_load_rotation_deg)
    return Place("largest load of the path", "", told.max_load_factor, move, "")


def last_of_phase(told: CollapseRecord, cycle: int, phase: Phase) -> int | None:
    """Return the last step, counted from 0, of a phase of a cycle; None where it has none."""
    parts = zip(told.curve.cycle, told.curve.phase, strict=True)
    return max((step for step, part in enumerate(parts) if part == (cycle, phase)), default=None)


def meanings(told: CollapseRecord) -> dict[int, str]:
    """Return what steps, counted from 0, stand for, where they stand for something."""
    curve, found = told.curve, {0: "the first step", len(told.curve.phase) - 1: "the last step"}
    strained = np.flatnonzero(np.array(curve.plastic_strain) >= YIELD_STRAIN)
    if len(strained) and told.yield_load_factor is not None:
        found[int(strained[0])] = "the first past 0.2 % plastic strain"
    for cycle, level in enumerate(told.unloadings, start=1):
        top = last_of_phase(told, cycle, Phase.LOADING)
        foot = last_of_phase(told, cycle, Phase.UNLOADING)
        load = load_words(told, level.load_factor)
        if level.reached and top is not None:
            found[top] = f"{load} reached" if foot is None else f"{load} reached, then unloaded"
        if level.reached and foot is not None:
            found[foot] = f"unloaded from {load}"
    if told.bifurcation_from_factor is not None:
        first = told.reported_step == 1 and told.curve.load_factor[0] > told.bifurcation_from_factor
        found[told.reported_step - 1] = (
            "the first, beyond bifurcation" if first else "the last before bifurcation"
        )
    elif told.limit_load_factor is not None:
        found[told.reported_step - 1] = "the limit load"
    elif told.strain_limit_load_factor is not None:
        found[told.reported_step - 1] = "the last before the strain limit (elongation)"
    return found


def shown_steps(told: CollapseRecord, most: int = MOST_SHOWN) -> tuple[int, ...]:
    """Return the steps, counted from 0, that the view shows, ascending.

    Those that stand for something, then whichever lies furthest along the path from all chosen.
    """
    way = np.cumsum(np.abs(np.diff(moves(told), prepend=0.0)))
    chosen = sorted({*meanings(told), told.reported_step - 1})
    while len(chosen) < min(most, len(way)):
        gap = np.abs(way[:, None] - way[chosen]).min(axis=1)
        gap[chosen] = -1.0
        chosen = sorted([*chosen, int(np.argmax(gap))])
    return tuple(chosen)


def step_words(told: CollapseRecord, step: int) -> str:
    """Return what a step, counted from 0, is, as the view says beside its slider."""
    curve, meaning = told.curve, meanings(told).get(step)
    said = f", {meaning}" if meaning else ""
    load = load_words(told, curve.load_factor[step])
    moved = move_words(told, float(moves(told)[step]))
    strain = f"averaged plastic strain {100 * curve.plastic_strain[step]:.2f} %"
    return f"Step {step + 1} of {len(curve.phase)}{said}: {load} at {moved}, {strain}"
