"""Element lengths along the bar, and places of its mesh lines.

Every place of short elements is a `Seed`: an interval and a length. The
element length at s is the smallest of all seeds, each growing with the distance
from its interval. Seeds come in order of importance: the limits of later ones
that fall nearly onto an earlier one snap to it, so that no sliver forms.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm, nominal_wall_mm
from geometry.centreline import arcs
from geometry.section import kinks_mm

LevelName = Literal["coarse", "standard", "fine"]
"""Levels that a study may name."""

AnyLevelName = LevelName | Literal["preview"]
"""With that of ratios between walls, which hardly depend on the mesh."""

SNAP_PER_OD, SNAP_PER_WALL = 0.005, 0.2
"""Mesh lines closer than these shares of outer diameter and wall become one."""

LONGEST_PER_OD = 1.2
"""Longest element, in outer diameters, away from all seeds."""

SIZE_STEP_MM = 0.05
"""Step of the table of element lengths."""


@dataclass(frozen=True)
class Level:
    """What a mesh level means.

    Attributes:
        round: Elements round the tube.
        scale: Factor on every element length.
        growth: Growth of the element length per mm of distance.
    """

    round: int
    scale: float
    growth: float


LEVELS: dict[AnyLevelName, Level] = {
    "preview": Level(12, 2.4, 0.6),
    "coarse": Level(16, 1.7, 0.5),
    "standard": Level(24, 1.2, 0.6),
    "fine": Level(36, 0.7, 0.35),
}


@dataclass(frozen=True)
class Seed:
    """An interval of s whose limits are mesh lines, and the element length in it, mm."""

    from_mm: float
    to_mm: float
    size_mm: float


def bar_seeds(bar: Bar, unloaded_arm_mm: tuple[float, float] | None = None) -> tuple[Seed, ...]:
    """Return the seeds of the bar itself: a longest element, bends, station kinks.

    Args:
        bar: The map.
        unloaded_arm_mm: Interval of s without load or lever, so that elements may be long.
    """
    line = bar.line
    bends = [
        Seed(arc.s_from_mm, arc.s_to_mm, min(0.22 * _od(bar, arc.s_from_mm), arc.radius_mm / 8))
        for arc in arcs(line)
    ]
    kinks = [Seed(at - b, at + b, max(b, 1.0)) for at, b in kinks_mm(bar.profile)]
    whole = Seed(line.left_end_mm, line.right_end_mm, 0.4 * _od(bar, line.right_end_mm))
    if unloaded_arm_mm is None:
        return (whole, *bends, *kinks)
    low, high = unloaded_arm_mm
    active = [seed for seed in (*bends, *kinks) if seed.to_mm <= low or seed.from_mm >= high]
    longest = replace(whole, size_mm=LONGEST_PER_OD * _od(bar, line.right_end_mm))
    beside = [
        replace(whole, from_mm=from_mm, to_mm=to_mm)
        for from_mm, to_mm in ((whole.from_mm, low), (high, whole.to_mm))
        if to_mm > from_mm
    ]
    return (longest, *beside, *active)


def mesh_lines_mm(bar: Bar, seeds: Sequence[Seed]) -> Floats:
    """Return (k,): the k places along s where mesh lines must lie, ascending, mm, ends included.

    Source: the rule of the module docstring.
    """
    low, high = bar.line.left_end_mm, bar.line.right_end_mm
    kept = [low, high]
    for seed in seeds:
        for place in (seed.from_mm, seed.to_mm):
            apart = min(abs(place - other) for other in kept)
            if low < place < high and apart > _snap_mm(bar, place):
                kept.append(place)
    return np.array(sorted(kept))


def element_size_mm(bar: Bar, seeds: Iterable[Seed], level: Level) -> tuple[Floats, Floats]:
    """Return a table of s (k,) and element length (k,) over the bar, both in mm.

    Source: the rule of the module docstring.
    """
    low, high = bar.line.left_end_mm, bar.line.right_end_mm
    s = np.linspace(low, high, int((high - low) / SIZE_STEP_MM) + 2)
    size = np.full_like(s, np.inf)
    for seed in seeds:
        away = np.maximum(np.maximum(seed.from_mm - s, s - seed.to_mm), 0.0)
        np.minimum(size, level.scale * seed.size_mm + level.growth * away, out=size)
    return s, size


def interpolating(s: Sequence[float], size: Sequence[float]) -> Callable[[float], float]:
    """Return what reads a table of s and element length, both in mm, at one place of it.

    The figures are numpy's, to the bit; a call costs a fifth of numpy's, and gmsh makes fifty
    thousand for a mesh.

    Source: linear interpolation.
    """
    last = len(s) - 1

    def at(place: float) -> float:
        below = bisect_right(s, place) - 1
        if below < 0 or below >= last:
            return size[0 if below < 0 else last]
        slope = (size[below + 1] - size[below]) / (s[below + 1] - s[below])
        return slope * (place - s[below]) + size[below]

    return at


def _snap_mm(bar: Bar, s_mm: float) -> float:
    wall_mm = float(nominal_wall_mm(bar, np.array(s_mm)))
    return min(SNAP_PER_OD * _od(bar, s_mm), SNAP_PER_WALL * wall_mm)


def _od(bar: Bar, s_mm: float) -> float:
    return float(nominal_od_mm(bar, np.array(s_mm)))
