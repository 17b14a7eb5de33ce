"""The steps of a path on the page: loads and deflections in words, and which to show."""

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
        rule: Its definition, empty where its name holds it.
        factor: Of the case's load, None where the path ends before.
        deflection: Deflection there, mm or degrees, None likewise.
        style: Class of its mark.
    """

    name: str
    rule: str
    factor: float | None
    deflection: float | None
    style: str


def by_moments(collapse: CollapseRecord) -> bool:
    """Return whether the case has no force."""
    return collapse.curve.load_n is None


def units(collapse: CollapseRecord) -> tuple[str, str]:
    """Return the units of load and deflection on the page."""
    return ("N·m", "deg") if by_moments(collapse) else ("N", "mm")


def deflection_name(collapse: CollapseRecord) -> str:
    """Return what a deflection is called on the page."""
    if collapse.by_ram:
        return "ram travel"
    return "rotation" if by_moments(collapse) else "deflection"


def loads(collapse: CollapseRecord) -> Floats:
    """Return (steps,) loads, in N or N·m."""
    curve = collapse.curve
    return np.array(curve.load_n) if curve.moment_nmm is None else np.array(curve.moment_nmm) / 1000


def deflections(collapse: CollapseRecord) -> Floats:
    """Return (steps,) deflections along the loads, in mm or degrees."""
    curve = collapse.curve
    return np.array(curve.rotation_deg if curve.deflection_mm is None else curve.deflection_mm)


def unit_load(collapse: CollapseRecord) -> float:
    """Return the load at a factor of one, in N or N·m."""
    most = int(np.argmax(collapse.curve.load_factor))
    return float(loads(collapse)[most]) / collapse.curve.load_factor[most]


def load_words(collapse: CollapseRecord, factor: float | None) -> str:
    """Return a load with its unit, a dash where there is none."""
    unit, _ = units(collapse)
    return "\u2013" if factor is None else f"{factor * unit_load(collapse):.0f} {unit}"


def deflection_words(collapse: CollapseRecord, deflection: float | None) -> str:
    """Return a deflection in mm or degrees with its unit, a dash where there is none."""
    _, unit = units(collapse)
    return "\u2013" if deflection is None else f"{deflection:.2f} {unit}".replace("-", "\u2212")


def either(in_mm: float | None, in_deg: float | None) -> float | None:
    """Return whichever of the two a record has: mm for forces, degrees for moments alone."""
    return in_deg if in_mm is None else in_mm


def read_off(collapse: CollapseRecord) -> Iterator[Place]:
    """Yield the loads that are read off the curve, those beyond its end with None."""
    yielded = either(collapse.yield_load_deflection_mm, collapse.yield_load_rotation_deg)
    rule = "0.2 % plastic strain"
    yield Place("yield load", rule, collapse.yield_load_factor, yielded, "yield-load")
    for one in collapse.offsets:
        name = f"offset {deflection_words(collapse, either(one.shift_mm, one.shift_deg))}"
        rule, reached = (
            one.rule if "%" in one.rule else "",
            either(one.deflection_mm, one.rotation_deg),
        )
        yield Place(name, rule, one.load_factor, reached, "offset")
    last = either(collapse.bifurcation_from_deflection_mm, collapse.bifurcation_from_rotation_deg)
    yield Place("last before bifurcation", "", collapse.bifurcation_from_factor, last, "limit")
    limit = either(collapse.limit_load_deflection_mm, collapse.limit_load_rotation_deg)
    yield Place("limit load", "the load falls beyond", collapse.limit_load_factor, limit, "limit")
    at_strain_limit = either(
        collapse.strain_limit_load_deflection_mm, collapse.strain_limit_load_rotation_deg
    )
    yield Place(
        "strain limit (elongation)", "", collapse.strain_limit_load_factor, at_strain_limit, "limit"
    )


def largest(collapse: CollapseRecord) -> Place:
    """Return the maximum load of the whole path, whatever the strain."""
    deflection = either(collapse.max_load_deflection_mm, collapse.max_load_rotation_deg)
    return Place("maximum load of the path", "", collapse.max_load_factor, deflection, "")


def last_of_phase(collapse: CollapseRecord, cycle: int, phase: Phase) -> int | None:
    """Return the last step, counted from 0, of a phase of a cycle; None where it has none."""
    parts = zip(collapse.curve.cycle, collapse.curve.phase, strict=True)
    return max((step for step, part in enumerate(parts) if part == (cycle, phase)), default=None)


def meanings(collapse: CollapseRecord) -> dict[int, str]:
    """Return what steps, counted from 0, stand for, where they stand for something."""
    curve, found = (
        collapse.curve,
        {0: "the first step", len(collapse.curve.phase) - 1: "the last step"},
    )
    strained = np.flatnonzero(np.array(curve.plastic_strain) >= YIELD_STRAIN)
    if len(strained) and collapse.yield_load_factor is not None:
        found[int(strained[0])] = "the first past 0.2 % plastic strain"
    for cycle, level in enumerate(collapse.unloadings, start=1):
        top = last_of_phase(collapse, cycle, Phase.LOADING)
        foot = last_of_phase(collapse, cycle, Phase.UNLOADING)
        load = load_words(collapse, level.load_factor)
        if level.reached and top is not None:
            found[top] = f"{load} reached" if foot is None else f"{load} reached, then unloaded"
        if level.reached and foot is not None:
            found[foot] = f"unloaded from {load}"
    if collapse.bifurcation_from_factor is not None:
        first = (
            collapse.reported_step == 1
            and collapse.curve.load_factor[0] > collapse.bifurcation_from_factor
        )
        found[collapse.reported_step - 1] = (
            "the first, beyond bifurcation" if first else "the last before bifurcation"
        )
    elif collapse.limit_load_factor is not None:
        found[collapse.reported_step - 1] = "the limit load"
    elif collapse.strain_limit_load_factor is not None:
        found[collapse.reported_step - 1] = "the last before the strain limit (elongation)"
    return found


def shown_steps(collapse: CollapseRecord, most: int = MOST_SHOWN) -> tuple[int, ...]:
    """Return the steps, counted from 0, that the view shows, ascending.

    Those that stand for something, then whichever lies furthest along the path from all chosen.
    """
    way = np.cumsum(np.abs(np.diff(deflections(collapse), prepend=0.0)))
    chosen = sorted({*meanings(collapse), collapse.reported_step - 1})
    while len(chosen) < min(most, len(way)):
        gap = np.abs(way[:, None] - way[chosen]).min(axis=1)
        gap[chosen] = -1.0
        chosen = sorted([*chosen, int(np.argmax(gap))])
    return tuple(chosen)


def step_words(collapse: CollapseRecord, step: int) -> str:
    """Return the label of a step, counted from 0, beside the view's slider."""
    curve, meaning = collapse.curve, meanings(collapse).get(step)
    name = f", {meaning}" if meaning else ""
    load = load_words(collapse, curve.load_factor[step])
    deflection = deflection_words(collapse, float(deflections(collapse)[step]))
    strain = f"averaged plastic strain {100 * curve.plastic_strain[step]:.2f} %"
    return f"Step {step + 1} of {len(curve.phase)}{name}: {load} at {deflection}, {strain}"
