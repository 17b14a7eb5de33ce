"""The project's elements as scikit-fem sees them, for its own assembly."""

import numpy as np
from skfem import Basis, ElementHexS2, ElementVector, MeshHex2
from skfem.io.meshio import INV_HEX_MAPPING

from fea.solid.element import hex20
from geometry.arrays import Floats, Ints

# natural places of the face and body nodes 20 to 26 of VTK's 27-node hexahedron
INNER = np.array(
    [[0, 0.5, 0.5], [1, 0.5, 0.5], [0.5, 0, 0.5], [0.5, 1, 0.5], [0.5, 0.5, 0], [0.5, 0.5, 1],
     [0.5, 0.5, 0.5]]
)  # fmt: skip


def mesh_of_scikit_fem(points_mm: Floats, cells: Ints) -> MeshHex2:
    """Return the same elements with their face and body nodes where the 20 nodes put them."""
    inner = np.einsum("qk,mki->mqi", hex20(INNER).values, points_mm[cells])
    numbers = len(points_mm) + np.arange(inner[..., 0].size).reshape(-1, 7)
    # a face node stands twice, once for each element: harmless, for it carries no displacement
    every = np.concatenate([points_mm, inner.reshape(-1, 3)])
    full = np.concatenate([cells, numbers], axis=1)
    return MeshHex2(every.T, full[:, INV_HEX_MAPPING].T)


def basis_of_scikit_fem(points_mm: Floats, cells: Ints) -> Basis:
    """Return the 20-node displacement functions at the 2 x 2 x 2 Gauss points."""
    mesh = mesh_of_scikit_fem(points_mm, cells)
    return Basis(mesh, ElementVector(ElementHexS2()), intorder=3)
