"""Stress at the surfaces, recovered from the Gauss points where it is most accurate.

The two points through the wall of the outermost element are extrapolated to the surface;
in the sheet, patch fits (`patch_fit`) give the values at the nodes. Both work on the
components in the tube's own axes (tangent, hoop, outward), which vary smoothly round it.

The extrapolation is linear but for the hoop strain: where a round wall bends, the hoop strain
times the radius is linear in depth, so the strain itself grows like 1/r inwards. That adds
t/(3 r) to the bending stress of the inner surface; leaving it out lost 3 to 9 % of the hoop
stress in bends of one element through the wall.

Source of the last: curved beams with plane sections (Winkler), textbook.
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from fea.solid.element import line_gauss, quad8_places
from fea.solid.kernels import Gradients, lame_mpa
from fea.solid.patch_fit import patch_fit, quad_samples
from geometry.arrays import Floats
from geometry.bar import Bar, axes, local_wall_mm, outer_radius_mm
from geometry.material import Material
from geometry.mesh import TubeMesh

COMPONENTS = ("axial", "hoop", "radial", "hoop-radial", "axial-radial", "axial-hoop")
"""Order of the six stress components in the tube's axes."""

AXIAL, HOOP, SHEAR = 0, 1, 5
"""Columns of those of a thin wall."""

PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))


@dataclass(frozen=True, eq=False)
class SurfaceStress:
    """Stress at places of the sheet, its P nodes, on both surfaces, in the tube's axes, MPa.

    Attributes:
        outer: (P, 6) on the outer surface, MPa, in the order of `COMPONENTS`.
        inner: (P, 6) on the inner surface, MPa.
    """

    outer: Floats
    inner: Floats


@dataclass(frozen=True, eq=False)
class Recovery:
    """What turns Gauss-point stresses of a mesh into nodal ones, for any load case.

    Attributes:
        fit: (P, 4 Q) nodal value from the values at the 2 x 2 points of every quad.
        sample_axes: (Q, 4, 3, 3) rows tangent, hoop, outward at those points.
        outer_slimness: (Q, 4) wall of one element over the outer radius there.
        inner_slimness: (Q, 4) likewise over the radius of the inner surface.
    """

    fit: csr_array
    sample_axes: Floats
    outer_slimness: Floats
    inner_slimness: Floats


def build_recovery(bar: Bar, mesh: TubeMesh) -> Recovery:
    """Return the recovery of a mesh.

    Source: module docstring.
    """
    s, theta = np.moveaxis(quad_samples(mesh.sheet, quad8_places(2)), -1, 0)
    outer, wall = outer_radius_mm(bar, s, theta), local_wall_mm(bar, s, theta)
    each = wall / mesh.layers
    return Recovery(patch_fit(mesh.sheet), axes(bar, s, theta), each / outer, each / (outer - wall))


def surface_stress(
    recovery: Recovery, mesh: TubeMesh, grads: Gradients, material: Material, displacement: Floats
) -> SurfaceStress:
    """Return the recovered stress on both surfaces, MPa, of a displacement field.

    Source: module docstring and `patch_fit`.

    Args:
        recovery: From `build_recovery` on the same mesh.
        mesh: The elements.
        grads: Gradients at the 2 x 2 x 2 Gauss points.
        material: Its elastic constants.
        displacement: (N, 3) nodal displacements in mm.
    """
    samples = surface_samples(recovery, mesh, grads, material, displacement)
    return SurfaceStress(
        recovery.fit @ samples.outer.reshape(-1, 6),
        recovery.fit @ samples.inner.reshape(-1, 6),
    )


def surface_samples(
    recovery: Recovery, mesh: TubeMesh, grads: Gradients, material: Material, displacement: Floats
) -> SurfaceStress:
    """Return the stress (Q, 4, 6) on both surfaces at the 2 x 2 points of every quad, MPa.

    Source: module docstring.

    Args:
        recovery: From `build_recovery` on the same mesh.
        mesh: The elements.
        grads: Gradients at the 2 x 2 x 2 Gauss points.
        material: Its elastic constants.
        displacement: (N, 3) nodal displacements in mm.
    """
    count = len(mesh.sheet.quads)
    stress = stress_mpa(grads, material, displacement[mesh.cells]).reshape(-1, count, 2, 4, 3, 3)
    rows = recovery.sample_axes[:, None]
    top, bottom = in_axes(stress[-1], rows), in_axes(stress[0], rows)
    return SurfaceStress(
        at_surface(top[:, 1], top[:, 0], recovery.outer_slimness, material),
        at_surface(bottom[:, 0], bottom[:, 1], -recovery.inner_slimness, material),
    )


def at_surface(near: Floats, far: Floats, slimness: Floats, material: Material) -> Floats:
    """Return (..., 6): stress in MPa at a surface from the Gauss depths near to it and far from it.

    Source: module docstring.

    Args:
        near: (..., 6) stress at the near depth.
        far: (..., 6) stress at the far depth.
        slimness: (...,) element's wall over the surface's radius, negative at an inner one.
        material: Its elastic constants.
    """
    (low, high), _ = line_gauss(2)
    reach = low / (high - low)
    face: Floats = (1 + reach) * near - reach * far
    strain = hoop_strain(near, material) - hoop_strain(far, material)
    # r e linear in depth instead of e: the difference at the surface
    bent = -reach * high * slimness * strain
    e, nu = material.youngs_modulus_mpa, material.poisson_ratio
    face[..., :2] += e / (1 - nu**2) * bent[..., None] * np.array([nu, 1.0])
    return face


def hoop_strain(stress: Floats, material: Material) -> Floats:
    """Return (...,): hoop strain of `stress` (..., 6), MPa.

    Source: Hooke's law, textbook.
    """
    axial, hoop, radial = np.moveaxis(stress[..., :3], -1, 0)
    e, nu = material.youngs_modulus_mpa, material.poisson_ratio
    result: Floats = (hoop - nu * (axial + radial)) / e
    return result


def stress_mpa(grads: Gradients, material: Material, displacement: Floats) -> Floats:
    """Return (m, q, 3, 3): stress in global axes, MPa, of a `displacement` (m, 20, 3), mm.

    Source: Hooke's law, textbook.
    """
    lam, mu = lame_mpa(material)
    slope = grads.slopes @ displacement[:, None]
    stress = mu * (slope + slope.swapaxes(-1, -2))
    pressure = lam * np.trace(slope, axis1=-2, axis2=-1)
    for i in range(3):
        stress[..., i, i] += pressure
    return stress


def in_axes(stress: Floats, rows: Floats) -> Floats:
    """Return (..., 6) components of `stress` (..., 3, 3) in its unit.

    They are along the unit vectors `rows` (..., 3, 3). Source: rotation of a tensor, R S R',
    textbook.
    """
    turned = rows @ stress @ rows.swapaxes(-1, -2)
    return np.stack([turned[..., i, j] for i, j in PAIRS], axis=-1)


def to_global(components: Floats, rows: Floats) -> Floats:
    """Return tensors (..., 3, 3) in global axes, in the unit of `components`.

    `components` (..., 6) are along `rows` (..., 3, 3). Source: rotation of a tensor, R' S R,
    textbook.
    """
    local = np.empty((*components.shape[:-1], 3, 3))
    for k, (i, j) in enumerate(PAIRS):
        local[..., i, j] = local[..., j, i] = components[..., k]
    result: Floats = rows.swapaxes(-1, -2) @ local @ rows
    return result


def von_mises_mpa(components: Floats) -> Floats:
    """Return (...,): von Mises stress in MPa of `components` (..., 6).

    Source: von Mises in six components, textbook.
    """
    a, b, c, d, e, f = np.moveaxis(components, -1, 0)
    result: Floats = np.sqrt(
        ((a - b) ** 2 + (b - c) ** 2 + (c - a) ** 2) / 2 + 3 * (d**2 + e**2 + f**2)
    )
    return result
