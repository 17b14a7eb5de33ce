"""Batched element kernels: gradients and stiffness of many elements at once.

All are dense products over the elements; none loops over quadrature points. The
geometry is interpolated by the displacement's own functions (isoparametric), so
rigid motion and constant strain are exact on curved elements.
"""

from dataclasses import dataclass

import numpy as np

from fea.solid.element import Shapes
from geometry.arrays import Floats, Ints
from geometry.errors import MeshError
from geometry.material import Material

CHUNK = 32
"""Elements at a time in the stiffness kernel: its arrays fit in cache."""


@dataclass(frozen=True, eq=False)
class Gradients:
    """Spatial gradients of the shape functions at the points of a rule.

    Attributes:
        slopes: (m, q, 3, 20) derivatives along x, y, z in 1/mm.
        volumes_mm3: (m, q) volume of each point.
    """

    slopes: Floats
    volumes_mm3: Floats


def gradients(points_mm: Floats, cells: Ints, shapes: Shapes) -> Gradients:
    """Return the gradients at the points of `shapes` in every cell.

    `points_mm` (N, 3) are the nodes, `cells` (m, n) their numbers in m elements.

    Source: isoparametric elements, textbook.

    Raises:
        MeshError: The Jacobian is not positive at some point: the mesh is folded there.
    """
    corners = points_mm[cells]
    count, rule = len(cells), shapes.slopes.shape[0]
    jacobian = (shapes.slopes.reshape(rule * 3, -1) @ corners).reshape(count, rule, 3, 3)
    inverse, determinant = _inverse3(jacobian)
    check_orientation(determinant, points_mm, cells)
    return Gradients(inverse @ shapes.slopes, determinant * shapes.weights)


def check_orientation(determinant: Floats, points_mm: Floats, cells: Ints) -> None:
    """Refuse a mesh whose Jacobian `determinant` (m, q) is not positive everywhere.

    `points_mm` (N, 3) are the nodes, `cells` (m, n) their numbers in m elements.

    Raises:
        MeshError: With the place of the worst cell.
    """
    worst = int(np.argmin(determinant.min(axis=1)))
    if determinant[worst].min() > 0:
        return
    x, y, z = points_mm[cells[worst]].mean(axis=0)
    msg = (
        f"the mesh folds near x = {x:.1f}, y = {y:.1f}, z = {z:.1f} mm (Jacobian "
        f"{determinant[worst].min():.3g} mm3, must be above 0); ease the bend there or refine"
    )
    raise MeshError(msg)


def lame_mpa(material: Material) -> tuple[float, float]:
    """Return Lame's constants (lambda, mu) in MPa.

    Source: isotropic linear elasticity, textbook.
    """
    e, nu = material.youngs_modulus_mpa, material.poisson_ratio
    return e * nu / ((1 + nu) * (1 - 2 * nu)), e / (2 * (1 + nu))


def stiffness_blocks(grads: Gradients, material: Material) -> Floats:
    """Return (m, 60, 60): the element matrices in N/mm, the three directions of a node together.

    For isotropic material B' D B reduces to one product of gradients
    H_ij,kl = integral of dN_k/dx_i dN_l/dx_j, from which
    K_ij,kl = lambda H_ij,kl + mu H_ji,kl + mu delta_ij sum_a H_aa,kl: a sixth of the work.

    Source: the weak form of linear elasticity, written out in components.
    """
    lam, mu = lame_mpa(material)
    count, rule = grads.volumes_mm3.shape
    flat = grads.slopes.reshape(count, rule, 60)
    blocks = np.empty((count, 20, 3, 20, 3))
    for start in range(0, count, CHUNK):
        part = slice(start, start + CHUNK)
        weighted = flat[part] * grads.volumes_mm3[part, :, None]
        product = (weighted.transpose(0, 2, 1) @ flat[part]).reshape(-1, 3, 20, 3, 20)
        trace = mu * (product[:, 0, :, 0] + product[:, 1, :, 1] + product[:, 2, :, 2])
        for i in range(3):
            blocks[part, :, i, :, i] = (lam + mu) * product[:, i, :, i] + trace
            for j in ((1, 2), (0, 2), (0, 1))[i]:
                blocks[part, :, i, :, j] = lam * product[:, i, :, j] + mu * product[:, j, :, i]
    return blocks.reshape(count, 60, 60)


def geometric_blocks(grads: Gradients, stress_mpa: Floats) -> Floats:
    """Return (m, 20, 20): geometric stiffness in N/mm, the same for each direction of a node.

    G_kl = integral of dN_k/dx_i sigma_ij dN_l/dx_j; K_sigma is G times the unit tensor, from the
    full gradient of the displacement.

    Args:
        grads: Gradients at the points.
        stress_mpa: (m, q, 3, 3) stress there.

    Source: second variation of the potential energy, textbook.
    """
    pulled = (stress_mpa @ grads.slopes) * grads.volumes_mm3[..., None, None]
    count = len(pulled)
    left, right = (values.reshape(count, -1, 20) for values in (grads.slopes, pulled))
    result: Floats = left.transpose(0, 2, 1) @ right
    return result


def _inverse3(matrix: Floats) -> tuple[Floats, Floats]:
    """Return inverse and determinant of (..., 3, 3) matrices by cofactors."""
    a, b, c = matrix[..., 0, :], matrix[..., 1, :], matrix[..., 2, :]
    cofactors = np.stack([np.cross(b, c), np.cross(c, a), np.cross(a, b)], axis=-1)
    determinant = np.einsum("...i,...i->...", a, cofactors[..., 0])
    return cofactors / determinant[..., None, None], determinant
