"""The mesh: gmsh on the flat (s, theta) sheet, extruded through the wall, mapped to the bar.

The sheet is meshed in transfinite patches of 8-node quadrilaterals, periodic in
theta. Each becomes `layers` 20-node hexahedra whose 20 nodes lie on the map, so the
geometry is in the displacement space. Mesh lines lie where seeds say; this file
has no loads and no clamp, only places and named intervals of s.
"""

import signal
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import Any, Literal

import numpy as np

from geometry.arrays import Flags, Floats, Ints
from geometry.bar import Bar, position_mm
from geometry.errors import MeshError
from geometry.grading import (
    LEVELS,
    AnyLevelName,
    Seed,
    bar_seeds,
    element_size_mm,
    interpolating,
    mesh_lines_mm,
)

QUAD8 = 16
"""gmsh's number for the 8-node quadrilateral."""

ONE_TURN = 2 * np.pi


@dataclass(frozen=True, eq=False)
class Sheet:
    """The flat mesh over (s, theta).

    Attributes:
        nodes: (P, 2) s in mm and theta in [0, 2 pi) of each node, ascending in s.
        corner: (P,) whether a node is a corner of quadrilaterals (else a mid-side node).
        quads: (Q, 8) node numbers, corners counter-clockwise, then mid-sides 01 12 23 30.
        places: (Q, 8, 2) s and theta of each quad's own nodes, theta not cut at 2 pi.
        regions: Quad numbers of each named interval of s.
    """

    nodes: Floats
    corner: Flags
    quads: Ints
    places: Floats
    regions: Mapping[str, Ints]


@dataclass(frozen=True, eq=False)
class TubeMesh:
    """A bar in 20-node hexahedra.

    Attributes:
        sheet: The flat mesh it was extruded from.
        layers: Elements through the wall.
        owner: (N,) sheet node that each node was extruded from.
        block: (N, 3) s in mm, theta in radians, zeta of each node.
        points_mm: (N, 3) places in space.
        cells: (layers Q, 20) node numbers in VTK order (type 25), layer by layer from the
            inner surface.
        outer: (Q, 8) node numbers of the outer surface, in the sheet's order.
        inner: (Q, 8) node numbers of the inner surface, likewise.
    """

    sheet: Sheet
    layers: int
    owner: Ints
    block: Floats
    points_mm: Floats
    cells: Ints
    outer: Ints
    inner: Ints


def build_mesh(
    bar: Bar,
    seeds: Sequence[Seed] = (),
    regions: Mapping[str, tuple[float, float]] = MappingProxyType({}),
    level: AnyLevelName = "standard",
    layers: int = 1,
    unloaded_arm_mm: tuple[float, float] | None = None,
) -> TubeMesh:
    """Return the mesh of a bar.

    Args:
        bar: The map.
        seeds: Intervals of short elements, beside those of the bar itself.
        regions: Named intervals of s in mm; their limits become mesh lines.
        level: preview, coarse, standard or fine.
        layers: Elements through the wall.
        unloaded_arm_mm: Interval of s without load or lever, so that elements may be long.

    Raises:
        MeshError: gmsh fails, or a region holds no element.
    """
    limits = tuple(Seed(a, b, b - a) for a, b in regions.values())
    longest, *own = bar_seeds(bar, unloaded_arm_mm)
    every = (longest, *seeds, *limits, *own)
    lines = mesh_lines_mm(bar, every)
    size = element_size_mm(bar, every, LEVELS[level])
    return extruded(bar, flat_sheet(lines, size, LEVELS[level].round, regions), layers)


def flat_sheet(
    lines_mm: Floats,
    size_mm: tuple[Floats, Floats],
    round_count: int,
    regions: Mapping[str, tuple[float, float]] = MappingProxyType({}),
) -> Sheet:
    """Return the sheet over [lines_mm[0], lines_mm[-1]] x one turn.

    Args:
        lines_mm: (n + 1,) mesh lines across the bar, ascending.
        size_mm: Table (s, element length along s).
        round_count: Elements round the tube.
        regions: Named intervals of s.

    Raises:
        MeshError: gmsh fails, or a region holds no element.
    """
    s, sizes = (tuple(values.tolist()) for values in size_mm)
    xy, quads, patch, twin = _gmsh_sheet(tuple(lines_mm.tolist()), s, sizes, round_count)
    places = xy[quads]
    quads = twin[quads]
    used, quads = np.unique(quads, return_inverse=True)
    order = np.lexsort((xy[used, 1], xy[used, 0].round(9)))
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    quads = rank[quads.reshape(-1, 8)]
    corner = np.zeros(len(used), dtype=bool)
    corner[quads[:, :4]] = True
    named = {name: _region(name, lines_mm, patch, ends) for name, ends in regions.items()}
    return Sheet(xy[used][order], corner, quads, places, MappingProxyType(named))


def extruded(bar: Bar, sheet: Sheet, layers: int = 1) -> TubeMesh:
    """Return the sheet as hexahedra through the wall of a bar."""
    levels = np.where(sheet.corner, 2 * layers + 1, layers + 1)
    first = np.concatenate([[0], np.cumsum(levels)])[:-1]
    owner = np.repeat(np.arange(len(levels)), levels)
    zeta = (np.arange(len(owner)) - first[owner]) / (levels[owner] - 1)
    block = np.column_stack([sheet.nodes[owner], zeta])
    return TubeMesh(
        sheet,
        layers,
        owner,
        block,
        position_mm(bar, *block.T),
        np.concatenate([_layer(sheet.quads, first, i) for i in range(layers)]),
        (first + levels - 1)[sheet.quads],
        first[sheet.quads],
    )


def end_faces(mesh: TubeMesh, side: Literal["left", "right"]) -> Ints:
    """Return the faces (n, 8) of the cut tube at an end, node numbers: corners, then mid-sides."""
    s_mm = mesh.block[:, 0]
    at_end = np.isclose(s_mm, s_mm.max() if side == "right" else s_mm.min(), rtol=0, atol=1e-9)
    one = np.arange(4)
    two = np.roll(one, -1)
    # the four faces through the wall
    faces = np.column_stack([one, two, 4 + two, 4 + one, 8 + one, 16 + two, 12 + one, 16 + one])
    each: Ints = mesh.cells[:, faces].reshape(-1, 8)
    kept: Ints = each[at_end[each].all(axis=1)]
    return kept


def _layer(quads: Ints, first: Ints, layer: int) -> Ints:
    """Return the hexahedra of one layer: corners, their mid-sides, then the radial mid-sides."""
    corners, sides = first[quads[:, :4]] + 2 * layer, first[quads[:, 4:]] + layer
    return np.concatenate([corners, corners + 2, sides, sides + 1, corners + 1], axis=1)


def _region(name: str, lines_mm: Floats, patch: Ints, ends: tuple[float, float]) -> Ints:
    low, high = (int(np.argmin(np.abs(lines_mm - end))) for end in ends)
    inside = np.flatnonzero((patch >= low) & (patch < high))
    if not len(inside):
        msg = (
            f"region {name!r} from {ends[0]:g} to {ends[1]:g} mm has no element; "
            "make it longer than a hundredth of the outer diameter"
        )
        raise MeshError(msg)
    return inside


@lru_cache(maxsize=2)
def _gmsh_sheet(
    lines_mm: tuple[float, ...],
    s_mm: tuple[float, ...],
    size_mm: tuple[float, ...],
    round_count: int,
) -> tuple[Floats, Ints, Ints, Ints]:
    """Return node places (n, 2), quads (Q, 8), patch of each quad, and each node's twin at 0.

    Designs of a sweep often share a sheet, one after the other, so the last ones are stored.
    """
    try:
        import gmsh
    except ImportError as error:
        msg = (
            "gmsh cannot be imported here; it has no wheel for Linux on aarch64, and elsewhere "
            f"needs the system libraries that .ci/setup installs ({error})"
        )
        raise MeshError(msg) from error
    gmsh.initialize(interruptible=False)
    _tell_of_broken_pipes()
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        gmsh.option.setNumber("Mesh.SecondOrderIncomplete", 1)
        top, patches = _draw_patches(gmsh.model, lines_mm, round_count)
        size_at = interpolating(s_mm, size_mm)
        gmsh.model.mesh.setSizeCallback(lambda _d, _t, x, _y, _z, _l: size_at(x))
        gmsh.model.mesh.generate(2)
        gmsh.model.mesh.setOrder(2)
        return _frozen(_read_sheet(gmsh.model.mesh, top, patches))
    except Exception as error:  # gmsh raises bare Exception
        if type(error) is not Exception:
            raise
        msg = f"gmsh could not mesh the sheet: {error}"
        raise MeshError(msg) from error
    finally:
        gmsh.finalize()


def _tell_of_broken_pipes() -> None:
    """Let a write that nobody reads raise again: gmsh lets it end the process without a word."""
    if hasattr(signal, "SIGPIPE") and threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGPIPE, signal.SIG_IGN)


def _frozen(arrays: tuple[Floats, Ints, Ints, Ints]) -> tuple[Floats, Ints, Ints, Ints]:
    """Return arrays that nobody can change, as several meshes share them."""
    for array in arrays:
        array.setflags(write=False)
    return arrays


def _draw_patches(
    model: Any, lines_mm: Sequence[float], round_count: int
) -> tuple[list[int], list[int]]:
    """Draw one rectangle between each two mesh lines, its lower and upper side periodic."""
    geo, mesh = model.geo, model.mesh
    low, high = ([geo.addPoint(s, theta, 0) for s in lines_mm] for theta in (0, ONE_TURN))
    across = [geo.addLine(a, b) for a, b in zip(low, high, strict=True)]
    bottom, top = ([geo.addLine(a, b) for a, b in pairwise(side)] for side in (low, high))
    patches = [
        geo.addPlaneSurface([geo.addCurveLoop([bottom[i], across[i + 1], -top[i], -across[i]])])
        for i in range(len(bottom))
    ]
    geo.synchronize()
    for curve in across:
        mesh.setTransfiniteCurve(curve, round_count + 1)
    mesh.setPeriodic(1, top, bottom, [1, 0, 0, 0, 0, 1, 0, ONE_TURN, 0, 0, 1, 0, 0, 0, 0, 1])
    for patch in patches:
        mesh.setTransfiniteSurface(patch)
        mesh.setRecombine(2, patch)
    return top, patches


def _read_sheet(mesh: Any, top: list[int], patches: list[int]) -> tuple[Floats, Ints, Ints, Ints]:
    tags, coordinates, _ = mesh.getNodes()
    index = np.zeros(int(tags.max()) + 1, dtype=np.intp)
    index[tags] = np.arange(len(tags))
    twin = np.arange(len(tags))
    for curve in top:
        _, slaves, masters, _ = mesh.getPeriodicNodes(1, curve, includeHighOrderNodes=True)
        twin[index[slaves]] = index[masters]
    quads = [index[mesh.getElementsByType(QUAD8, patch)[1]].reshape(-1, 8) for patch in patches]
    patch = np.repeat(np.arange(len(quads)), [len(q) for q in quads])
    return coordinates.reshape(-1, 3)[:, :2], np.concatenate(quads), patch, twin
