"""The same bar in another program: NGSolve, its own mesh, shape functions, curving and solver.

Only the map of the bar, its clamp and its loads are shared. The mesh is a structured block over
(s, theta, zeta), periodic in theta, curved by a deformation of degree three that is projected
onto the map. Springs and tractions are integrated by NGSolve.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from ngsolve import (
    CF,
    H1,
    BilinearForm,
    Cross,
    Grad,
    GridFunction,
    Id,
    IfPos,
    InnerProduct,
    Integrate,
    Inv,
    LinearForm,
    Mesh,
    Periodic,
    Sym,
    Trace,
    VectorH1,
    div,
    ds,
    dx,
    specialcf,
    x,
    y,
    z,
)
from ngsolve.comp import IntegrationRuleSpace
from ngsolve.meshes import MakeStructured3DMesh

from geometry.arrays import Floats
from geometry.bar import Bar, position_mm, smooth_breaks_mm
from geometry.centreline import locate
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad

CURVING = 3
"""Degree of the geometry in each direction."""

ROUND = 24
"""Elements round the tube."""


@dataclass(frozen=True, eq=False)
class Curved:
    """A curved mesh.

    Attributes:
        mesh: The flat block.
        s_mm: Arc length, as a function that a deformation leaves alone.
        bent: The deformation from the block to the bar.
    """

    mesh: Mesh
    s_mm: GridFunction
    bent: GridFunction


@dataclass(frozen=True, eq=False)
class Answer:
    """NGSolve's answer to a load case.

    Attributes:
        field: The displacement on the flat block.
        work_nmm: Half of load times displacement.
        displacement_mm: (n, 3) area mean over each band.
    """

    field: GridFunction
    work_nmm: float
    displacement_mm: Floats


def mesh_lines_mm(bar: Bar, clamp: Clamp, loads: Sequence[PlacedLoad]) -> Floats:
    """Return lines at every break of the map, clamp edge and band edge, graded to the clamp."""
    ends = [end for load in loads for end in (load.from_mm, load.to_mm)]
    marks = np.unique(np.round([*smooth_breaks_mm(bar), clamp.from_mm, clamp.to_mm, *ends], 6))
    # breaks closer than this are one: the map is smooth enough across the second
    marks = marks[np.concatenate([[True], np.diff(marks) > 0.3])]
    lines = [marks[:1]]
    for low, high in pairwise(marks):
        to_clamp = np.abs(np.abs([low, (low + high) / 2, high]) - clamp.to_mm).min()
        count = int(np.ceil((high - low) / min(12.0, 1.2 + 0.35 * to_clamp)))
        lines.append(np.linspace(low, high, count + 1)[1:])
    return np.concatenate(lines)


def curved_mesh(bar: Bar, lines_mm: Floats, round_count: int = ROUND) -> Curved:
    """Return the mesh of a bar, one element through the wall."""
    count = len(lines_mm) - 1
    mesh = MakeStructured3DMesh(
        nx=count,
        ny=round_count,
        nz=1,
        periodic_y=True,
        mapping=lambda a, b, c: (
            float(np.interp(a * count, np.arange(count + 1), lines_mm)),
            2 * np.pi * b,
            c,
        ),
    )
    s_mm = GridFunction(H1(mesh, order=1))
    s_mm.Set(x)
    return Curved(mesh, s_mm, _projected(bar, mesh))


def solve_bar(
    bar: Bar,
    clamp: Clamp,
    curved: Curved,
    cases: Sequence[Sequence[PlacedLoad]],
    order: int,
) -> list[Answer]:
    """Return the answers to load cases with tensor-product elements of a degree."""
    curved.mesh.SetDeformation(curved.bent)
    space = Periodic(VectorH1(curved.mesh, order=order))
    stiffness = _stiffness(bar, curved, space, clamp)
    inverse = stiffness.mat.Inverse(space.FreeDofs(coupling=True), inverse="sparsecholesky")
    answers = [_answer(bar, curved, stiffness, inverse, loads) for loads in cases]
    curved.mesh.UnsetDeformation()
    return answers


def solve_held(bar: Bar, curved: Curved, force_n: Sequence[float], order: int) -> Answer:
    """Return the answer of a bar held at its first face, its last one pulled evenly."""
    curved.mesh.SetDeformation(curved.bent)
    space = Periodic(VectorH1(curved.mesh, order=order, dirichlet="back"))
    stiffness = _stiffness(bar, curved, space)
    inverse = stiffness.mat.Inverse(space.FreeDofs(coupling=True), inverse="sparsecholesky")
    area_mm2 = Integrate(CF(1) * ds("front"), curved.mesh)
    form = LinearForm(InnerProduct(CF(tuple(force_n)), space.TestFunction()) * ds("front"))
    form.Assemble().vec.data *= 1 / area_mm2
    field = _solved(stiffness, inverse, form)
    mean = [Integrate(field[i] * ds("front"), curved.mesh) / area_mm2 for i in range(3)]
    curved.mesh.UnsetDeformation()
    return Answer(field, InnerProduct(form.vec, field.vec) / 2, np.array([mean]))


def stress_at(bar: Bar, curved: Curved, field: GridFunction, block: Floats) -> Floats:
    """Return (n, 3, 3): stress at places (s, theta, zeta), the mean of the elements round each."""
    lam, mu = _lame_mpa(bar)
    strain = Sym(Grad(field) * Inv(Grad(curved.bent) + Id(3)))
    stress = lam * Trace(strain) * Id(3) + 2 * mu * strain
    total = np.zeros((len(block), 9))
    for ahead, aside in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        s, theta = block[:, 0] + ahead * 1e-5, (block[:, 1] + aside * 1e-6) % (2 * np.pi)
        total += stress(curved.mesh(s, theta, block[:, 2]))
    return total.reshape(-1, 3, 3) / 4


def _projected(bar: Bar, mesh: Mesh) -> GridFunction:
    """Return the least-squares fit of map minus block, known at quadrature points."""
    points = IntegrationRuleSpace(mesh, order=2 * CURVING)
    values = GridFunction(points)
    flat = []
    for coordinate in (x, y, z):
        values.Interpolate(coordinate)
        flat.append(values.vec.FV().NumPy().copy())
    shift = position_mm(bar, *flat) - np.stack(flat, axis=-1)
    space = H1(mesh, order=CURVING)
    u, v = space.TnT()
    inverse = BilinearForm(u * v * dx, symmetric=True).Assemble().mat.Inverse()
    bent = GridFunction(VectorH1(mesh, order=CURVING))
    for component, column in zip(bent.components, shift.T, strict=True):
        values.vec.FV().NumPy()[:] = column
        right = LinearForm(values * v * dx(intrules=points.GetIntegrationRules())).Assemble()
        component.vec.data = inverse * right.vec
    return bent


def _lame_mpa(bar: Bar) -> tuple[float, float]:
    e, nu = bar.spec.material.youngs_modulus_mpa, bar.spec.material.poisson_ratio
    return e * nu / ((1 + nu) * (1 - 2 * nu)), e / (2 * (1 + nu))


def _inside(curved: Curved, low_mm: float, high_mm: float) -> CF:
    return IfPos((curved.s_mm - low_mm) * (high_mm - curved.s_mm), 1.0, 0.0)


def _stiffness(bar: Bar, curved: Curved, space: Any, clamp: Clamp | None = None) -> BilinearForm:
    (lam, mu), (u, v), n = _lame_mpa(bar), space.TnT(), specialcf.normal(3)
    form = BilinearForm(space, symmetric=True, condense=True)
    form += (lam * div(u) * div(v) + 2 * mu * InnerProduct(Sym(Grad(u)), Sym(Grad(v)))) * dx
    if clamp:
        normal, tangential = clamp.normal_n_per_mm3, clamp.tangential_n_per_mm3
        springs = tangential * u * v + (normal - tangential) * (u * n) * (v * n)
        form += _inside(curved, clamp.from_mm, clamp.to_mm) * springs * ds("top")
    return form.Assemble()


def _solved(stiffness: BilinearForm, inverse: Any, form: LinearForm) -> GridFunction:
    """Return the displacement, the unknowns inside elements from those between them."""
    field, right = GridFunction(stiffness.space), form.vec.CreateVector()
    right.data = form.vec + stiffness.harmonic_extension_trans * form.vec
    field.vec.data = inverse * right
    field.vec.data += stiffness.harmonic_extension * field.vec
    field.vec.data += stiffness.inner_solve * right
    return field


def _answer(
    bar: Bar,
    curved: Curved,
    stiffness: BilinearForm,
    inverse: Any,
    loads: Sequence[PlacedLoad],
) -> Answer:
    space = stiffness.space
    outside, v = ds("top", bonus_intorder=4), space.TestFunction()
    form = LinearForm(space)
    for load in loads:
        band, pull = _traction(bar, curved, load)
        form += band * InnerProduct(pull, v) * outside
    form.Assemble()
    field = _solved(stiffness, inverse, form)
    bands = [_inside(curved, load.from_mm, load.to_mm) for load in loads]
    means = [
        [Integrate(band * field[i] * outside, curved.mesh) for i in range(3)] for band in bands
    ]
    areas = [Integrate(band * outside, curved.mesh) for band in bands]
    work = InnerProduct(form.vec, field.vec) / 2
    return Answer(field, work, np.array(means) / np.array(areas)[:, None])


def _traction(bar: Bar, curved: Curved, load: PlacedLoad) -> tuple[CF, CF]:
    """Return the band and the linear traction with the load's force and moment."""
    centre = locate(bar.line, np.array(load.at_mm)).position_mm
    band = _inside(curved, load.from_mm, load.to_mm)
    arm, units = CF((x, y, z)) - CF(tuple(centre)), [CF(tuple(row)) for row in np.eye(3)]
    modes = units + [Cross(unit, arm) for unit in units]
    outside = ds("top", bonus_intorder=4)
    gram = [
        [Integrate(band * InnerProduct(a, b) * outside, curved.mesh) for a in modes] for b in modes
    ]
    factors = np.linalg.solve(np.array(gram), [*load.force_n, *load.moment_nmm])
    return band, CF(tuple(factors[:3])) + Cross(CF(tuple(factors[3:])), arm)
