"""Preload stress of a clamp in the tube, before any load acts.

The clamp's pressure is self-equilibrated, so the bar is solved without its foundation, with six
statically determinate constraints that only prevent rigid motion: their reactions are zero but for
the residual of the pressure's quadrature, which is removed beforehand. With an elastic clamp the
factor of the load cases serves instead: its foundation is taken away at the clamp's nodes. The
solution is linear in the preload and is superposed on load cases.

Limits: the pressure is given (`loadcases.bolts`); a stem made for another tube size, or with a
sharp edge, has another pressure distribution. Elastic.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.solid.assembly import free_part
from fea.solid.clamp_space import OtherClamp, combined, empty_space, solve_other_clamps
from fea.solid.free_hold import all_but_six
from fea.solid.linear_solver import Factor, SolverName, factorise, solve
from fea.solid.model import CLAMP, Model, lever_name
from fea.solid.pressure import pressure_force
from fea.solid.surface import Face, band_force, face_rule, rigid_modes
from geometry.arrays import Flags, Floats
from geometry.bar import nominal_od_mm
from geometry.errors import SolveError
from loadcases.bolts import Bolts, Pressure
from loadcases.levers import LeverClamp

MAX_REACTION = 1e-6
"""Largest reaction of the six constraints, or force out of balance, over the preload."""

MAX_ERROR = 1e-6
"""Relative error in the energy norm without the foundation, before the last step."""

FRONT_RAD = np.pi / 2
"""The shells of a stem meet above and below; the middle of each faces the front or rear."""


@dataclass(frozen=True)
class PreloadPressure:
    """A clamp's preload pressure on a length of the tube.

    Attributes:
        region: Name of its region in the mesh.
        width_mm: Its length.
        diameter_mm: Of the tube there.
        distribution: Round the tube, uniform or as a cosine.
    """

    region: str
    width_mm: float
    diameter_mm: float
    distribution: Pressure


@dataclass(frozen=True)
class Bolted:
    """A clamp whose bolts are known.

    Attributes:
        preload_pressure: Its pressure.
        at_mm: Signed arc length of its middle.
        bolts: Its bolts.
    """

    preload_pressure: PreloadPressure
    at_mm: float
    bolts: Bolts


def bolted_clamps(model: Model, levers: Sequence[LeverClamp]) -> tuple[Bolted, ...]:
    """Return the clamps of a bar whose bolts are given, the stem's first."""
    stem = (CLAMP, 0.0, model.clamp.width_mm, model.clamp.bolts)
    clamps = (stem, *((lever_name(one), one.at_mm, one.width_mm, one.bolts) for one in levers))
    return tuple(
        Bolted(PreloadPressure(name, wide, _od_mm(model, at), bolts.pressure), at, bolts)
        for name, at, wide, bolts in clamps
        if bolts
    )


def preload_displacements(
    model: Model, preload_pressures: Sequence[PreloadPressure], solver: SolverName = "auto"
) -> Floats:
    """Return (c, N, 3): displacements in mm of N nodes for each of c pressures at a preload of 1 N.

    Source: linear equilibrium; supports as in the module docstring.

    Raises:
        SolveError: The bar does not balance under its own clamp.
    """
    forces = np.stack(
        [balanced_force(model, preload_pressure) for preload_pressure in preload_pressures], axis=-1
    )
    free = minimal_supports(model)
    factor = factorise(free_part(model.stiffness, free), solver)
    flat = np.zeros((len(free), len(preload_pressures)))
    given = forces.reshape(flat.shape)
    flat[free], _ = solve(factor, given[free])
    _require_balance((model.stiffness @ flat - given)[~free])
    return np.asarray(flat.T.reshape(len(preload_pressures), -1, 3))


def preload_by_factor(
    model: Model, preload_pressures: Sequence[PreloadPressure], factor: Factor
) -> Floats:
    """Return (c, N, 3) as `preload_displacements` does but for a rigid motion, of an elastic clamp.

    `factor` is from `factorise_model`. Source: `clamp_space`. Under a load that balances itself the
    foundation's forces do so too, so the space has no rigid motion, against which a bar without
    foundation has no stiffness.

    Raises:
        SolveError: The bar does not balance under its own clamp.
    """
    forces = [balanced_force(model, one).ravel() for one in preload_pressures]
    given, space = np.stack(forces, axis=-1), empty_space(model)
    held = factor.apply(given)
    springs = model.foundation[space.held][:, space.held]
    without = OtherClamp(springs, springs @ held[space.held], np.einsum("nk,nk->k", given, held))
    space, (shares,), _ = solve_other_clamps(space, factor, [without], MAX_ERROR)
    flat = held + combined(space, shares)
    _require_balance(model.stiffness @ flat - given)
    return np.asarray(flat.T.reshape(len(preload_pressures), -1, 3))


def _require_balance(residual_n: Floats) -> None:
    largest = np.abs(residual_n).max()
    if not largest <= MAX_REACTION:
        msg = f"a clamp's pressure has a force residual of {largest:.1e} N per newton of preload"
        raise SolveError(msg)


def unit_pressure_mpa(model: Model, preload_pressure: PreloadPressure) -> tuple[Face, Floats]:
    """Return the pressed face and the pressure (n, q) on it, MPa, at a preload of 1 N.

    q points on each of n faces. Source: force over projected area, uniform or as |cos|, elementary
    statics.
    """
    quads = model.mesh.sheet.regions[preload_pressure.region]
    face = face_rule(model.mesh.points_mm, model.mesh.outer[quads])
    projected_mm2 = preload_pressure.diameter_mm * preload_pressure.width_mm
    if preload_pressure.distribution == "uniform":
        return face, np.full(face.areas_mm2.shape, 1 / projected_mm2)
    theta = model.mesh.sheet.places[quads][:, :, 1] @ face.values.T
    return face, 4 / np.pi / projected_mm2 * np.abs(np.cos(theta - FRONT_RAD))


def balanced_force(model: Model, preload_pressure: PreloadPressure) -> Floats:
    """Return the nodal forces (N, 3) in N of a pressure at 1 N, without its unbalanced part.

    Source: module docstring.
    """
    face, pressure = unit_pressure_mpa(model, preload_pressure)
    points = model.mesh.points_mm
    force = pressure_force(face, pressure, len(points))
    centre = points[np.unique(face.faces)].mean(axis=0)
    modes = rigid_modes(face, centre)
    moment = np.cross(points - centre, force).sum(axis=0)
    force[modes.nodes] -= band_force(modes, force.sum(axis=0), moment)
    return force


def _od_mm(model: Model, at_mm: float) -> float:
    return float(nominal_od_mm(model.bar, np.array(at_mm)))


def minimal_supports(model: Model) -> Flags:
    """Return (n,): the free degrees of freedom, all but six at three nodes of the clamp's rim."""
    return all_but_six(model.mesh.points_mm, np.unique(model.clamped.faces))
