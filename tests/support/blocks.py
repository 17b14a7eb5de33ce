"""Mapped boxes of 20-node hexahedra, for published problems that are not tubes."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Flags, Floats, Ints

# places of a hexahedron's nodes in half elements, in VTK order
CORNERS = np.array([[0, 0], [2, 0], [2, 2], [0, 2]])
SIDES = np.array([[1, 0], [2, 1], [1, 2], [0, 1]])
HALF_STEPS = np.array(
    [
        (*flat, depth)
        for ring, depth in [(CORNERS, 0), (CORNERS, 2), (SIDES, 0), (SIDES, 2), (CORNERS, 1)]
        for flat in ring
    ]
)

# the six faces of a hexahedron: corners anticlockwise seen from outside, then mid-sides
SURFACES = np.array(
    [
        [0, 4, 7, 3, 16, 15, 19, 11],
        [1, 2, 6, 5, 9, 18, 13, 17],
        [0, 1, 5, 4, 8, 17, 12, 16],
        [3, 7, 6, 2, 19, 14, 18, 10],
        [0, 3, 2, 1, 11, 10, 9, 8],
        [4, 5, 6, 7, 12, 13, 14, 15],
    ]
)


@dataclass(frozen=True, eq=False)
class Block:
    """A box of elements bent into shape.

    Attributes:
        box: (N, 3) place of each node in the unit box.
        points_mm: (N, 3) place in space, in the problem's unit of length.
        cells: (m, 20) node numbers in VTK order.
    """

    box: Floats
    points_mm: Floats
    cells: Ints


def mapped_block(counts: tuple[int, int, int], place: Callable[[Floats], Floats]) -> Block:
    """Return `counts` elements along the sides of the unit box, bent by `place` (N, 3)."""
    shape = 2 * np.array(counts) + 1
    steps = np.stack(np.meshgrid(*map(np.arange, shape), indexing="ij"), axis=-1).reshape(-1, 3)
    kept = (steps % 2).sum(axis=1) <= 1
    number = np.cumsum(kept) - 1
    first = np.stack(np.meshgrid(*map(np.arange, counts), indexing="ij"), axis=-1).reshape(-1, 3)
    nodes = 2 * first[:, None] + HALF_STEPS
    cells = number[np.ravel_multi_index(tuple(np.moveaxis(nodes, -1, 0)), tuple(shape))]
    box = steps[kept] / (shape - 1)
    return Block(box, place(box), cells)


def on_side(block: Block, axis: int, end: int) -> Flags:
    """Return (N,): the nodes at the low (0) or high (1) end of an axis of the box."""
    return np.isclose(block.box[:, axis], end, atol=1e-9)


def faces_on(cells: Ints, chosen: Flags) -> Ints:
    """Return the element faces (n, 8) all of whose nodes are chosen, their normals outward."""
    faces = cells[:, SURFACES].reshape(-1, 8)
    return faces[chosen[faces].all(axis=1)]
