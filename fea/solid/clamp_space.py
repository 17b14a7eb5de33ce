"""Other clamps for a bar whose equations are factorised with its own clamp.

A clamp with other springs changes the stiffness A by D at the nodes of the clamped face alone, so
that a solution of (A - D) x = f + g, g at those nodes too, differs from A^-1 f by what forces at
those nodes cause. Such displacements are collected in one space, orthonormal in A, of all cases,
stiffnesses and sets of points in contact: each solution is first the best one in the space (by its
energy), and the space grows by the residuals that are left, all of them in one wide solution. From
an empty space that is the conjugate gradient method with A as preconditioner; from one that
another clamp has filled it needs few steps more, or none.

Source: Galerkin's method in a Krylov space, textbook; Saad, Iterative Methods for Sparse Linear
Systems (2003), ch. 6 and 9; from memory, unverified.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from fea.solid.linear_solver import Factor
from fea.solid.model import Model
from geometry.arrays import Floats, Ints
from geometry.errors import SolveError

MAX_STEPS = 100

ALIKE = 1e-2
"""Part of the largest residual below which another direction waits for the next step."""

DEPENDENT = 1e-10
"""A direction that loses this share of its length to the space is round-off."""


@dataclass(frozen=True, eq=False)
class ClampSpace:
    """Displacements caused by forces at the nodes of the clamped face, m of them so far.

    Attributes:
        held: (c,) degrees of freedom of those nodes.
        forces_n: (c, m) forces at those nodes.
        there_mm: (c, m) displacements there.
        moved_mm: Blocks (n, k) of the displacements of all degrees of freedom, m columns together.
    """

    held: Ints
    forces_n: Floats
    there_mm: Floats
    moved_mm: tuple[Floats, ...]


@dataclass(frozen=True, eq=False)
class OtherClamp:
    """Load cases k with another clamp.

    Attributes:
        change: (c, c) the factorised clamp's stiffness less that of the other, N/mm.
        forces_n: (c, k) forces at the clamp's nodes, beside the loads, for which the displacement
            with the factorised clamp is in equilibrium: g + D A^-1 f.
        work_nmm: (k,) work by which a relative error is measured, load times displacement.
    """

    change: csr_array
    forces_n: Floats
    work_nmm: Floats


def empty_space(model: Model) -> ClampSpace:
    """Return the space of an elastic clamp before anything is solved."""
    nodes = np.unique(model.clamped.faces)
    held = (3 * nodes[:, None] + np.arange(3)).ravel()
    nothing = np.zeros((len(held), 0))
    return ClampSpace(held, nothing, nothing, ())


def solve_other_clamps(
    space: ClampSpace, factor: Factor, others: Sequence[OtherClamp], most_error: float
) -> tuple[ClampSpace, list[Floats], float]:
    """Return the grown space, the shares (m, k), no unit, of its columns for each, and the error.

    The error is relative, in the energy norm, the worst of all cases of all clamps, as it was
    before the last step. The displacement of a case is A^-1 f and `combined` of its shares.

    Source: module docstring.

    Raises:
        SolveError: `MAX_STEPS` steps do not suffice.
    """
    shares = [_shares(space, one) for one in others]
    for _ in range(MAX_STEPS):
        rest = np.hstack(
            [
                _rest(space, one, of) / np.sqrt(np.abs(one.work_nmm))
                for one, of in zip(others, shares, strict=True)
            ]
        )
        if not rest.any():
            return space, shares, 0.0
        apart = _spanning(rest)
        space, compliance = _grown(space, factor, apart)
        shares, parts = [_shares(space, one) for one in others], apart.T @ rest
        error = float(np.sqrt(np.abs(np.einsum("ik,ij,jk->k", parts, compliance, parts)).max()))
        if error <= most_error:
            return space, shares, error
    msg = f"the other clamps leave an error of {error:.1e} after {MAX_STEPS} steps"
    raise SolveError(msg)


def combined(space: ClampSpace, shares: Floats) -> Floats:
    """Return the displacements (n, k) in mm of `shares` (m, k) of a space's columns.

    Source: definition.
    """
    ends = np.cumsum([block.shape[1] for block in space.moved_mm])
    parts = np.split(shares, ends[:-1])
    pairs = zip(space.moved_mm, parts, strict=True)
    return np.asarray(sum(block @ part for block, part in pairs))


def _shares(space: ClampSpace, other: OtherClamp) -> Floats:
    """Return (m, k): the best solution in the space, in the energy norm."""
    there = space.there_mm
    small = np.eye(there.shape[1]) - there.T @ (other.change @ there)
    result: Floats = np.linalg.solve(small, there.T @ other.forces_n)
    return result


def _rest(space: ClampSpace, other: OtherClamp, shares: Floats) -> Floats:
    """Return (c, k): the forces that are not in balance."""
    change: Floats = other.change @ (space.there_mm @ shares)
    return other.forces_n + change - space.forces_n @ shares


def _spanning(forces_n: Floats) -> Floats:
    """Return (c, r): orthonormal directions that span forces (c, k), but for small parts."""
    directions, sizes, _ = np.linalg.svd(forces_n, full_matrices=False)
    return np.asarray(directions[:, sizes > ALIKE * sizes[0]])


def _grown(space: ClampSpace, factor: Factor, forces_n: Floats) -> tuple[ClampSpace, Floats]:
    """Return a space with what forces (c, r) cause taken in, and (r, r) their compliance."""
    loads = np.zeros((factor.matrix.shape[0], forces_n.shape[1]))
    loads[space.held] = forces_n
    moved = factor.apply(loads)
    compliance = forces_n.T @ moved[space.held]
    size = float(np.diagonal(compliance).max(initial=0.0))
    for _ in range(2):
        # twice is enough against round-off
        part = space.there_mm.T @ forces_n
        forces_n = forces_n - space.forces_n @ part
        if space.moved_mm:
            moved = moved - combined(space, part)
    gram = forces_n.T @ moved[space.held]
    values, turned = np.linalg.eigh((gram + gram.T) / 2)
    kept = values > DEPENDENT**2 * size
    turn = turned[:, kept] / np.sqrt(values[kept])
    moved = moved @ turn
    grown = ClampSpace(
        space.held,
        np.hstack([space.forces_n, forces_n @ turn]),
        np.hstack([space.there_mm, moved[space.held]]),
        (*space.moved_mm, moved),
    )
    return grown, compliance
