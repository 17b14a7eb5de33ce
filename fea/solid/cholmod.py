"""The one door to CHOLMOD (through cvxopt): Cholesky factors of sparse symmetric matrices.

A Cholesky factor exists only of a positive definite matrix: CHOLMOD stops at the first pivot that
is not positive. A tangent past a limit load is such a matrix, and goes to another solver, which
counts its negative pivots.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from scipy.sparse import csr_array

from fea.solid.direct_solvers import Pivoted, Pivoting, has_entries, row_counts
from geometry.arrays import Flags, Floats, Ints

AT_A_TIME = 4
"""Right-hand sides that the library solves together where they are sparse, however full; dense ones
it solves one by one. More at once only take more memory."""


@dataclass(frozen=True, eq=False)
class _Analysed:
    """The places of a matrix's entries, in the order in which CHOLMOD eliminates.

    Attributes:
        indices, indptr: Those of the whole matrix.
        kept: (z,) which of its entries CHOLMOD's own matrix has.
        lower: That matrix, whose values change.
        factor: Its factor, whose values change with them.
    """

    indices: Ints
    indptr: Ints
    kept: Flags
    lower: Any
    factor: Any


def cholmod_solving(matrix: csr_array) -> Callable[[Floats], Floats]:
    """Return what solves for right-hand sides (n, k) of a positive definite matrix (n, n).

    Raises:
        RuntimeError: It is not positive definite.
    """
    analysed = _analysed(matrix)
    if not _factorised(analysed, matrix):
        msg = "it is not positive definite"
        raise RuntimeError(msg)
    # the matrix itself goes: no other one will be factorised
    return _applied(analysed.factor)


def cholmod_pivoting(otherwise: Pivoting) -> Pivoting:
    """Return what analyses the first matrix, and only factorises those after it.

    Args:
        otherwise: Factorises what is not positive definite. After such a matrix it comes first,
            for the next one is seldom another kind.
    """
    known: list[_Analysed] = []
    refused: list[bool] = []

    def make(matrix: csr_array) -> Pivoted:
        if refused:
            pivoted = otherwise(matrix)
            if pivoted.negative() == 0:
                refused.clear()
            return pivoted
        if not (known and has_entries(known[0].indices, known[0].indptr, matrix)):
            # the old one goes before the new one comes: factors are the largest things there are
            known.clear()
            known.append(_analysed(matrix))
        if _factorised(known[0], matrix):
            return Pivoted(_applied(known[0].factor), lambda: 0)
        refused.append(True)
        known.clear()
        return otherwise(matrix)

    return make


def _analysed(matrix: csr_array) -> _Analysed:
    from cvxopt import cholmod

    kept, lower = _lower(matrix)
    # its other factors, L D L', take no blocks and are far slower
    cholmod.options["supernodal"] = 2
    return _Analysed(matrix.indices, matrix.indptr, kept, lower, cholmod.symbolic(lower))


def _lower(matrix: csr_array) -> tuple[Flags, Any]:
    """Return which entries count, (z,), and CHOLMOD's own matrix of their places.

    A row's entries on and above the diagonal are a column's on and below it. cvxopt sorts what it
    is given, but copies a column in no time: so it is given one column of those that are alike, as
    the six of two nodes above each other are. What is left above the diagonal it overlooks.
    """
    from cvxopt import matrix as dense
    from cvxopt import spmatrix

    run = runs_of(matrix)
    first = np.flatnonzero(np.diff(run, prepend=-1)).astype(np.int32)
    counts = np.diff(matrix.indptr)
    kept = matrix.indices >= np.repeat(first[run], counts)
    once = kept & np.repeat(np.diff(run, prepend=-1) > 0, counts)
    columns = np.repeat(run, counts)[once]
    places = (dense(part.astype(np.int64)) for part in (matrix.indices[once], columns))
    alike = spmatrix(0.0, *places, (len(run), len(first)))
    return kept, alike[:, dense(run.astype(np.int64))]


def runs_of(matrix: csr_array) -> Ints:
    """Return for each row of a matrix (n, n) the number of its run (n,).

    Rows of a run stand side by side and have entries in the same columns.

    Raises:
        RuntimeError: A row is empty.
    """
    counts = row_counts(matrix)
    before = np.arange(matrix.nnz, dtype=np.int32) - np.repeat(counts, counts)
    differ = matrix.indices != matrix.indices[before]
    begins = np.logical_or.reduceat(differ, matrix.indptr[:-1])
    begins[0] = False
    begins[1:] |= counts[1:] != counts[:-1]
    return np.cumsum(begins, dtype=np.int32)


def _factorised(analysed: _Analysed, matrix: csr_array) -> bool:
    """Factorise a matrix, and return whether it is positive definite."""
    from cvxopt import cholmod
    from cvxopt import matrix as dense

    analysed.lower.V = dense(matrix.data[analysed.kept])
    try:
        cholmod.numeric(analysed.lower, analysed.factor)
    except ArithmeticError:
        return False
    return True


def _applied(factor: Any) -> Callable[[Floats], Floats]:
    from cvxopt import cholmod, sparse
    from cvxopt import matrix as dense

    def solved(loads: Floats) -> Floats:
        columns = sparse(dense(np.asfortranarray(loads)))
        return np.asarray(dense(cholmod.spsolve(factor, columns)))

    def apply(loads: Floats) -> Floats:
        result = np.empty(loads.shape)
        for first in range(0, loads.shape[1], AT_A_TIME):
            part = slice(first, first + AT_A_TIME)
            result[:, part] = solved(loads[:, part])
        return result

    return apply


@cache
def cholmod_usable() -> bool:
    """Find out whether cvxopt is installed and its library loads here."""
    try:
        from cvxopt import cholmod  # noqa: F401
    except ImportError:
        return False
    return True
