"""Speed and memory on the tube S2 as ratios within one run; run alone on the machine.

Times of a machine say little, ratios of two times in the same minute much. Each figure is the
median of a few repeats in which the two sides take turns.
"""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
import pytest
from skfem.models.elasticity import lame_parameters, linear_elasticity

from fea.solid.assembly import build_pattern, fill, free_part
from fea.solid.element import hex20_gauss
from fea.solid.kernels import gradients, stiffness_blocks
from fea.solid.linear_solver import SolverName, factorise, solve
from fea.solid.surface import face_rule, mean_displacement, rigid_modes
from geometry.mesh import TubeMesh
from support.scikit_fem import basis_of_scikit_fem
from support.systems import shear
from support.tube_s2 import FORCE_N, LENGTH_MM, METAL, WALL_MM, Stopwatch, cantilever_mesh
from support.tubes import at_s, end_faces

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]

TESTS = Path(__file__).parents[1]

REPEATS = 3

LEAST_ASSEMBLY_SPEED_UP = 10.0
"""Over scikit-fem's form with tensor helpers. Measured 42."""

MOST_OF_NGSOLVE: dict[SolverName, float] = {"splu": 1.0, "pardiso": 0.5}
"""Share of NGSolve's time from mesh to solution. Measured 0.75 and 0.31."""

MOST_OUTSIDE = 1.0
"""Everything but factor and solve, over these. Measured 0.09."""

MOST_OF_FIRST_MATRIX = 0.4
"""Filling the matrix again over pattern and first fill. Measured 0.19 to 0.25."""

MOST_OF_FIRST_ASSEMBLY = 0.75
"""Gradients, element matrices and fill of a new wall over the same with the pattern. Measured
0.38 to 0.5: half of it are the element matrices, which no pattern spares."""

MOST_MEMORY_GB = 2.5
"""Of the process of a whole case. Measured 1.9."""

DEFLECTION_MM = 1.5803
"""Of the cantilever's end, a converged solid's: see `validation/test_cowper_1966.py`."""


@pytest.fixture(scope="module")
def tube() -> TubeMesh:
    """Return the cantilever's mesh."""
    return cantilever_mesh()


def medians(rounds: list[dict[str, float]]) -> dict[str, float]:
    """Return the median of each stage."""
    return {stage: median(each[stage] for each in rounds) for stage in rounds[0]}


def table(seconds: dict[str, float]) -> str:
    """Return stages as a line of a table."""
    total = sum(seconds.values())
    return ", ".join(f"{stage} {s:.3f}" for stage, s in seconds.items()) + f", sum {total:.3f} s"


def assembled(mesh: TubeMesh, watch: Stopwatch, pattern: Any = None) -> Any:
    """Return the pattern and the matrix, the stages timed."""
    points, cells = mesh.points_mm, mesh.cells
    pattern = pattern or watch.time("pattern", build_pattern, cells, len(points))
    grads = watch.time("gradients", gradients, points, cells, hex20_gauss(2))
    blocks = watch.time("stiffness", stiffness_blocks, grads, METAL)
    return pattern, watch.time("fill", fill, pattern, blocks)


def test_assembly_against_scikit_fem(tube: TubeMesh, record_property: Record) -> None:
    """The matrix takes a tenth of the time of scikit-fem's form on the same mesh and points."""
    basis = basis_of_scikit_fem(tube.points_mm, tube.cells)
    form = linear_elasticity(*lame_parameters(METAL.youngs_modulus_mpa, METAL.poisson_ratio))
    pattern = build_pattern(tube.cells, len(tube.points_mm))
    ours, theirs = [], Stopwatch()
    for _ in range(REPEATS):
        watch = Stopwatch()
        assembled(tube, watch, pattern)
        ours.append(watch.seconds)
    matrix = theirs.time("scikit-fem", form.assemble, basis)
    assert matrix.nnz > 0
    mine = medians(ours)
    ratio = theirs.seconds["scikit-fem"] / sum(mine.values())
    record_property("ours", table(mine))
    record_property("scikit-fem", table(theirs.seconds))
    record_property("speed-up", f"{ratio:.1f}, at least {LEAST_ASSEMBLY_SPEED_UP:g}")
    assert ratio >= LEAST_ASSEMBLY_SPEED_UP


def our_cantilever(watch: Stopwatch, solver: SolverName, pattern: Any) -> float:
    """Return the mean deflection of the end in mm, the stages timed."""
    mesh = watch.time("mesh", cantilever_mesh)
    free = np.repeat(~at_s(mesh, 0.0), 3)
    end = end_faces(mesh, LENGTH_MM)
    loads = shear(mesh.points_mm, end, (0.0, 0.0, -FORCE_N)).ravel()
    _, matrix = assembled(mesh, watch, pattern)
    held = watch.time("fill", free_part, matrix, free)
    factor = watch.time("factor + solve", factorise, held, solver)
    moved = np.zeros(len(free))
    answer, _ = watch.time("factor + solve", solve, factor, loads[free][:, None])
    moved[free] = answer[:, 0]
    modes = rigid_modes(face_rule(mesh.points_mm, end), np.array([LENGTH_MM, 0.0, 0.0]))
    return -float(mean_displacement(modes, moved.reshape(-1, 3))[2])


def test_mesh_to_solution_against_ngsolve(tube: TubeMesh, record_property: Record) -> None:
    """From mesh to solution both solvers take so much less time than NGSolve's cholesky."""
    pytest.importorskip("ngsolve")
    pytest.importorskip("pypardiso")
    from support.ngsolve_tube import solve_cantilever

    pattern = build_pattern(tube.cells, len(tube.points_mm))
    ours: dict[SolverName, list[dict[str, float]]] = {"splu": [], "pardiso": []}
    theirs = []
    for _ in range(REPEATS):
        watch = Stopwatch()
        assert solve_cantilever(watch) == pytest.approx(DEFLECTION_MM, rel=1e-3)
        theirs.append(watch.seconds)
        for solver, rounds in ours.items():
            watch = Stopwatch()
            assert our_cantilever(watch, solver, pattern) == pytest.approx(DEFLECTION_MM, rel=1e-3)
            rounds.append(watch.seconds)
    whole = {solver: sum(medians(rounds).values()) for solver, rounds in ours.items()}
    known = sum(medians(theirs).values())
    record_property("NGSolve", table(medians(theirs)))
    for solver, rounds in ours.items():
        record_property(solver, table(medians(rounds)))
        share = f"{whole[solver] / known:.2f}, at most {MOST_OF_NGSOLVE[solver]:g}"
        record_property(f"{solver} over NGSolve", share)
    assert not {name for name, limit in MOST_OF_NGSOLVE.items() if whole[name] > limit * known}


def test_a_new_wall_refills_the_matrix(record_property: Record) -> None:
    """On the same topology another wall costs less than half of the first sparse matrix."""
    meshes = cantilever_mesh(), cantilever_mesh(1.05 * WALL_MM)
    first, refilled = [], []
    for _ in range(2 * REPEATS + 1):
        watch, again = Stopwatch(), Stopwatch()
        pattern, one = assembled(meshes[0], watch)
        _, other = assembled(meshes[1], again, pattern)
        assert other.sum() != one.sum()
        first.append(watch.seconds)
        refilled.append(again.seconds)
    once, new = medians(first), medians(refilled)
    sparse = new["fill"] / (once["pattern"] + once["fill"])
    whole = sum(new.values()) / sum(once.values())
    record_property("first", table(once))
    record_property("new wall", table(new))
    record_property("sparse matrix", f"{sparse:.2f}, at most {MOST_OF_FIRST_MATRIX:g}")
    record_property("whole assembly", f"{whole:.2f}, at most {MOST_OF_FIRST_ASSEMBLY:g}")
    assert sparse <= MOST_OF_FIRST_MATRIX
    assert whole <= MOST_OF_FIRST_ASSEMBLY


@pytest.fixture(scope="module")
def cases() -> list[dict[str, Any]]:
    """Return what processes of their own say of the whole case."""
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TESTS.parent), str(TESTS)])}
    call = [sys.executable, "-m", "support.tube_s2"]
    done = [subprocess.run(call, env=env, capture_output=True, check=True) for _ in range(REPEATS)]
    return [json.loads(each.stdout) for each in done]


def test_solving_is_the_greater_part(cases: list[dict[str, Any]], record_property: Record) -> None:
    """Mesh, matrix, stress and error estimate together take no longer than factor and solve."""
    seconds = medians([case["seconds"] for case in cases])
    record_property("whole case", table(seconds))
    inside = seconds["factor"] + seconds["solve"]
    outside = sum(seconds.values()) - inside - seconds["pattern"]
    record_property("outside over inside", f"{outside / inside:.2f}, at most {MOST_OUTSIDE:g}")
    assert outside <= MOST_OUTSIDE * inside


def test_memory_of_a_whole_case(cases: list[dict[str, Any]], record_property: Record) -> None:
    """A whole case fits into 2.5 GB."""
    most = max(case["memory_gb"] for case in cases)
    record_property("memory", f"{most:.2f} GB, at most {MOST_MEMORY_GB:g}")
    assert most <= MOST_MEMORY_GB
