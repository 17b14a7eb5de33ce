"""Intervals of a press record: each term of a line by itself, and how they are shown."""

from math import sqrt

import numpy as np
import pytest

from studies.bench.cleaning import Divisions
from studies.bench.interval import Errors, Measured, joined, line_of
from studies.bench.text import digits


def test_a_line_s_terms_join_in_a_root_of_squares() -> None:
    """Twice the root of squares is half of the interval."""
    x = np.linspace(0, 10, 11)
    line = line_of(x, 100 * x, Errors(30.0, 0.0, Divisions(0.0, 0.0), 1e-5))
    gauge = 100 * 30 * sqrt(2 / 3) / 1000
    assert line.slope.half_width == pytest.approx(2 * sqrt(gauge**2 + 0.1**2))
    assert joined({"a": 3.0}, {"a": 4.0, "b": 1.0}) == {"a": 5.0, "b": 1.0}


def test_a_line_s_divisions_and_zero() -> None:
    """A step at either end of the slope; at no force the error of the near end counts alone."""
    x = np.linspace(0, 10, 11)
    line = line_of(x, 100 * x, Errors(30.0, 0.0, Divisions(10.0, 0.1), 0.0))
    step = sqrt(10**2 + (0.1 * 100) ** 2)
    assert line.slope.terms["divisions"] == pytest.approx(100 * step / sqrt(6) / 1000)
    assert line.zero.terms["gauge"] == pytest.approx(30 / sqrt(3) / 100)
    assert line.zero.terms["divisions"] == pytest.approx(step / sqrt(12) / 100)
    # from half its force on, the far end counts as well
    line = line_of(x + 10, 100 * x + 1000, Errors(30.0, 0.0, Divisions(0.0, 0.0), 0.0))
    assert line.zero.terms["gauge"] == pytest.approx(30 / sqrt(3) / 100 * sqrt(1 + 4))


def test_a_line_that_bends() -> None:
    """Half the difference of the halves' slopes is a uniform error."""
    x = np.linspace(0, 10, 1000)
    y = np.where(x < 5, 110 * x, 550 + 90 * (x - 5))
    line = line_of(x, y, Errors(0.0, 0.0, Divisions(0.0, 0.0), 0.0))
    assert line.slope.terms["curvature"] == pytest.approx(20 / (2 * sqrt(3)), rel=0.01)
    assert line.zero.terms["curvature"] == pytest.approx(
        line.slope.terms["curvature"] * 500 / 100**2, rel=0.02
    )


def test_the_fit_s_error_is_that_of_a_regression() -> None:
    """White noise of 10 N on a thousand points: 10 sqrt(12/1000)/10 for the slope."""
    x = np.linspace(0, 10, 1000)
    y = 100 * x + 10 * np.random.default_rng(1).standard_normal(1000)
    line = line_of(x, y, Errors(0.0, 0.0, Divisions(0.0, 0.0), 0.0))
    assert line.slope.terms["fit"] == pytest.approx(sqrt(12 / 1000), rel=0.1)
    assert line.zero.terms["fit"] == pytest.approx(2 * 10 / sqrt(1000) / 100, rel=0.1)


@pytest.mark.parametrize(
    ("value", "width", "shown"),
    [
        (1234.567, 45.6, ("1235", "46")),
        (1234.567, 456, ("1230", "460")),
        (1.23456, 0.0456, ("1.235", "0.046")),
        (-0.001, 0.5, ("0.00", "0.50")),
        (12.0, 0.0, ("12", "0")),
    ],
)
def test_digits(value: float, width: float, shown: tuple[str, str]) -> None:
    """Two digits of the interval, and the value to the same place."""
    assert digits(Measured(value, {"fit": width / 2})) == shown
