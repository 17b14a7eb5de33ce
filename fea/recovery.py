"""Stress at the surfaces, recovered from the Gauss points where it is most accurate.

The two points through the wall of the outermost element are extrapolated to the face;
in the sheet, patch fits (`patch_fit`) give the values at the nodes. Both work on the
components in the tube's own axes (tangent, hoop, outward), which vary smoothly round it.
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from fea.element import line_gauss, quad8_places
from fea.kernels import Gradients, lame_mpa
from fea.patch_fit import patch_fit, quad_samples
from geometry.arrays import Floats
from geometry.bar import Bar, axes
from geometry.material import Material
from geometry.mesh import TubeMesh

COMPONENTS = ("axial", "hoop", "radial", "hoop-radial", "axial-radial", "axial-hoop")
"""Order of the six stress components in the tube's axes."""

PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))


@dataclass(frozen=True, eq=False)
class SurfaceStress:
    """Stress at the nodes of the sheet on both faces, in the tube's axes, MPa.

    Attributes:
        outer: (P, 6) on the outer face, in the order of `COMPONENTS`.
        bore: (P, 6) on the bore.
    """

    outer: Floats
    bore: Floats


@dataclass(frozen=True, eq=False)
class Recovery:
    """What turns Gauss-point stresses of a mesh into nodal ones, for any load case.

    Attributes:
        fit: (P, 4 Q) nodal value from the values at the 2 x 2 points of every quad.
        sample_axes: (Q, 4, 3, 3) rows tangent, hoop, outward at those points.
    """

    fit: csr_array
    sample_axes: Floats


def build_recovery(bar: Bar, mesh: TubeMesh) -> Recovery:
    """Return the recovery of a mesh."""
    samples = quad_samples(mesh.sheet, quad8_places(2))
    return Recovery(patch_fit(mesh.sheet), axes(bar, samples[..., 0], samples[..., 1]))


def surface_stress(
    recovery: Recovery, mesh: TubeMesh, grads: Gradients, material: Material, moved: Floats
) -> SurfaceStress:
    """Return the recovered stress on both faces of a displacement field (N, 3).

    Args:
        recovery: From `build_recovery` on the same mesh.
        mesh: The elements.
        grads: Gradients at the 2 x 2 x 2 Gauss points.
        material: Its elastic constants.
        moved: Nodal displacements in mm.
    """
    count = len(mesh.sheet.quads)
    stress = stress_mpa(grads, material, moved[mesh.cells]).reshape(-1, 2, 4, 3, 3)
    (low, high), _ = line_gauss(2)
    reach = low / (high - low)
    top, bottom = stress[-count:], stress[:count]
    outer = (1 + reach) * top[:, 1] - reach * top[:, 0]
    bore = (1 + reach) * bottom[:, 0] - reach * bottom[:, 1]

    def fitted(samples: Floats) -> Floats:
        local = in_axes(samples, recovery.sample_axes).reshape(-1, 6)
        result: Floats = recovery.fit @ local
        return result

    return SurfaceStress(fitted(outer), fitted(bore))


def stress_mpa(grads: Gradients, material: Material, moved: Floats) -> Floats:
    """Return (m, q, 3, 3): stress in global axes of element displacements (m, 20, 3).

    Source: Hooke's law, textbook.
    """
    lam, mu = lame_mpa(material)
    slope = grads.slopes @ moved[:, None]
    stress = mu * (slope + slope.swapaxes(-1, -2))
    pressure = lam * np.trace(slope, axis1=-2, axis2=-1)
    for i in range(3):
        stress[..., i, i] += pressure
    return stress


def in_axes(stress: Floats, rows: Floats) -> Floats:
    """Return (..., 6) components of tensors (..., 3, 3) along the unit vectors `rows`."""
    turned = rows @ stress @ rows.swapaxes(-1, -2)
    return np.stack([turned[..., i, j] for i, j in PAIRS], axis=-1)


def to_global(components: Floats, rows: Floats) -> Floats:
    """Return tensors (..., 3, 3) in global axes of `components` (..., 6) along `rows`."""
    local = np.empty((*components.shape[:-1], 3, 3))
    for k, (i, j) in enumerate(PAIRS):
        local[..., i, j] = local[..., j, i] = components[..., k]
    result: Floats = rows.swapaxes(-1, -2) @ local @ rows
    return result


def von_mises_mpa(components: Floats) -> Floats:
    """Return (...,): von Mises stress of components (..., 6)."""
    a, b, c, d, e, f = np.moveaxis(components, -1, 0)
    result: Floats = np.sqrt(
        ((a - b) ** 2 + (b - c) ** 2 + (c - a) ** 2) / 2 + 3 * (d**2 + e**2 + f**2)
    )
    return result
