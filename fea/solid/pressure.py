"""Pressure on faces: the nodal forces of a clamp's, and what a pressure does that follows.

A uniform pressure that follows the surface, as a fluid's, adds to the stiffness. With natural
coordinates (a, b) and n dA = x_a x x_b da db the nodal forces are f_k = -p integral of
N_k (x_a x x_b), so that

    -df_k/du_l = p integral of N_k (N_l,a [.]x x_b + x_a x N_l,b [.]) da db,

[.] the displacement. Its symmetric part is returned: where the faces close on themselves, or
their rim is held in the plane of the cut, the whole is symmetric.

Source: the weak form of a follower load, textbook (Bathe, Finite Element Procedures; from
memory, unverified). Tested against differences of the force.
"""

import numpy as np

from fea.solid.element import quad8_gauss
from fea.solid.surface import FACE_POINTS, Face
from geometry.arrays import Floats, Ints


def pressure_force(face: Face, pressure_mpa: Floats, nodes: int) -> Floats:
    """Return the nodal forces (nodes, 3) of a pressure (n, q) against the outward normals."""
    pull = -(pressure_mpa * face.areas_mm2)[..., None] * face.normals
    forces = np.zeros((nodes, 3))
    np.add.at(forces, face.faces, np.einsum("qk,nqi->nki", face.values, pull))
    return forces


def pressure_stiffness_blocks(points_mm: Floats, faces: Ints) -> Floats:
    """Return (n, 24, 24): stiffness of a unit pressure that follows faces (n, 8), mm2/mm.

    To be multiplied by the pressure in MPa; added to the structure's stiffness.
    """
    shapes = quad8_gauss(FACE_POINTS)
    along = np.einsum("qdk,nkj->nqdj", shapes.slopes, points_mm[faces])
    # (e_j x x_b)_i and (x_a x e_j)_i as matrices [i, j]
    by_b = np.cross(np.eye(3), along[:, :, 1, None]).swapaxes(-1, -2)
    by_a = np.cross(along[:, :, 0, None], np.eye(3)).swapaxes(-1, -2)
    moved = np.einsum("ql,nqij->nqilj", shapes.slopes[:, 0], by_b)
    moved += np.einsum("ql,nqij->nqilj", shapes.slopes[:, 1], by_a)
    blocks = np.einsum("q,qk,nqilj->nkilj", shapes.weights, shapes.values, moved)
    flat = blocks.reshape(len(faces), 24, 24)
    return np.asarray((flat + flat.swapaxes(1, 2)) / 2)
