"""Integrals over faces of 8 nodes: tractions of a load band, foundation of a clamp."""

from dataclasses import dataclass

import numpy as np

from fea.solid.element import quad8_gauss
from geometry.arrays import Floats, Ints

FACE_POINTS = 3
"""Gauss points each way on a face: exact for products of two quadratic functions."""


@dataclass(frozen=True, eq=False)
class Face:
    """Quadrature on a set of faces.

    Attributes:
        faces: (n, 8) node numbers.
        values: (q, 8) shape functions at the points, no unit.
        points_mm: (n, q, 3) places of the points.
        normals: (n, q, 3) outward unit normals.
        areas_mm2: (n, q) area of each point.
    """

    faces: Ints
    values: Floats
    points_mm: Floats
    normals: Floats
    areas_mm2: Floats


@dataclass(frozen=True, eq=False)
class RigidModes:
    """The six rigid motions of a face set about a place, with their tractions.

    Attributes:
        nodes: (k,) node numbers of the face set.
        forces: (k, 3, 6) nodal forces of the unit traction fields 1 and w x (x - c).
        gram: (6, 6) integral of the products of the six motions.
        area_mm2: Area of the face set.
    """

    nodes: Ints
    forces: Floats
    gram: Floats
    area_mm2: float


def face_rule(points_mm: Floats, faces: Ints, points: int = FACE_POINTS) -> Face:
    """Return the quadrature of `faces` (n, 8), node numbers, on `points_mm` (N, 3).

    It has so many `points` each way. Normals follow the right-hand rule of the nodes.

    Source: Gauss quadrature on a curved face, textbook.
    """
    shapes = quad8_gauss(points)
    corners = points_mm[faces]
    along = np.einsum("qdk,nkj->nqdj", shapes.slopes, corners)
    normal = np.cross(along[:, :, 0], along[:, :, 1])
    area = np.linalg.norm(normal, axis=-1)
    return Face(
        faces,
        shapes.values,
        np.einsum("qk,nkj->nqj", shapes.values, corners),
        normal / area[..., None],
        area * shapes.weights,
    )


def rigid_modes(face: Face, centre_mm: Floats) -> RigidModes:
    """Return the six rigid motions of a face set about `centre_mm` (3,).

    Source: rigid-body kinematics, u + phi x r; textbook.
    """
    arms = face.points_mm - centre_mm
    motion = np.zeros((*arms.shape, 6))
    motion[..., :3] = np.eye(3)
    # column 3 + i is the displacement e_i x arm of a unit rotation about axis i
    motion[..., 3:] = np.cross(np.eye(3)[:, None, None], arms).transpose(1, 2, 3, 0)
    gram = np.einsum("nq,nqia,nqib->ab", face.areas_mm2, motion, motion)
    local = np.einsum("nq,qk,nqia->nkia", face.areas_mm2, face.values, motion)
    nodes, where = np.unique(face.faces, return_inverse=True)
    forces = np.zeros((len(nodes), 3, 6))
    np.add.at(forces, where.ravel(), local.reshape(-1, 3, 6))
    return RigidModes(nodes, forces, gram, float(face.areas_mm2.sum()))


def band_force(modes: RigidModes, force_n: Floats, moment_nmm: Floats) -> Floats:
    """Return nodal forces (k, 3) in N of a traction with exactly this force and moment.

    `force_n` (3,) and `moment_nmm` (3,) are the resultants.

    The traction is linear, t = a + b x (x - c); a and b follow from the resultants.

    Source: elementary statics, by the area integrals of the face set.
    """
    field = np.linalg.solve(modes.gram, np.concatenate([force_n, moment_nmm]))
    result: Floats = modes.forces @ field
    return result


def mean_displacement(modes: RigidModes, displacement: Floats) -> Floats:
    """Return (3,): the area mean in mm of a `displacement` (N, 3), mm, over the face set.

    Source: definition of the mean, by quadrature.
    """
    total: Floats = np.einsum("kia,ki->a", modes.forces[..., :3], displacement[modes.nodes])
    return total / modes.area_mm2


def mean_motion(modes: RigidModes, displacement: Floats) -> Floats:
    """Return (6,): the rigid motion about the centre that fits `displacement` (N, 3) best.

    Least squares over the area; mm and rad.

    It is conjugate to `band_force`: force . displacement + moment . rotation is the work.
    """
    seen = np.einsum("kia,ki->a", modes.forces, displacement[modes.nodes])
    result: Floats = np.linalg.solve(modes.gram, seen)
    return result


def foundation_blocks(face: Face, normal_stiffness: float, tangential_stiffness: float) -> Floats:
    """Return (n, 24, 24): stiffness of springs on the n faces, N/mm, as element matrices.

    Source: elastic foundation by virtual work, textbook.

    Args:
        face: The supported faces.
        normal_stiffness: N/mm3 along the outward normal.
        tangential_stiffness: N/mm3 in the face.
    """
    both = np.einsum("nqi,nqj->nqij", face.normals, face.normals)
    springs = (normal_stiffness - tangential_stiffness) * both + tangential_stiffness * np.eye(3)
    result: Floats = np.einsum(
        "nq,qk,ql,nqij->nkilj", face.areas_mm2, face.values, face.values, springs, optimize=True
    )
    return result.reshape(len(result), 24, 24)
