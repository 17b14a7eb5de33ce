"""A short thin cylinder that wrinkles elastically under a uniform or a beam's axial stress."""

import numpy as np

from geometry.arrays import Flags, Floats
from geometry.mesh import TubeMesh
from support.stability import buckled
from support.systems import build_system, metal, solved, traction
from support.tubes import at_s, end_faces, straight_bar, stretch

RADIUS_MM, THIN_MM, SHELL_MM, SHELL_MPA, RATIO = 100.0, 1.0, 100.0, 2e5, 0.3
CLASSICAL_MPA = SHELL_MPA * THIN_MM / (RADIUS_MM * np.sqrt(3 * (1 - RATIO**2)))


def wrinkled(shape: str, thickening: float) -> tuple[Floats, Floats]:
    """Return buckling stresses over the classical one, of a short cylinder and of its reverse.

    Its ends can move along and turn, but not across; the stress is the same all along it, round
    it uniform (`axial`) or as a beam's (`bending`).
    """
    wall = thickening * THIN_MM
    bar = straight_bar(SHELL_MM, 2 * RADIUS_MM + wall, wall, metal(SHELL_MPA, RATIO))
    mesh = stretch(bar, np.array([0.0, SHELL_MM]), (24,), 48)
    system = build_system(mesh.points_mm, mesh.cells, bar.spec.material)
    faces = np.concatenate([end_faces(mesh, 0.0), end_faces(mesh, SHELL_MM)])

    def push(places: Floats, normals: Floats) -> Floats:
        share = np.ones(places.shape[:-1]) if shape == "axial" else places[..., 2] / RADIUS_MM
        return -CLASSICAL_MPA * share[..., None] * normals

    loads = traction(mesh.points_mm, faces, push)
    moved, _ = solved(system.stiffness, _held(mesh, buckling=False), loads)
    found = buckled(system, moved, _held(mesh, buckling=True))
    return found.factors, found.reversed_factors


def _held(mesh: TubeMesh, *, buckling: bool) -> Flags:
    """Return (N, 3): the ends across the axis while it buckles, six components before."""
    held = np.zeros((len(mesh.points_mm), 3), dtype=bool)
    if buckling:
        held[at_s(mesh, 0.0) | at_s(mesh, SHELL_MM), 1:] = True
        held[_node(mesh, SHELL_MM / 2, 0.0), 0] = True
        return held
    held[_node(mesh, 0.0, 0.0)] = True
    held[_node(mesh, 0.0, np.pi), :2] = True
    held[_node(mesh, 0.0, np.pi / 2), 0] = True
    return held


def _node(mesh: TubeMesh, s_mm: float, theta: float) -> int:
    return int(np.argmin(np.abs(mesh.block - [s_mm, theta, 1.0]).sum(axis=1)))
