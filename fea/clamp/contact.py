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

from fea.solid.assembly import Pattern, build_pattern, fill
from fea.solid.clamp_space import (
    ClampSpace,
    OtherClamp,
    combined,
    empty_space,
    solve_other_clamps,
)
from fea.solid.linear_solver import Factor
from fea.solid.model import Model
from fea.solid.pressure import pressure_force
from fea.solid.statics import band_modes, nodal_loads
from fea.solid.surface import Face, foundation_blocks
from geometry.arrays import Flags, Floats
from geometry.errors import SolveError
from loadcases.load import PlacedLoad

MAX_ROUNDS = 40
FIRST_ERROR, ERROR = 1e-2, 1e-5
"""Relative error in the energy norm of an iteration's solution: until the set of points has settled
for the first time, and then. They are those before the last step, which leaves far smaller ones:
displacements are right to 1e-8."""

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
    return model.clamp.normal_n_per_mm3 * outward_mm(model.clamped, displacement_mm)


def outward_mm(face: Face, displacement_mm: Floats) -> Floats:
    """Return (n, q): outward displacement in mm at q points on each of n faces.

    `displacement_mm` (N, 3) is of the nodes by which the faces are numbered. Source: definition.
    """
    displacement = np.einsum("qk,nki->nqi", face.values, displacement_mm[face.faces])
    outward: Floats = np.einsum("nqi,nqi->nq", displacement, face.normals)
    return outward


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
    linear_mm: Floats | None = None,
) -> Contact:
    """Return the solution of a load case with unilateral contact in the clamp.

    Args:
        model: The equations, with an elastic clamp.
        factor: From `factorise_model`.
        loads: Of the case.
        preload_mpa: (n, q) preload pressure at the clamped face's Gauss points.
        closed: (n, q) points in contact to begin with; all if it is None.
        linear_mm: (N, 3) linear solution of the case; solved for if it is None.

    Raises:
        ContactLossError: Less than `MIN_CONTACT_SHARE` of the clamped face would stay in contact.
        SolveError: The active set does not converge.
    """
    problem = _problem(model, factor, loads, preload_mpa, linear_mm)
    everywhere = np.ones(preload_mpa.shape, dtype=bool)
    closed = everywhere if closed is None else closed
    found = _State(empty_space(model), np.zeros(0), everywhere, closed, 0)
    while True:
        found = _newton_on_contact(problem, found)
        if not np.any(found.sticking & ~found.closed):
            break
        found = replace(found, sticking=found.sticking & found.closed)
    pressure = _pressure_mpa(problem, found)
    share = contact_loss_share(model, found.closed)
    moved = problem.linear_mm + combined(found.space, found.shares[:, None])[:, 0]
    pressure = np.where(found.closed, pressure, 0.0)
    return Contact(moved.reshape(-1, 3), pressure, found.closed, share, found.rounds)


@dataclass(frozen=True, eq=False)
class _Problem:
    """A load case in a clamp, all but its linear solution at the nodes of the clamped face alone.

    Attributes:
        model: The equations.
        factor: From `factorise_model`.
        preload_mpa: (n, q) preload at the Gauss points.
        face: The clamped face, its nodes numbered by themselves.
        pattern: Of its springs.
        whole: (c, c) all springs of the factorised clamp.
        linear_mm: (3 N,) linear solution.
        there_mm: (c,) of those nodes.
        work_nmm: Work of the loads on it.
    """

    model: Model
    factor: Factor
    preload_mpa: Floats
    face: Face
    pattern: Pattern
    whole: csr_array
    linear_mm: Floats
    there_mm: Floats
    work_nmm: float


@dataclass(frozen=True, eq=False)
class _State:
    """How far the contact is known: shares (m,) of the space, points (n, q), iterations."""

    space: ClampSpace
    shares: Floats
    sticking: Flags
    closed: Flags
    rounds: int


def _problem(
    model: Model,
    factor: Factor,
    loads: Sequence[PlacedLoad],
    preload_mpa: Floats,
    linear_mm: Floats | None,
) -> _Problem:
    modes = {load: band_modes(model, load) for load in loads}
    force = nodal_loads(model, loads, modes).reshape(-1, 1)
    linear = factor.apply(force)[:, 0] if linear_mm is None else linear_mm.ravel()
    nodes, own = np.unique(model.clamped.faces, return_inverse=True)
    face = replace(model.clamped, faces=own.reshape(model.clamped.faces.shape))
    pattern = build_pattern(face.faces, len(nodes))
    clamp = model.clamp
    blocks = foundation_blocks(face, clamp.normal_n_per_mm3, clamp.tangential_n_per_mm3)
    whole = fill(pattern, blocks)
    there = linear.reshape(-1, 3)[nodes].ravel()
    work = float(force[:, 0] @ linear)
    return _Problem(model, factor, preload_mpa, face, pattern, whole, linear, there, work)


def _newton_on_contact(problem: _Problem, state: _State) -> _State:
    """Return displacement and closed points with friction where it sticks."""
    along = _springs(problem, state.sticking, normal=False)
    energy, error, counted = _energy(problem, along, state), FIRST_ERROR, 1
    for _ in range(MAX_ROUNDS):
        _check_contact(problem.model, state.closed)
        change = problem.whole - along - _springs(problem, state.closed, normal=True)
        forces = _released(problem, state.closed) + change @ problem.there_mm
        other = OtherClamp(change, forces[:, None], np.array([problem.work_nmm]))
        space, (aim,), reached = solve_other_clamps(state.space, problem.factor, [other], error)
        start = np.append(state.shares, np.zeros(len(aim) - len(state.shares)))
        state = replace(state, space=space, shares=start, rounds=state.rounds + counted)
        state, energy, whole = _shortened(problem, along, (state, aim[:, 0]), energy)
        now = _pressure_mpa(problem, state) > 0
        if whole and np.array_equal(now, state.closed):
            if reached <= ERROR:
                return state
            # the same set once more
            error, counted = ERROR, 0
        else:
            state, counted = replace(state, closed=now), 1
    msg = f"the contact in the clamp does not converge in {MAX_ROUNDS} iterations"
    raise SolveError(msg)


def _shortened(
    problem: _Problem, along: csr_array, ends: tuple[_State, Floats], energy: float
) -> tuple[_State, float, bool]:
    """Return the displacement of a step that lowers the energy, its energy, and if it is whole."""
    start, aim = ends
    share = 1.0
    while share > SHORTEST:
        state = replace(start, shares=start.shares + share * (aim - start.shares))
        found = _energy(problem, along, state)
        if found <= energy + ROUND_OFF * abs(energy):
            return state, found, share == 1.0
        share /= 2
    state = replace(start, shares=aim)
    return state, _energy(problem, along, state), True


def _energy(problem: _Problem, along: csr_array, state: _State) -> float:
    """Return the energy in N mm whose minimum is the solution.

    The columns of the space are orthonormal in the stiffness with the factorised clamp, and what
    the loads do on them is what the linear solution has in common with them, so that both cancel.
    """
    there = _there_mm(problem, state)
    lost = _released(problem, np.zeros(problem.preload_mpa.shape, dtype=bool))
    touching = np.maximum(_pressure_mpa(problem, state), 0.0) ** 2 / (
        2 * problem.model.clamp.normal_n_per_mm3
    )
    springs = float((problem.face.areas_mm2 * touching).sum())
    bar = float(state.shares @ state.shares) - problem.work_nmm
    clamp = float(there @ (along @ there) - there @ (problem.whole @ there))
    return (bar + clamp) / 2 + springs - float(lost @ there)


def _there_mm(problem: _Problem, state: _State) -> Floats:
    """Return (c,): displacement of the nodes of the clamped face."""
    return np.asarray(problem.there_mm + state.space.there_mm @ state.shares)


def _pressure_mpa(problem: _Problem, state: _State) -> Floats:
    """Return (n, q): p0 + k_n u.n, negative where there is a gap."""
    moved = _there_mm(problem, state).reshape(-1, 3)
    stiffness = problem.model.clamp.normal_n_per_mm3
    return problem.preload_mpa + stiffness * outward_mm(problem.face, moved)


def _released(problem: _Problem, closed: Flags) -> Floats:
    """Return the forces (c,) of the preload lost at points out of contact."""
    lost = -problem.preload_mpa * ~closed
    return pressure_force(problem.face, lost, len(problem.there_mm) // 3).ravel()


def _check_contact(model: Model, closed: Flags) -> None:
    held = 1 - contact_loss_share(model, closed)
    if held < MIN_CONTACT_SHARE:
        msg = (
            f"loss of contact in the clamp: {100 * held:.0f} % of its face would stay in contact, "
            f"at least {100 * MIN_CONTACT_SHARE:.0f} % are needed; raise the bolt preload or lower "
            "the load"
        )
        raise ContactLossError(msg)


def _springs(problem: _Problem, where: Flags, *, normal: bool) -> csr_array:
    """Return (c, c): the foundation's normal or tangential springs at some Gauss points."""
    clamp = problem.model.clamp
    here = replace(problem.face, areas_mm2=problem.face.areas_mm2 * where)
    stiffness = (clamp.normal_n_per_mm3, 0.0) if normal else (0.0, clamp.tangential_n_per_mm3)
    return fill(problem.pattern, foundation_blocks(here, *stiffness))
