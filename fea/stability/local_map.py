"""The map of every local criterion over the sheet, and the load at which local buckling begins."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fea.solid.hot_spot import SurfaceReading
from fea.stability import criteria
from fea.stability.criteria import LOCAL_BUCKLING, YIELD, LocalCriterion
from fea.stability.local_buckling import Walls, WallStress, sections_reaching
from geometry.arrays import Flags, Floats

STEP, MAX_STEPS, FACTOR_ERROR = 8 / 7, 25, 1e-3
"""Of the search for the load multiple; 25 steps reach 28 times first yield."""


@dataclass(frozen=True, eq=False)
class LocalMap:
    """Utilisation of each place of the sheet, at one multiple of the load; 0 where not judged.

    Attributes:
        used: (P,) utilisation, by the id of each local criterion.
        parts: (P, k) shares of the criteria with parts, likewise.
    """

    used: Mapping[str, Floats]
    parts: Mapping[str, Floats]


def local_map(
    walls: tuple[Walls, ...], reading: SurfaceReading, load_factor: float = 1.0
) -> LocalMap:
    """Return the utilisation of every place at a multiple of the load.

    Args:
        walls: From `walls_of`.
        reading: Linear stress at the load itself.
        load_factor: Multiple of it.
    """
    stress = WallStress(walls, load_factor * reading.outer, load_factor * reading.inner)
    shares = {one.id: one.shares(stress) for one in criteria.LOCAL}
    used = {
        one.id: np.where(_is_judged(one, reading), _used(shares[one.id]), 0.0)
        for one in criteria.LOCAL
    }
    return LocalMap(used, {one.id: shares[one.id] for one in criteria.LOCAL if one.parts})


def _is_judged(criterion: LocalCriterion, reading: SurfaceReading) -> Flags:
    """Return (P,) the places at which a criterion is judged."""
    return reading.counted & (criterion.at_rigid_edge | ~reading.at_rigid_edge)


def local_buckling_factor(walls: tuple[Walls, ...], reading: SurfaceReading) -> float | None:
    """Return the multiple of the load at which the first place reaches local buckling.

    None where `MAX_STEPS` steps of a seventh beyond first yield do not reach it, as in a bar in
    pure tension, or where no place is judged. Found by bisection to `FACTOR_ERROR`.

    Source: module docstring of `local_buckling`.
    """
    yields = float(utilisation_at(YIELD, walls, reading, 1.0).max())
    if not yields:
        return None
    low, high = 0.0, 1.0 / yields
    for _ in range(MAX_STEPS):
        used = utilisation_at(LOCAL_BUCKLING, walls, reading, high)
        if used.max() >= 1:
            break
        low, high = high, STEP * high
    else:
        return None
    # a section that has not reached it at the higher multiple is not the first
    first = sections_reaching(walls, used)
    while high - low > FACTOR_ERROR * high:
        middle = (low + high) / 2
        used = utilisation_at(LOCAL_BUCKLING, first, reading, middle)
        if used.max() >= 1:
            high, first = middle, sections_reaching(first, used)
        else:
            low = middle
    return (low + high) / 2


def utilisation_at(
    criterion: LocalCriterion, walls: tuple[Walls, ...], reading: SurfaceReading, factor: float
) -> Floats:
    """Return (P,): the utilisation at a multiple `factor` of the load, 0 where none counts.

    Source: definition.
    """
    stress = WallStress(walls, factor * reading.outer, factor * reading.inner)
    return np.where(reading.counted, _used(criterion.shares(stress)), 0.0)


def _used(shares: Floats) -> Floats:
    """Return (P,): the root of the sum of squares of shares (P, k), a single one as it is."""
    return np.asarray(shares[:, 0] if shares.shape[1] == 1 else np.sqrt((shares**2).sum(axis=1)))
