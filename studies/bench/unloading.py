"""Unloadings of a record: the permanent set by the line of each, and the work of its loop."""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from studies.bench.cleaning import Branch, Points
from studies.bench.interval import Errors, Line, Measured, joined, line_of
from studies.bench.prepared import Prepared, smoothed
from studies.bench.slips import Slips

UNLOADED = (0.12, 0.85)
"""Shares of the force at reversal between which the unloading's line is read: the toe lies below,
what is left of friction above."""

LEAST_UNLOADED = 4


@dataclass(frozen=True)
class Unloaded:
    """An unloading: force and travel at its beginning, its line, and the permanent set.

    The set is None where too few points lie on the line; `line` of the file is the reversal's.
    """

    from_n: float
    from_mm: float
    line: int
    fitted: Line | None
    set_mm: Measured | None
    hysteresis_nmm: Measured | None


def work_nmm(points: Points, errors: Errors) -> Measured:
    """Return the work of the force along the travel, N mm, by trapezoids."""
    force, along = points.force_n, np.diff(points.travel_mm)
    work = float(np.sum((force[1:] + force[:-1]) / 2 * along))
    length = float(np.abs(np.sum(along)))
    terms = {
        "gauge": errors.gauge_n / sqrt(3) * length,
        "friction": abs(work) * errors.friction,
        "compliance": float(force.max()) ** 2 / 2 * errors.compliance_mm_per_n,
        "divisions": errors.divisions.force_n / sqrt(12) * length,
        "noise": errors.noise_n * sqrt(float(along @ along)),
    }
    return Measured(work, terms)


def unloadings_of(ready: Prepared, line: Line, errors: Errors, slips: Slips) -> list[Unloaded]:
    """Return the unloadings in their order, from the loading on whose zero is read."""
    pairs = zip(ready.branches, ready.branches[1:], strict=False)
    return [
        _unloaded(ready, up, down, line, errors, slips)
        for up, down in pairs
        if up.loading and not down.loading and up.start >= ready.first.start
    ]


def _unloaded(
    ready: Prepared, up: Branch, down: Branch, line: Line, errors: Errors, slips: Slips
) -> Unloaded:
    points = ready.points.at(down.part)
    start_n = float(smoothed(ready.points.force_n[up.part])[-1])
    start_mm = float(points.travel_mm[0] - line.zero.value)
    low, high = (share * start_n for share in UNLOADED)
    kept = (points.force_n > low) & (points.force_n < high)
    at = int(points.lines[0])
    if kept.sum() < LEAST_UNLOADED or np.ptp(points.force_n[kept]) < (high - low) / 3:
        return Unloaded(start_n, start_mm, at, None, None, None)
    fitted = line_of(points.travel_mm[kept], points.force_n[kept], errors)
    # a smaller slip than the least that is told looks like set
    terms = joined(line.zero.terms, fitted.zero.terms, {"slips": slips.least_mm / sqrt(12)})
    lasting = Measured(fitted.zero.value - line.zero.value, terms)
    loop = work_nmm(ready.points.at(slice(up.start, down.stop)), errors)
    return Unloaded(start_n, start_mm, at, fitted, lasting, loop)
