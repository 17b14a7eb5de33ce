"""The same problems in other libraries, each from geometry to deflection and stress.

All get the same map. scikit-fem and felupe get what they lack from here: a mesh of a closed tube,
and PARDISO with this project's settings, by which they are up to 1.5 times faster than by
pypardiso's own call; felupe also its loads and springs.
"""

from typing import Any

import felupe
import numpy as np
from scipy.sparse import csr_array
from scipy.spatial import cKDTree
from skfem import (
    Basis,
    BilinearForm,
    ElementHexS2,
    ElementVector,
    FacetBasis,
    LinearForm,
    MeshHex2,
    condense,
)
from skfem.helpers import dot
from skfem.models.elasticity import linear_elasticity

from fea.solid.assembly import build_pattern, fill
from fea.solid.element import hex20
from fea.solid.kernels import gradients, lame_mpa
from fea.solid.linear_solver import SolverName, factorise, solve
from fea.solid.recovery import in_axes, stress_mpa
from fea.solid.surface import band_force, face_rule, foundation_blocks, rigid_modes
from geometry.arrays import Floats, Ints
from geometry.bar import axes
from geometry.centreline import locate
from support.equal_problems import Found, Problem, size_n
from support.ngsolve_bar import curved_mesh, solve_bar, solve_held, stress_at
from support.scikit_fem import mesh_of_scikit_fem
from support.structured import (
    END,
    ROOT,
    Grid,
    grid,
    outside,
    read_points,
    round_place,
    surface_reading,
)
from support.systems import shear

SOLVER: SolverName = "pardiso"


def ngsolve(problem: Problem, lines_mm: Floats, around: int, order: int) -> Found:
    """Return what NGSolve finds with elements of a degree, one through the wall."""
    bar, grip = problem.bar, problem.grip
    curved = curved_mesh(bar, lines_mm, around)
    if grip:
        (answer,) = solve_bar(bar, grip.clamp, curved, [[grip.load]], order)
    else:
        answer = solve_held(bar, curved, problem.force_n, order)
    place = np.array([[*problem.place, 1.0]])
    stress = in_axes(stress_at(bar, curved, answer.field, place), axes(bar, *place[:, :2].T))
    return Found(2 * answer.work_nmm / size_n(problem), float(problem.reading(stress)[0]))


def of_felupe(problem: Problem, lines_mm: Floats, around: int, points: int = 2) -> Found:
    """Return what felupe finds with 20-node elements of `points` Gauss points each way."""
    made, metal = grid(problem.bar, lines_mm, around), problem.bar.spec.material
    mesh = felupe.Mesh(made.points_mm, made.cells, "hexahedron20")
    rule = felupe.GaussLegendre(order=points - 1, dim=3)
    region = felupe.RegionQuadraticHexahedron(mesh, quadrature=rule)
    field = felupe.FieldContainer([felupe.Field(region, dim=3)])
    law = felupe.LinearElastic(metal.youngs_modulus_mpa, metal.poisson_ratio)
    stiffness = csr_array(felupe.SolidBody(law, field).assemble.matrix())
    load, free = _loads(problem, made), np.ones((len(made.points_mm), 3), dtype=bool)
    if problem.grip:
        stiffness = csr_array(stiffness + _springs(problem, made))
    else:
        free[made.cells[:around, ROOT]] = False
        stiffness = csr_array(stiffness[free.ravel()][:, free.ravel()])
    moved = np.zeros(free.shape)
    moved[free] = solve(factorise(stiffness, SOLVER), load[free][:, None])[0][:, 0]
    near, limits = round_place(made, problem.place)
    slopes = gradients(made.points_mm, made.cells[near], hex20(read_points(), np.ones(4)))
    stress = stress_mpa(slopes, metal, moved[made.cells[near]])
    reading = surface_reading(problem, limits, stress)
    return Found(float(np.sum(load * moved)) / size_n(problem), reading)


def _loads(problem: Problem, made: Grid) -> Floats:
    if problem.grip is None:
        return shear(made.points_mm, made.cells[-made.around :, END], problem.force_n)
    load, nodal = problem.grip.load, np.zeros_like(made.points_mm)
    band = face_rule(made.points_mm, outside(made, load.from_mm, load.to_mm))
    modes = rigid_modes(band, locate(problem.bar.line, np.array(load.at_mm)).position_mm)
    nodal[modes.nodes] = band_force(modes, np.array(load.force_n), np.array(load.moment_nmm))
    return nodal


def _springs(problem: Problem, made: Grid) -> csr_array:
    clamp = problem.grip.clamp
    held = face_rule(made.points_mm, outside(made, clamp.from_mm, clamp.to_mm))
    blocks = foundation_blocks(held, clamp.normal_n_per_mm3, clamp.tangential_n_per_mm3)
    return fill(build_pattern(held.faces, len(made.points_mm)), blocks)


def scikit_fem(problem: Problem, lines_mm: Floats, around: int) -> Found:
    """Return what scikit-fem finds with 20-node elements of 2 x 2 x 2 points and its own form."""
    made, material = grid(problem.bar, lines_mm, around), problem.bar.spec.material
    mesh = mesh_of_scikit_fem(made.points_mm, made.cells)
    basis = Basis(mesh, ElementVector(ElementHexS2()), intorder=3)
    stiffness = linear_elasticity(*lame_mpa(material)).assemble(basis)
    if problem.grip:
        stiffness = stiffness + _springs_of_scikit_fem(problem, made, mesh, basis)
        load = right = _band_of_scikit_fem(problem, made, mesh, basis)
        moved, free = np.zeros(basis.N), slice(None)
    else:
        load = _pull_of_scikit_fem(problem, made, mesh, basis)
        held = basis.get_dofs(_facets(mesh, made, made.cells[:around, ROOT])).all()
        stiffness, right, moved, free = condense(stiffness, load, D=held)
    moved[free] = solve(factorise(csr_array(stiffness), SOLVER), right[:, None])[0][:, 0]
    near, limits = round_place(made, problem.place)
    stress = _stress_of_scikit_fem(problem, made, near, (basis, moved))
    return Found(float(load @ moved) / size_n(problem), surface_reading(problem, limits, stress))


def _facets(mesh: MeshHex2, made: Grid, faces: Ints) -> Ints:
    """Return scikit-fem's numbers of faces (n, 8), found by the means of their corners."""
    tree = cKDTree(mesh.p[:, mesh.facets].mean(axis=1).T)
    return tree.query(made.points_mm[faces[:, :4]].mean(axis=1))[1]


def _on(mesh: MeshHex2, made: Grid, basis: Basis, faces: Ints) -> FacetBasis:
    return FacetBasis(mesh, basis.elem, facets=_facets(mesh, made, faces), intorder=4)


def _springs_of_scikit_fem(problem: Problem, made: Grid, mesh: MeshHex2, basis: Basis) -> Any:
    clamp = problem.grip.clamp
    normal, tangential = clamp.normal_n_per_mm3, clamp.tangential_n_per_mm3
    form = BilinearForm(
        lambda u, v, w: tangential * dot(u, v) + (normal - tangential) * dot(u, w.n) * dot(v, w.n)
    )
    return form.assemble(_on(mesh, made, basis, outside(made, clamp.from_mm, clamp.to_mm)))


def _pull_of_scikit_fem(problem: Problem, made: Grid, mesh: MeshHex2, basis: Basis) -> Floats:
    loaded = _on(mesh, made, basis, made.cells[-made.around :, END])
    pull = np.array(problem.force_n) / loaded.dx.sum()
    return LinearForm(lambda v, _: sum(pull[i] * v[i] for i in range(3))).assemble(loaded)


def _band_of_scikit_fem(problem: Problem, made: Grid, mesh: MeshHex2, basis: Basis) -> Floats:
    """Return the nodal forces of the linear traction with the load's force and moment."""
    load = problem.grip.load
    loaded = _on(mesh, made, basis, outside(made, load.from_mm, load.to_mm))
    centre = locate(problem.bar.line, np.array(load.at_mm)).position_mm
    arm = np.array(loaded.global_coordinates()) - centre[:, None, None]
    units = np.eye(3)[:, :, None, None] + 0 * arm
    modes = np.concatenate([units, np.cross(units, arm[None], axis=1)])
    gram = np.einsum("aifq,bifq,fq->ab", modes, modes, loaded.dx)
    pull = np.einsum("a,aifq->ifq", np.linalg.solve(gram, [*load.force_n, *load.moment_nmm]), modes)
    form = LinearForm(lambda v, w: sum(w["pull"][i] * v[i] for i in range(3)))
    return form.assemble(loaded, pull=pull)


def _stress_of_scikit_fem(
    problem: Problem, made: Grid, near: Ints, solved: tuple[Basis, Floats]
) -> Floats:
    """Return (k, 4, 3, 3): stress of elements at `read_points`."""
    basis, moved = solved
    # scikit-fem's axes of an element are others: the points are found by their places
    places = hex20(read_points()).values @ made.points_mm[made.cells[near]]
    mapping = basis.mesh.mapping()
    local = mapping.invF(np.moveaxis(places, -1, 0), tind=near)
    slope = np.zeros((3, 3, *places.shape[:2]))
    for number, freedoms in enumerate(basis.element_dofs[:, near]):
        shape = basis.elem.gbasis(mapping, local, number, tind=near)[0]
        slope += np.array(shape.grad) * moved[freedoms][:, None]
    slope = np.moveaxis(slope, (0, 1), (-2, -1))
    lam, mu = lame_mpa(problem.bar.spec.material)
    trace = np.trace(slope, axis1=-2, axis2=-1)[..., None, None]
    return mu * (slope + slope.swapaxes(-1, -2)) + lam * trace * np.eye(3)
