"""Symmetric matrices that need not be positive definite: solutions, and how many ways they give."""

from unittest.mock import patch

import numpy as np
import pytest
from scipy.sparse import csr_array, diags_array

from fea.solid.block_chain import chain_pivoting
from fea.solid.cholmod import runs_of
from fea.solid.direct_solvers import Pivoting
from fea.solid.linear_solver import SolverName, choose_solver, factorise, pivoting
from geometry.errors import InputError, SolveError


def _usable(solver: SolverName) -> Pivoting:
    try:
        choose_solver(solver)
    except InputError as error:
        pytest.skip(str(error))
    return pivoting(solver)


def _chain(shift: float) -> csr_array:
    """Return the stiffness of 60 masses between springs, less a shift of all."""
    side = np.full(59, -1.0)
    return csr_array(diags_array([side, np.full(60, 2.0 - shift), side], offsets=[-1, 0, 1]))


@pytest.mark.parametrize(
    "solver", ["splu", "cholmod", pytest.param("pardiso", marks=pytest.mark.slow)], ids=str
)
def test_negative_eigenvalues_are_counted(solver: SolverName) -> None:
    """As many as the eigenvalues 2 - 2 cos(k pi/61) below the shift; one analysis for all."""
    pivoted_of = _usable(solver)
    values = 2 - 2 * np.cos(np.arange(1, 61) * np.pi / 61)
    loads = np.random.default_rng(3).normal(size=(60, 2))
    for shift in (0.0, 1e-3, 0.5, 1.7, 3.2, 5.0):
        matrix = _chain(shift)
        pivoted = pivoted_of(matrix)
        assert pivoted.negative() == np.sum(values < shift)
        assert matrix @ pivoted.apply(loads) == pytest.approx(loads, abs=1e-9)


@pytest.mark.parametrize(
    "solver", ["splu", "cholmod", pytest.param("pardiso", marks=pytest.mark.slow)], ids=str
)
def test_entries_at_other_places_are_seen(solver: SolverName) -> None:
    """A matrix with more entries than the one before is analysed anew."""
    pivoted_of = _usable(solver)
    first = _chain(0.0)
    far = diags_array([np.full(50, 0.1), np.full(50, 0.1)], offsets=[-10, 10])
    loads = np.ones((60, 1))
    for matrix in (first, csr_array(first + far).sorted_indices(), first):
        assert matrix @ pivoted_of(matrix).apply(loads) == pytest.approx(loads, abs=1e-9)


@pytest.mark.parametrize(
    "solver", ["splu", "cholmod", pytest.param("pardiso", marks=pytest.mark.slow)], ids=str
)
def test_a_singular_matrix_is_refused(solver: SolverName) -> None:
    """In words of ours, wherever its empty row is."""
    pivoted_of = _usable(solver)
    for diagonal in ([1.0, 0.0, 2.0], [1.0, 2.0, 0.0]):
        with pytest.raises(SolveError, match="cannot be factorised"):
            pivoted_of(csr_array(np.diag(diagonal)))


def _joined() -> tuple[csr_array, list[int]]:
    """Return the stiffness of bodies in a row that move in 2, 1, 3 ways.., and whose each is."""
    ways = [2, 1, 3, 3, 1, 1, 2, 3]
    body = np.repeat(np.arange(len(ways)), ways)
    near = np.abs(np.subtract.outer(body, body)) <= 1
    random = np.random.default_rng(1).normal(size=near.shape)
    whole = np.where(near, random + random.T, 0.0) + 40 * np.eye(len(body))
    return csr_array(whole), list(body)


def test_rows_that_are_alike_are_found() -> None:
    """Those of one body, and no others."""
    matrix, bodies = _joined()
    assert list(runs_of(matrix)) == bodies
    same_count = csr_array(np.array([[4, 1, 0], [1, 4, 1], [0, 1, 4]]))
    assert list(runs_of(same_count)) == [0, 1, 2]
    assert list(runs_of(csr_array(np.ones((3, 3))))) == [0, 0, 0]


def test_rows_that_are_alike_are_solved() -> None:
    """CHOLMOD's own matrix is made of one column of each run."""
    _usable("cholmod")
    matrix, _ = _joined()
    loads = np.random.default_rng(2).normal(size=(matrix.shape[0], 2))
    moved = factorise(matrix, "cholmod").apply(loads)
    assert moved == pytest.approx(np.linalg.solve(matrix.toarray(), loads), rel=1e-12)


def test_another_solver_counts_what_cholmod_refuses() -> None:
    """From the first matrix that is not positive definite to the first that is again."""
    asked: list[bool] = []
    real = chain_pivoting()
    with patch(
        "fea.solid.linear_solver.chain_pivoting",
        lambda: lambda matrix: asked.append(True) or real(matrix),
    ):
        pivoted_of = _usable("cholmod")
        counts = []
        for shift, others in ((0.0, 0), (0.5, 1), (0.5, 2), (0.0, 3), (0.0, 3), (1e-2, 4)):
            counts.append(pivoted_of(_chain(shift)).negative())
            assert len(asked) == others
    assert counts == [0, 14, 14, 0, 0, 1]


@pytest.mark.parametrize("solver", ["splu", "cholmod"])
def test_no_cholesky_factor_of_an_indefinite_matrix(solver: SolverName) -> None:
    """A linear solution is refused: a bar's own stiffness has no negative eigenvalue."""
    _usable(solver)
    if solver == "cholmod":
        with pytest.raises(SolveError, match="not positive definite"):
            factorise(_chain(0.5), solver)
    assert factorise(_chain(0.0), solver).solver == solver


@pytest.mark.parametrize("solver", ["splu", "cholmod"])
def test_loads_that_are_nought_move_nothing(solver: SolverName) -> None:
    """In the place of their column, whatever stands beside them."""
    _usable(solver)
    factor = factorise(_chain(0.0), solver)
    loads = np.zeros((60, 3))
    assert not factor.apply(loads).any()
    loads[7, 1] = 1.0
    assert _chain(0.0) @ factor.apply(loads) == pytest.approx(loads, abs=1e-12)
