"""Local buckling stretch by stretch, of all designs and load cases in one search."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fea.solid.hot_spot import SurfaceReading
from fea.solid.recovery import AXIAL, SHEAR
from fea.stability.local_buckling import Walls, chosen_walls
from fea.stability.ring_buckling import (
    StressedWalls,
    joined,
    local_buckling_multiples,
    stressed_walls,
)
from fea.stability.stress_strain import stress_at
from geometry.arrays import Floats, Ints
from loadcases.case import is_reversed
from studies.preview.readings import PartKey, Parts, Used
from studies.preview.rough_run import RoughCase, RoughRun

NEAR = 0.8
"""Share of the largest stress over strength from which a stretch is searched."""

RINGS = 3
"""Sections searched in a stretch."""


@dataclass(frozen=True, eq=False)
class StressedRings:
    """Sections of a design under a load case that may be the first of a stretch to buckle.

    Attributes:
        share: (n,) stress over an estimate of the critical stress, at the load itself.
        stretch: (n,) of each section.
        s_mm: (n,) places.
        theta_rad: (n,) where round the section the share is largest.
        stressed: The sections.
    """

    share: Floats
    stretch: Ints
    s_mm: Floats
    theta_rad: Floats
    stressed: StressedWalls


def stressed_rings(run: RoughRun, case: RoughCase, stretch: Ints) -> StressedRings:
    """Return the likeliest sections of each stretch, of a reversed load under both signs."""
    walls = max(run.walls, key=lambda one: one.rings.nodes.shape[1])
    reversed_ = replace(case.read, outer=-case.read.outer, inner=-case.read.inner)
    ways = [case.read, reversed_] if is_reversed(case.placed.case) else [case.read]
    found = [_likeliest(run, walls, read, stretch) for read in ways]
    return StressedRings(
        np.concatenate([one.share for one in found]),
        np.concatenate([one.stretch for one in found]),
        np.concatenate([one.s_mm for one in found]),
        np.concatenate([one.theta_rad for one in found]),
        joined([one.stressed for one in found]),
    )


def first_wrinkles(designs: Sequence[Sequence[StressedRings]]) -> tuple[tuple[Parts, ...], ...]:
    """Return local buckling of each design and case, in the stretches that are near to the first.

    A stretch that is near in one design is searched in all of them.
    """
    near = [_near(cases) for cases in zip(*designs, strict=True)]
    found = iter(
        wrinkles_in(
            [(one, those) for cases in designs for one, those in zip(cases, near, strict=True)]
        )
    )
    return tuple(tuple(next(found) for _ in cases) for cases in designs)


def wrinkles_in(given: Sequence[tuple[StressedRings, Ints]]) -> tuple[Parts, ...]:
    """Return local buckling in some stretches each, part by part."""
    rows = [np.flatnonzero(np.isin(one.stretch, those)) for one, those in given]
    parts = [_rows(one.stressed, at) for (one, _), at in zip(given, rows, strict=True)]
    multiples = local_buckling_multiples(joined(parts))
    values = np.split(multiples, np.cumsum([len(at) for at in rows])[:-1])
    return tuple(
        _parts(one, at, value) for (one, _), at, value in zip(given, rows, values, strict=True)
    )


def _likeliest(run: RoughRun, walls: Walls, read: SurfaceReading, stretch: Ints) -> StressedRings:
    nodes, sheet = walls.rings.nodes, run.model.mesh.sheet.nodes
    membrane = (read.outer + read.inner)[nodes] / 2
    critical = stress_at(walls.curve, walls.bending_strain)
    pressed = np.maximum(-membrane[..., AXIAL], 0.0) / critical
    share = np.hypot(pressed, membrane[..., SHEAR] / walls.shear_mpa)
    share = np.where(read.counted[nodes], share, 0.0)
    most, here = share.max(axis=1), stretch[nodes[:, 0]]
    order = np.lexsort((-most, here))
    rank = np.arange(len(order)) - np.searchsorted(here[order], here[order])
    rows = order[(rank < RINGS) & (most[order] > 0)]
    worst = nodes[rows, share[rows].argmax(axis=1)]
    stressed = stressed_walls(walls, rows, read.outer, read.inner)
    return StressedRings(most[rows], here[rows], sheet[worst, 0], sheet[worst, 1], stressed)


def _near(cases: Sequence[StressedRings]) -> Ints:
    """Return the stretches of a case that come near to the largest share in any design."""
    found = [one.stretch[one.share >= NEAR * one.share.max(initial=0.0)] for one in cases]
    return np.unique(np.concatenate(found))


def _rows(stressed: StressedWalls, rows: Ints) -> StressedWalls:
    walls = chosen_walls(stressed.walls, rows)
    return StressedWalls(walls, stressed.outer[rows], stressed.inner[rows])


def _parts(one: StressedRings, rows: Ints, multiples: Floats) -> Parts:
    found: dict[PartKey, Used] = {}
    for row, multiple in sorted(zip(rows, multiples, strict=True), key=lambda pair: -pair[1]):
        if np.isfinite(multiple):
            at = float(one.s_mm[row]), float(one.theta_rad[row])
            found[int(one.stretch[row])] = Used(1 / float(multiple), *at)
    return found
