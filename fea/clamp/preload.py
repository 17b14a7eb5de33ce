"""Stress of a tightened clamp in the tube, before anything else acts.

The clamp's pressure is in balance with itself, so the bar is solved without its foundation,
held in six degrees of freedom that only prevent rigid motion: their reactions are zero
but for what the pressure's quadrature leaves, which is taken out beforehand. The answer is linear
in the preload and is superposed on load cases.

Limits: the pressure is given (`loadcases.bolts`); a stem that grips a tube of another size, or
with an edge, presses otherwise. Elastic.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.solid.assembly import free_part
from fea.solid.linear_solver import SolverName, factorise, solve
from fea.solid.model import CLAMP, Model, lever_name
from fea.solid.pressure import pressure_force
from fea.solid.surface import Face, band_force, face_rule, rigid_modes
from geometry.arrays import Flags, Floats, Ints
from geometry.bar import nominal_od_mm
from geometry.errors import SolveError
from loadcases.bolts import Bolts, Pressure
from loadcases.levers import LeverClamp

MAX_REACTION = 1e-6
"""Largest reaction of the six held freedoms, next to the preload."""

FRONT_RAD = np.pi / 2
"""The shells of a stem meet above and below; the middle of each faces the front or rear."""


@dataclass(frozen=True)
class Squeeze:
    """A clamp's pressure on a length of the tube.

    Attributes:
        region: Name of its region in the mesh.
        width_mm: Its length.
        diameter_mm: Of the tube there.
        pressure: How it is spread round the tube.
    """

    region: str
    width_mm: float
    diameter_mm: float
    pressure: Pressure


@dataclass(frozen=True)
class Bolted:
    """A clamp whose bolts are known.

    Attributes:
        squeeze: Its pressure.
        at_mm: Signed arc length of its middle.
        bolts: What tightens it.
    """

    squeeze: Squeeze
    at_mm: float
    bolts: Bolts


def bolted_clamps(model: Model, levers: Sequence[LeverClamp]) -> tuple[Bolted, ...]:
    """Return the clamps of a bar whose bolts are given, the stem's first."""
    stem = (CLAMP, 0.0, model.clamp.width_mm, model.clamp.bolts)
    wanted = (stem, *((lever_name(one), one.at_mm, one.width_mm, one.bolts) for one in levers))
    return tuple(
        Bolted(Squeeze(name, wide, _od_mm(model, at), bolts.pressure), at, bolts)
        for name, at, wide, bolts in wanted
        if bolts
    )


def squeeze_displacements(
    model: Model, squeezes: Sequence[Squeeze], solver: SolverName = "auto"
) -> Floats:
    """Return (c, N, 3): displacements in mm of N nodes for each of c pressures at a preload of 1 N.

    Source: linear equilibrium; supports as in the module docstring.

    Raises:
        SolveError: The bar does not balance under its own clamp.
    """
    forces = np.stack([balanced_force(model, squeeze) for squeeze in squeezes], axis=-1)
    free = held_in_six(model)
    factor = factorise(free_part(model.stiffness, free), solver)
    flat = np.zeros((len(free), len(squeezes)))
    given = forces.reshape(flat.shape)
    flat[free], _ = solve(factor, given[free])
    reaction = np.abs((model.stiffness @ flat - given)[~free]).max()
    if not reaction <= MAX_REACTION:
        msg = f"a clamp's pressure leaves {reaction:.1e} N for each newton of preload unbalanced"
        raise SolveError(msg)
    return np.asarray(flat.T.reshape(len(squeezes), -1, 3))


def unit_pressure_mpa(model: Model, squeeze: Squeeze) -> tuple[Face, Floats]:
    """Return the pressed face and the pressure (n, q) on it, MPa, at a preload of 1 N.

    q points on each of n faces. Source: force over projected area, uniform or as |cos|, elementary
    statics.
    """
    quads = model.mesh.sheet.regions[squeeze.region]
    face = face_rule(model.mesh.points_mm, model.mesh.outer[quads])
    projected_mm2 = squeeze.diameter_mm * squeeze.width_mm
    if squeeze.pressure == "uniform":
        return face, np.full(face.areas_mm2.shape, 1 / projected_mm2)
    theta = model.mesh.sheet.places[quads][:, :, 1] @ face.values.T
    return face, 4 / np.pi / projected_mm2 * np.abs(np.cos(theta - FRONT_RAD))


def balanced_force(model: Model, squeeze: Squeeze) -> Floats:
    """Return the nodal forces (N, 3) in N of a pressure at 1 N, without its unbalanced part.

    Source: module docstring.
    """
    face, pressure = unit_pressure_mpa(model, squeeze)
    points = model.mesh.points_mm
    force = pressure_force(face, pressure, len(points))
    centre = points[np.unique(face.faces)].mean(axis=0)
    modes = rigid_modes(face, centre)
    turn = np.cross(points - centre, force).sum(axis=0)
    force[modes.nodes] -= band_force(modes, force.sum(axis=0), turn)
    return force


def _od_mm(model: Model, at_mm: float) -> float:
    return float(nominal_od_mm(model.bar, np.array(at_mm)))


def held_in_six(model: Model) -> Flags:
    """Return (n,): all but six freedoms at three nodes of the clamped face's rim."""
    points, nodes = model.mesh.points_mm, np.unique(model.clamped.faces)
    first, second, third = _corner_nodes(points, nodes)
    free = np.ones(points.shape, dtype=bool)
    free[first] = False
    along = int(np.argmax(np.abs(points[second] - points[first])))
    free[second, [i for i in range(3) if i != along]] = False
    # the last turn is about the line of the two: hold the third across their plane
    normal = np.cross(points[second] - points[first], points[third] - points[first])
    free[third, int(np.argmax(np.abs(normal)))] = False
    return free.ravel()


def _corner_nodes(points: Floats, nodes: Ints) -> tuple[int, int, int]:
    """Return three nodes far apart and far from one line."""
    place = points[nodes]
    first = int(np.argmin(place[:, 0]))
    second = int(np.argmax(np.linalg.norm(place - place[first], axis=1)))
    line = place[second] - place[first]
    off = np.linalg.norm(np.cross(place - place[first], line), axis=1)
    return int(nodes[first]), int(nodes[second]), int(nodes[np.argmax(off)])
