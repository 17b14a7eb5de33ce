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

from fea.solid.direct_solvers import Half, Pivoted, Pivoting, half_of, has_entries
from geometry.arrays import Floats


@dataclass(frozen=True, eq=False)
class _Analysed:
    """The places of a matrix's entries, in the order in which CHOLMOD eliminates.

    Attributes:
        half: Which entries count.
        lower: CHOLMOD's own matrix, whose values change.
        factor: Its factor, whose values change with them.
    """

    half: Half
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
    return _applied(analysed)


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
        if not (known and has_entries(known[0].half, matrix)):
            known[:] = [_analysed(matrix)]
        if _factorised(known[0], matrix):
            return Pivoted(_applied(known[0]), lambda: 0)
        refused.append(True)
        # two factors at once would be the largest things there are
        known.clear()
        return otherwise(matrix)

    return make


def _analysed(matrix: csr_array) -> _Analysed:
    from cvxopt import cholmod, spmatrix
    from cvxopt import matrix as dense

    half, rows = half_of(matrix), np.arange(matrix.shape[0])
    # a row's entries on and above the diagonal are a column's on and below it
    places = matrix.indices[half.kept].astype(np.int64), np.repeat(rows, np.diff(half.starts))
    lower = spmatrix(dense(matrix.data[half.kept]), *map(dense, places), matrix.shape)
    # its other factors, L D L', take no blocks and are far slower
    cholmod.options["supernodal"] = 2
    return _Analysed(half, lower, cholmod.symbolic(lower))


def _factorised(analysed: _Analysed, matrix: csr_array) -> bool:
    """Factorise a matrix, and return whether it is positive definite."""
    from cvxopt import cholmod
    from cvxopt import matrix as dense

    analysed.lower.V = dense(matrix.data[analysed.half.kept])
    try:
        cholmod.numeric(analysed.lower, analysed.factor)
    except ArithmeticError:
        return False
    return True


def _applied(analysed: _Analysed) -> Callable[[Floats], Floats]:
    from cvxopt import cholmod, sparse
    from cvxopt import matrix as dense

    def apply(loads: Floats) -> Floats:
        # sparse right-hand sides, however full, are solved four at a time, dense ones one by one
        columns = sparse(dense(np.asfortranarray(loads)))
        return np.asarray(dense(cholmod.spsolve(analysed.factor, columns)))

    return apply


@cache
def cholmod_usable() -> bool:
    """Find out whether cvxopt is installed and its library loads here."""
    try:
        from cvxopt import cholmod  # noqa: F401
    except ImportError:
        return False
    return True
