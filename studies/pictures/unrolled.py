"""The wall unrolled: values at the sheet's nodes on a grid over length and circumference."""

from collections.abc import Hashable
from functools import lru_cache
from typing import Protocol

import numpy as np
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import Delaunay

from geometry.arrays import Flags, Floats
from geometry.mesh import ONE_TURN

RADIAN_MM = 12.0


SCALE = np.array([1.0, RADIAN_MM])
"""One radian weighs as a few millimetres, as it does on the bar."""


class Unrolled(Hashable, Protocol):
    """A wall unrolled, as a mesh's sheet is.

    Attributes:
        nodes: (P, 2) s in mm and theta in [0, 2 pi) of each node.
    """

    @property
    def nodes(self) -> Floats:
        """Return the nodes."""


def on_grid(sheet: Unrolled, values: Floats, s_mm: Floats, theta: Floats) -> Floats:
    """Return (theta, s, L): values (P, L) at the sheet's nodes, interpolated on a grid."""
    triangles, kept = _triangulated(sheet)
    field = LinearNDInterpolator(triangles, np.tile(values, (3, 1))[kept], fill_value=0.0)
    grid = np.stack(np.meshgrid(s_mm, theta), axis=-1) * SCALE
    return np.asarray(field(grid))


@lru_cache(maxsize=1)
def _triangulated(sheet: Unrolled) -> tuple[Delaunay, Flags]:
    """Return triangles of the nodes, and which of the nodes three times over are theirs."""
    s, turn = sheet.nodes.T
    # the circumference three times over, so that nothing ends within the strip
    places = np.concatenate([np.column_stack([s, turn + k * ONE_TURN]) for k in (-2, -1, 0)])
    kept = np.abs(places[:, 1]) < 0.6 * ONE_TURN
    return Delaunay(places[kept] * SCALE), kept
