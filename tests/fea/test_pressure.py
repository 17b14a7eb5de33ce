"""Pressure on faces: its resultants, and the stiffness of one that follows the surface."""

import numpy as np
import pytest

from fea.solid.assembly import build_pattern, fill
from fea.solid.pressure import pressure_force, pressure_stiffness_blocks
from fea.solid.surface import face_rule
from geometry.arrays import Floats, Ints
from support.blocks import SURFACES, Block, mapped_block


@pytest.fixture(scope="module")
def lump() -> Block:
    """Return a block of 2 x 2 x 2 curved elements."""

    def place(box: Floats) -> Floats:
        bulge = 0.2 * np.sin(np.pi * box[:, [1, 2, 0]]) * box
        return 10 * (box + bulge)

    return mapped_block((2, 2, 2), place)


def skin(block: Block) -> Ints:
    """Return the faces of a block that belong to one element only."""
    faces = block.cells[:, SURFACES].reshape(-1, 8)
    _, where, count = np.unique(
        np.sort(faces, axis=1), axis=0, return_inverse=True, return_counts=True
    )
    return faces[count[where.ravel()] == 1]


def forces(points: Floats, faces: Ints) -> Floats:
    """Return the nodal forces of a unit pressure."""
    rule = face_rule(points, faces)
    return pressure_force(rule, np.ones_like(rule.areas_mm2), len(points))


def test_pressure_all_round_has_no_resultant(lump: Block) -> None:
    """No force and no moment, to round-off."""
    force = forces(lump.points_mm, skin(lump))
    scale = np.abs(force).sum()
    np.testing.assert_allclose(force.sum(axis=0), 0, atol=1e-13 * scale)
    turn = np.cross(lump.points_mm, force).sum(axis=0)
    np.testing.assert_allclose(turn, 0, atol=1e-12 * scale * 10)


def test_stiffness_is_the_change_of_force_on_a_closed_surface(lump: Block) -> None:
    """Against central differences of the force; there it is symmetric, so nothing is lost."""
    faces, count = skin(lump), len(lump.points_mm)
    blocks = pressure_stiffness_blocks(lump.points_mm, faces)
    matrix = fill(build_pattern(faces, count), blocks)
    shift = np.random.default_rng(2).standard_normal((count, 3))
    step = 1e-4
    change = forces(lump.points_mm + step * shift, faces) - forces(
        lump.points_mm - step * shift, faces
    )
    found = (matrix @ shift.ravel()).reshape(-1, 3)
    # the force is quadratic in the displacement, so central differences are exact
    np.testing.assert_allclose(found, -change / (2 * step), atol=1e-8 * np.abs(found).max())
    wrong = 1.05 * found
    assert np.abs(wrong + change / (2 * step)).max() > 1e-3 * np.abs(found).max()
