"""Elastic buckling: the multiple of a load case at which the linear state loses stability.

(K + lambda K_sigma) phi = 0, with K_sigma from the full gradient of the displacement,
integral of grad(v) . sigma . grad(u): a plate-type short cut that keeps the deflection alone
makes a tube's Euler load twice too large. With K factorised already (inverse iteration about
zero load) the lowest |lambda| are the largest |mu| = 1/|lambda| of -K_sigma phi = mu K phi, the
positive ones for the load as it is, the negative ones for its reverse.

Limits: perfect bar, elastic material, small displacements before buckling. Loads keep their
direction (dead loads): a ring under a follower pressure, such as a fluid's, would buckle at three
quarters of this factor. For bars of diameter over wall 13 to 36 the result lies far above yield:
elastic buckling does not govern such a bar, and local wrinkling is assessed with the material's
curve.

Source: weak form of the second variation of the potential energy, textbook (Bathe, Finite
Element Procedures; from memory, unverified).
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from scipy.sparse import csr_array

from fea.solid.assembly import fill_nodes
from fea.solid.kernels import geometric_blocks
from fea.solid.linear_solver import Factor
from fea.solid.model import Model
from fea.solid.recovery import stress_mpa
from fea.stability.eigen import eigen_ends
from geometry.arrays import Flags, Floats

MODES = 2
"""Modes computed for each sign."""

MAX_FACTOR = 1e4
"""Factors above it are not reported: they mean no buckling."""

SAME = 1e-9
"""Rest over displacement below which a case is a multiple of another: that of the solution."""


@dataclass(frozen=True, eq=False)
class Buckling:
    """Elastic buckling of one load case.

    Attributes:
        factors: (a,) multiples of the load at which it buckles, ascending; may be empty.
        modes_mm: (a, N, 3) their shapes, largest displacement 1 mm.
        reversed_factors: (b,) multiples of the reversed load, ascending; may be empty.
        reversed_modes_mm: (b, N, 3) their shapes.
    """

    factors: Floats
    modes_mm: Floats
    reversed_factors: Floats
    reversed_modes_mm: Floats


def buckle(model: Model, factor: Factor, displacement_mm: Floats) -> Buckling:
    """Return the lowest buckling factors of a load case, for the load and for its reverse.

    Args:
        model: The equations.
        factor: From `factorise_model`.
        displacement_mm: (N, 3) linear solution of the load.

    Raises:
        SolveError: The eigenvalues do not converge.
    """
    return buckle_cases(model, factor, [displacement_mm])[0]


def buckle_cases(
    model: Model, factor: Factor, displacements_mm: Sequence[Floats]
) -> tuple[Buckling, ...]:
    """Return the same for several cases, those that are multiples of another from its solution.

    Args:
        model: The equations.
        factor: From `factorise_model`.
        displacements_mm: (N, 3) linear solution of each case.

    Source: proportion; the stress, and so K_sigma, is linear in the load.

    Raises:
        SolveError: The eigenvalues do not converge.
    """
    multiples = _multiples(displacements_mm)
    solved = [i for i, (of, _) in enumerate(multiples) if of == i]
    # each is made when its turn comes
    geometric = map(partial(_geometric, model), [displacements_mm[i] for i in solved])
    found = dict(zip(solved, lowest_factors(geometric, factor, model.free), strict=True))
    return tuple(_multiplied(found[of], share) for of, share in multiples)


def _geometric(model: Model, displacement_mm: Floats) -> csr_array:
    cells = model.mesh.cells
    stress = stress_mpa(model.grads, model.bar.spec.material, displacement_mm[cells])
    return fill_nodes(cells, len(model.mesh.points_mm), geometric_blocks(model.grads, stress))


def _multiples(displacements_mm: Sequence[Floats]) -> list[tuple[int, float]]:
    """Return for each case which one it is a multiple of, and the multiple; of itself by 1.

    That one is the largest, so that no factor of a smaller one lies where none is sought.
    """
    sizes = [float(np.linalg.norm(one)) for one in displacements_mm]
    found: dict[int, tuple[int, float]] = {}
    for i in sorted(range(len(sizes)), key=lambda i: -sizes[i]):
        found[i] = i, 1.0
        for of in [of for of, (own, _) in found.items() if own == of and sizes[i] and of != i]:
            share = float(np.vdot(displacements_mm[of], displacements_mm[i])) / sizes[of] ** 2
            rest = displacements_mm[i] - share * displacements_mm[of]
            if np.linalg.norm(rest) <= SAME * sizes[i]:
                found[i] = of, share
    return [found[i] for i in range(len(sizes))]


def _multiplied(buckling: Buckling, share: float) -> Buckling:
    """Return the buckling of a multiple of a load; of a negative one the reverse is the load."""
    if share == 1.0:
        return buckling
    ends = (
        (buckling.factors, buckling.modes_mm),
        (buckling.reversed_factors, buckling.reversed_modes_mm),
    )
    told = []
    for factors, modes in ends if share > 0 else ends[::-1]:
        kept = factors <= MAX_FACTOR * abs(share)
        told += [factors[kept] / abs(share), modes[kept]]
    return Buckling(*told)


def no_buckling(model: Model) -> Buckling:
    """Return what stands for elastic buckling where it is not assessed: no factor, no mode.

    Source: definition.
    """
    none, no_modes_mm = np.empty(0), np.empty((0, len(model.mesh.points_mm), 3))
    return Buckling(none, no_modes_mm, none, no_modes_mm)


def lowest_factors(
    geometric: Iterable[csr_array],
    factor: Factor,
    free: Flags,
    count: int = MODES,
) -> tuple[Buckling, ...]:
    """Return the lowest buckling factors of a supported body under each of several loads.

    Source: module docstring.

    Args:
        geometric: (N, N) geometric stiffness of each load, the same for each component, N/mm.
        factor: Of the stiffness of the free degrees of freedom.
        free: (3 N,) which those are.
        count: Factors computed for each sign.

    Raises:
        SolveError: The eigenvalues do not converge.
    """
    applies = map(partial(_minus_geometric, free), geometric)
    return tuple(
        Buckling(
            1 / ends.upper,
            _shapes(ends.upper_vectors, free),
            -1 / ends.lower,
            _shapes(ends.lower_vectors, free),
        )
        for ends in eigen_ends(applies, factor, count, 1 / MAX_FACTOR)
    )


def _minus_geometric(free: Flags, geometric: csr_array) -> Callable[[Floats], Floats]:
    """Return the product of -K_sigma with free vectors (n, k)."""

    def apply(vectors: Floats) -> Floats:
        whole = np.zeros((len(free), vectors.shape[1]))
        whole[free] = vectors
        pushed: Floats = (geometric @ whole.reshape(geometric.shape[0], -1)).reshape(whole.shape)
        return -pushed[free]

    return apply


def _shapes(vectors: Floats, free: Flags) -> Floats:
    """Return (k, N, 3): modes from their free components (n, k), largest displacement 1."""
    whole = np.zeros((vectors.shape[1], len(free)))
    whole[:, free] = vectors.T
    shapes = whole.reshape(len(whole), len(free) // 3, 3)
    largest = np.linalg.norm(shapes, axis=2).max(axis=1, initial=0.0)
    result: Floats = shapes / largest[:, None, None]
    return result
