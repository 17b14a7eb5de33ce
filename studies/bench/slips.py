"""Slips of a bar in its fixture: travel that jumps without the force that belongs to it.

A slip adds to the travel for good, so it looks like a permanent set. Below 0.7 of the peak a jump
of one reading beside its neighbours is a slip, for a bar yields over many; above, where the curve
is flat, a reading that was left out looks the same, so there jumps are named and not corrected.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from studies.bench.cleaning import Divisions, running_median

UP_TO = 0.7
"""Share of the peak below which a jump is a slip."""

WIDTH = 11
DEVIATIONS, STEPS = 8.0, 3.0
"""A jump is larger than each of these: median deviations of its neighbours, divisions."""


@dataclass(frozen=True)
class Slip:
    """A jump of the travel.

    Attributes:
        after: Index of the point before it.
        line: Of the file, of the point after it.
        travel_mm: Its size.
        force_n: At which it came.
        corrected: Whether it is taken from all later travel.
    """

    after: int
    line: int
    travel_mm: float
    force_n: float
    corrected: bool


@dataclass(frozen=True)
class Slips:
    """The jumps of a loading, and the size in mm below which none is seen."""

    found: tuple[Slip, ...]
    least_mm: float


def jumps(
    force_n: Floats, travel_mm: Floats, slope: float, steps: Divisions
) -> tuple[Floats, float]:
    """Return each jump (n - 1,) of the travel, mm, 0 where there is none, and the least told."""
    excess = np.diff(travel_mm) - np.diff(force_n) / slope
    off: Floats = excess - running_median(excess, WIDTH)
    limit = max(
        DEVIATIONS * float(np.median(np.abs(off))),
        STEPS * (steps.travel_mm + steps.force_n / slope),
    )
    return np.where(off > limit, off, 0.0), limit
