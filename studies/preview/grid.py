"""Fields of a design on a grid over (s, theta) that all designs share.

Meshes of other walls have other nodes, so that values at nodes cannot be compared.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from fea.solid.cross_sections import reader_at
from fea.solid.hot_spot import PLACE_MM
from fea.solid.recovery import AXIAL, HOOP, SurfaceStress, von_mises_mpa
from fea.stability import criteria
from fea.stability.criteria import FATIGUE
from geometry.arrays import Floats
from geometry.mesh import ONE_TURN, Sheet
from studies.preview.readings import CaseReading
from studies.preview.rough_run import RoughCase

ANGLES = 24
"""Of the grid round the tube."""


@dataclass(frozen=True, eq=False)
class Grid:
    """Places that fields are compared at.

    Attributes:
        s_mm: (L,) lines along the bar, ascending.
        angles: Equal steps round the tube, the first at 0.
    """

    s_mm: Floats
    angles: int


def grid_of(sheet: Sheet) -> Grid:
    """Return the grid with the lines of a sheet's corners."""
    lines = np.unique(np.round(sheet.nodes[sheet.corner, 0] / PLACE_MM)) * PLACE_MM
    return Grid(lines, ANGLES)


def sampling(grid: Grid, sheet: Sheet) -> csr_array:
    """Return (L A, P) what reads nodal values of a sheet at the grid, between nodes linearly."""
    angle = np.arange(grid.angles) * ONE_TURN / grid.angles
    s_mm, theta = np.repeat(grid.s_mm, grid.angles), np.tile(angle, len(grid.s_mm))
    return reader_at(sheet, s_mm, theta)


def fields_of(case: RoughCase, reading: CaseReading) -> dict[str, Floats]:
    """Return the fields of a case (P, k) by their name in the view; not judged is NaN."""
    stress = case.stress
    found = {
        "von_mises": _both(stress, von_mises_mpa),
        "axial": _both(stress, lambda one: one[:, AXIAL]),
        "hoop": _both(stress, lambda one: one[:, HOOP]),
    }
    for one in criteria.LOCAL:
        found[f"utilisation_{one.id}"] = case.local.used[one.id][:, None]
    if (low := reading.fatigue) is not None:
        found[f"utilisation_{FATIGUE.id}"] = np.stack([low.outer, low.inner], axis=-1)
    return found


def sampled(at_grid: csr_array, grid: Grid, values: Floats) -> Floats:
    """Return (L A, k) values (P, k) at the grid; where none is near, the nearest along the bar."""
    known = np.isfinite(values)
    weight = at_grid @ known.astype(float)
    total = at_grid @ np.where(known, values, 0.0)
    read = np.divide(total, weight, out=np.full_like(total, np.nan), where=weight > 0.5)
    return _filled(read.reshape(len(grid.s_mm), -1), grid.s_mm).reshape(read.shape)


def _both(stress: SurfaceStress, of: Callable[[Floats], Floats]) -> Floats:
    return np.stack([of(stress.outer), of(stress.inner)], axis=-1)


def _filled(columns: Floats, s_mm: Floats) -> Floats:
    """Return columns (L, n) with the nearest known value in the place of each unknown one."""
    for column in np.flatnonzero(~np.isfinite(columns).all(axis=0)):
        known = np.flatnonzero(np.isfinite(columns[:, column]))
        if not known.size:
            columns[:, column] = 0.0
            continue
        nearest = known[np.argmin(np.abs(s_mm[:, None] - s_mm[known]), axis=1)]
        columns[:, column] = columns[nearest, column]
    return columns
