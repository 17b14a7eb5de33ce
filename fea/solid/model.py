"""A bar in its clamp as equations: mesh, gradients, stiffness, foundation."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array

from fea.solid.assembly import Pattern, build_pattern, fill
from fea.solid.element import hex20_gauss
from fea.solid.free_hold import all_but_six, middle_ring
from fea.solid.kernels import Gradients, gradients, stiffness_blocks
from fea.solid.surface import Face, face_rule, foundation_blocks
from geometry.arrays import Flags, Ints
from geometry.bar import Bar, local_wall_mm, nominal_od_mm
from geometry.grading import AnyLevelName, Seed
from geometry.mesh import ONE_TURN, TubeMesh, build_mesh
from loadcases.clamp import Clamp
from loadcases.levers import LeverClamp
from loadcases.load import PlacedLoad

CLAMP = "clamp"
"""Name of the clamped region in the mesh."""

HOT_SPOT_PER_WALL = (0.4, 1.0)
"""Reading distances of the hot-spot rule outside a clamp edge, in walls."""

FREE_RING_PER_OD = 0.5
"""Element length at the ring at s = 0 of a free bar, in outer diameters."""


@dataclass(frozen=True, eq=False)
class Model:
    """The equations that all load cases of one bar in one clamp share.

    A free bar is held at six degrees of freedom of the ring at s = 0 (`free_hold.py`).

    Attributes:
        bar: The map.
        clamp: Its clamp.
        mesh: Its elements.
        grads: Gradients at the 2 x 2 x 2 Gauss points of every element.
        stiffness: (n, n) of the bar alone, N/mm.
        clamped: Quadrature on the outer surface inside the clamp.
        foundation: (n, n) of the elastic clamp, N/mm; zero for a rigid one.
        free: (n,) unconstrained degrees of freedom.
    """

    bar: Bar
    clamp: Clamp
    mesh: TubeMesh
    grads: Gradients
    stiffness: csr_array
    clamped: Face
    foundation: csr_array
    free: Flags


def band_name(load: PlacedLoad) -> str:
    """Return the name of a load's region in the mesh: equal bands share one."""
    return f"band {load.from_mm:.6f} {load.to_mm:.6f}"


def lever_name(lever: LeverClamp) -> str:
    """Return the name of a lever's clamp in the mesh."""
    return f"lever {lever.from_mm:.6f} {lever.to_mm:.6f}"


def mesh_for(  # noqa: PLR0913 each is a choice of its own
    bar: Bar,
    clamp: Clamp,
    loads: Iterable[PlacedLoad],
    level: AnyLevelName = "standard",
    layers: int = 1,
    levers: Sequence[LeverClamp] = (),
    *,
    unloaded_arm_mm: tuple[float, float] | None = None,
    extra_seeds: Sequence[Seed] = (),
) -> TubeMesh:
    """Return a mesh graded at the clamps' edges, load bands and `extra_seeds`.

    Elements are long in an arm without load.

    Raises:
        MeshError: gmsh fails, or a band is too short to hold an element.
    """
    bands = {band_name(load): (load.from_mm, load.to_mm) for load in loads}
    held = {lever_name(lever): (lever.from_mm, lever.to_mm) for lever in levers}
    clamped = {CLAMP: (clamp.from_mm, clamp.to_mm)} if clamp.holds else {}
    regions = {**clamped, **bands, **held}
    seeds = edge_seeds(bar, clamp)
    for low, high in (*bands.values(), *held.values()):
        od_mm = float(nominal_od_mm(bar, np.array((low + high) / 2)))
        seeds += [Seed(at, at, 0.12 * od_mm) for at in (low, high)]
    return build_mesh(bar, (*seeds, *extra_seeds), regions, level, layers, unloaded_arm_mm)


def edge_seeds(bar: Bar, clamp: Clamp) -> list[Seed]:
    """Return mesh lines at both clamp edges and at the hot-spot rule's distances from them.

    Of a free bar the mesh line at s = 0, whose ring holds it.
    """
    if not clamp.holds:
        return [Seed(0.0, 0.0, FREE_RING_PER_OD * float(nominal_od_mm(bar, np.array(0.0))))]
    seeds = []
    for edge_mm, outward in clamp.edges:
        wall_mm = edge_wall_mm(bar, edge_mm)
        near, far = (edge_mm + outward * share * wall_mm for share in HOT_SPOT_PER_WALL)
        size_mm = HOT_SPOT_PER_WALL[0] * wall_mm
        seeds += [Seed(edge_mm, edge_mm, size_mm), Seed(near, near, size_mm)]
        seeds += [Seed(far, far, 1.5 * size_mm)]
    return seeds


def edge_wall_mm(bar: Bar, edge_mm: float) -> float:
    """Return the thinnest wall round the tube at a place, that of the hot-spot rule at an edge."""
    theta = np.linspace(0, ONE_TURN, 64, endpoint=False)
    return float(local_wall_mm(bar, np.array(edge_mm), theta).min())


def build_model(bar: Bar, clamp: Clamp, mesh: TubeMesh, pattern: Pattern | None = None) -> Model:
    """Return the equations of a bar in its clamp.

    Args:
        bar: The map that `mesh` was made from.
        clamp: Its clamp.
        mesh: From `mesh_for`.
        pattern: That of an earlier mesh with the same cells, to save building it.

    Raises:
        MeshError: An element is folded.
    """
    nodes = len(mesh.points_mm)
    grads = gradients(mesh.points_mm, mesh.cells, hex20_gauss(2))
    blocks = stiffness_blocks(grads, bar.spec.material)
    stiffness = fill(pattern or build_pattern(mesh.cells, nodes), blocks)
    held = mesh.outer[mesh.sheet.regions.get(CLAMP, [])]
    clamped = face_rule(mesh.points_mm, held)
    elastic = clamp.model == "elastic"
    return Model(
        bar,
        clamp,
        mesh,
        grads,
        stiffness,
        clamped,
        _foundation(clamped, clamp, nodes) if elastic else csr_array(stiffness.shape),
        _free(mesh, clamp, held),
    )


def without_stiffness(model: Model) -> Model:
    """Return a model without its stiffness, which is large, for when all is solved."""
    return replace(model, stiffness=csr_array(model.stiffness.shape))


def band_faces(model: Model, load: PlacedLoad) -> Ints:
    """Return the outer faces (n, 8) of a load's band."""
    return model.mesh.outer[model.mesh.sheet.regions[band_name(load)]]


def _foundation(clamped: Face, clamp: Clamp, nodes: int) -> csr_array:
    blocks = foundation_blocks(clamped, clamp.normal_n_per_mm3, clamp.tangential_n_per_mm3)
    return fill(build_pattern(clamped.faces, nodes), blocks)


def _free(mesh: TubeMesh, clamp: Clamp, clamped: Ints) -> Flags:
    if not clamp.holds:
        return all_but_six(mesh.points_mm, middle_ring(mesh))
    free = np.ones(mesh.points_mm.shape, dtype=bool)
    if clamp.model == "rigid":
        free[np.unique(clamped)] = False
    return free.ravel()
