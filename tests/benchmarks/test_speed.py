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
from time import process_time
from typing import Any

import numpy as np
import pytest
from skfem.models.elasticity import lame_parameters, linear_elasticity

from fea.solid.assembly import build_pattern
from geometry.mesh import TubeMesh
from support.scikit_fem import basis_of_scikit_fem
from support.tube_s2 import METAL, WALL_MM, Stopwatch, assembled, cantilever_mesh

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]

TESTS = Path(__file__).parents[1]

REPEATS = 3

LEAST_ASSEMBLY_SPEED_UP = 10.0
"""Over scikit-fem's form with tensor helpers. Measured 42."""

MOST_OF_NGSOLVE = {"cholmod": 0.7, "pardiso": 0.65, "splu": 1.2}
"""Share of NGSolve's CPU time from mesh to solution, all on one thread.

Measured 8 times on a busy machine: median and spread 0.34 and 0.10 with cholmod, 0.33 and 0.08 with
pardiso, 0.65 and 0.16 with splu. Limits are twice the median, so that no noise
of a machine reaches them.
"""

MOST_GROWTH = 1.6
"""Exponent of CPU time over unknowns, from 10 000 to 50 000. Measured 1.20 to 1.32."""

MOST_OUTSIDE = 1.0
"""Everything but factor and solve, over these. Measured 0.09."""

MOST_OF_FIRST_MATRIX = 0.6
"""Filling the matrix again over pattern and first fill, CPU time. Measured 12 times on a busy
machine: median 0.19, spread 0.13. A pattern that is built again makes it 1."""

MOST_OF_FIRST_ASSEMBLY = 0.8
"""Gradients, element matrices and fill of a new wall over the same with the pattern, CPU time.
Measured 12 times on a busy machine: median 0.39, spread 0.13. Half of it are the element matrices,
which no pattern spares."""

MOST_MEMORY_GB = 2.5
"""Of the process of a whole case. Measured 1.8 to 1.95."""

ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")

DEFLECTION_OFF = {"NGSolve": 6e-3, "cholmod": 1e-3, "pardiso": 1e-3, "splu": 1e-3}
"""How far a deflection may be off on the coarse meshes of `support/cantilever_round.py`."""

DEFLECTION_MM = 1.5803
"""Of the cantilever's end, a converged solid's: see `validation/test_cowper_1966.py`."""


@pytest.fixture(scope="module")
def tube() -> TubeMesh:
    """Return the cantilever's mesh."""
    return cantilever_mesh()


def processes(
    module: str, environment: dict[str, str], times: int = REPEATS
) -> list[dict[str, Any]]:
    """Return what a module of the tests prints as JSON, run so many times on its own."""
    paths = os.pathsep.join([str(TESTS.parent), str(TESTS)])
    env = {**os.environ, **environment, "PYTHONPATH": paths}
    call = [sys.executable, "-m", module]
    done = [subprocess.run(call, env=env, capture_output=True, check=True) for _ in range(times)]
    return [json.loads(each.stdout) for each in done]


def medians(rounds: list[dict[str, float]]) -> dict[str, float]:
    """Return the median of each stage."""
    return {stage: median(each[stage] for each in rounds) for stage in rounds[0]}


def least(rounds: list[dict[str, float]]) -> dict[str, float]:
    """Return the least of each stage."""
    return {stage: min(each[stage] for each in rounds) for stage in rounds[0]}


def table(seconds: dict[str, float]) -> str:
    """Return stages as a line of a table."""
    total = sum(seconds.values())
    return ", ".join(f"{stage} {s:.3f}" for stage, s in seconds.items()) + f", sum {total:.3f} s"


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


def test_mesh_to_solution_against_ngsolve(record_property: Record) -> None:
    """From mesh to solution each solver takes so much less CPU time than NGSolve's cholesky."""
    pytest.importorskip("ngsolve")
    pytest.importorskip("cvxopt")
    pytest.importorskip("pypardiso")
    rounds = processes("support.cantilever_round", ONE_THREAD)
    for each in rounds:
        for name, off in DEFLECTION_OFF.items():
            assert each[name]["deflection_mm"] == pytest.approx(DEFLECTION_MM, rel=off)
    stages = {name: medians([each[name]["seconds"] for each in rounds]) for name in rounds[0]}
    whole = {name: sum(seconds.values()) for name, seconds in stages.items()}
    for name, seconds in stages.items():
        record_property(name, table(seconds))
    shares = {name: whole[name] / whole["NGSolve"] for name in MOST_OF_NGSOLVE}
    for name, limit in MOST_OF_NGSOLVE.items():
        record_property(f"{name} over NGSolve", f"{shares[name]:.2f}, at most {limit:g}")
    assert not {name for name, limit in MOST_OF_NGSOLVE.items() if shares[name] > limit}


def test_growth_with_the_unknowns(record_property: Record) -> None:
    """CPU time from mesh to solution grows little faster than the unknowns."""
    pytest.importorskip("cvxopt")
    (sizes,) = processes("support.growth", ONE_THREAD, times=1)
    unknowns, seconds = (np.log([one[key] for one in sizes]) for key in ("unknowns", "seconds"))
    exponent = np.polyfit(unknowns, seconds, 1)[0]
    record_property("sizes", sizes)
    record_property("exponent", f"{exponent:.2f}, at most {MOST_GROWTH:g}")
    assert exponent <= MOST_GROWTH


def test_a_new_wall_refills_the_matrix(record_property: Record) -> None:
    """On the same topology another wall costs less than half of the first sparse matrix.

    By least CPU times, which other work on the machine can only raise. That the pattern is not
    even asked for again is counted in `tests/sweeps/test_design_costs.py`.
    """
    meshes = cantilever_mesh(), cantilever_mesh(1.05 * WALL_MM)
    first, refilled = [], []
    for _ in range(2 * REPEATS + 1):
        watch, again = Stopwatch(process_time), Stopwatch(process_time)
        pattern, one = assembled(meshes[0], watch)
        _, other = assembled(meshes[1], again, pattern)
        assert other.sum() != one.sum()
        first.append(watch.seconds)
        refilled.append(again.seconds)
    once, new = least(first), least(refilled)
    sparse = new["fill"] / (once["pattern"] + once["fill"])
    whole = sum(new.values()) / sum(once.values())
    record_property("first", table(once))
    record_property("new wall", table(new))
    record_property("sparse matrix", f"{sparse:.2f}, at most {MOST_OF_FIRST_MATRIX:g}")
    record_property("whole assembly", f"{whole:.2f}, at most {MOST_OF_FIRST_ASSEMBLY:g}")
    assert sparse <= MOST_OF_FIRST_MATRIX
    assert whole <= MOST_OF_FIRST_ASSEMBLY


@pytest.fixture(scope="module")
def case() -> dict[str, Any]:
    """Return what a process of its own says of the whole case; both figures lie far from limits."""
    return processes("support.tube_s2", {}, times=1)[0]


def test_solving_is_the_greater_part(case: dict[str, Any], record_property: Record) -> None:
    """Mesh, matrix, stress and error estimate together take no longer than factor and solve."""
    seconds = case["seconds"]
    record_property("whole case", table(seconds))
    inside = seconds["factor"] + seconds["solve"]
    outside = sum(seconds.values()) - inside - seconds["pattern"]
    record_property("outside over inside", f"{outside / inside:.2f}, at most {MOST_OUTSIDE:g}")
    assert outside <= MOST_OUTSIDE * inside


def test_memory_of_a_whole_case(case: dict[str, Any], record_property: Record) -> None:
    """A whole case fits into 2.35 GB."""
    most = case["memory_gb"]
    record_property("memory", f"{most:.2f} GB, at most {MOST_MEMORY_GB:g}")
    assert most <= MOST_MEMORY_GB
