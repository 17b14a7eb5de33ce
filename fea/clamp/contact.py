"""The clamp as a contact that can only press: where it lifts off, and what the bar does then.

The elastic clamp is a foundation that pulls as well as presses. That holds as long as the
tightened clamp presses harder than the foundation pulls: the contact pressure is
p0 + k_n u.n, with p0 of the preload and u.n the outward motion of the tube's face. Where it
would fall below zero contact is lost: no spring across the face, and the lost preload acts
outwards, p0 n.

With the springs along the face as they are, that is the minimum of a convex energy with a term
max(p0 + k_n u.n, 0)^2/(2 k_n) over the face, so there is one answer. It is found by Newton steps
on the set of points in contact (an active set), each shortened until the energy falls, which
keeps the sets from going round in circles. Springs along the face are friction: a point that
loses contact loses its own for good, as it does while the load grows, and the rest is solved again.

Limits: nothing slides where the clamp presses. The stem is the foundation's own stiffness.

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

MOST_ROUNDS = 40
ERROR = 1e-8
"""Relative error in the energy norm of each round's solution."""

SHORTEST, ROUND_OFF = 1e-3, 1e-10
"""Least part of a step that is tried, and the rise of energy that is none."""

LEAST_HELD = 0.05
"""Share of the clamped face below which what is left does not support the bar."""


class ClampLetsGoError(SolveError):
    """Contact is lost nearly everywhere: a finding about the bar, not a failure to compute."""


@dataclass(frozen=True, eq=False)
class Contact:
    """A load case with a clamp that can only press.

    Attributes:
        displacement_mm: (N, 3) of every node.
        pressure_mpa: (n, q) between clamp and tube at the Gauss points of the clamped face.
        pressed: (n, q) where they touch.
        contact_loss_share: Fraction of the clamped face, by area, without contact.
        rounds: Active sets tried.
    """

    displacement_mm: Floats
    pressure_mpa: Floats
    pressed: Flags
    contact_loss_share: float
    rounds: int


def foundation_pressure_mpa(model: Model, displacement_mm: Floats) -> Floats:
    """Return (n, q): pressure of the clamp's foundation on the tube, MPa, negative a pull.

    `displacement_mm` (N, 3) is of all nodes; q points on each of n faces. Source: module docstring.
    """
    face = model.clamped
    moved = np.einsum("qk,nki->nqi", face.values, displacement_mm[face.faces])
    outward: Floats = np.einsum("nqi,nqi->nq", moved, face.normals)
    return model.clamp.normal_n_per_mm3 * outward


def contact_loss_share(model: Model, pressed: Flags) -> float:
    """Return the fraction of the clamped face, by area, at whose Gauss points nothing presses.

    `pressed` (n, q) is of q points on each of n faces. Source: definition, by quadrature.
    """
    areas = model.clamped.areas_mm2
    return float(areas[~pressed].sum() / areas.sum())


def solve_contact(
    model: Model,
    factor: Factor,
    loads: Sequence[PlacedLoad],
    preload_mpa: Floats,
    pressed: Flags | None = None,
) -> Contact:
    """Return the answer to a load case with a clamp that can only press.

    Args:
        model: The equations, with an elastic clamp.
        factor: From `factorise_model`.
        loads: Of the case.
        preload_mpa: (n, q) pressure of the tightened clamp at the clamped face's Gauss points.
        pressed: (n, q) where to begin with; everywhere if it is None.

    Raises:
        ClampLetsGoError: Hardly any of the clamped face would still press.
        SolveError: The active set does not settle.
    """
    modes = {load: band_modes(model, load) for load in loads}
    force = nodal_loads(model, loads, modes)
    everywhere = np.ones(preload_mpa.shape, dtype=bool)
    rubbing, pressed = everywhere, everywhere if pressed is None else pressed
    problem = _Problem(model, factor, force, preload_mpa)
    moved = factor.apply(force.reshape(-1, 1))
    rounds = 0
    while True:
        moved, pressed, more = _pressed_only(problem, rubbing, pressed, moved)
        rounds += more
        if not np.any(rubbing & ~pressed):
            break
        rubbing = rubbing & pressed
    pressure = _pressure_mpa(problem, moved)
    share = contact_loss_share(model, pressed)
    return Contact(moved.reshape(-1, 3), np.where(pressed, pressure, 0.0), pressed, share, rounds)


@dataclass(frozen=True, eq=False)
class _Problem:
    """A load case in a clamp: equations, nodal forces (N, 3), preload at the Gauss points."""

    model: Model
    factor: Factor
    force: Floats
    preload_mpa: Floats


def _pressed_only(
    problem: _Problem, rubbing: Flags, pressed: Flags, moved: Floats
) -> tuple[Floats, Flags, int]:
    """Return displacement (n, 1), points in contact and rounds, with friction where it rubs."""
    along = problem.model.stiffness + _springs(problem.model, rubbing, across=False)
    energy = _energy(problem, along, moved)
    for rounds in range(1, MOST_ROUNDS + 1):
        _check_hold(problem.model, pressed)
        matrix = free_part(
            along + _springs(problem.model, pressed, across=True), problem.model.free
        )
        given = problem.force + _released(problem, pressed)
        aim, _ = solve_near(problem.factor, matrix, given.reshape(-1, 1), ERROR, moved)
        moved, energy, whole = _shortened(problem, along, (moved, aim), energy)
        now = _pressure_mpa(problem, moved) > 0
        if whole and np.array_equal(now, pressed):
            return moved, pressed, rounds
        pressed = now
    msg = f"where the clamp touches the bar has not settled in {MOST_ROUNDS} rounds"
    raise SolveError(msg)


def _shortened(
    problem: _Problem, along: csr_array, ends: tuple[Floats, Floats], energy: float
) -> tuple[Floats, float, bool]:
    """Return where a step between displacements lowers the energy, that, and if it is whole."""
    start, aim = ends
    share = 1.0
    while share > SHORTEST:
        moved = start + share * (aim - start)
        found = _energy(problem, along, moved)
        if found <= energy + ROUND_OFF * abs(energy):
            return moved, found, share == 1.0
        share /= 2
    return aim, _energy(problem, along, aim), True


def _energy(problem: _Problem, along: csr_array, moved: Floats) -> float:
    """Return the energy in N mm that the answer makes least."""
    clamp, flat = problem.model.clamp, moved[:, 0]
    loads = problem.force + _released(problem, np.zeros(problem.preload_mpa.shape, dtype=bool))
    touching = np.maximum(_pressure_mpa(problem, moved), 0.0) ** 2 / (2 * clamp.normal_n_per_mm3)
    springs = float((problem.model.clamped.areas_mm2 * touching).sum())
    return float(flat @ (along @ flat)) / 2 + springs - float(loads.ravel() @ flat)


def _pressure_mpa(problem: _Problem, moved: Floats) -> Floats:
    """Return (n, q): p0 + k_n u.n, negative where there is a gap."""
    return problem.preload_mpa + foundation_pressure_mpa(problem.model, moved.reshape(-1, 3))


def _released(problem: _Problem, pressed: Flags) -> Floats:
    """Return the nodal forces (N, 3) of the preload lost at points out of contact."""
    lost = -problem.preload_mpa * ~pressed
    return pressure_force(problem.model.clamped, lost, len(problem.force))


def _check_hold(model: Model, pressed: Flags) -> None:
    held = 1 - contact_loss_share(model, pressed)
    if held < LEAST_HELD:
        msg = (
            f"the clamp lets go of the bar: {100 * held:.0f} % of its face would still press, at "
            f"least {100 * LEAST_HELD:.0f} % are needed; tighten the bolts or lower the load"
        )
        raise ClampLetsGoError(msg)


def _springs(model: Model, where: Flags, *, across: bool) -> csr_array:
    """Return the foundation's springs across the face, or along it, at some Gauss points."""
    clamp, face = model.clamp, model.clamped
    here = replace(face, areas_mm2=face.areas_mm2 * where)
    stiffness = (clamp.normal_n_per_mm3, 0.0) if across else (0.0, clamp.tangential_n_per_mm3)
    blocks = foundation_blocks(here, *stiffness)
    return fill(build_pattern(face.faces, len(model.mesh.points_mm)), blocks)
