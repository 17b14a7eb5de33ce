"""Plastic wrinkling: one root, its limits and scales, knock-downs, and which one governs."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fea.stability.stress_strain import Curve, curve_of, strain_at
from fea.stability.wrinkling import (
    axial_knock_down,
    bending_knock_down,
    classical_stress_mpa,
    critical_wrinkle,
    plane_moduli,
    plastic_wrinkle,
)
from geometry.errors import InputError
from geometry.material import load_material

ALUMINIUM = Curve(68300.0, 0.33, 241.0, 40.0)
TITANIUM = Curve(103000.0, 0.30, 724.0, 20.0)
CATALOGUE = [curve_of(load_material(f"{name}")) for name in ("al-6061-t6", "ti-3al-2.5v-cwsr")]
CURVES = [ALUMINIUM, TITANIUM, *CATALOGUE]
DIAMETERS = np.array([15.0, 20.0, 30.0, 45.0, 60.0])  # outer, over the wall

curves = st.builds(
    Curve,
    st.floats(5e4, 2.2e5),
    st.floats(0.0, 0.5),
    st.floats(50.0, 1500.0),
    st.floats(1.0, 60.0),
)
slimness = st.floats(1.0, 1000.0)


def load_over_resistance(curve: Curve, stress_mpa: np.ndarray, radius_mm: float) -> np.ndarray:
    """Return a stress over the wrinkling stress by the moduli at it, for a wall of 1 mm."""
    c = plane_moduli(curve, stress_mpa)
    return stress_mpa * radius_mm / np.sqrt((c.c11_mpa * c.c22_mpa - c.c12_mpa**2) / 3)


@given(curves, slimness)
def test_one_root(curve, radius):
    """Load over resistance rises with stress, and is one at the answer and nowhere else."""
    found = plastic_wrinkle(curve, radius, 1.0).stress_mpa
    at = load_over_resistance(curve, found * np.linspace(0.01, 1.3, 130), radius)
    assert np.all(np.diff(at) > 0)
    assert load_over_resistance(curve, found, radius) == pytest.approx(1.0, rel=1e-13)


@given(curves, slimness)
def test_bounds(curve, radius):
    """Never above the elastic stress, nor a strain above 2 t/(3 R); both but for rounding."""
    found = plastic_wrinkle(curve, radius, 1.0)
    E, nu = curve.youngs_modulus_mpa, curve.poisson_ratio
    assert found.stress_mpa <= classical_stress_mpa(E, nu, radius, 1.0) * (1 + 1e-13)
    assert found.strain <= 2 / (3 * radius) * (1 + 1e-13)
    assert found.strain == strain_at(curve, found.stress_mpa)


@given(curves, slimness, st.floats(0.01, 100.0))
def test_scale(curve, radius, size):
    """A tube twice as large wrinkles at the same stress, in waves twice as long."""
    small, large = (plastic_wrinkle(curve, s * radius, s) for s in (1.0, size))
    assert large.stress_mpa == pytest.approx(small.stress_mpa, rel=1e-12)
    assert large.half_wave_mm == pytest.approx(size * small.half_wave_mm, rel=1e-12)


@pytest.mark.parametrize("nu", [0.0, 0.3, 0.5])
def test_elastic_limit(nu):
    """With a proof stress out of reach all is E t/(R sqrt(3 (1 - nu^2))) and its wave."""
    curve, radius = Curve(7e4, nu, 1e9, 30.0), np.geomspace(2.0, 1000.0, 9)
    found, c = plastic_wrinkle(curve, radius, 1.0), plane_moduli(curve, 100.0)
    np.testing.assert_allclose(c.c11_mpa, 7e4 / (1 - nu**2), rtol=1e-12)
    np.testing.assert_allclose(c.c22_mpa, c.c11_mpa, rtol=1e-12)
    np.testing.assert_allclose(c.c12_mpa, nu * c.c11_mpa, rtol=1e-12, atol=1e-9)
    classical = 7e4 / radius / np.sqrt(3 * (1 - nu**2))
    np.testing.assert_allclose(found.stress_mpa, classical, rtol=1e-12)
    np.testing.assert_allclose(classical_stress_mpa(7e4, nu, radius, 1.0), classical, rtol=1e-14)
    wave = np.pi * np.sqrt(radius) / (12 * (1 - nu**2)) ** 0.25
    np.testing.assert_allclose(found.half_wave_mm, wave, rtol=1e-12)


def test_elastic_limit_in_figures():
    """0.605 E t/R and 1.728 sqrt(R t) at nu = 0.3, as books print them."""
    found = plastic_wrinkle(Curve(1.0, 0.3, 1e9, 1000.0), 100.0, 1.0)
    assert found.stress_mpa == pytest.approx(0.605 / 100, abs=0.0005 / 100)
    assert found.half_wave_mm == pytest.approx(17.28, abs=0.005)


@pytest.mark.parametrize("curve", CURVES)
def test_slimmer_tubes_wrinkle_earlier(curve):
    """Stress and strain fall with D/t; a tube of D/t 15 stands more than its proof stress."""
    found = plastic_wrinkle(curve, (DIAMETERS - 1) / 2, 1.0)
    assert np.all(np.diff(found.stress_mpa) < 0)
    assert np.all(np.diff(found.strain) < 0)
    assert found.stress_mpa[0] > curve.proof_stress_mpa


@pytest.mark.parametrize("curve", CURVES)
def test_arrays_are_single_tubes_side_by_side(curve):
    """Each tube of an array has the answer that it has alone."""
    radius = np.array([[7.0, 9.5], [14.5, 29.5]])
    together = plastic_wrinkle(curve, radius, np.array([1.0, 2.0]))
    for at in np.ndindex(2, 2):
        alone = plastic_wrinkle(curve, radius[at], 1.0 + at[1])
        # powers of arrays and of single numbers may differ in the last digit
        assert together.stress_mpa[at] == pytest.approx(float(alone.stress_mpa), rel=1e-14)
        assert together.half_wave_mm[at] == pytest.approx(float(alone.half_wave_mm), rel=1e-13)


def test_knock_downs_by_hand():
    """r/t = 256 has phi = 1: 1 - 0.901 x 0.632121 and 1 - 0.731 x 0.632121; 1 for thick tubes."""
    assert axial_knock_down(256.0, 1.0) == pytest.approx(0.430459, abs=1e-6)
    assert bending_knock_down(256.0, 1.0) == pytest.approx(0.537920, abs=1e-6)
    assert axial_knock_down(268.8, 1.0) != pytest.approx(0.430459, abs=1e-3)
    assert axial_knock_down(1.0, 1.0) > 0.94


def test_thick_tubes_wrinkle_plastically_and_thin_ones_elastically():
    """Which one governs, and that the answer is that one."""
    tubes = critical_wrinkle(ALUMINIUM, np.array([10.0, 1000.0]), 1.0, 0.5)
    assert tubes.elastic.tolist() == [False, True]
    plastic = plastic_wrinkle(ALUMINIUM, 10.0, 1.0)
    assert tubes.stress_mpa[0] == pytest.approx(float(plastic.stress_mpa), rel=1e-14)
    assert tubes.half_wave_mm[0] == pytest.approx(float(plastic.half_wave_mm), rel=1e-13)
    bending, axial = bending_knock_down(1000.0, 1.0), axial_knock_down(1000.0, 1.0)
    knocked = classical_stress_mpa(68300.0, 0.33, 1000.0, 1.0) / (0.5 / bending + 0.5 / axial)
    assert tubes.stress_mpa[1] == pytest.approx(knocked, rel=1e-14)
    assert tubes.strain[1] == pytest.approx(knocked / 68300, rel=1e-9)  # the curve is straight


def test_bending_share_leads_from_axial_to_bending():
    """The two ends have the factor of their kind, and the stress rises between them."""
    share = np.linspace(0.0, 1.0, 5)
    found = critical_wrinkle(ALUMINIUM, 1000.0, 1.0, share).stress_mpa
    classical = classical_stress_mpa(68300.0, 0.33, 1000.0, 1.0)
    assert found[0] == pytest.approx(classical * axial_knock_down(1000.0, 1.0), rel=1e-14)
    assert found[-1] == pytest.approx(classical * bending_knock_down(1000.0, 1.0), rel=1e-14)
    assert np.all(np.diff(found) > 0)


@given(curves, st.floats(1.0, 1000.0), st.floats(0.0, 1.0))
def test_imperfections_never_help(curve, radius, share):
    """The critical wrinkle is at or below the perfect tube's."""
    perfect = plastic_wrinkle(curve, radius, 1.0)
    assert critical_wrinkle(curve, radius, 1.0, share).stress_mpa <= perfect.stress_mpa


@pytest.mark.parametrize(
    ("radius", "wall", "field"),
    [(0.0, 1.0, "radius_mm"), (10.0, -1.0, "wall_mm"), (1.0, 2.0, "wall_mm"), (np.nan, 1.0, "rad")],
)
def test_impossible_tubes_are_refused(radius, wall, field):
    """The sentence names the size that is wrong."""
    with pytest.raises(InputError, match=field):
        plastic_wrinkle(ALUMINIUM, np.array([10.0, radius]), wall)


def test_limits_of_the_knock_downs_are_held():
    """Beyond r/t = 1500 there is no factor, and outside 0 to 1 no share."""
    with pytest.raises(InputError, match="1500"):
        axial_knock_down(1500.0, 1.0)
    with pytest.raises(InputError, match="bending_share"):
        critical_wrinkle(ALUMINIUM, 10.0, 1.0, np.array([0.5, 1.1]))


def test_five_percent_of_a_modulus_break_the_elastic_limit():
    """The tolerance of the elastic limit sees E 5 % off."""
    found = plastic_wrinkle(replace(ALUMINIUM, youngs_modulus_mpa=1.05 * 68300), 1000.0, 1.0)
    assert abs(found.stress_mpa / classical_stress_mpa(68300.0, 0.33, 1000.0, 1.0) - 1) > 0.04
