"""Knock-downs, and the lower of two buckling stresses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fea.stress_strain import Curve, strain_at
from fea.wrinkling import (
    axial_knock_down,
    bending_knock_down,
    classical_stress_mpa,
    critical_wrinkle,
    plastic_wrinkle,
)

TITANIUM = Curve(103e3, 0.3, 724.0, 20.0)


def test_knock_downs_by_hand() -> None:
    """R/t 256: phi = 1, so 1 - 0.901 (1 - 1/e) = 0.43046 and 1 - 0.731 (1 - 1/e) = 0.53792."""
    r, t = np.array(256.0), np.array(1.0)
    assert axial_knock_down(r, t) == pytest.approx(0.43046, abs=1e-5)
    assert bending_knock_down(r, t) == pytest.approx(0.53792, abs=1e-5)


@given(slimness=st.floats(5.0, 1000.0), share=st.floats(0.0, 1.0))
def test_the_lower_stress_governs(slimness: float, share: float) -> None:
    """Never above plastic wrinkling, nor above the elastic stress between its two knock-downs."""
    r, t = np.array(slimness), np.array(1.0)
    found = critical_wrinkle(TITANIUM, r, t, share)
    classical = classical_stress_mpa(103e3, 0.3, r, t)
    even, bent = axial_knock_down(r, t) * classical, bending_knock_down(r, t) * classical
    plastic = plastic_wrinkle(TITANIUM, r, t).stress_mpa
    assert found.stress_mpa <= plastic * (1 + 1e-12)
    assert found.stress_mpa <= bent * (1 + 1e-12)
    assert found.stress_mpa >= min(plastic, even) * (1 - 1e-12)
    assert found.strain == pytest.approx(strain_at(TITANIUM, found.stress_mpa), rel=1e-12)
    assert bool(found.elastic) == (found.stress_mpa < plastic)


def test_thin_tubes_are_elastic_and_thick_ones_plastic() -> None:
    """R/t 500 wrinkles far below yield, R/t 10 above it."""
    found = critical_wrinkle(TITANIUM, np.array([500.0, 10.0]), np.ones(2), 1.0)
    assert found.elastic.tolist() == [True, False]
