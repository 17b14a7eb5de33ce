"""The stress-strain curve, and Neuber's rule on it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fea.stress_strain import (
    Curve,
    curve_of,
    curve_source,
    estimated_exponent,
    neuber_strain,
    secant_modulus_mpa,
    strain_at,
    stress_at,
    tangent_modulus_mpa,
)
from geometry.errors import SolveError
from geometry.material import load_material

CURVES = st.builds(
    Curve,
    st.floats(5e4, 2.1e5),
    st.floats(0.2, 0.4),
    st.floats(100.0, 1200.0),
    st.floats(5.0, 60.0),
)


def test_proof_stress_has_its_offset() -> None:
    """At the proof stress the strain is elastic plus 0.002, by definition."""
    curve = curve_of(load_material("al-7075-t6"))
    assert strain_at(curve, np.array(455.0)) == pytest.approx(455 / 71000 + 0.002, rel=1e-14)


@given(curve=CURVES, strain=st.floats(-0.5, 0.5))
def test_stress_and_strain_are_inverse(curve: Curve, strain: float) -> None:
    """To round-off, over the whole range and odd in sign."""
    stress = stress_at(curve, np.array([strain, -strain]))
    assert strain_at(curve, stress) == pytest.approx([strain, -strain], rel=1e-11, abs=1e-300)


@given(curve=CURVES, share=st.floats(0.05, 1.3))
def test_moduli_are_slope_and_secant(curve: Curve, share: float) -> None:
    """The tangent against central differences, the secant against its definition."""
    stress = np.array(share * curve.proof_stress_mpa)
    step = 1e-5 * stress
    slope = 2 * step / (strain_at(curve, stress + step) - strain_at(curve, stress - step))
    # second differences of stress^n: n^2 1e-10
    assert tangent_modulus_mpa(curve, stress) == pytest.approx(slope, rel=1e-6)
    assert secant_modulus_mpa(curve, stress) == pytest.approx(
        stress / strain_at(curve, stress), rel=1e-12
    )


@given(curve=CURVES, share=st.floats(1e-3, 30.0))
def test_neuber_keeps_the_product(curve: Curve, share: float) -> None:
    """Stress times strain is the linear stress squared over E; never less than the linear one."""
    linear = np.array([share, -share]) * curve.proof_stress_mpa
    strain = neuber_strain(curve, linear)
    product = strain * stress_at(curve, strain)
    assert product == pytest.approx(linear**2 / curve.youngs_modulus_mpa, rel=1e-9)
    assert np.all(np.abs(strain) >= np.abs(linear) / curve.youngs_modulus_mpa * (1 - 1e-12))


def test_an_unknown_exponent_is_estimated_and_says_so() -> None:
    """7075-T6: ln(0.07/0.002)/ln(531/455) = 23.0, where the catalogue rounds to 22."""
    known = load_material("al-7075-t6")
    bare = replace(known, hardening=None)
    assert estimated_exponent(bare) == pytest.approx(23.0, abs=0.1)
    assert curve_of(bare).exponent_n == estimated_exponent(bare)
    assert "estimated" in curve_source(bare).reference
    assert curve_source(known) == known.hardening.source if known.hardening else False
    assert "8% elongation" in curve_source(replace(bare, elongation_percent=None)).reference


def test_compression_and_tension_differ_where_the_handbook_says() -> None:
    """2014-T6 extrusion: n 23 in tension and 15 in compression."""
    metal = load_material("al-2014-t6")
    assert curve_of(metal, "tension").exponent_n == 23
    assert curve_of(metal).exponent_n == 15


def test_no_strain_no_answer() -> None:
    """A strain that is no number raises."""
    with pytest.raises(SolveError, match="cannot be found on the curve"):
        stress_at(curve_of(load_material("al-7075-t6")), np.array(np.nan))
