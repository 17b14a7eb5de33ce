"""The Ramberg-Osgood curve: hand-computed points, its inverse, its moduli and Neuber's rule."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fea.stability import stress_strain
from fea.stability.stress_strain import (
    Curve,
    curve_of,
    curve_source,
    estimated_exponent,
    neuber_strain,
    strain_at,
    stress_at,
    tangent_modulus_mpa,
)
from geometry.errors import InputError, SolveError
from geometry.material import load_material

ALUMINIUM = Curve(68300.0, 0.33, 241.0, 40.0)
TITANIUM = Curve(103000.0, 0.30, 724.0, 20.0)
CURVES = [ALUMINIUM, TITANIUM, Curve(200000.0, 0.27, 179.0, 6.0), Curve(1e5, 0.0, 1.0, 1.0)]

exponents = st.floats(1.0, 1000.0)
strains = st.floats(-10.0, 10.0)


def curve(n: float) -> Curve:
    """Return an aluminium with some exponent."""
    return replace(ALUMINIUM, exponent_n=n)


def test_points_by_hand():
    """At F02 the plastic strain is 0.002, at 1.1 F02 and n = 20 it is 0.013455 (1.1^20)."""
    assert strain_at(TITANIUM, 724.0) == pytest.approx(724 / 103000 + 0.002, rel=1e-14)
    expected = 1.1 * 724 / 103000 + 0.002 * 6.72749995
    assert strain_at(TITANIUM, 1.1 * 724) == pytest.approx(expected, rel=1e-9)  # digits of 1.1^20


@pytest.mark.parametrize("field", ["youngs_modulus_mpa", "proof_stress_mpa", "exponent_n"])
def test_five_percent_move_a_point(field):
    """Each datum 5 % off moves the strain at 1.1 F02 by far more than its tolerance."""
    off = replace(TITANIUM, **{field: 1.05 * getattr(TITANIUM, field)})
    assert abs(strain_at(off, 796.4) / strain_at(TITANIUM, 796.4) - 1) > 1e-2


@given(exponents, st.lists(strains, min_size=1, max_size=5))
def test_stress_is_the_inverse_of_strain(n, values):
    """Going to the stress and back: n times rounding, since the power magnifies it."""
    strain = np.array(values)
    back = strain_at(curve(n), stress_at(curve(n), strain))
    np.testing.assert_allclose(back, strain, rtol=8e-15 + 1e-15 * n, atol=1e-300)


@given(exponents, st.lists(st.floats(-2.0, 2.0), min_size=1, max_size=5))
def test_strain_is_the_inverse_of_stress(n, ratios):
    """Going to the strain and back is exact to rounding up to twice the proof stress."""
    stress = np.array(ratios) * 241.0
    there = strain_at(curve(min(n, 300.0)), stress)
    back = stress_at(curve(min(n, 300.0)), there)
    np.testing.assert_allclose(back, stress, rtol=2e-15, atol=1e-300)


@pytest.mark.parametrize("metal", CURVES)
def test_every_function_is_odd_or_even(metal):
    """A sign goes through, not to the modulus; nothing comes of nothing, without a warning."""
    stress = metal.proof_stress_mpa * np.array([0.0, 0.3, 1.0, 1.3])
    with np.errstate(all="raise"):
        for odd in (strain_at, neuber_strain):
            np.testing.assert_array_equal(odd(metal, -stress), -odd(metal, stress))
        strain = strain_at(metal, stress)
        np.testing.assert_array_equal(stress_at(metal, -strain), -stress_at(metal, strain))
        tangent = tangent_modulus_mpa(metal, stress)
        np.testing.assert_array_equal(tangent_modulus_mpa(metal, -stress), tangent)
    assert strain[0] == neuber_strain(metal, 0.0) == stress_at(metal, 0.0) == 0.0
    assert neuber_strain(metal, 1e-310) >= 0.0  # the least numbers raise no warning


@pytest.mark.parametrize("metal", CURVES)
def test_tangent_modulus(metal):
    """It is the slope by central differences."""
    stress = metal.proof_stress_mpa * np.array([0.2, 0.7, 1.0, 1.2])
    step = 1e-5 * stress
    rise = strain_at(metal, stress + step) - strain_at(metal, stress - step)
    # 1e-6: the third derivative times the step squared is (n 1e-5)^2/6, rounding 1e-11
    np.testing.assert_allclose(tangent_modulus_mpa(metal, stress), 2 * step / rise, rtol=1e-6)


@given(exponents, st.floats(1e-3, 1e5))
def test_neuber(n, linear):
    """Stress times strain is the linear stress squared over E, and never less strain than it."""
    strain = neuber_strain(curve(n), linear)
    product = stress_at(curve(n), strain) * strain
    assert product == pytest.approx(linear**2 / 68300, rel=1e-14)
    assert strain >= linear / 68300 * (1 - 1e-15)


def test_neuber_of_a_soft_peak_by_hand():
    """F02 (F02/E + 0.002) E is the square of the linear stress that strains to the proof point."""
    linear = np.sqrt(724 * (724 / 103000 + 0.002) * 103000)
    assert neuber_strain(TITANIUM, linear) == pytest.approx(724 / 103000 + 0.002, rel=1e-14)


def test_shapes_are_kept():
    """Scalars and arrays of any shape come back in their shape."""
    stress = np.full((2, 3, 4), 300.0)
    assert neuber_strain(TITANIUM, stress).shape == stress_at(TITANIUM, stress / 1e5).shape
    assert strain_at(TITANIUM, stress).shape == stress.shape
    assert stress_at(TITANIUM, 0.01).shape == ()


def test_curve_of_a_material():
    """Tension and compression have their own exponents."""
    material = load_material("al-2014-t6")
    assert curve_of(material) == Curve(74500.0, 0.33, 365.0, 15)
    assert curve_of(material, "tension").exponent_n == 23


def test_an_unknown_exponent_is_estimated_and_says_so() -> None:
    """7075-T6: ln(0.07/0.002)/ln(531/455) = 23.0, where the catalogue rounds to 22."""
    known = load_material("al-7075-t6")
    bare = replace(known, hardening=None)
    assert estimated_exponent(bare) == pytest.approx(23.0, abs=0.1)
    assert curve_of(bare).exponent_n == estimated_exponent(bare)
    assert "estimated" in curve_source(bare).reference
    assert "estimated" not in curve_source(known).reference
    assert "8% elongation" in curve_source(replace(bare, elongation_percent=None)).reference


def test_another_sense_is_refused():
    """Only two senses are known."""
    with pytest.raises(InputError, match="sense: is 'shear'"):
        curve_of(load_material("al-6061-t6"), "shear")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "change",
    [
        {"youngs_modulus_mpa": 0.0},
        {"poisson_ratio": 0.6},
        {"proof_stress_mpa": -1.0},
        {"exponent_n": 0.9},
        {"exponent_n": float("nan")},
    ],
)
def test_impossible_curves_are_refused(change):
    """The sentence begins with the field."""
    with pytest.raises(InputError, match=next(iter(change))):
        replace(ALUMINIUM, **change)


@pytest.mark.parametrize("function", [strain_at, tangent_modulus_mpa])
@pytest.mark.parametrize("stress", [241e3, np.inf, np.nan])
def test_a_strain_too_large_for_a_number_is_refused(function, stress):
    """A thousand times the proof stress is 1e117 of strain at n = 40."""
    with pytest.raises(InputError, match="stress_mpa"):
        function(ALUMINIUM, np.array([1.0, stress]))


def test_what_is_no_number_is_refused():
    """Infinite strains and linear stresses have no answer."""
    with pytest.raises(InputError, match="strain"):
        stress_at(ALUMINIUM, np.nan)
    with pytest.raises(InputError, match="linear_stress_mpa"):
        neuber_strain(ALUMINIUM, np.inf)


@pytest.mark.parametrize("function", [stress_at, neuber_strain])
def test_too_few_steps_raise(function, monkeypatch):
    """An answer that is not converged is never returned."""
    monkeypatch.setattr(stress_strain, "ITERATIONS", 1)
    with pytest.raises(SolveError, match="not inverted"):
        function(ALUMINIUM, 0.01 if function is stress_at else 300.0)
