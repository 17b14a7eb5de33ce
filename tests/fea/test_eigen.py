"""The block iteration for both ends of a spectrum, against scipy's dense solver."""

from dataclasses import replace
from typing import Any
from unittest.mock import patch
from weakref import ref

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh
from scipy.sparse import csr_array

from fea.solid.linear_solver import Factor, SolverName, factorise
from fea.stability import eigen
from fea.stability.eigen import Apply, Ends, eigen_ends
from geometry.arrays import Floats
from geometry.errors import SolveError


def pair(size: int, values: Floats, seed: int = 0) -> tuple[Floats, csr_array]:
    """Return A and K such that A x = mu K x has the eigenvalues `values` (size,)."""
    rng = np.random.default_rng(seed)
    root = np.tril(rng.standard_normal((size, size)), -1) / size + np.eye(size)
    turn, _ = np.linalg.qr(rng.standard_normal((size, size)))
    return root @ (turn * values) @ turn.T @ root.T, csr_array(root @ root.T)


def ends_of(a: Floats, k: csr_array, count: int = 3, least: float = 1e-3) -> Ends:
    """Return the ends of a pair of matrices."""
    return eigen_ends([lambda vectors: a @ vectors], factorise(k, "splu"), count, least)[0]


@pytest.mark.parametrize("size", [3, 8, 200])
def test_both_ends_equal_the_dense_solver(size: int) -> None:
    """To the square of the residual: less by the block taken in last, more by a narrow gap."""
    values = np.sort(np.random.default_rng(3).standard_normal(size)) * np.linspace(3, 1, size)
    a, k = pair(size, values)
    ends, dense = ends_of(a, k), eigh(a, k.toarray(), eigvals_only=True)
    upper, lower = dense[dense > 1e-3][::-1][:3], dense[dense < -1e-3][:3]
    np.testing.assert_allclose(ends.upper, upper, rtol=eigen.MAX_RESIDUAL**2)
    np.testing.assert_allclose(ends.lower, lower, rtol=eigen.MAX_RESIDUAL**2)


def test_vectors_satisfy_the_equation() -> None:
    """A x = mu K x to the residual that is asked for, x of unit norm in K."""
    a, k = pair(150, np.concatenate([[-9, -8, 9, 8, 7], np.linspace(-1, 1, 145)]))
    ends = ends_of(a, k)
    x, dense = ends.upper_vectors, k.toarray()
    np.testing.assert_allclose(np.einsum("nk,nk->k", x, dense @ x), 1.0, rtol=1e-9)
    rest = np.linalg.solve(dense, a @ x) - x * ends.upper
    left = np.sqrt(np.einsum("nk,nk->k", rest, dense @ rest))
    assert np.all(left <= 1.01 * eigen.MAX_RESIDUAL * ends.upper)


@settings(max_examples=20, deadline=None)
@given(copies=st.integers(1, eigen.BLOCK), gap=st.floats(1e-4, 0.5))
def test_multiple_eigenvalues_come_whole(copies: int, gap: float) -> None:
    """As many copies as a block holds are all found, and so is a close neighbour after them."""
    values = np.concatenate([[5.0] * copies, [5.0 - gap], np.linspace(-1, 1, 120)])
    a, k = pair(len(values), values)
    ends = ends_of(a, k, count=copies + 1)
    np.testing.assert_allclose(ends.upper[:copies], 5.0, rtol=1e-5)
    assert ends.upper[copies] == pytest.approx(5.0 - gap, rel=1e-5)


def test_an_end_without_values_is_empty() -> None:
    """A body in tension has no buckling load: nothing of the sign, and no failure to converge."""
    a, k = pair(120, np.linspace(0.5, 4, 120))
    ends = ends_of(a, k)
    assert len(ends.lower) == 0
    assert ends.upper[0] == pytest.approx(4.0, rel=1e-5)


def test_no_convergence_raises(monkeypatch: pytest.MonkeyPatch) -> None:
    """An answer that is not there yet is none."""
    monkeypatch.setattr(eigen, "MAX_STEPS", 2)
    with pytest.raises(SolveError, match="have not converged in 2 steps"):
        ends_of(*pair(300, np.linspace(-1, 1, 300)))


def test_several_matrices_are_solved_in_step() -> None:
    """Each A's answer is that of itself alone, to round-off, and there is one solution a step."""
    made = [pair(150, np.linspace(-low, high, 150) ** 3) for low, high in ((1, 2), (2, 1), (3, 3))]
    k = made[0][1]
    applies: list[eigen.Apply] = [lambda vectors, a=a: a @ vectors for a, _ in made]  # type: ignore[misc]
    factor, widths = counted(factorise(k, "splu"))
    together = eigen_ends(applies, factor, 3, 1e-3)
    steps = len(widths)
    assert max(widths) == 3 * eigen.BLOCK
    for apply, ends in zip(applies, together, strict=True):
        alone = eigen_ends([apply], factor, 3, 1e-3)[0]
        np.testing.assert_allclose(ends.upper, alone.upper, rtol=1e-10)
        np.testing.assert_allclose(ends.lower, alone.lower, rtol=1e-10)
    each = len(widths) - steps
    assert steps < 0.6 * each


@pytest.mark.parametrize(("solver", "most"), [("cholmod", 1), ("splu", 4)])
def test_what_is_held_at_once(solver: SolverName, most: int) -> None:
    """Each A comes when its turn does and goes before the next: solvers differ in how many a turn.

    A matrix of a bar takes as much memory as twenty vectors.
    """
    held: list[ref[Apply]] = []

    def product(a: Floats) -> Apply:
        def apply(vectors: Floats) -> Floats:
            return a @ vectors

        held.append(ref(apply))
        alive.append(sum(one() is not None for one in held))
        return apply

    alive: list[int] = []
    a, k = pair(120, np.linspace(-1, 1, 120) ** 3)
    eigen_ends(map(product, [a] * 6), factorise(k, solver), 2, 1e-3)
    assert max(alive) == most


@settings(max_examples=20, deadline=None)
@given(size=st.integers(40, 160), stiffest=st.floats(1, 1e7), seed=st.integers(0, 99))
def test_the_basis_stays_orthonormal(size: int, stiffest: float, seed: int) -> None:
    """Only the two last blocks have K times them stored, and yet all stay orthonormal in K.

    To a millionth, far less than the four digits of a factor need; the second pass is for that.
    """
    values = np.linspace(-2, 3, size) ** 3
    rng = np.random.default_rng(seed)
    turn, _ = np.linalg.qr(rng.standard_normal((size, size)))
    root = turn * np.geomspace(1, stiffest, size) ** 0.5
    made: list[Floats] = []

    def kept(basis: tuple[Floats, Floats], *rest: Any) -> Ends:
        made.append(np.hstack(basis))
        return ends(basis, *rest)

    ends = eigen._ends  # noqa: SLF001
    mixed, _ = np.linalg.qr(rng.standard_normal((size, size)))
    with patch.object(eigen, "_ends", kept):
        ends_of(root @ (mixed * values) @ mixed.T @ root.T, csr_array(root @ root.T))
    gram = made[0].T @ (root @ (root.T @ made[0]))
    np.testing.assert_allclose(gram, np.eye(len(gram)), atol=1e-6)


def counted(factor: Factor) -> tuple[Factor, list[int]]:
    """Return a factor that writes down how many vectors each solution has."""
    widths: list[int] = []

    def apply(loads: Floats) -> Floats:
        widths.append(loads.shape[1])
        return factor.apply(loads)

    return replace(factor, apply=apply), widths
