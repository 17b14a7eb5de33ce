"""Zeros of many falling functions at once, against closed forms."""

import numpy as np

from fea.fatigue.falling_zero import ERROR, falling_zero
from geometry.arrays import Floats


def test_zeros_are_found_in_a_few_steps() -> None:
    """Straight, curved and steep ones together, in a quarter of the halves that they would take."""
    exact = np.array([0.3, 1.7, 3.9, 2.2])
    power = np.array([1.0, 3.0, 0.5, 9.0])
    asked = []

    def function(x: Floats) -> Floats:
        asked.append(x)
        return exact**power - x**power

    low, high = np.zeros(4), np.full(4, 4.0)
    found = falling_zero(function, (low, high), (function(low), function(high)))
    np.testing.assert_allclose(found, exact, rtol=0, atol=2 * ERROR)
    assert len(asked) <= 14


def test_a_jump_is_found_by_halves() -> None:
    """Where a function leaps over zero, its place is as near as a continuous one's."""

    def function(x: Floats) -> Floats:
        return np.where(x < np.pi, 30.0 - x, -30.0)

    low, high = np.zeros(1), np.full(1, 5.0)
    found = falling_zero(function, (low, high), (function(low), function(high)))
    np.testing.assert_allclose(found, np.pi, rtol=0, atol=2 * ERROR)


def test_what_has_no_zero_does_not_delay_the_others() -> None:
    """The second function is above zero throughout."""
    asked = []

    def function(x: Floats) -> Floats:
        asked.append(x)
        return np.stack([1.0 - x[0] ** 3, 9.0 - x[1]])

    low, high = np.zeros(2), np.full(2, 3.0)
    found = falling_zero(function, (low, high), (function(low), function(high)))
    assert abs(found[0] - 1) <= 2 * ERROR
    assert len(asked) <= 16
