"""The steps of a path as the page tells them: loads and deflections in words, and which to show."""

import numpy as np

from fea.collapse.reading import YIELD_STRAIN
from geometry.arrays import Floats
from studies.collapse.records import CollapseRecord

MOST_SHOWN = 25
"""Steps that the view shows, unless more have a meaning of their own."""

UP, BACK = 0, 1
"""Legs of a path, three for each level: up to it, the load taken away, and put on again."""


def by_moments(told: CollapseRecord) -> bool:
    """Return whether the case has no force."""
    return told.curve.load_n is None


def units(told: CollapseRecord) -> tuple[str, str]:
    """Return the units of load and deflection on the page."""
    return ("N m", "deg") if by_moments(told) else ("N", "mm")


def move_name(told: CollapseRecord) -> str:
    """Return what a deflection is called on the page."""
    return "turn" if by_moments(told) else "deflection"


def loads(told: CollapseRecord) -> Floats:
    """Return (steps,) loads, in N or N m."""
    curve = told.curve
    return np.array(curve.load_n) if curve.moment_nmm is None else np.array(curve.moment_nmm) / 1000


def moves(told: CollapseRecord) -> Floats:
    """Return (steps,) deflections along the loads, in mm or degrees."""
    curve = told.curve
    return np.array(curve.turn_deg if curve.deflection_mm is None else curve.deflection_mm)


def unit_load(told: CollapseRecord) -> float:
    """Return the load at a factor of one, in N or N m."""
    most = int(np.argmax(told.curve.load_factor))
    return float(loads(told)[most]) / told.curve.load_factor[most]


def linear_move(told: CollapseRecord, work_nmm: float) -> float:
    """Return the linear deflection along the loads at a factor of one, in mm or degrees.

    Args:
        told: The path.
        work_nmm: Work of the linear answer: half of load times displacement.
    """
    load = unit_load(told)
    return (
        float(np.degrees(2 * work_nmm / (1000 * load))) if by_moments(told) else 2 * work_nmm / load
    )


def load_words(told: CollapseRecord, factor: float | None) -> str:
    """Return a load with its unit, a dash where there is none."""
    unit, _ = units(told)
    return "\u2013" if factor is None else f"{factor * unit_load(told):.0f} {unit}"


def move_words(told: CollapseRecord, move: float | None) -> str:
    """Return a deflection in mm or degrees with its unit, a dash where there is none."""
    _, unit = units(told)
    return "\u2013" if move is None else f"{move:.2f} {unit}".replace("-", "\u2212")


def envelope(told: CollapseRecord) -> tuple[Floats, Floats, Floats]:
    """Return factors, deflections and averaged strains where the bar went further than before.

    The first of each is nought, of the unloaded bar.
    """
    move, furthest, kept = moves(told), 0.0, []
    for step, moved in enumerate(move):
        if moved > furthest:
            furthest = float(moved)
            kept.append(step)
    columns = (np.array(told.curve.load_factor), move, np.array(told.curve.plastic_strain))
    factors, moved, strains = (np.concatenate([[0.0], column[kept]]) for column in columns)
    return factors, moved, strains


def where_strained(told: CollapseRecord, strain: float) -> tuple[float, float] | None:
    """Return deflection and factor at which the averaged strain first comes to a value."""
    factors, moved, strains = envelope(told)
    reached = np.flatnonzero(strains >= strain)
    if not len(reached):
        return None
    i = int(reached[0])
    share = (strain - strains[i - 1]) / (strains[i] - strains[i - 1])
    at = (values[i - 1] + share * (values[i] - values[i - 1]) for values in (moved, factors))
    move, factor = (float(value) for value in at)
    return move, factor


def limit_move(told: CollapseRecord) -> float | None:
    """Return the deflection at the limit, in mm or degrees."""
    return told.limit_turn_deg if by_moments(told) else told.limit_deflection_mm


def leg_end(told: CollapseRecord, leg: int) -> int | None:
    """Return the last step, counted from 0, of a leg; None where it has none."""
    steps = [step for step, one in enumerate(told.curve.leg) if one == leg]
    return steps[-1] if steps else None


def meanings(told: CollapseRecord) -> dict[int, str]:
    """Return what steps, counted from 0, stand for, where they stand for something."""
    curve, found = told.curve, {0: "the first step", len(told.curve.leg) - 1: "the last step"}
    strained = np.flatnonzero(np.array(curve.plastic_strain) >= YIELD_STRAIN)
    if len(strained):
        found[int(strained[0])] = "the first past 0.2 % plastic strain"
    for number, level in enumerate(told.levels):
        top, foot = (leg_end(told, 3 * number + leg) for leg in (UP, BACK))
        load = load_words(told, level.load_factor)
        if level.reached and top is not None:
            found[top] = f"{load} reached" if foot is None else f"{load} reached, then taken away"
        if level.reached and foot is not None:
            found[foot] = f"{load} taken away"
    if told.limit_factor is not None:
        found[told.told_step - 1] = "the limit"
    elif told.torn_factor is not None:
        found[told.told_step - 1] = "the last before the elongation is used up"
    return found


def shown_steps(told: CollapseRecord, most: int = MOST_SHOWN) -> tuple[int, ...]:
    """Return the steps, counted from 0, that the view shows, ascending.

    Those that stand for something, then whichever lies furthest along the path from all chosen.
    """
    way = np.cumsum(np.abs(np.diff(moves(told), prepend=0.0)))
    chosen = sorted({*meanings(told), told.told_step - 1})
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
    return f"Step {step + 1} of {len(curve.leg)}{said}: {load} at {moved}, {strain}"
