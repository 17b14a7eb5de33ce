"""The clamp as a contact that can only press: where it lifts off, and what the bar does then.

The elastic grip is a foundation that pulls as well as presses. That holds as long as the
tightened clamp presses harder than the foundation pulls: the contact pressure is
p0 + k_n u.n, with p0 of the preload and u.n the outward motion of the tube's face. Where it
would fall below zero the clamp has let go: no spring across the face nor along it, and the lost
preload acts outwards, p0 n. Which points have let go is found by an active set at the Gauss
points of the face: both the points in contact and those off it follow the sign of the same
p0 + k_n u.n, which is the semi-smooth Newton step of a problem whose solution is unique.

Limits: friction is springs along the face wherever the clamp presses; nothing slides. The stem
is the foundation's own stiffness.

Source: Hintermueller, Ito & Kunisch, SIAM J. Optim. 13 (2003) 865-888, active sets as
semi-smooth Newton; from memory, unverified.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array

from fea.assembly import build_pattern, fill, free_part
from fea.linear_solver import Factor, solve_near
from fea.model import Model
from fea.pressure import pressure_force
from fea.statics import band_modes, nodal_loads
from fea.surface import foundation_blocks
from geometry.arrays import Flags, Floats
from geometry.errors import SolveError
from loadcases.load import PlacedLoad

MOST_ROUNDS = 40
ERROR = 1e-8
"""Relative error in the energy norm of each round's solution."""

LEAST_HELD = 0.05
"""Share of the clamped face below which what is left does not hold the bar."""


@dataclass(frozen=True, eq=False)
class Contact:
    """A load case with a clamp that can only press.

    Attributes:
        displacement_mm: (N, 3) of every node.
        pressure_mpa: (n, q) between clamp and tube at the Gauss points of the clamped face.
        pressed: (n, q) where they touch.
        lifted_share: Part of the clamped face that has let go.
        rounds: Active sets tried.
    """

    displacement_mm: Floats
    pressure_mpa: Floats
    pressed: Flags
    lifted_share: float
    rounds: int


def foundation_pressure_mpa(model: Model, displacement_mm: Floats) -> Floats:
    """Return (n, q): pressure of the elastic grip's foundation on the tube, negative a pull."""
    face = model.clamped
    moved = np.einsum("qk,nki->nqi", face.values, displacement_mm[face.faces])
    outward: Floats = np.einsum("nqi,nqi->nq", moved, face.normals)
    return model.clamp.normal_n_per_mm3 * outward


def lifted_share(model: Model, pressed: Flags) -> float:
    """Return the part of the clamped face, by area, at whose Gauss points nothing presses."""
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
        model: The equations, with an elastic grip.
        factor: From `factorise_model`.
        loads: Of the case.
        preload_mpa: (n, q) pressure of the tightened clamp at the clamped face's Gauss points.
        pressed: (n, q) where to begin with; everywhere if it is None.

    Raises:
        SolveError: The clamp lets go of the bar, or the active set does not settle.
    """
    modes = {load: band_modes(model, load) for load in loads}
    force = nodal_loads(model, loads, modes)
    pressed = np.ones(preload_mpa.shape, dtype=bool) if pressed is None else pressed
    moved = factor.apply(force.reshape(-1, 1))
    for rounds in range(1, MOST_ROUNDS + 1):
        _check_hold(model, pressed)
        released = pressure_force(model.clamped, -preload_mpa * ~pressed, len(force))
        given = (force + released).reshape(-1, 1)
        moved, _ = solve_near(factor, _matrix(model, pressed), given, ERROR, moved)
        shift = moved.reshape(-1, 3)
        pressure = preload_mpa + foundation_pressure_mpa(model, shift)
        if np.array_equal(pressure > 0, pressed):
            share = lifted_share(model, pressed)
            return Contact(shift, np.where(pressed, pressure, 0.0), pressed, share, rounds)
        pressed = pressure > 0
    msg = f"where the clamp touches the bar has not settled in {MOST_ROUNDS} rounds"
    raise SolveError(msg)


def _check_hold(model: Model, pressed: Flags) -> None:
    held = 1 - lifted_share(model, pressed)
    if held < LEAST_HELD:
        msg = (
            f"the clamp lets go of the bar: {100 * held:.0f} % of its face would still press, at "
            f"least {100 * LEAST_HELD:.0f} % are needed; tighten the bolts or lower the load"
        )
        raise SolveError(msg)


def _matrix(model: Model, pressed: Flags) -> csr_array:
    clamp, face = model.clamp, model.clamped
    touching = replace(face, areas_mm2=face.areas_mm2 * pressed)
    blocks = foundation_blocks(touching, clamp.normal_n_per_mm3, clamp.tangential_n_per_mm3)
    springs = fill(build_pattern(face.faces, len(model.mesh.points_mm)), blocks)
    return free_part(model.stiffness + springs, model.free)
