"""A record made ready to be reduced: cleaned, in branches, the force behind the seals' friction."""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.errors import refuse
from studies.bench.cleaning import (
    Branch,
    Divisions,
    Points,
    branches_of,
    division,
    repeats,
    running_median,
    spikes,
)
from studies.bench.readings import Readings
from studies.bench.rig import Rig

LEAST_POINTS = 8
LEAST_DIVISIONS = 10
"""Of the gauge at the peak: below, a slope is its own steps."""

MANY = 60
"""Points of a branch from which on it is smoothed."""

HALF = 0.5
"""Share of the peak to which the first loading must lead to be the one whose slope is read."""


@dataclass(frozen=True, eq=False)
class Prepared:
    """Points of a record in their order.

    Attributes:
        readings: The record as it was read.
        points: What is kept, the force behind the seals.
        branches: Of loading and unloading.
        divisions: Smallest steps of force and travel.
        first: The branch of loading whose slope is read.
        peak_n: Largest force by medians of five readings of a branch.
        peak_at: Index of its point.
        spikes: Lines of the file left out as spikes.
        repeats: How many points were left out as repeated.
    """

    readings: Readings
    points: Points
    branches: tuple[Branch, ...]
    divisions: Divisions
    first: Branch
    peak_n: float
    peak_at: int
    spikes: tuple[int, ...]
    repeats: int


def prepared(readings: Readings, rig: Rig) -> Prepared:
    """Return a record ready to be reduced.

    Raises:
        InputError: It has too few points, no loading, or too few divisions at its peak.
    """
    steps = divisions_of(readings, rig)
    points, spiked, repeated = cleaned(readings, steps)
    check_count(points)
    branches = branches_of(points.travel_mm, steps.travel_mm)
    loaded = _behind_seals(points.force_n, branches, readings.friction)
    points = Points(loaded, points.travel_mm, points.lines)
    peak_n, peak_at = _peak(points, branches)
    _check_divisions(peak_n, steps)
    first = _first(points, branches, peak_n)
    lines = tuple(spiked.tolist())
    return Prepared(readings, points, branches, steps, first, peak_n, peak_at, lines, repeated)


def smoothed(force_n: Floats) -> Floats:
    """Return medians of five of a branch's force (n,), of fewer at its ends; a few as they are.

    Of a peak that is read at a few points the median of five is the second or third largest.
    """
    return running_median(force_n, 5) if len(force_n) >= MANY else force_n


def divisions_of(readings: Readings, rig: Rig) -> Divisions:
    """Return the smallest steps, as given or as the readings show them."""
    force = division(readings.force_n)
    if rig.resolution is not None:
        force = rig.resolution * readings.unit_n
    return Divisions(force, rig.travel_resolution_mm or division(readings.travel_mm))


def cleaned(readings: Readings, steps: Divisions) -> tuple[Points, Ints, int]:
    """Return the points that are kept, lines (k,) of spikes, and how many points are repeated."""
    points = Points(readings.force_n, readings.travel_mm, readings.lines)
    check_count(points)
    repeated = repeats(points)
    points = points.at(~repeated)
    astray = spikes(points.force_n, steps.force_n) | spikes(points.travel_mm, steps.travel_mm)
    return points.at(~astray), points.lines[astray], int(repeated.sum())


def check_count(points: Points) -> None:
    """Refuse a record of too few points.

    Raises:
        InputError: They are too few.
    """
    if len(points.force_n) < LEAST_POINTS:
        raise refuse(
            "RECORD",
            f"has {len(points.force_n)} different points but needs at least {LEAST_POINTS}; read "
            "the gauge at more steps of travel",
        )


def _behind_seals(
    force_n: Floats, branches: tuple[Branch, ...], friction: tuple[float, float]
) -> Floats:
    """Return the force (n,) on the bar: the gauge reads it too high going out, too low coming back.

    By the middle of the band; a reversal's point still goes out.
    """
    middle, loaded = sum(friction) / 2, force_n.copy()
    for branch in reversed(branches):
        share = 1 + middle if branch.loading else 1 - middle
        loaded[branch.part] = force_n[branch.part] / share
    for branch in branches:
        if branch.loading:
            loaded[branch.part] = force_n[branch.part] / (1 + middle)
    return loaded


def _peak(points: Points, branches: tuple[Branch, ...]) -> tuple[float, int]:
    """Return the largest median of five, of one branch of loading, and where it is."""
    found = [(0.0, 0)]
    for branch in branches:
        if branch.loading:
            force = smoothed(points.force_n[branch.part])
            at = int(np.argmax(force))
            found.append((float(force[at]), branch.start + at))
    return max(found)


def _first(points: Points, branches: tuple[Branch, ...], peak_n: float) -> Branch:
    for branch in branches:
        high = smoothed(points.force_n[branch.part]).max() >= HALF * peak_n
        if branch.loading and high and branch.stop - branch.start >= LEAST_POINTS - 1:
            return branch
    raise refuse(
        "RECORD",
        "has no loading of at least 7 points up to half of its largest force; check the columns, "
        "or read the gauge at more steps of travel",
    )


def _check_divisions(peak_n: float, steps: Divisions) -> None:
    count = peak_n / steps.force_n if steps.force_n else np.inf
    if count < LEAST_DIVISIONS:
        raise refuse(
            "RECORD",
            f"peaks at {count:.1f} divisions of the gauge but must reach at least "
            f"{LEAST_DIVISIONS}; use a gauge of smaller full scale or a smaller ram",
        )
