"""Bending a tube: springback, walls and strain of worked figures."""

import pytest

from geometry.tube_bending import (
    extrados_wall_mm,
    intrados_wall_mm,
    outer_strain_percent,
    springback_fraction,
)


def test_bending_formulas_against_the_worked_figures() -> None:
    """22.2 mm tube: springback 4.5 and 7.6 deg of 90, walls 0.85 and 1.21 t, strain 18.5 %."""
    titanium = {"proof_mpa": 724, "modulus_mpa": 103e3}
    assert 90 * springback_fraction(60, 22.2, 0.9, **titanium) == pytest.approx(4.5, abs=0.05)
    assert 90 * springback_fraction(100, 22.2, 0.9, **titanium) == pytest.approx(7.6, abs=0.05)
    steel = {"proof_mpa": 517, "modulus_mpa": 200e3}
    assert 90 * springback_fraction(60, 22.2, 0.9, **steel) == pytest.approx(1.7, abs=0.05)
    assert extrados_wall_mm(60, 22.2, 1.0) == pytest.approx(0.85, abs=0.005)
    assert intrados_wall_mm(60, 22.2, 1.0) == pytest.approx(1.21, abs=0.005)
    assert outer_strain_percent(60, 22.2) == pytest.approx(18.5)
