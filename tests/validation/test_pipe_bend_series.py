"""Flexibility of an infinitely long curved tube in pure bending.

Th. von Karman, Über die Formänderung dünnwandiger Rohre, insbesondere federnder
Ausgleichsrohre, Zeitschrift des VDI 55 (1911) 1889-1895, for the method and the one-term formula
(from memory, unverified). The series was evaluated apart from this program with 30 terms; the
solids are sectors of a torus between planes of symmetry, cubic elements, nu = 0.32, computed with
another finite-element code (refinement moved K by less than 0.01 %).
"""

import numpy as np
import pytest

from fea.beam import pipe_bend
from fea.beam.pipe_bend import bend_parameter, flexibility_factor

LAMBDA = np.array([0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.5, 2.0, 3.0])
FACTOR = (
    "34.639 17.315 11.555 8.6751 6.9222 5.7280 4.2037 3.2929 2.7090 2.0406 1.6934 1.3215 1.1837 "
    "1.0826"
)

# od, wall, bend radius in mm, K of the solid
SOLIDS = [
    (31.8, 0.8, 60.0, 8.203),
    (31.8, 1.5, 60.0, 4.051),
    (31.8, 1.5, 80.0, 2.971),
    (31.8, 1.5, 120.0, 1.987),
    (22.2, 2.5, 60.0, 1.286),
]


def misses(values: np.ndarray, printed: str, digits: float) -> list[str]:
    """Return the printed values that are missed by more than `digits` of their last digit."""
    texts = printed.split()
    unit = np.array([10.0 ** -len(text.partition(".")[2]) for text in texts])
    wrong = np.abs(values - np.array(texts, dtype=float)) > digits * unit
    return [text for text, bad in zip(texts, wrong, strict=True) if bad]


@pytest.mark.parametrize("poisson_ratio", [0.0, 0.3, 0.33])
def test_flexibility_factor_table(poisson_ratio: float) -> None:
    """K over lambda, to every printed digit; Poisson's ratio enters through lambda only."""
    h = LAMBDA * np.sqrt(1 - poisson_ratio**2)
    assert misses(flexibility_factor(h, poisson_ratio), FACTOR, 0.501) == []


def test_one_term_is_von_karmans_formula(monkeypatch: pytest.MonkeyPatch) -> None:
    """With a single term the series is (12 lambda^2 + 10)/(12 lambda^2 + 1), from memory."""
    monkeypatch.setattr(pipe_bend, "TERMS", 1)
    expected = (12 * LAMBDA**2 + 10) / (12 * LAMBDA**2 + 1)
    np.testing.assert_allclose(flexibility_factor(LAMBDA, 0.0), expected, rtol=1e-13)


def test_series_is_converged(monkeypatch: pytest.MonkeyPatch) -> None:
    """Five times the terms change K by less than 1e-10 down to h = 0.02."""
    h = np.geomspace(0.02, 5.0, 40)
    factor = flexibility_factor(h, 0.3)
    monkeypatch.setattr(pipe_bend, "TERMS", 5 * pipe_bend.TERMS)
    np.testing.assert_allclose(factor, flexibility_factor(h, 0.3), rtol=1e-10)


def test_limits_of_small_and_large_h() -> None:
    """K falls towards sqrt(3)/lambda (Clark and Reissner, from memory) and towards 1."""
    thin = flexibility_factor(0.01, 0.0)
    assert thin == pytest.approx(np.sqrt(3) / 0.01, rel=1e-4)  # its first term
    assert flexibility_factor(1e3, 0.3) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(("od_mm", "wall_mm", "radius_mm", "solid"), SOLIDS)
def test_factor_against_solids(
    od_mm: float, wall_mm: float, radius_mm: float, solid: float
) -> None:
    """K of five tubes: thin-wall theory is within 1.1 % where t/r is 0.05 to 0.25."""
    h = bend_parameter(*map(np.asarray, (wall_mm, radius_mm, (od_mm - wall_mm) / 2)))
    assert flexibility_factor(h, 0.32) == pytest.approx(solid, rel=0.011)


def test_five_percent_of_h_turn_them_red() -> None:
    """With h 5 % off every K and every solid is missed."""
    h = 1.05 * LAMBDA * np.sqrt(1 - 0.3**2)
    assert misses(flexibility_factor(h, 0.3), FACTOR, 0.501) == FACTOR.split()
    for od_mm, wall_mm, radius_mm, solid in SOLIDS:
        off = 1.05 * bend_parameter(*map(np.asarray, (wall_mm, radius_mm, (od_mm - wall_mm) / 2)))
        assert abs(flexibility_factor(off, 0.32) / solid - 1) > 0.011
