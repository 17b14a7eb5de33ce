"""What is left out of a record, and its branches of loading and unloading.

Thresholds were tried on invented records, not derived.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from geometry.arrays import Flags, Floats, Ints

REVERSAL = 0.02
"""Share of the travel by which it must turn back before that counts as a reversal."""

REVERSAL_DIVISIONS = 4
"""Divisions by which it must at least, for a coarse dial trembles."""

SPIKE_DEVIATIONS, SPIKE_STEPS, SPIKE_DIVISIONS = 8.0, 5.0, 6.0
"""A spike is further off the median of five than each of these: median deviations, median steps,
divisions."""


@dataclass(frozen=True, eq=False)
class Points:
    """Points of a record: force (n,) in N, travel (n,) in mm, line (n,) of the file."""

    force_n: Floats
    travel_mm: Floats
    lines: Ints

    def at(self, kept: Flags | Ints | slice) -> "Points":
        """Return some of the points."""
        return Points(self.force_n[kept], self.travel_mm[kept], self.lines[kept])


@dataclass(frozen=True)
class Divisions:
    """Smallest steps that are read: of force in N, of travel in mm."""

    force_n: float
    travel_mm: float


@dataclass(frozen=True)
class Branch:
    """Points from one reversal to the next, `start` to `stop` - 1; whether they load the bar."""

    start: int
    stop: int
    loading: bool

    @property
    def part(self) -> slice:
        """Return the branch's points as a part of all."""
        return slice(self.start, self.stop)


def division(values: Floats) -> float:
    """Return the smallest step between the values (n,) of a column, 0 where none differ.

    A step of less than a millionth of the range is rounding of a converted number.
    """
    steps = np.diff(np.unique(values))
    steps = steps[steps > 1e-6 * np.ptp(values)] if len(steps) else steps
    return float(steps.min()) if len(steps) else 0.0


def spikes(values: Floats, smallest: float) -> Flags:
    """Return which of the values (n,) stand alone, off both their neighbours."""
    if len(values) < 5:
        return np.zeros(len(values), dtype=bool)
    off = np.abs(values - running_median(values, 5))
    steps = np.abs(np.diff(values))
    limit = max(
        SPIKE_DEVIATIONS * float(np.median(off)),
        SPIKE_STEPS * float(np.median(steps)),
        SPIKE_DIVISIONS * smallest,
    )
    return off > limit


def repeats(points: Points) -> Flags:
    """Return which points are the same as the one before."""
    same = (np.diff(points.force_n) == 0) & (np.diff(points.travel_mm) == 0)
    return np.append(False, same)


def running_median(values: Floats, width: int) -> Floats:
    """Return the median (n,) round each of the values (n,), of fewer towards either end."""
    half, count = width // 2, len(values)
    if count < width:
        return np.array([_median_at(values, i, half) for i in range(count)])
    inside = np.median(sliding_window_view(values, width), axis=1)
    ends = [[_median_at(values, i, half) for i in group] for group in _end_places(count, half)]
    return np.concatenate([ends[0], inside, ends[1]])


def _end_places(count: int, half: int) -> Sequence[range]:
    return range(half), range(count - half, count)


def _median_at(values: Floats, at: int, half: int) -> float:
    reach = min(half, at, len(values) - 1 - at)
    return float(np.median(values[at - reach : at + reach + 1]))


def branches_of(travel_mm: Floats, smallest: float) -> tuple[Branch, ...]:
    """Return the branches of the travel (n,); the point of a reversal belongs to both beside it.

    Args:
        travel_mm: In its order.
        smallest: Division of the travel.
    """
    bounds = [0, *reversals(travel_mm, smallest), len(travel_mm) - 1]
    return tuple(
        Branch(a, b + 1, bool(travel_mm[b] > travel_mm[a])) for a, b in pairwise(bounds) if b > a
    )


def reversals(travel_mm: Floats, smallest: float) -> list[int]:
    """Return where the travel (n,) turns back by more than a share of its range."""
    least = max(REVERSAL * float(np.ptp(travel_mm)), REVERSAL_DIVISIONS * smallest)
    turns, furthest, rising = list[int](), 0, True
    for i, value in enumerate(travel_mm.tolist()):
        ahead = value - travel_mm[furthest] if rising else travel_mm[furthest] - value
        if ahead >= 0:
            furthest = i
        elif -ahead > least:
            turns.append(furthest)
            furthest, rising = i, not rising
    return [turn for turn in turns if turn]
