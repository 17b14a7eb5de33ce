"""Polynomials through designs, against functions that they can or cannot be."""

import numpy as np
import pytest

from geometry.arrays import Floats
from studies.preview.fit import POWERS, Fit, coefficients, fit_through, foretold, terms_at

ONE = [(1.0,), (0.7,), (1.4,), (0.7**0.5,), (1.4**0.5,)]
TWO = [
    *((1.0, 1.0), (0.7, 0.7), (1.4, 1.4), (0.7, 1.4), (1.4, 0.7)),
    *((0.7**0.5, 1.0), (1.0, 0.7**0.5), (1.4, 1.0), (1.4**0.5, 1.4**0.5)),
]
BOTH = pytest.mark.parametrize("factors", [ONE, TWO])


def between(factors: list[tuple[float, ...]]) -> list[tuple[float, ...]]:
    """Return factors at which nothing was computed."""
    return [(0.78,), (1.31,)] if len(factors[0]) == 1 else [(0.78, 1.2), (1.31, 0.9), (1.05, 0.75)]


def polynomial(fit: Fit, scale: Floats, factors: list[tuple[float, ...]]) -> Floats:
    """Return a polynomial of all the fit's terms at factors, 5 at the study's own walls."""
    return np.array([5 + scale @ terms_at(fit.powers, one) for one in factors])


@BOTH
def test_a_power_of_the_wall_is_followed_to_rounding(factors: list[tuple[float, ...]]) -> None:
    """Its logarithm is linear in those of the factors."""
    fit, power = fit_through(factors), np.array([-1.7, 0.4])[: len(factors[0])]
    found = coefficients(fit, np.array([np.log(one) @ power for one in factors]))
    for one in (*factors, *between(factors)):
        value = np.exp(found @ terms_at(fit.powers, one))
        assert value == pytest.approx(np.prod(np.array(one) ** power), rel=1e-12)


@BOTH
def test_what_the_terms_can_say_is_found_and_foretold(factors: list[tuple[float, ...]]) -> None:
    """A polynomial of them comes back at the designs and between, and its stated error is 0."""
    fit = fit_through(factors)
    scale = np.linspace(1, -2, len(fit.powers))
    values = polynomial(fit, scale, factors)
    assert coefficients(fit, values) == pytest.approx(scale, rel=1e-9)
    assert foretold(fit, values) == pytest.approx(values[-1], rel=1e-12)
    rebuilt = polynomial(fit, coefficients(fit, values), between(factors))
    assert rebuilt == pytest.approx(polynomial(fit, scale, between(factors)), rel=1e-12)


@BOTH
def test_what_they_cannot_say_has_an_error(factors: list[tuple[float, ...]]) -> None:
    """A kink, as of a limit whose place moves, is not foretold."""
    values = np.array([max(1.0, one[-1] ** 2) for one in factors])
    assert abs(foretold(fit_through(factors), values) - values[-1]) > 0.01


@BOTH
def test_at_the_studys_own_walls_every_term_is_zero(factors: list[tuple[float, ...]]) -> None:
    """So that what is printed there is what the run printed, to the bit."""
    powers = POWERS[len(factors[0])]
    assert np.array_equal(terms_at(powers, factors[0]), np.zeros(len(powers)))


def test_fields_are_fitted_place_by_place() -> None:
    """Values with places and columns have coefficients of that shape, each as if it were alone."""
    fit = fit_through(TWO)
    values = np.random.default_rng(3).normal(size=(len(TWO), 4, 2))
    found = coefficients(fit, values)
    assert found.shape == (len(fit.powers), 4, 2)
    assert found[:, 2, 1] == pytest.approx(coefficients(fit, values[:, 2, 1]))
    assert foretold(fit, values)[3, 0] == pytest.approx(float(foretold(fit, values[:, 3, 0])))
