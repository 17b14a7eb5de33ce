"""Factors of symmetric matrices that need not be positive definite, section by section.

A tube is long: from one end, the unknowns that k couplings lead to are coupled to those of k - 1
and k + 1 alone. So the matrix is a chain of dense blocks, each but a few with a Cholesky factor.
What negative eigenvalues there are sit in those few, which are split into their eigenvectors.

Sources: block elimination, textbook; Haynsworth, Linear Algebra Appl. 1 (1968) 73-81, that their
negative eigenvalues add up to those of the matrix; from memory.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.linalg import eigh
from scipy.linalg.blas import dsyrk, dtrsm
from scipy.linalg.lapack import dpotrf
from scipy.sparse import csr_array

from fea.solid.direct_solvers import Pivoted, Pivoting, has_entries
from geometry.arrays import Floats, Ints

SINGULAR = 1e-14
"""Least eigenvalue of a block over its diagonal before the elimination: below is rounding."""


@dataclass(frozen=True, eq=False)
class _Chain:
    """The order of elimination of the matrices with some entries.

    Attributes:
        indices, indptr: Those entries' places.
        order: (n,) unknowns, section by section.
        starts: (sections + 1,) where each section begins.
    """

    indices: Ints
    indptr: Ints
    order: Ints
    starts: Ints


@dataclass(frozen=True, eq=False)
class _Block:
    """A section's dense block H J H', what is left of it after the sections before.

    Attributes:
        lower: H of a positive definite one, lower triangular.
        inverse: The transpose of H^-1 of another: eigenvectors over the roots of the eigenvalues.
        signs: (k, 1) J.
        coupled: (k, next k) H^-1 times the coupling to the next section.
    """

    lower: Floats | None
    inverse: Floats
    signs: Floats
    coupled: Floats


def chain_pivoting() -> Pivoting:
    """Return what orders the first matrix, and only factorises those after it.

    Source: module docstring.

    Raises:
        RuntimeError: From what is returned, for a singular matrix.
    """
    known: list[_Chain] = []

    def make(matrix: csr_array) -> Pivoted:
        if not (known and has_entries(known[0].indices, known[0].indptr, matrix)):
            known[:] = [_chain(matrix)]
        blocks = _factorised(known[0], matrix)
        negative = sum(int(np.sum(block.signs < 0)) for block in blocks)
        return Pivoted(_applied(known[0], blocks), lambda: negative)

    return make


def _chain(matrix: csr_array) -> _Chain:
    section = sections_of(matrix)
    starts = np.append(0, np.cumsum(np.bincount(section)))
    return _Chain(matrix.indices, matrix.indptr, np.argsort(section, kind="stable"), starts)


def sections_of(matrix: csr_array) -> Ints:
    """Return how many couplings each unknown of a matrix (n, n) is from one of its ends, (n,).

    Parts that nothing couples lie side by side.

    Source: breadth-first search, twice to find an end.
    """
    section = np.full(matrix.shape[0], -1)
    while (section < 0).any():
        part = _reached(matrix, np.flatnonzero(section < 0)[:1])
        for _ in range(2):
            part = _reached(matrix, np.flatnonzero(part == part.max()))
        section[part >= 0] = part[part >= 0]
    return section


def _reached(matrix: csr_array, front: Ints) -> Ints:
    """Return how many couplings each unknown is from a front (k,), -1 where there is no way."""
    steps, count = np.full(matrix.shape[0], -1), 0
    while len(front):
        steps[front] = count
        near = np.unique(matrix[front].indices)
        front, count = near[steps[near] < 0], count + 1
    return steps


def _factorised(chain: _Chain, matrix: csr_array) -> list[_Block]:
    sections = [chain.order[begin:end] for begin, end in pairwise(chain.starts)]
    blocks = list[_Block]()
    for section, following in pairwise([*sections, sections[-1][:0]]):
        # a whole matrix in this order would be large
        rows = matrix[section]
        block = rows[:, section].toarray(order="F")
        least = SINGULAR * float(np.abs(block.diagonal()).max())
        if blocks:
            block -= _square(blocks[-1])
        blocks.append(_split(block, rows[:, following].toarray(order="F"), least))
    return blocks


def _square(block: _Block) -> Floats:
    """Return what the elimination of a section takes from the next one's block."""
    if block.lower is None:
        return np.asarray(block.coupled.T @ (block.signs * block.coupled))
    half: Floats = dsyrk(1.0, block.coupled, trans=1, lower=1)
    return half


def _split(block: Floats, after: Floats, least: float) -> _Block:
    """Return a block split, only whose lower half is read, and its coupling to the next section."""
    lower, failed = dpotrf(block, lower=1)
    one = np.ones((len(block), 1))
    if not failed and lower.diagonal().min() ** 2 > least:
        return _Block(lower, np.empty((0, 0)), one, dtrsm(1.0, lower, after, lower=1))
    values, vectors = eigh(block, lower=True)
    if np.abs(values).min() <= least:
        msg = "it is singular"
        raise RuntimeError(msg)
    inverse = vectors / np.sqrt(np.abs(values))
    return _Block(None, inverse, np.sign(values)[:, None], inverse.T @ after)


def _applied(chain: _Chain, blocks: list[_Block]) -> Callable[[Floats], Floats]:
    def apply(loads: Floats) -> Floats:
        ordered = loads[chain.order]
        parts = [ordered[begin:end] for begin, end in pairwise(chain.starts)]
        for i, block in enumerate(blocks):
            before = blocks[i - 1] if i else None
            taken = before.coupled.T @ (before.signs * parts[i - 1]) if before else 0.0
            parts[i] = _onward(block, parts[i] - taken)
        for i, block in reversed(list(enumerate(blocks))):
            taken = block.coupled @ parts[i + 1] if i + 1 < len(blocks) else 0.0
            parts[i] = _back(block, block.signs * (parts[i] - taken))
        answer = np.empty_like(loads, dtype=float)
        answer[chain.order] = np.concatenate(parts)
        return answer

    return apply


def _onward(block: _Block, loads: Floats) -> Floats:
    """Return H^-1 times loads (k, c)."""
    if block.lower is None:
        return np.asarray(block.inverse.T @ loads)
    return np.asarray(dtrsm(1.0, block.lower, loads, lower=1))


def _back(block: _Block, loads: Floats) -> Floats:
    """Return the transpose of H^-1 times loads (k, c)."""
    if block.lower is None:
        return np.asarray(block.inverse @ loads)
    return np.asarray(dtrsm(1.0, block.lower, loads, lower=1, trans_a=1))
