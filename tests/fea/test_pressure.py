"""Pressure on faces: its resultants."""

import numpy as np
import pytest

from fea.solid.pressure import pressure_force
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
