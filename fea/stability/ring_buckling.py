"""The multiple of a load at which each of some sections begins to buckle locally.

`local_map.local_buckling_factor` looks for the first of all sections. Here each is followed by
itself, and sections of several bars may be searched at once: most of the work is in the calls.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from fea.solid.cross_sections import Rings
from fea.solid.recovery import von_mises_mpa
from fea.stability.local_buckling import Walls, WallStress, chosen_walls, local_buckling_shares
from fea.stability.local_map import FACTOR_ERROR, MAX_STEPS, STEP
from geometry.arrays import Flags, Floats, Ints


@dataclass(frozen=True, eq=False)
class StressedWalls:
    """Sections and their linear stress.

    Attributes:
        walls: S sections of k places each.
        outer: (S, k, 6) stress on the outer surface at the load itself, MPa.
        inner: (S, k, 6) on the inner surface.
    """

    walls: Walls
    outer: Floats
    inner: Floats


def stressed_walls(walls: Walls, rows: Ints, outer: Floats, inner: Floats) -> StressedWalls:
    """Return sections `rows` (n,) of a bar with its linear stress.

    Args:
        walls: Sections of the bar.
        rows: (n,) numbers of those that are wanted.
        outer: (P, 6) stress on the outer surface at the sheet's nodes, MPa.
        inner: (P, 6) on the inner surface.
    """
    nodes = walls.rings.nodes[rows]
    return StressedWalls(chosen_walls(walls, rows), outer[nodes], inner[nodes])


def joined(parts: Sequence[StressedWalls]) -> StressedWalls:
    """Return sections of several bars of one metal, all of equally many places, as one."""
    every, first = [one.walls.rings for one in parts], parts[0].walls
    rings = Rings(*(np.concatenate([getattr(one, f.name) for one in every]) for f in fields(Rings)))
    arrays = {
        f.name: np.concatenate([getattr(one.walls, f.name) for one in parts])
        for f in fields(Walls)
        if f.name not in ("rings", "curve", "proof_stress_mpa")
    }
    walls = Walls(rings=rings, curve=first.curve, proof_stress_mpa=first.proof_stress_mpa, **arrays)
    outer, inner = (np.concatenate([getattr(one, f) for one in parts]) for f in ("outer", "inner"))
    return StressedWalls(walls, outer, inner)


def local_buckling_multiples(given: StressedWalls) -> Floats:
    """Return (S,): the multiple of the load at each section's first local buckling; inf if never.

    Never is `MAX_STEPS` steps of a seventh beyond the section's own first yield. Found by bisection
    to `FACTOR_ERROR`, no unit.

    Source: module docstring of `local_buckling`.
    """
    yields = np.maximum(*(von_mises_mpa(face).max(axis=1) for face in (given.outer, given.inner)))
    stressed = yields > 0
    high = np.divide(given.walls.proof_stress_mpa, yields, out=np.ones_like(yields), where=stressed)
    low, open_ = np.zeros_like(high), stressed.copy()
    for _ in range(MAX_STEPS):
        below = np.flatnonzero(open_)
        if not below.size:
            break
        reached = _reached(given, below, high[below])
        open_[below[reached]] = False
        left = below[~reached]
        low[left], high[left] = high[left], STEP * high[left]
    found = stressed & ~open_
    while (wide := np.flatnonzero(found & (high - low > FACTOR_ERROR * high))).size:
        middle = (low[wide] + high[wide]) / 2
        reached = _reached(given, wide, middle)
        high[wide[reached]] = middle[reached]
        low[wide[~reached]] = middle[~reached]
    return np.where(found, (low + high) / 2, np.inf)


def _reached(given: StressedWalls, rows: Ints, multiples: Floats) -> Flags:
    """Return (n,) whether sections `rows` buckle locally at multiples (n,) of their load."""
    walls, times = chosen_walls(given.walls, rows), multiples[:, None, None]
    count, places = given.outer.shape[1], len(rows)
    nodes = np.arange(places * count).reshape(places, count)
    parts = {f.name: getattr(walls.rings, f.name) for f in fields(Rings)} | {"nodes": nodes}
    at = {f.name: getattr(walls, f.name) for f in fields(Walls)} | {"rings": Rings(**parts)}
    outer, inner = ((times * face[rows]).reshape(-1, 6) for face in (given.outer, given.inner))
    shares = local_buckling_shares(WallStress((Walls(**at),), outer, inner))
    used = np.sqrt((shares**2).sum(axis=1)).reshape(places, count)
    return np.asarray((used >= 1).any(axis=1))
