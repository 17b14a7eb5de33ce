"""Bent tubes under an in-plane moment: a sector of an endless bend, and an elbow with tangents."""

from dataclasses import dataclass

import numpy as np

from fea.solid.recovery import build_recovery, surface_stress, von_mises_mpa
from fea.solid.surface import band_force, face_rule, mean_motion, rigid_modes
from geometry.arrays import Floats
from geometry.bar import Bar, axes
from geometry.centreline import locate
from geometry.mesh import TubeMesh
from support.systems import build_system, metal, solved, turned
from support.tubes import at_s, elbow_bar, end_faces, stretch

E_MPA, RATIO = 107e3, 0.32


@dataclass(frozen=True)
class Bend:
    """A bent tube: outer diameter, wall and bend radius in mm."""

    od_mm: float
    wall_mm: float
    radius_mm: float

    @property
    def i_mm4(self) -> float:
        """Return the second moment of area."""
        return float(np.pi / 64 * (self.od_mm**4 - (self.od_mm - 2 * self.wall_mm) ** 4))


@dataclass(frozen=True)
class BendAnswer:
    """What an endless bend does in pure in-plane bending.

    Attributes:
        factor: K, its rotation over that of a beam.
        longitudinal: Largest surface stress along the tube over M ro/I.
        hoop: Likewise round it.
        von_mises: Likewise von Mises stress.
    """

    factor: float
    longitudinal: float
    hoop: float
    von_mises: float


def endless_bend(tube: Bend, nominal: Bend, around: int = 64, layers: int = 1) -> BendAnswer:
    """Return the answer of a sector two elements long between planes of symmetry.

    Args:
        tube: The tube that is meshed.
        nominal: The tube whose beam rotation and stress the answer is divided by.
        around: Elements round the tube.
        layers: Elements through the wall.
    """
    bar = elbow_bar(
        (tube.od_mm, tube.wall_mm), tube.radius_mm, np.pi / 3, 100.0, metal(E_MPA, RATIO)
    )
    length = 2 * np.pi * tube.od_mm / around
    mesh = stretch(bar, (110.0, 110.0 + length), (2,), around, layers)
    moved = _unit_moment(bar, mesh, tube)
    turn = moved.turn_rad * E_MPA * nominal.i_mm4 / length
    stress = _surface(bar, mesh, moved.displacement_mm) / (nominal.od_mm / 2 / nominal.i_mm4)
    return BendAnswer(
        turn,
        float(np.abs(stress[:, 0]).max()),
        float(np.abs(stress[:, 1]).max()),
        float(von_mises_mpa(stress).max()),
    )


@dataclass(frozen=True, eq=False)
class _Turned:
    displacement_mm: Floats
    turn_rad: float


def _unit_moment(bar: Bar, mesh: TubeMesh, tube: Bend) -> _Turned:
    """Turn the far end, plane and free to shift along the tube, by a moment of 1 N mm."""
    system = build_system(mesh.points_mm, mesh.cells, bar.spec.material)
    rows = axes(bar, mesh.block[:, 0], mesh.block[:, 1])
    s, theta, zeta = mesh.block.T
    near, far = (at_s(mesh, end) for end in (s.min(), s.max()))
    held = np.zeros((len(s), 3), dtype=bool)
    held[near | far, 0] = True
    # the bend lies in the xy plane: one node at theta = 90 deg holds it across that plane
    across = np.flatnonzero(near & np.isclose(theta, np.pi / 2) & (zeta == 1))
    held[across, 1] = True
    front = (tube.od_mm / 2 - (1 - zeta) * tube.wall_mm) * np.sin(theta)
    matrix = turned(system.stiffness, rows)
    motions = np.stack([far * 1.0, far * front], axis=-1)
    answers = [solved(matrix, held, 0 * rows[:, 0], _along(motions[:, i])) for i in (0, 1)]
    forces = np.array([[motions[:, i] @ pull[:, 0] for _, pull in answers] for i in (0, 1)])
    share = np.linalg.solve(forces, [0.0, 1.0])
    local = share[0] * answers[0][0] + share[1] * answers[1][0]
    return _Turned(np.einsum("nij,ni->nj", rows, local), float(share[1]))


def _along(values: Floats) -> Floats:
    return np.column_stack([values, 0 * values, 0 * values])


def _surface(bar: Bar, mesh: TubeMesh, moved: Floats) -> Floats:
    """Return (2 P, 6): the recovered stress on both faces."""
    system = build_system(mesh.points_mm, mesh.cells, bar.spec.material)
    recovery = build_recovery(bar, mesh)
    stress = surface_stress(recovery, mesh, system.grads, bar.spec.material, moved)
    return np.concatenate([stress.outer, stress.inner])


def elbow_factor(
    tube: Bend,
    angle_rad: float,
    tangent_mm: float,
    nominal: Bend,
    around: int = 24,
    along: int = 20,
) -> float:
    """Return K = (turn E I/M - 2 tangents)/(R angle) of an elbow fixed at its root.

    Args:
        tube: The tube that is meshed.
        angle_rad: Bend angle.
        tangent_mm: Length of each straight.
        nominal: The tube whose beam it is compared with.
        around: Elements round the tube.
        along: Elements along the bend.
    """
    material = metal(E_MPA, RATIO)
    bar = elbow_bar((tube.od_mm, tube.wall_mm), tube.radius_mm, angle_rad, tangent_mm, material)
    arc = tube.radius_mm * angle_rad
    end = 2 * tangent_mm + arc
    lines, counts = (0.0, tangent_mm, tangent_mm + arc, end), (6, along, 6)
    if tangent_mm > 2 * tube.od_mm:
        near = tangent_mm - tube.od_mm
        lines, counts = (0.0, near, *lines[1:3], end - near, end), (4, *counts, 4)
    mesh = stretch(bar, lines, counts, around)
    system = build_system(mesh.points_mm, mesh.cells, material)
    tip = face_rule(mesh.points_mm, end_faces(mesh, end))
    modes = rigid_modes(tip, locate(bar.line, np.array(end)).position_mm)
    loads = np.zeros_like(mesh.points_mm)
    loads[modes.nodes] = band_force(modes, np.zeros(3), np.array([0.0, 0.0, 1.0]))
    held = np.repeat(at_s(mesh, 0.0)[:, None], 3, axis=1)
    moved, _ = solved(system.stiffness, held, loads)
    turn = float(mean_motion(modes, moved)[5])
    return (turn * E_MPA * nominal.i_mm4 - 2 * tangent_mm) / arc
