"""Patch tests: constant strain and rigid motion on curved and distorted meshes.

The geometry lies in the displacement space, so a linear displacement has constant strain exactly,
at every point of every element. That it is in balance too is a matter of quadrature: exact with
3 x 3 x 3 points, and with the 2 x 2 x 2 of the program where the elements' edges are straight; on
curved elements the reduced rule leaves an error that must die out faster than that of a solution.
"""

import numpy as np
import pytest
from scipy.sparse import csr_array

from fea.solid.assembly import build_pattern, fill
from fea.solid.element import hex20_gauss
from fea.solid.kernels import gradients, lame_mpa, stiffness_blocks
from fea.solid.recovery import build_recovery, in_axes, stress_mpa, surface_stress
from geometry.arrays import Flags, Floats
from geometry.bar import Bar, axes
from geometry.mesh import TubeMesh
from support.blocks import Block, faces_on, mapped_block
from support.systems import build_system, metal, solved, traction
from support.tubes import at_s, curvy_bar, distorted, straight_bar, stretch

METAL = metal(107e3, 0.32)
ROUND_OFF = 1e-9
"""Relative; what is exact in theory comes out at about 1e-13."""

# any displacement gradient with all its components
GRADIENT = 1e-3 * np.array([[1.3, -0.4, 0.7], [0.2, -0.9, 1.1], [-0.6, 0.5, 0.8]])


def constant_stress() -> Floats:
    """Return (3, 3): Hooke's law for the gradient above."""
    lam, mu = lame_mpa(METAL)
    strain = (GRADIENT + GRADIENT.T) / 2
    return 2 * mu * strain + lam * np.trace(strain) * np.eye(3)


ENDS = (60.0, 160.0)
"""A stretch of straight, bend and part of the next bend."""

BEND = (87.0, 131.0)
"""A stretch inside one bend."""

STRESS = constant_stress()
LARGEST = np.abs(STRESS).max()


def tube(count: int, layers: int, ends_mm: tuple[float, float] = ENDS) -> tuple[Bar, TubeMesh]:
    """Return `count` elements along and round a stretch with a bend, taper and ovality."""
    bar = curvy_bar(METAL)
    return bar, distorted(bar, stretch(bar, ends_mm, (count,), count, layers))


def stiffness(mesh: TubeMesh, points: int) -> csr_array:
    """Return the stiffness with points^3 Gauss points in each element."""
    grads = gradients(mesh.points_mm, mesh.cells, hex20_gauss(points))
    pattern = build_pattern(mesh.cells, len(mesh.points_mm))
    return fill(pattern, stiffness_blocks(grads, METAL))


def ends(mesh: TubeMesh) -> Flags:
    """Return (N,): the nodes of both end faces."""
    return at_s(mesh, ENDS[0]) | at_s(mesh, ENDS[1])


def patch_error(mesh: TubeMesh, points: int) -> float:
    """Return the largest error of the displacement, ends moved and both faces pulled exactly."""
    linear = mesh.points_mm @ GRADIENT.T
    outer, inner = (
        traction(mesh.points_mm, faces, lambda _, normals: normals @ STRESS)
        for faces in (mesh.outer, mesh.inner)
    )
    held = np.repeat(ends(mesh)[:, None], 3, axis=1)
    # the inner surface's faces have the normals of the sheet, into the metal
    moved, _ = solved(stiffness(mesh, points), held, outer - inner, linear)
    return float(np.abs(moved - linear).max() / np.abs(linear).max())


@pytest.mark.parametrize("layers", [1, 2])
def test_strain_of_a_linear_field_is_constant(layers: int) -> None:
    """Stress at the Gauss points of a curved, distorted tube is Hooke's of the gradient."""
    _, mesh = tube(10, layers)
    system = build_system(mesh.points_mm, mesh.cells, METAL)
    moved = mesh.points_mm @ GRADIENT.T
    found = stress_mpa(system.grads, METAL, moved[mesh.cells])
    np.testing.assert_allclose(
        found, np.broadcast_to(STRESS, found.shape), atol=ROUND_OFF * LARGEST
    )


@pytest.mark.parametrize("layers", [1, 2])
def test_rigid_motion_needs_no_force(layers: int) -> None:
    """Shift and turn of a curved, distorted tube: forces vanish against those of a stretch."""
    _, mesh = tube(10, layers)
    matrix = build_system(mesh.points_mm, mesh.cells, METAL).stiffness
    spin = np.array([[0, -0.3, 0.2], [0.3, 0, -0.5], [-0.2, 0.5, 0]])
    rigid, stretched = mesh.points_mm @ spin.T + [3.0, -1.0, 2.0], 0.3 * mesh.points_mm
    left = np.abs(matrix @ rigid.ravel()).max()
    assert left < ROUND_OFF * np.abs(matrix @ stretched.ravel()).max()


@pytest.mark.parametrize("layers", [1, 2])
def test_patch_of_curved_elements(layers: int) -> None:
    """With 3 x 3 x 3 points the solution of a tube under constant stress is the linear field."""
    _, mesh = tube(10, layers)
    assert patch_error(mesh, 3) < ROUND_OFF


@pytest.mark.parametrize("layers", [1, 2])
def test_the_reduced_rule_closes_in_on_the_patch(layers: int) -> None:
    """With 2 x 2 x 2 points the error of the patch falls at third order at least."""
    coarse, fine = (patch_error(tube(count, layers)[1], 2) for count in (10, 20))
    assert coarse < 1e-2
    # at least 2.7: both meshes are coarse, the bend has four elements in the first
    assert np.log2(coarse / fine) > 2.7


def straight_edged(counts: tuple[int, int, int]) -> Block:
    """Return a block with shifted inner and outer corners, every edge straight."""
    rng = np.random.default_rng(3)
    size = np.array([30.0, 20.0, 10.0])
    corners = np.stack(np.meshgrid(*[np.arange(n + 1) for n in counts], indexing="ij"), axis=-1)
    corners = corners + rng.uniform(-0.2, 0.2, corners.shape)

    def place(box: Floats) -> Floats:
        at = box * counts
        low = np.minimum(at.astype(int), np.array(counts) - 1)
        share = at - low
        total = np.zeros_like(box)
        for step in np.ndindex(2, 2, 2):
            weight = np.prod(np.where(step, share, 1 - share), axis=1)
            total += weight[:, None] * corners[tuple((low + step).T)]
        return total / counts * size

    return mapped_block(counts, place)


def test_patch_of_distorted_blocks() -> None:
    """With the program's own 2 x 2 x 2 points straight-edged elements pass the patch test."""
    block = straight_edged((4, 3, 3))
    system = build_system(block.points_mm, block.cells, METAL)
    skin = ((block.box < 1e-9) | (block.box > 1 - 1e-9)).any(axis=1)
    linear = block.points_mm @ GRADIENT.T
    pull = traction(block.points_mm, faces_on(block.cells, skin), lambda _, n: n @ STRESS)
    root = block.box[:, 0] < 1e-9
    held = np.repeat(root[:, None], 3, axis=1)
    moved, _ = solved(system.stiffness, held, pull, linear)
    assert np.abs(moved - linear).max() < ROUND_OFF * np.abs(linear).max()
    found = stress_mpa(system.grads, METAL, moved[block.cells])
    np.testing.assert_allclose(
        found, np.broadcast_to(STRESS, found.shape), atol=ROUND_OFF * LARGEST
    )


def recovered_error(count: int, layers: int) -> float:
    """Return the largest error of the recovered surface stress of a constant stress."""
    bar, mesh = tube(count, layers, BEND)
    system = build_system(mesh.points_mm, mesh.cells, METAL)
    moved = mesh.points_mm @ GRADIENT.T
    found = surface_stress(build_recovery(bar, mesh), mesh, system.grads, METAL, moved)
    rows = axes(bar, *mesh.sheet.nodes.T)
    exact = in_axes(np.broadcast_to(STRESS, rows.shape), rows)
    both = (found.outer - exact, found.inner - exact)
    return max(float(np.abs(each).max()) for each in both) / LARGEST


@pytest.mark.parametrize("layers", [1, 2])
def test_recovered_stress_of_a_constant_one(layers: int) -> None:
    """A constant stress turns twice round the tube's own axes; inside a bend the fit closes in."""
    # third order is a quadratic fit's; across a tangent point the axes' own turn has a kink, and
    # a patch over it is of first order. 24 round is the standard mesh.
    coarse, fine = (recovered_error(count, layers) for count in (12, 24))
    assert np.log2(coarse / fine) > 3
    assert fine < 2e-3  # measured 1.3e-3


@pytest.mark.parametrize("layers", [1, 2])
def test_recovered_stress_of_a_stretched_tube(layers: int) -> None:
    """A straight tube pulled and twisted: the stress is smooth in its own axes and comes exact."""
    bar = straight_bar(100, 31.8, 1.5, METAL)
    mesh = stretch(bar, (0.0, 60.0), (6,), 8, layers)
    system = build_system(mesh.points_mm, mesh.cells, METAL)
    nu, modulus = METAL.poisson_ratio, METAL.youngs_modulus_mpa
    moved = 1e-3 * mesh.points_mm * np.array([1.0, -nu, -nu])
    found = surface_stress(build_recovery(bar, mesh), mesh, system.grads, METAL, moved)
    exact = np.zeros((len(mesh.sheet.nodes), 6))
    exact[:, 0] = 1e-3 * modulus
    for face in (found.outer, found.inner):
        np.testing.assert_allclose(face, exact, atol=ROUND_OFF * 1e-3 * modulus)
