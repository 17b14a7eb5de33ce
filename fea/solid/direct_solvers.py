"""The one door to the libraries that factorise sparse matrices: SuperLU and oneMKL PARDISO."""

import os
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, distribution
from importlib.util import find_spec
from platform import machine
from typing import Any
from weakref import finalize

import numpy as np
from scipy.sparse import csc_array, csr_array, csr_matrix
from scipy.sparse.linalg import SuperLU, splu

from geometry.arrays import Flags, Floats, Ints

POSITIVE_DEFINITE, INDEFINITE = 2, -2
"""oneMKL PARDISO's matrix types: real, symmetric, positive definite or not."""

SETTINGS = {1: 1, 2: 0, 8: 0}
"""oneMKL PARDISO's iparm: own settings, minimum degree, no refinement. Nested dissection takes half
as long again to order a tube, and its factor is no sparser. By default it refines twice, which
makes a solution cost three times as much; the residual is checked here anyway."""

PIVOTS = {10: 16, 21: 1}
"""The same for indefinite matrices: a pivot is raised only where it is rounding, 1e-16 of the
matrix, since thin tubes have modes as soft as 3e-11 of the stiffest; pivots may come in pairs."""


@dataclass(frozen=True, eq=False)
class Pivoted:
    """A factorised symmetric matrix that need not be positive definite.

    Attributes:
        apply: Solves for right-hand sides (n, k) and returns (n, k).
        negative: Counts its negative eigenvalues; None where the solver had to exchange rows and
            cannot tell. Counted only where needed: it can cost a copy of the factor.

    Source: Sylvester's law of inertia: as many as the pivots of L D L'.
    """

    apply: Callable[[Floats], Floats]
    negative: Callable[[], int | None]


Pivoting = Callable[[csr_array], Pivoted]
"""Factorises symmetric matrices (n, n), best ones with entries at the same places."""


def bordered(pivoted: Pivoted, column: Floats, corner: float) -> Pivoted:
    """Return the factor of a matrix with one more row and column.

    Args:
        pivoted: Of the matrix without it.
        column: (n,) above the corner, and beside it.
        corner: Its entry on the diagonal.

    Source: Schur's complement; Haynsworth, Linear Algebra Appl. 1 (1968) 73-81, that the negative
    eigenvalues of the two add up, from memory.
    """
    across = pivoted.apply(column[:, None])[:, 0]
    rest = corner - float(column @ across)

    def apply(loads: Floats) -> Floats:
        inner = pivoted.apply(loads[:-1])
        last = (loads[-1] - column @ inner) / rest
        return np.vstack([inner - across[:, None] * last, last])

    def negative() -> int | None:
        inside = pivoted.negative()
        return None if inside is None else inside + (rest < 0)

    return Pivoted(apply, negative)


@dataclass(frozen=True, eq=False)
class Half:
    """Which entries of a symmetric matrix lie on or above its diagonal, and where rows begin.

    Attributes:
        indices, indptr: Those of the whole matrix.
        kept: (z,) which of its entries count.
        starts: (n + 1,) where the rows of those begin.
    """

    indices: Ints
    indptr: Ints
    kept: Flags
    starts: Ints


def splu_solving(matrix: csr_array) -> Callable[[Floats], Floats]:
    """Return what solves for right-hand sides (n, k) of a symmetric matrix; singular ones raise."""
    factor = _splu(matrix)
    return lambda loads: factor.solve(np.asfortranarray(loads))


def splu_pivoted(matrix: csr_array) -> Pivoted:
    """Return the factor of a symmetric matrix that need not be positive definite."""
    factor = _splu(matrix)

    def negative() -> int | None:
        straight = np.array_equal(factor.perm_r, factor.perm_c)
        return int(np.sum(factor.U.diagonal() < 0)) if straight else None

    return Pivoted(lambda loads: factor.solve(np.asfortranarray(loads)), negative)


def _splu(matrix: csr_array) -> SuperLU:
    # symmetric: the rows of one are the columns of the other, no conversion needed
    columns = csc_array((matrix.data, matrix.indices, matrix.indptr), shape=matrix.shape)
    return splu(
        columns,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )


def pardiso_solving(matrix: csr_array) -> Callable[[Floats], Floats]:
    """Return what solves for right-hand sides (n, k) of a positive definite matrix."""
    upper = _upper(matrix, half_of(matrix))
    solver = _pardiso(POSITIVE_DEFINITE)
    solver.set_phase(12)
    solver._call_pardiso(upper, np.zeros((matrix.shape[0], 1)))  # noqa: SLF001
    apply = _applied(solver, upper)
    # the library holds the factor until it is freed, whatever becomes of its wrapper
    finalize(apply, solver.free_memory, everything=True)
    return apply


def pardiso_pivoting() -> Pivoting:
    """Return what orders and analyses the first matrix, and only factorises those after it."""
    solver = _pardiso(INDEFINITE)
    for place, value in PIVOTS.items():
        solver.set_iparm(place, value)
    known: list[Half] = []

    def make(matrix: csr_array) -> Pivoted:
        again = bool(known) and has_entries(known[0].indices, known[0].indptr, matrix)
        if not again:
            known[:] = [half_of(matrix)]
        upper = _upper(matrix, known[0])
        solver.set_phase(22 if again else 12)
        solver._call_pardiso(upper, np.zeros((matrix.shape[0], 1)))  # noqa: SLF001
        negative = int(solver.get_iparm(23))
        return Pivoted(_applied(solver, upper, make), lambda: negative)

    finalize(make, solver.free_memory, everything=True)
    return make


def _upper(matrix: csr_array, part: Half) -> csr_matrix:
    columns = matrix.indices[part.kept]
    return csr_matrix((matrix.data[part.kept], columns, part.starts), shape=matrix.shape)


def _pardiso(kind: int) -> Any:
    from pypardiso import PyPardisoSolver

    solver = PyPardisoSolver(mtype=kind)
    for place, value in SETTINGS.items():
        solver.set_iparm(place, value)
    return solver


def half_of(matrix: csr_array) -> Half:
    """Return which entries of a symmetric matrix (n, n) lie on or above its diagonal."""
    rows = np.repeat(np.arange(matrix.shape[0], dtype=np.int32), row_counts(matrix))
    kept = matrix.indices >= rows
    counts = np.add.reduceat(kept, matrix.indptr[:-1], dtype=np.int32)
    return Half(
        matrix.indices, matrix.indptr, kept, np.append(0, np.cumsum(counts, dtype=np.int32))
    )


def row_counts(matrix: csr_array) -> Ints:
    """Return how many entries each row of a matrix (n, n) has, (n,).

    Raises:
        RuntimeError: A row has none, so the matrix is singular.
    """
    counts: Ints = np.diff(matrix.indptr)
    if not counts.all():
        msg = f"row {int(np.argmin(counts))} has no entry"
        raise RuntimeError(msg)
    return counts


def has_entries(indices: Ints, indptr: Ints, matrix: csr_array) -> bool:
    """Return whether a matrix (n, n) of z entries has them at known places.

    `indices` (z,) and `indptr` (n + 1,) are those; mostly it shares the very arrays.
    """
    pairs = (indices, matrix.indices), (indptr, matrix.indptr)
    return all(mine is theirs or np.array_equal(mine, theirs) for mine, theirs in pairs)


def _applied(
    solver: Any, upper: csr_matrix, keeper: Pivoting | None = None
) -> Callable[[Floats], Floats]:
    """Return what solves with the last factor; the keeper's end would free the library's memory."""

    def apply(loads: Floats, _kept: Pivoting | None = keeper) -> Floats:
        solver.set_phase(33)
        # its public solve compares the whole matrix each time
        return np.asarray(solver._call_pardiso(upper, np.asfortranarray(loads)))  # noqa: SLF001

    return apply


def _mkl_libraries() -> Iterator[str]:
    """Yield where the installed wheel of oneMKL has the library that pypardiso calls."""
    for file in distribution("mkl").files or ():
        if "mkl_rt" in file.name and file.suffix != ".lib":
            yield os.path.realpath(file.locate())


@cache
def pardiso_usable() -> bool:
    """Find out whether pypardiso is installed and its library loads here."""
    if machine().lower() not in ("x86_64", "amd64") or find_spec("pypardiso") is None:
        return False
    with suppress(PackageNotFoundError, StopIteration):
        # else each solver searches the whole environment for the library, a third of a second
        os.environ.setdefault("PYPARDISO_MKL_RT", next(_mkl_libraries()))
    try:
        from pypardiso import PyPardisoSolver

        PyPardisoSolver()
    except (ImportError, OSError):
        return False
    return True
