"""The element matrices: against scikit-fem's own assembly, their zero-energy modes, VTK's order."""

import numpy as np
import pytest
import pyvista
from scipy.sparse import csr_array
from skfem.io.meshio import HEX_MAPPING
from skfem.models.elasticity import lame_parameters, linear_elasticity

from fea.solid.element import hex20_gauss
from geometry.arrays import Floats, Ints
from geometry.grading import LEVELS, LevelName
from geometry.mesh import TubeMesh, build_mesh
from geometry.properties import volume_pappus_mm3
from support.scikit_fem import basis_of_scikit_fem
from support.systems import build_system, metal
from support.tubes import curvy_bar, distorted, stretch

METAL = metal(107e3, 0.32)


def curved_mesh(layers: int = 1) -> TubeMesh:
    """Return a distorted mesh over a bend with taper, wall change and ovality."""
    bar = curvy_bar(METAL)
    return distorted(bar, stretch(bar, (60.0, 160.0), (10,), 10, layers))


def assembled_by_scikit_fem(points_mm: Floats, cells: Ints) -> csr_array:
    """Return scikit-fem's stiffness in our numbers of the degrees of freedom."""
    basis = basis_of_scikit_fem(points_mm, cells)
    assert len(basis.X[0]) == 8
    lam, mu = lame_parameters(METAL.youngs_modulus_mpa, METAL.poisson_ratio)
    theirs = linear_elasticity(lam, mu).assemble(basis)
    local = 3 * np.array(HEX_MAPPING[:20])[:, None] + np.arange(3)
    ours = 3 * cells[:, :, None] + np.arange(3)
    number = np.empty(3 * len(points_mm), dtype=np.intp)
    number[ours.transpose(1, 2, 0)] = basis.element_dofs[local]
    return csr_array(theirs)[number][:, number]


@pytest.mark.parametrize("layers", [1, 2])
def test_stiffness_is_that_of_scikit_fem(layers: int) -> None:
    """On a curved, distorted mesh the two assemblies agree to round-off."""
    mesh = curved_mesh(layers)
    ours = build_system(mesh.points_mm, mesh.cells, METAL).stiffness
    theirs = assembled_by_scikit_fem(mesh.points_mm, mesh.cells)
    assert theirs.shape == ours.shape
    assert abs(ours - theirs).max() <= 1e-12 * abs(ours).max()


def zero_modes(points_mm: Floats, cells: Ints) -> int:
    """Return the number of free motions without energy."""
    matrix = build_system(points_mm, cells, METAL).stiffness.toarray()
    values = np.linalg.eigvalsh(matrix)
    return int(np.sum(np.abs(values) < 1e-10 * values[-1]))


def test_one_free_element_has_twelve_zero_modes() -> None:
    """Six rigid motions and six that 2 x 2 x 2 points do not see, on any shape of element."""
    mesh = curved_mesh()
    one = mesh.cells[17]
    nodes, cell = np.unique(one, return_inverse=True)
    assert zero_modes(mesh.points_mm[nodes], cell.reshape(1, 20)) == 12


@pytest.mark.parametrize("layers", [1, 2])
@pytest.mark.parametrize("along", [2, 4])
def test_a_free_tube_has_six_zero_modes(along: int, layers: int) -> None:
    """From two elements along, the six extra modes of one element cannot join round the tube."""
    bar = curvy_bar(METAL)
    mesh = distorted(bar, stretch(bar, (60.0, 160.0), (along,), 6, layers))
    assert zero_modes(mesh.points_mm, mesh.cells) == 6


@pytest.mark.parametrize("level", LEVELS)
def test_volume_seen_by_vtk(level: LevelName) -> None:
    """As VTK type 25 every cell is positive, and the sum is that of quadrature and of Pappus."""
    bar = curvy_bar(METAL)
    mesh = build_mesh(bar, level=level)
    grid = pyvista.UnstructuredGrid(
        {pyvista.CellType.QUADRATIC_HEXAHEDRON: mesh.cells}, mesh.points_mm
    )
    volumes = grid.compute_cell_sizes(length=False, area=False)["Volume"]
    assert volumes.min() > 0
    quadrature = float(build_system(mesh.points_mm, mesh.cells, METAL).grads.volumes_mm3.sum())
    assert quadrature == pytest.approx(volume_pappus_mm3(bar), rel=1e-3)
    # VTK cuts curved cells into flat pieces: 24 chords of the roughest circle lose 2 % and more
    assert volumes.sum() == pytest.approx(quadrature, rel=4e-2)


def test_gauss_points_are_a_rule() -> None:
    """Weights sum to one and the functions to one: nothing is lost at any point."""
    rule = hex20_gauss(2)
    assert rule.weights.sum() == pytest.approx(1.0, rel=1e-14)
    np.testing.assert_allclose(rule.values.sum(axis=1), 1.0, rtol=1e-13)
    np.testing.assert_allclose(rule.slopes.sum(axis=2), 0.0, atol=1e-13)
