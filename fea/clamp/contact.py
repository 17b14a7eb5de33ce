"""Unilateral contact in the clamp: where contact is lost, and the bar's response to that.

The elastic clamp is a foundation in tension as well as in compression. That is valid as long as
the preload pressure exceeds the foundation's tension: the contact pressure is p0 + k_n u.n, with
p0 of the preload and u.n the outward displacement of the tube's surface. Where it would fall below
zero contact is lost: no normal spring, and the lost preload acts outwards, p0 n.

With the tangential springs unchanged, that is the minimum of a convex energy with a term
max(p0 + k_n u.n, 0)^2/(2 k_n) over the face, so the solution is unique. It is found by Newton steps
on the set of points in contact (an active set), each shortened until the energy falls, which
prevents cycling of the sets. Tangential springs are friction: a point that loses contact loses its
own for good, as it does while the load grows, and the rest is solved again.

Limits: no sliding where contact is closed. The stem is the foundation's own stiffness.

Source: Hintermueller, Ito & Kunisch, SIAM J. Optim. 13 (2003) 865-888, active sets as
semi-smooth Newton; from memory, unverified.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array

from fea.solid.assembly import build_pattern, fill, free_part
from fea.solid.linear_solver import Factor, solve_near
from fea.solid.model import Model
from fea.solid.pressure import pressure_force
from fea.solid.statics import band_modes, nodal_loads
from fea.solid.surface import foundation_blocks
from geometry.arrays import Flags, Floats
from geometry.errors import SolveError
from loadcases.load import PlacedLoad

MAX_ROUNDS = 40
ERROR = 1e-8
"""Relative error in the energy norm of each iteration's solution."""

SHORTEST, ROUND_OFF = 1e-3, 1e-10
"""Smallest part of a step that is tried, and the rise of energy that counts as round-off."""

MIN_CONTACT_SHARE = 0.05
"""Share of the clamped face below which the contact that is left does not support the bar."""


class ContactLossError(SolveError):
    """Contact is lost nearly everywhere: a finding about the bar, not a failure to compute."""


@dataclass(frozen=True, eq=False)
class Contact:
    """The solution of a load case with unilateral contact in the clamp.

    Attributes:
        displacement_mm: (N, 3) of every node.
        pressure_mpa: (n, q) between clamp and tube at the Gauss points of the clamped face.
        closed: (n, q) where they are in contact.
        contact_loss_share: Fraction of the clamped face, by area, without contact.
        rounds: Active sets, one an iteration.
    """

    displacement_mm: Floats
    pressure_mpa: Floats
    closed: Flags
    contact_loss_share: float
    rounds: int


def foundation_pressure_mpa(model: Model, displacement_mm: Floats) -> Floats:
    """Return (n, q): pressure of the clamp's foundation on the tube, MPa, negative in tension.

    `displacement_mm` (N, 3) is of all nodes; q points on each of n faces. Source: module docstring.
    """
    face = model.clamped
    displacement = np.einsum("qk,nki->nqi", face.values, displacement_mm[face.faces])
    outward: Floats = np.einsum("nqi,nqi->nq", displacement, face.normals)
    return model.clamp.normal_n_per_mm3 * outward


def contact_loss_share(model: Model, closed: Flags) -> float:
    """Return the fraction of the clamped face, by area, whose Gauss points are without contact.

    `closed` (n, q) is of q points on each of n faces. Source: definition, by quadrature.
    """
    areas = model.clamped.areas_mm2
    return float(areas[~closed].sum() / areas.sum())


def solve_contact(
    model: Model,
    factor: Factor,
    loads: Sequence[PlacedLoad],
    preload_mpa: Floats,
    closed: Flags | None = None,
) -> Contact:
    """Return the solution of a load case with unilateral contact in the clamp.

    Args:
        model: The equations, with an elastic clamp.
        factor: From `factorise_model`.
        loads: Of the case.
        preload_mpa: (n, q) preload pressure at the clamped face's Gauss points.
        closed: (n, q) points in contact to begin with; all if it is None.

    Raises:
        ContactLossError: Less than `MIN_CONTACT_SHARE` of the clamped face would stay in contact.
        SolveError: The active set does not converge.
    """
    modes = {load: band_modes(model, load) for load in loads}
    force = nodal_loads(model, loads, modes)
    everywhere = np.ones(preload_mpa.shape, dtype=bool)
    sticking, closed = everywhere, everywhere if closed is None else closed
    problem = _Problem(model, factor, force, preload_mpa)
    displacement = factor.apply(force.reshape(-1, 1))
    rounds = 0
    while True:
        displacement, closed, more = _newton_on_contact(problem, sticking, closed, displacement)
        rounds += more
        if not np.any(sticking & ~closed):
            break
        sticking = sticking & closed
    pressure = _pressure_mpa(problem, displacement)
    share = contact_loss_share(model, closed)
    return Contact(
        displacement.reshape(-1, 3), np.where(closed, pressure, 0.0), closed, share, rounds
    )


@dataclass(frozen=True, eq=False)
class _Problem:
    """A load case in a clamp: equations, nodal forces (N, 3), preload at the Gauss points."""

    model: Model
    factor: Factor
    force: Floats
    preload_mpa: Floats


def _newton_on_contact(
    problem: _Problem, sticking: Flags, closed: Flags, displacement: Floats
) -> tuple[Floats, Flags, int]:
    """Return displacement (n, 1), closed points and iterations, with friction where it sticks."""
    along = problem.model.stiffness + _springs(problem.model, sticking, normal=False)
    energy = _energy(problem, along, displacement)
    for rounds in range(1, MAX_ROUNDS + 1):
        _check_contact(problem.model, closed)
        matrix = free_part(along + _springs(problem.model, closed, normal=True), problem.model.free)
        given = problem.force + _released(problem, closed)
        aim, _ = solve_near(problem.factor, matrix, given.reshape(-1, 1), ERROR, displacement)
        displacement, energy, whole = _shortened(problem, along, (displacement, aim), energy)
        now = _pressure_mpa(problem, displacement) > 0
        if whole and np.array_equal(now, closed):
            return displacement, closed, rounds
        closed = now
    msg = f"the contact in the clamp does not converge in {MAX_ROUNDS} iterations"
    raise SolveError(msg)


def _shortened(
    problem: _Problem, along: csr_array, ends: tuple[Floats, Floats], energy: float
) -> tuple[Floats, float, bool]:
    """Return the displacement of a step that lowers the energy, its energy, and if it is whole."""
    start, aim = ends
    share = 1.0
    while share > SHORTEST:
        displacement = start + share * (aim - start)
        found = _energy(problem, along, displacement)
        if found <= energy + ROUND_OFF * abs(energy):
            return displacement, found, share == 1.0
        share /= 2
    return aim, _energy(problem, along, aim), True


def _energy(problem: _Problem, along: csr_array, displacement: Floats) -> float:
    """Return the energy in N mm whose minimum is the solution."""
    clamp, flat = problem.model.clamp, displacement[:, 0]
    loads = problem.force + _released(problem, np.zeros(problem.preload_mpa.shape, dtype=bool))
    touching = np.maximum(_pressure_mpa(problem, displacement), 0.0) ** 2 / (
        2 * clamp.normal_n_per_mm3
    )
    springs = float((problem.model.clamped.areas_mm2 * touching).sum())
    return float(flat @ (along @ flat)) / 2 + springs - float(loads.ravel() @ flat)


def _pressure_mpa(problem: _Problem, displacement: Floats) -> Floats:
    """Return (n, q): p0 + k_n u.n, negative where there is a gap."""
    return problem.preload_mpa + foundation_pressure_mpa(problem.model, displacement.reshape(-1, 3))


def _released(problem: _Problem, closed: Flags) -> Floats:
    """Return the nodal forces (N, 3) of the preload lost at points out of contact."""
    lost = -problem.preload_mpa * ~closed
    return pressure_force(problem.model.clamped, lost, len(problem.force))


def _check_contact(model: Model, closed: Flags) -> None:
    held = 1 - contact_loss_share(model, closed)
    if held < MIN_CONTACT_SHARE:
        msg = (
            f"loss of contact in the clamp: {100 * held:.0f} % of its face would stay in contact, "
            f"at least {100 * MIN_CONTACT_SHARE:.0f} % are needed; raise the bolt preload or lower "
            "the load"
        )
        raise ContactLossError(msg)


def _springs(model: Model, where: Flags, *, normal: bool) -> csr_array:
    """Return the foundation's normal or tangential springs at some Gauss points."""
    clamp, face = model.clamp, model.clamped
    here = replace(face, areas_mm2=face.areas_mm2 * where)
    stiffness = (clamp.normal_n_per_mm3, 0.0) if normal else (0.0, clamp.tangential_n_per_mm3)
    blocks = foundation_blocks(here, *stiffness)
    return fill(build_pattern(face.faces, len(model.mesh.points_mm)), blocks)
