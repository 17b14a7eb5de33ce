"""A structured mesh of a bar in 20-node hexahedra, for libraries that bring no mesher of tubes."""

from dataclasses import dataclass

import numpy as np

from fea.solid.element import line_gauss, quad8_places
from fea.solid.recovery import in_axes
from geometry.arrays import Floats, Ints
from geometry.bar import Bar, axes, position_mm
from support.blocks import SURFACES, mapped_block
from support.equal_problems import Problem

ROOT, END, OUTER = SURFACES[0], SURFACES[1], SURFACES[5]
"""Nodes of an element's faces: of least and of largest s, and outside."""

READ_AT = 2
"""Points each way in the sheet at which a stress of these elements is most accurate."""


@dataclass(frozen=True, eq=False)
class Grid:
    """A mesh closed round the tube, one element through the wall.

    Attributes:
        lines_mm: (n + 1,) its cross-sections.
        around: Elements round the tube; element `i around + j` lies between sections i and i + 1.
        points_mm: (N, 3) places of the nodes.
        cells: (m, 20) node numbers in VTK order.
    """

    lines_mm: Floats
    around: int
    points_mm: Floats
    cells: Ints


def grid(bar: Bar, lines_mm: Floats, around: int) -> Grid:
    """Return the mesh with cross-sections at these places."""
    along = len(lines_mm) - 1
    block = mapped_block((along, around, 1), lambda box: box)
    steps = np.round(block.box * [2 * along, 2 * around, 2]).astype(int)
    steps[:, 1] %= 2 * around
    keys = np.ravel_multi_index(tuple(steps.T), (2 * along + 1, 2 * around, 3))
    _, first, twin = np.unique(keys, return_index=True, return_inverse=True)
    s = np.interp(block.box[first, 0], np.linspace(0, 1, along + 1), lines_mm)
    points = position_mm(bar, s, 2 * np.pi * block.box[first, 1], block.box[first, 2])
    return Grid(lines_mm, around, points, twin[block.cells])


def outside(grid: Grid, low_mm: float, high_mm: float) -> Ints:
    """Return the outer faces (n, 8) between two cross-sections."""
    s = np.repeat((grid.lines_mm[1:] + grid.lines_mm[:-1]) / 2, grid.around)
    return grid.cells[(s > low_mm) & (s < high_mm)][:, OUTER]


def round_place(grid: Grid, place: tuple[float, float]) -> tuple[Ints, Floats]:
    """Return the elements (k,) that hold a place of the sheet, and their limits (k, 2, 2)."""
    turn = place[1] / (2 * np.pi) * grid.around
    ahead = np.unique(np.searchsorted(grid.lines_mm, [place[0] - 1e-6, place[0] + 1e-6])) - 1
    aside = np.unique(np.floor([turn - 1e-6, turn + 1e-6]).astype(int))
    a, b = (part.ravel() for part in np.meshgrid(ahead, aside, indexing="ij"))
    step = 2 * np.pi / grid.around
    low = np.column_stack([grid.lines_mm[a], step * b])
    high = np.column_stack([grid.lines_mm[a + 1], step * (b + 1)])
    return a * grid.around + b % grid.around, np.stack([low, high], axis=1)


def read_points() -> Floats:
    """Return (4, 3): natural places of 2 x 2 points in the sheet, on the outer face."""
    return np.column_stack([quad8_places(READ_AT), np.ones(READ_AT**2)])


def surface_reading(problem: Problem, limits: Floats, stress: Floats) -> float:
    """Return what is read at the problem's place of stress (k, 4, 3, 3) at `read_points`.

    The components along the tube's axes, extrapolated bilinearly: the mean of the k elements. Of
    the ways tried this is the best: all 2 x 2 x 2 points leave 3 to 6 % more in the bend.
    """
    places = limits[:, :1] + quad8_places(READ_AT) * (limits[:, 1:] - limits[:, :1])
    parts = in_axes(stress, axes(problem.bar, places[..., 0], places[..., 1]))
    (low, high), _ = line_gauss(READ_AT)
    share = (np.array(problem.place) - limits[:, 0]) / (limits[:, 1] - limits[:, 0])
    line = np.stack([high - share, share - low], axis=-1) / (high - low)
    weights = np.einsum("kb,ka->kba", line[:, 1], line[:, 0]).reshape(len(limits), -1)
    return float(problem.reading(np.einsum("kq,kqc->c", weights, parts) / len(limits)))
