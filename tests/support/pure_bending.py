"""Half a slice of a tube between two planes that turn against each other: uniform bending.

The tube lies along z and bends in the plane of y and z, x = 0 is a plane of symmetry. The plane at
z = 0 stays; the other has turned by phi about x, its nodes slide in it freely, and where along its
normal it lies is one unknown that they share. So nothing pulls on the whole, and the moment is what
does work on phi. Unturned, the two planes press or pull a tube whose ends stay plane.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array

from fea.collapse.equilibrium import Equations, Point, Unknowns, point_at
from fea.collapse.newton import StepTarget, balanced
from fea.collapse.plastic import Metal, State, virgin
from fea.solid.linear_solver import pivoting
from geometry.arrays import Floats
from geometry.errors import SolveError
from support.blocks import Block, mapped_block, on_side
from support.large import equations_of


@dataclass(frozen=True, eq=False)
class Bent:
    """A slice that is bent.

    Attributes:
        curvature: Angle over undeformed length.
        moment: Of the whole section.
        flattening: Loss of the height over the mean diameter.
        strain: Largest equivalent plastic strain.
    """

    curvature: float
    moment: float
    flattening: float
    strain: float


@dataclass(frozen=True, eq=False)
class Bow:
    """A curvature that was reached, the unknowns there, and the metal's memory."""

    curvature: float
    unknowns: Floats
    state: State


def half_slice(
    mean_radius: float,
    wall: float,
    length: float,
    counts: tuple[int, int, int],
    out: Callable[[Floats], Floats] = np.zeros_like,
) -> Block:
    """Return half a ring of elements: so many through the wall, round the half and along.

    At z along the tube the wall lies further out by `out(z)`.
    """

    def place(box: Floats) -> Floats:
        radius = mean_radius + wall * (box[:, 0] - 0.5) + out(length * box[:, 2])
        angle = np.pi * (box[:, 1] - 0.5)
        across = radius * np.cos(angle), radius * np.sin(angle)
        return np.column_stack([*across, length * box[:, 2]])

    return mapped_block(counts, place)


def bent(block: Block, made_of: Metal, curvatures: Sequence[float]) -> Iterator[Bent]:
    """Yield the slice at each curvature; where a step fails it is made in more pieces."""
    path = [Bow(0.0, rolled(block, 0.0), virgin(len(block.cells), 8))]
    rest = equations_of(block, made_of, between(block, 0.0), np.zeros_like(block.points_mm))
    for curvature in curvatures:
        reading, path = _reached(block, rest, path, curvature)
        yield reading


def _reached(
    block: Block, rest: Equations, path: list[Bow], curvature: float, depth: int = 0
) -> tuple[Bent, list[Bow]]:
    turned = replace(rest, unknowns=between(block, curvature * _length(block)))
    # the first steps begin with sections that turn and keep their shape
    guess = _ahead(path, curvature) if len(path) > 1 else rolled(block, curvature)
    state = path[-1].state
    try:
        start = point_at(turned, guess, 0.0, state)
        point = balanced(turned, start, StepTarget("factor", 0.0), state, pivoting())
    except SolveError:
        if depth == 6:
            raise
        half = (path[-1].curvature + curvature) / 2
        _, path = _reached(block, rest, path, half, depth + 1)
        return _reached(block, rest, path, curvature, depth + 1)
    bow = Bow(curvature, point.unknowns, point.response.state)
    return _reading(block, turned, point, curvature), [path[-1], bow]


def _length(block: Block) -> float:
    return float(block.points_mm[:, 2].max())


def _ahead(path: list[Bow], curvature: float) -> Floats:
    """Return the unknowns on the straight line through the last two."""
    before, now = path
    share = (curvature - now.curvature) / (now.curvature - before.curvature)
    return now.unknowns + (now.unknowns - before.unknowns) * share


def between(block: Block, angle: float) -> Unknowns:
    """Return the unknowns of planes at an angle: u = basis q + offset."""
    basis, offset = _basis(block, angle)
    across = csr_array(basis.T)
    return Unknowns(
        lambda q: basis @ q + offset,
        lambda f: across @ f,
        lambda matrix: csr_array(across @ matrix @ basis).sorted_indices(),
    )


def _basis(block: Block, angle: float) -> tuple[csr_array, Floats]:
    nodes = len(block.points_mm)
    end, start = on_side(block, 2, 1), on_side(block, 2, 0)
    symmetric = on_side(block, 1, 0) | on_side(block, 1, 1)
    free = np.ones((nodes, 3), dtype=bool)
    free[symmetric, 0] = False
    free[start, 2] = False
    free[np.flatnonzero(start & on_side(block, 1, 0) & on_side(block, 0, 0))[0], 1] = False
    free[end, 2] = False  # along z the end's nodes follow the plane
    columns = np.cumsum(free.ravel()) - 1
    shared = int(columns[-1]) + 1
    sine, cosine = np.sin(angle), np.cos(angle)
    moving = np.flatnonzero(free.ravel() & ~np.repeat(end, 3))
    across = 3 * np.flatnonzero(end)
    sliding, ones = columns[across + 1], np.ones(len(across))
    kept = across[free[end, 0]]
    parts = [
        (moving, columns[moving], np.ones(len(moving))),
        (kept, columns[kept], np.ones(len(kept))),
        (across + 1, sliding, cosine * ones),
        (across + 2, sliding, sine * ones),
        (across + 1, shared * ones, -sine * ones),
        (across + 2, shared * ones, cosine * ones),
    ]
    rows, places, values = (np.concatenate(part) for part in zip(*parts, strict=True))
    basis = csr_array((values, (rows, places.astype(int))), shape=(3 * nodes, shared + 1))
    offset = np.zeros((nodes, 3))
    offset[end, 1:] = -block.points_mm[end, 1:]
    return basis, offset.ravel()


def rolled(block: Block, curvature: float) -> Floats:
    """Return the unknowns of a slice whose sections turn and keep their shape."""
    basis, offset = _basis(block, curvature * _length(block))
    x, y, z = block.points_mm.T
    angle = curvature * z
    sink = z * curvature * z / 2 * np.sinc(angle / (2 * np.pi)) ** 2
    along = z * np.sinc(angle / np.pi)
    placed = np.column_stack([x, y * np.cos(angle) - sink, along + y * np.sin(angle)])
    moved = (placed - block.points_mm).ravel() - offset
    counts = np.asarray(basis.multiply(basis).sum(axis=0)).ravel()
    result: Floats = basis.T @ moved / counts
    return result


def _reading(block: Block, equations: Equations, point: Point, curvature: float) -> Bent:
    within = np.zeros_like(block.points_mm)
    np.add.at(within, equations.solid.cells, point.response.forces)
    placed = block.points_mm + point.displacement.reshape(-1, 3)
    end = on_side(block, 2, 1)
    # a unit turn about x moves a node of the plane by (0, -z, y); half the section is there
    moment = 2 * float(np.sum(within[end, 2] * placed[end, 1] - within[end, 1] * placed[end, 2]))
    start = on_side(block, 2, 0)
    wall = [start & on_side(block, 1, side) for side in (0, 1)]
    heights = [placed[side, 1].mean() for side in wall]
    before = [block.points_mm[side, 1].mean() for side in wall]
    flat = 1 - (heights[1] - heights[0]) / (before[1] - before[0])
    strain = float(point.response.state.equivalent.max())
    return Bent(curvature, moment, float(flat), strain)
