"""Nodal forces of a clamp's pressure, a dead load: it does not follow the surface."""

import numpy as np

from fea.solid.surface import Face
from geometry.arrays import Floats


def pressure_force(face: Face, pressure_mpa: Floats, nodes: int) -> Floats:
    """Return the nodal forces (nodes, 3) in N of a pressure against the outward normals.

    `pressure_mpa` (n, q) is given at q points of n faces. Source: equivalent nodal forces by
    virtual work, textbook.
    """
    pull = -(pressure_mpa * face.areas_mm2)[..., None] * face.normals
    forces = np.zeros((nodes, 3))
    np.add.at(forces, face.faces, np.einsum("qk,nqi->nki", face.values, pull))
    return forces
