"""Stress without the axes of the stretch: the same as with them, at every number of points."""

from unittest.mock import patch

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fea.collapse import solid
from fea.collapse.flow_curve import PowerCurve
from fea.collapse.moderate_strain import ENOUGH, moderate_stress
from fea.collapse.plastic import State
from fea.collapse.solid import Solid, respond
from fea.solid.element import hex20_gauss
from fea.solid.kernels import gradients
from geometry.arrays import Floats
from support.blocks import mapped_block
from support.large import metal

METAL = metal(70000.0, 0.33, PowerCurve(70000.0, 240.0, 20.0))


def _elements(norm: float) -> tuple[Solid, Floats, State]:
    """Return elements turned far, strained to 0.9 of a norm of C - 1, and a state before."""
    block = mapped_block((2, 2, 1), lambda box: box * [1.0, 1.2, 0.9])
    grads = gradients(block.points_mm, block.cells, hex20_gauss(2))
    random = np.random.default_rng(11)
    stretch = random.normal(size=(3, 3))
    stretch += stretch.T
    squares, axes = np.linalg.eigh(stretch)
    squares = 1 + 0.9 * norm * squares / np.linalg.norm(squares)
    pulled = axes * np.sqrt(squares) @ axes.T
    turned = Rotation.from_rotvec([0.4, -0.9, 1.3]).as_matrix() @ pulled
    moved = block.points_mm @ turned.T - block.points_mm
    state = State(
        random.normal(scale=norm / 50, size=(len(block.cells), 8, 6)),
        random.uniform(0, norm / 20, size=(len(block.cells), 8)),
    )
    return Solid(block.cells, grads, METAL), moved, state


@pytest.mark.parametrize("norm", [most for most, _ in ENOUGH])
def test_it_is_the_stress_in_the_axes(norm: float) -> None:
    """Forces and state, to rounding, with every number of points at the end of its range."""
    elements, moved, before = _elements(norm)
    found = respond(elements, moved, before)
    with patch.object(solid, "moderate_stress", lambda *_: None):
        true = respond(elements, moved, before)
    assert true.state.equivalent.min() > before.equivalent.max() / 100
    largest = np.abs(true.forces).max()
    assert found.forces == pytest.approx(true.forces, abs=1e-12 * largest / norm)
    assert found.state.plastic == pytest.approx(true.state.plastic, abs=1e-14)
    assert found.state.equivalent == pytest.approx(true.state.equivalent, abs=1e-14)


def test_large_strains_are_left_to_others() -> None:
    """Beyond the last number of points it has no answer."""
    most = ENOUGH[-1][0]
    gradient = np.eye(3)[None] * np.sqrt(1 + np.array([0.99, 1.01])[:, None, None] * most / 3**0.5)
    none = np.zeros((1, 6)), np.zeros(1)
    assert moderate_stress(METAL, gradient[:1], *none) is not None
    assert moderate_stress(METAL, gradient[1:], *none) is None
