"""What is said of a material's flow curve is true of it."""

import re
from dataclasses import replace

import numpy as np
import pytest

from fea.collapse.material_curve import curve_statement, flow_curve_of
from support.material_curves import PLAIN, STRAIGHT, TABLE, TRUE_TABLE, F, N, U, stress_at

UNKNOWN = replace(PLAIN, hardening=None)
STATED = {
    "power": replace(PLAIN, ultimate_stress_mpa=260.0),
    "power, by elongation": replace(PLAIN, elongation_percent=2.0),
    "power, estimated": UNKNOWN,
    "power, estimated blindly": replace(UNKNOWN, elongation_percent=None),
    "table": TABLE,
    "true table": TRUE_TABLE,
    "straight": STRAIGHT,
    "straight, by elongation": replace(STRAIGHT, elongation_percent=5.0),
    "straight, blindly": replace(STRAIGHT, elongation_percent=None, tangent_modulus_mpa=20.0),
    "plastic": replace(PLAIN, tangent_modulus_mpa=0.0),
    "straight and true": replace(STRAIGHT, curve="true"),
}
WORDS = {
    "power": [f"n = {N:g},", "engineering", "tensile strength of 260 MPa"],
    "power, by elongation": ["elongation at fracture of 2 %"],
    "power, estimated": ["exponent estimated from proof stress", "its elongation"],
    "power, estimated blindly": ["exponent estimated", "8% elongation"],
    "table": ["the 5 points", "engineering", "its highest point"],
    "true table": ["the 4 points", "true stress", "its last point"],
    "straight": ["700 MPa per total strain", f"proof stress of {F:g} MPa", "tensile strength"],
    "straight, by elongation": ["elongation at fracture of 5 %"],
    "straight, blindly": ["elongation of 8 %, taken since none is known"],
    "plastic": ["a straight line of 0 MPa", "perfectly plastic"],
    "straight and true": ["elastic change of volume", "the end of the line"],
}


@pytest.mark.parametrize("name", STATED)
def test_the_statement_is_true_of_the_curve(name: str) -> None:
    """Its numbers are the curve's: it is constant at that stress, and rises up to that strain."""
    sentence, curve = curve_statement(STATED[name]), flow_curve_of(STATED[name])
    assert all(word in sentence for word in WORDS[name]), sentence
    assert "tension and compression" in sentence
    assert "Kirchhoff" in sentence
    assert ("without assuming constant volume" in sentence) == (STATED[name].curve != "true")
    assert ("estimated" in sentence) == ("estimated" in name)
    held = re.search(r"logarithmic strain of ([\d.e-]+), .* constant at ([\d.]+) MPa", sentence)
    assert held, sentence
    strain, stress = float(held[1]), float(held[2])
    assert stress_at(curve, 1.01 * strain) == stress_at(curve, 10 * strain)
    assert stress_at(curve, 2 * strain) == pytest.approx(stress, rel=5e-4)
    rises = stress_at(curve, 0.98 * strain) < stress_at(curve, 1.01 * strain)
    assert rises or name == "plastic"


def test_a_true_power_curve_continues_without_limit() -> None:
    """And the sentence says so."""
    assert "it continues without limit" in curve_statement(replace(PLAIN, curve="true"))


def test_an_exponent_that_is_estimated_is_said_with_its_number() -> None:
    """ln(0.08 / 0.002) / ln(U / F), where the elongation is not known."""
    n = np.log(0.08 / 0.002) / np.log(U / F)
    assert f"n = {n:.4g} (" in curve_statement(replace(UNKNOWN, elongation_percent=None))
