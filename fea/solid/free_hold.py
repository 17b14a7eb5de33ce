"""How equations hold a bar that nothing holds: statically determinate, and on average.

Six degrees of freedom of three nodes prevent rigid motion. So that these bear no force under any
load, its resultant is balanced over the ring at s = 0, by the forces that do work on the ring's
mean motion; displacements count from that motion. With P = 1 - R W', R the rigid motions and W the
forces of unit resultants on the ring, the answer P K^-1 P' f is the same whichever nodes hold.
Loads that balance each other are not changed.

Limits: the ring's points weigh alike, and its own deformation is free. In large displacements
loads can lose their balance, and then the three nodes carry it.

Source: statics; the pseudoinverse of a free body, textbook.
"""

import numpy as np

from geometry.arrays import Flags, Floats, Ints
from geometry.mesh import TubeMesh

ON_RING_MM = 1e-4
"""Nodes closer than this to s = 0 lie on its mesh line."""


def middle_ring(mesh: TubeMesh) -> Ints:
    """Return the nodes (k,) of the cross-section at s = 0.

    Source: the mesh has a line there.
    """
    off: Floats = np.abs(mesh.block[:, 0])
    return np.flatnonzero(off <= off.min() + ON_RING_MM)


def all_but_six(points_mm: Floats, nodes: Ints) -> Flags:
    """Return (3 N,): the free degrees of freedom, all but six at three of `nodes`.

    Source: statics of a body on three points.

    Args:
        points_mm: (N, 3) places of all nodes.
        nodes: (k,) those that may hold, not on one line.
    """
    first, second, third = _corner_nodes(points_mm, nodes)
    free = np.ones(points_mm.shape, dtype=bool)
    free[first] = False
    along = int(np.argmax(np.abs(points_mm[second] - points_mm[first])))
    free[second, [i for i in range(3) if i != along]] = False
    # the last rotation is about the line of the two: fix the third normal to their plane
    normal = np.cross(points_mm[second] - points_mm[first], points_mm[third] - points_mm[first])
    free[third, int(np.argmax(np.abs(normal)))] = False
    return free.ravel()


def rigid_motions(points_mm: Floats) -> Floats:
    """Return (3 N, 6): displacement of `points_mm` (N, 3) over translation and rotation.

    About the origin, mm and rad. Source: rigid-body kinematics, u + phi x r; textbook.
    """
    motions = np.zeros((*points_mm.shape, 6))
    motions[..., :3] = np.eye(3)
    motions[..., 3:] = np.cross(np.eye(3)[:, None], points_mm).transpose(1, 2, 0)
    return motions.reshape(-1, 6)


def without_resultant(mesh: TubeMesh, forces_n: Floats) -> Floats:
    """Return `forces_n` (3 N, k), in N, with their resultants balanced over the ring at s = 0.

    Source: module docstring, P' f.
    """
    resultants = rigid_motions(mesh.points_mm).T @ forces_n
    balanced = forces_n.copy()
    balanced[ring_rows(mesh)] -= unit_forces(mesh) @ resultants
    return balanced


def from_middle_ring(mesh: TubeMesh, displacement_mm: Floats) -> Floats:
    """Return `displacement_mm` (3 N, k), in mm, less the mean motion of the ring at s = 0.

    Source: module docstring, P u.
    """
    mean = unit_forces(mesh).T @ displacement_mm[ring_rows(mesh)]
    moved: Floats = displacement_mm - rigid_motions(mesh.points_mm) @ mean
    return moved


def ring_rows(mesh: TubeMesh) -> Ints:
    """Return the degrees of freedom (3 k,) of the ring at s = 0.

    Source: `middle_ring`.
    """
    return np.asarray((3 * middle_ring(mesh)[:, None] + np.arange(3)).ravel())


def unit_forces(mesh: TubeMesh) -> Floats:
    """Return (3 k, 6) forces on the nodes of the ring at s = 0 with unit resultants at the origin.

    Their work, N and N mm, is the mean motion of the ring, mm and rad.

    Source: module docstring, W.
    """
    ring = rigid_motions(mesh.points_mm[middle_ring(mesh)])
    return np.asarray(ring @ np.linalg.inv(ring.T @ ring))


def _corner_nodes(points: Floats, nodes: Ints) -> tuple[int, int, int]:
    """Return three nodes far apart and far from collinear."""
    place = points[nodes]
    first = int(np.argmin(place[:, 0]))
    second = int(np.argmax(np.linalg.norm(place - place[first], axis=1)))
    line = place[second] - place[first]
    off = np.linalg.norm(np.cross(place - place[first], line), axis=1)
    return int(nodes[first]), int(nodes[second]), int(nodes[np.argmax(off)])
