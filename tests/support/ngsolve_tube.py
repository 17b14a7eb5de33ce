"""The benchmarks' cantilever in NGSolve: quadratic elements, two layers, 153 000 freedoms.

Mesh and curving, assembly and solver are NGSolve's, with all its threads.
"""

from math import pi

from ngsolve import (
    CF,
    BilinearForm,
    Grad,
    GridFunction,
    InnerProduct,
    Integrate,
    LinearForm,
    Mesh,
    Periodic,
    Sym,
    TaskManager,
    VectorH1,
    cos,
    div,
    ds,
    dx,
    sin,
    y,
    z,
)
from ngsolve.meshes import MakeStructured3DMesh

from fea.solid.kernels import lame_mpa
from support.tube_s2 import AROUND, FORCE_N, LENGTH_MM, METAL, OD_MM, WALL_MM, Stopwatch

DEGREE = 2
LAYERS, ALONG = 2, 78
ROOT, END = "back", "front"
"""NGSolve's names of the faces of lowest and highest s."""

AREA_MM2 = pi * WALL_MM * (OD_MM - WALL_MM)


def solve_cantilever(watch: Stopwatch, along: int = ALONG) -> float:
    """Return the mean deflection of the end in mm, the stages timed."""
    with TaskManager():
        mesh = watch.time("mesh", _curved_mesh, along)
        form, load = watch.time("assembly", _assembled, mesh)
        moved = watch.time("factor + solve", _solved, form, load)
        return -float(Integrate(moved[2] * ds(END), mesh)) / AREA_MM2


def _curved_mesh(along: int) -> Mesh:
    mesh = MakeStructured3DMesh(
        nx=along,
        ny=AROUND,
        nz=LAYERS,
        periodic_y=True,
        mapping=lambda a, b, c: (a * LENGTH_MM, 2 * pi * b, c),
    )
    radius = OD_MM / 2 - WALL_MM + WALL_MM * z
    bent = GridFunction(VectorH1(mesh, order=DEGREE))
    bent.Set(CF((0, radius * sin(y) - y, radius * cos(y) - z)))
    mesh.SetDeformation(bent)
    return mesh


def _assembled(mesh: Mesh) -> tuple[BilinearForm, LinearForm]:
    space = Periodic(VectorH1(mesh, order=DEGREE, dirichlet=ROOT))
    (lam, mu), (u, v) = lame_mpa(METAL), space.TnT()
    form = BilinearForm(space, symmetric=True)
    form += (lam * div(u) * div(v) + 2 * mu * InnerProduct(Sym(Grad(u)), Sym(Grad(v)))) * dx
    load = LinearForm(space)
    load += -FORCE_N / AREA_MM2 * v[2] * ds(END)
    return form.Assemble(), load.Assemble()


def _solved(form: BilinearForm, load: LinearForm) -> GridFunction:
    moved = GridFunction(form.space)
    inverse = form.mat.Inverse(form.space.FreeDofs(), inverse="sparsecholesky")
    moved.vec.data = inverse * load.vec
    return moved
