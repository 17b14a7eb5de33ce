"""The largest and smallest eigenvalues of A x = mu K x where K is factorised already.

Block Lanczos in the inner product of K with full reorthogonalisation. A block finds a multiple
eigenvalue whole (a round tube has pairs of modes, a cylinder clusters of them), and solving for
a block costs the direct solvers far less than solving one by one; neither holds for the
single-vector iteration that scipy offers, which is otherwise the same method.

Source: Grimes, Lewis & Simon, SIAM J. Matrix Anal. Appl. 15 (1994) 228-272, shifted block
Lanczos; from memory, unverified. Tested against scipy's dense solver.
"""

from collections.abc import Callable, Generator, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import islice

import numpy as np

from fea.solid.linear_solver import Factor
from geometry.arrays import Flags, Floats
from geometry.errors import SolveError

BLOCK = 4
"""Vectors a step: an eigenvalue of higher multiplicity than this may come incomplete."""

TOGETHER = {"cholmod": 1, "pardiso": 4, "splu": 4}
"""Searches in step, whose solutions are one: wide ones cost less a vector, but for CHOLMOD's. More
would need more memory, a basis each."""

MAX_RESIDUAL = 2e-2
"""|K^-1 A x - mu x| over |mu|, in the norm of K, before the last block is taken in: the error of
mu is of the order of its square, over the gap to what is left out, and never above it: four digits
of the first factors of the examples, of which three are printed."""

MAX_STEPS = 120

FEWEST = 4
"""Vectors for each requested eigenvalue of an end, before convergence is tested."""

SPREAD = 0.01
"""Magnitude next to the largest below which an eigenvalue is of no interest."""

NEAR_LEAST = 0.2
"""A residual below this share of the least magnitude of interest settles that none is there."""

DEPENDENT = 1e-10
"""A direction that loses this share of its length to the others is round-off."""


Apply = Callable[[Floats], Floats]
"""The product of A with vectors (n, k)."""


@dataclass(frozen=True, eq=False)
class Ends:
    """Eigenpairs at both ends of the spectrum, those of largest magnitude first.

    Attributes:
        upper: (a,) positive eigenvalues, descending.
        upper_vectors: (n, a) of unit norm in K.
        lower: (b,) negative eigenvalues, ascending.
        lower_vectors: (n, b) likewise.
    """

    upper: Floats
    upper_vectors: Floats
    lower: Floats
    lower_vectors: Floats


@dataclass(frozen=True, eq=False)
class _Space:
    """Storage of the basis, filled from the left: V, K V and the projection T = V' A V.

    K V of all blocks: once values have converged, what follows has more than round-off in early
    ones too. With that of the last two alone a pressed cylinder buckled at a hundredth of its load.
    """

    vectors: Floats
    pushed: Floats
    projected: Floats


Search = Generator[Floats, Floats, Ends]
"""Yields right-hand sides, is sent their solutions, returns what it has found."""


def eigen_ends(
    applies: Iterable[Apply], factor: Factor, count: int, least: float
) -> tuple[Ends, ...]:
    """Return up to `count` eigenpairs at each end for each of several A, of magnitude `least` up.

    Source: module docstring.

    Those below a hundredth of the largest magnitude are left out too: where one end of the spectrum
    is crowded about zero they would take long and mean nothing.

    Args:
        applies: For each A its product with vectors (n, k), A symmetric and of either sign. Each is
            taken when its turn comes, and held no longer.
        factor: Of K, symmetric positive definite.
        count: Eigenvalues requested at each end.
        least: Magnitude below which an eigenvalue is of no interest.

    Raises:
        SolveError: `MAX_STEPS` steps do not suffice.
    """
    rows = factor.matrix.shape[0]
    # the same start every time: a result must not change from run to run; once through K^-1,
    # or rough parts that no requested vector has take up the first steps
    rough = np.random.default_rng(1).standard_normal((rows, min(BLOCK, rows)))
    first = _unit(factor.apply(rough), rough)[:2]
    found: list[Ends] = []
    # not by a comprehension, which would hold the last A while the next one is made
    each = map(partial(_search, first=first, count=count, least=least), applies)
    while searches := list(islice(each, TOGETHER[factor.solver])):
        found += _in_step(searches, factor)
        searches.clear()  # before the next A is made
    return tuple(found)


def _in_step(searches: Sequence[Search], factor: Factor) -> list[Ends]:
    """Return what searches find, all their solutions of a step in one."""
    found: dict[int, Ends] = {}
    asked = {i: next(search) for i, search in enumerate(searches)}
    while asked:
        solved = factor.apply(np.concatenate(list(asked.values()), axis=1))
        bounds = np.cumsum([sides.shape[1] for sides in asked.values()])
        for i, part in zip(tuple(asked), np.split(solved, bounds[:-1], axis=1), strict=True):
            try:
                asked[i] = searches[i].send(part)
            except StopIteration as end:
                found[i] = end.value
                del asked[i]
    return [found[i] for i in sorted(found)]


def _search(apply: Apply, first: tuple[Floats, Floats], count: int, least: float) -> Search:
    """Yield right-hand sides (n, k), to be sent the solutions, until the ends are found."""
    block, pushed = first
    space, filled = _empty_space(len(block)), 0
    for _ in range(MAX_STEPS):
        # nothing of the step before is held while another search takes its own
        sides = apply(block)
        following = yield sides
        # K (K^-1 A v) is A v: no product with K is needed
        block, pushed, coupling = _step(space, filled, (block, pushed), (following, sides))
        del sides, following
        filled += coupling.shape[1]
        values, small = np.linalg.eigh(space.projected[:filled, :filled])
        floor = max(least, SPREAD * float(np.abs(values).max()))
        left = np.linalg.norm(coupling @ small[-coupling.shape[1] :], axis=0)
        size = np.abs(values)
        close = left <= np.where(size >= floor, MAX_RESIDUAL * size, NEAR_LEAST * floor)
        done = filled >= FEWEST * count and np.all(close[_outermost(filled, count)])
        # a block that has run empty has spanned the whole space
        if done or not block.shape[1]:
            values, small = _with_next(space.projected[:filled, :filled], coupling, block, apply)
            basis = space.vectors[:, :filled], block
            return _ends(basis, values, small, count, floor)
    msg = f"the eigenvalues have not converged in {MAX_STEPS} steps of {BLOCK} vectors"
    raise SolveError(msg)


def _with_next(
    projected: Floats, coupling: Floats, block: Floats, apply: Apply
) -> tuple[Floats, Floats]:
    """Return the eigenpairs of a space and its next block, which needs no solution any more."""
    filled, more = len(projected), block.shape[1]
    whole = np.zeros((filled + more, filled + more))
    whole[:filled, :filled] = projected
    own = block.T @ apply(block)
    whole[filled:, filled:] = (own + own.T) / 2
    last = slice(filled - coupling.shape[1], filled)
    whole[filled:, last], whole[last, filled:] = coupling, coupling.T
    values, small = np.linalg.eigh(whole)
    return values, small


def _empty_space(rows: int) -> _Space:
    """Return empty storage; by columns, so that only filled ones take memory."""
    most = BLOCK * MAX_STEPS
    vectors, pushed = (np.empty((rows, most), order="F") for _ in range(2))
    return _Space(vectors, pushed, np.zeros((most, most)))


def _step(
    space: _Space, filled: int, taken: tuple[Floats, Floats], given: tuple[Floats, Floats]
) -> tuple[Floats, Floats, Floats]:
    """Take a block and K times it into the space; return the next ones and their coupling.

    `given` are the solution that follows from the block, and K times that.
    """
    block, pushed = taken
    end = filled + block.shape[1]
    space.vectors[:, filled:end], space.pushed[:, filled:end] = block, pushed
    following, next_pushed = given
    size = np.sqrt(np.abs(np.einsum("nk,nk->k", following, next_pushed)))
    shares = np.zeros((end, block.shape[1]))
    for _ in range(2):
        # twice is enough against round-off
        part = space.pushed[:, :end].T @ following
        following = following - space.vectors[:, :end] @ part
        next_pushed = next_pushed - space.pushed[:, :end] @ part
        shares += part
    shares[filled:] = (shares[filled:] + shares[filled:].T) / 2
    space.projected[:end, filled:end], space.projected[filled:end, :end] = shares, shares.T
    return _unit(following, next_pushed, size)


def _unit(
    block: Floats, pushed: Floats, size: Floats | None = None
) -> tuple[Floats, Floats, Floats]:
    """Return a block made orthonormal in K, K times it, and the (r, k) that makes the old one.

    Directions of round-off size, next to `size` (k,) of what they came from, are left out.
    """
    gram = block.T @ pushed
    values, turned = np.linalg.eigh((gram + gram.T) / 2)
    largest = values.max(initial=0.0) if size is None else float(np.max(size, initial=0.0)) ** 2
    kept = values > DEPENDENT**2 * largest
    lengths = np.sqrt(values[kept])
    turned = turned[:, kept]
    return block @ turned / lengths, pushed @ turned / lengths, (turned * lengths).T


def _outermost(size: int, count: int) -> Flags:
    """Return (size,): the first and the last `count` of values in order."""
    rank = np.arange(size)
    result: Flags = (rank < count) | (rank >= size - count)
    return result


def _ends(
    basis: tuple[Floats, Floats], values: Floats, small: Floats, count: int, least: float
) -> Ends:
    """Return the pairs of interest; the basis in two parts, small enough to have no copy made."""
    upper = np.flatnonzero(values >= least)[::-1][:count]
    lower = np.flatnonzero(values <= -least)[:count]
    filled = basis[0].shape[1]
    chosen = small[:, np.concatenate([upper, lower])]
    vectors = basis[0] @ chosen[:filled] + basis[1] @ chosen[filled:]
    return Ends(values[upper], vectors[:, : len(upper)], values[lower], vectors[:, len(upper) :])
