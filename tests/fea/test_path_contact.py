"""Points that touch planes and cylinders, and the friction there, by themselves."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_array, eye_array

from fea.collapse.contact import (
    Contact,
    Surface,
    anchors_after,
    contact_forces,
    contact_slope,
    gaps_mm,
    rubbing,
)
from geometry.arrays import Floats

NONE = np.zeros(3)
UP = np.array([0.0, 0.0, 1.0])
PLANE = Surface(0, NONE, UP, NONE)
ROLLER = Surface(1, np.array([0.0, 0.0, -8.0]), UP, np.array([0.0, 1.0, 0.0]), 8.0)
SADDLE = Surface(2, np.array([0.0, 0.0, 8.0]), UP, np.array([0.0, 1.0, 0.0]), 8.0, hollow=True)
POINTS = 9


def contact(friction: float = 0.3) -> Contact:
    """Return three points over a plane, a roller and in a saddle each, all free to move."""
    places = np.array([[x, 0.2 * x, 0.0] for x in (-1.0, 0.0, 1.0)] * 3)
    owner = np.repeat([0, 1, 2], 3)
    moves = csr_array(eye_array(3 * POINTS))
    none = np.zeros(POINTS)
    stiff = np.linspace(1e3, 2e3, POINTS)
    most = np.where(owner == 0, 5.0 * (friction > 0), 0.0)
    return Contact(
        (PLANE, ROLLER, SADDLE), owner, places, moves, stiff, none + friction, none > 0, most
    )


def moved(seed: int, size: float = 0.02) -> Floats:
    """Return displacements of some points into their surfaces, of some out of them."""
    return np.random.default_rng(seed).normal(0.0, size, 3 * POINTS)


@settings(max_examples=50)
@given(st.integers(0, 10_000))
def test_the_slope_is_that_of_the_forces(seed: int) -> None:
    """By differences, away from where a point touches; round the roller without friction."""
    made, start, anchors = contact(), moved(seed), moved(seed + 1, 0.01).reshape(-1, 3)
    slope = contact_slope(made, start, anchors).toarray()
    way, step = moved(seed + 2, 1.0), 1e-8
    ends = [contact_forces(made, start + sign * step * way, anchors).ravel() for sign in (1, -1)]
    by_difference = (ends[1] - ends[0]) / (2 * step)
    near = np.abs(gaps_mm(made, start)) < 1e-6
    if not near.any():
        assert slope @ way == pytest.approx(by_difference, rel=1e-4, abs=1e-3 * np.abs(slope).max())
    np.testing.assert_allclose(slope, slope.T, atol=1e-9)


def test_what_pushes_and_what_does_not() -> None:
    """A plane pushes along its normal where a point is below it, a roller from its axis."""
    down = np.tile([0.0, 0.0, -0.01], POINTS)
    forces = contact_forces(contact(0.0), down, down.reshape(-1, 3))
    assert forces[0] == pytest.approx([0, 0, 1e3 * 0.01])
    # beside the roller's crown the surface falls away: 1 mm aside by 1/16 mm
    assert not forces[3].any()
    assert forces[4] == pytest.approx([0, 0, contact().stiffness[4] * 0.01])
    # and of a saddle it rises by as much, and pushes towards its axis
    depth = np.hypot(1.0, 8.01) - 8.0
    push = contact().stiffness[6] * depth * np.array([1.0, 0.0, 8.01]) / np.hypot(1.0, 8.01)
    assert forces[6] == pytest.approx(push)
    assert not contact_forces(contact(0.0), -9 * down, NONE).any()


def test_on_reversal_it_sticks_first() -> None:
    """What slid with friction returns elastically until it slides back."""
    made = replace(contact(0.3), owner=np.zeros(POINTS, dtype=int))
    anchors, forces = np.zeros((POINTS, 3)), []
    for along in (*np.linspace(0, 0.1, 21), *np.linspace(0.1, -0.1, 41)):
        here = np.tile([along, 0.0, -0.01], POINTS)
        rubbed = rubbing(made, here)
        forces.append(contact_forces(rubbed, here, anchors)[0, 0])
        anchors = anchors_after(rubbed, here, anchors)
    limit = 0.3 * 1e3 * 0.01
    assert forces[20] == pytest.approx(-limit)
    assert forces[22] == pytest.approx(-limit + 1e3 / 2 * 0.005)
    assert forces[-1] == pytest.approx(limit)
    assert np.abs(forces).max() <= limit * (1 + 1e-12)


def test_a_point_that_lifts_off_sticks_where_it_comes_down() -> None:
    """And feels no friction from before."""
    made, high = contact(), np.tile([0.3, 0.1, 0.02], POINTS)
    anchors = anchors_after(made, high, np.zeros((POINTS, 3)))
    down = high - np.tile([0.0, 0.0, 0.03], POINTS)
    assert contact_forces(rubbing(made, down), down, anchors)[0, :2] == pytest.approx([0, 0])
