"""Curves past yield that a user gives: how they are turned over, and what is refused."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from geometry.given_curve import curve_problems, true_log_curve, yield_index
from geometry.material import Material, load_material
from geometry.material_table import material_problems
from geometry.source import Source

OWN = Material(
    "own", "own", 70000, 0.33, 2700, 240, 290, source=Source("measured", "pulled strips")
)
POINTS = ((0.0030, 210), (0.0054, 238), (0.0056, 240), (0.08, 290))


def test_engineering_points_are_turned_over_up_to_the_highest() -> None:
    """S = 300 at e = 0.25 is 375 at ln 1.25; the neck behind it is left out."""
    strain, stress = np.array([0.01, 0.25, 0.3]), np.array([250.0, 300.0, 280.0])
    turned = true_log_curve(strain, stress, "engineering")
    assert turned[0] == pytest.approx(np.log([1.01, 1.25]), rel=1e-15)
    assert turned[1] == pytest.approx([252.5, 375.0], rel=1e-15)
    assert true_log_curve(strain, stress, "true")[1].tolist() == stress.tolist()


def test_yield_begins_after_the_last_elastic_point() -> None:
    """What is rounding counts as elastic; a later fall does not."""
    assert yield_index(np.array([-2e-5, 3e-5, -1e-5, 6e-5, 0.001, 2e-5])) == 2
    assert yield_index(np.array([0.001, 0.01])) == 0
    assert yield_index(np.array([-1e-5, 2e-5, 4e-5, 0.001])) == 0
    assert yield_index(np.array([-1e-5, 4e-5, 2e-5, 3e-5, 0.001])) == 2
    assert yield_index(np.array([-2e-5, -1e-5])) == 1


def test_an_own_material_with_points() -> None:
    """Points of a curve are possible, and a slope in their place, 0 included."""
    assert material_problems(replace(OWN, stress_strain=POINTS)) == ()
    assert material_problems(replace(OWN, tangent_modulus_mpa=0)) == ()


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"stress_strain": POINTS[:1]}, "stress_strain", "at least 2 points"),
        ({"stress_strain": 240}, "stress_strain", "at least 2 points"),
        ({"stress_strain": [[0.01, 240, 1], [0.02, 250]]}, "stress_strain[0]", "no pair"),
        ({"stress_strain": [[0.01, "240"], [0.02, 250]]}, "stress_strain[0][1]", "not a number"),
        ({"tangent_modulus_mpa": -1}, "tangent_modulus_mpa", "at least 0"),
        ({"tangent_modulus_mpa": "flat"}, "tangent_modulus_mpa", "not a number"),
        ({"tangent_modulus_mpa": 35001}, "tangent_modulus_mpa", "35000 MPa"),
        ({"tangent_modulus_mpa": 1, "stress_strain": POINTS}, "tangent_modulus_mpa", "keep one"),
    ],
)
def test_an_own_material_is_refused(given: dict[str, Any], field: str, words: str) -> None:
    """One problem each, at its place."""
    (problem,) = material_problems(replace(OWN, **given))
    assert problem.field == field
    assert words in problem.sentence


@pytest.mark.parametrize(
    ("proof", "refused"), [(229.0, False), (228.0, True), (252.0, False), (253.0, True)]
)
def test_points_and_proof_stress_agree_within_5_percent(proof: float, refused: bool) -> None:
    """The points cross the 0.2 % line at 240 MPa: 228.6 to 252.6 MPa are 5 % off."""
    values = {"youngs_modulus_mpa": 70000, "proof_stress_mpa": proof}
    points = [[0.0030, 210], [240 / 70000 + 0.002, 240], [0.08, 290]]
    found = list(curve_problems({**values, "stress_strain": points}))
    assert [p.field for p in found] == ["stress_strain"] * refused


@pytest.mark.parametrize(
    ("kind", "refused"), [("engineering", []), ("true", ["stress_strain[4][1]"])]
)
def test_only_an_engineering_curve_may_fall(kind: str, refused: list[str]) -> None:
    """After its highest point: a neck."""
    values = {"youngs_modulus_mpa": 70000, "proof_stress_mpa": 240, "curve": kind}
    points = [*POINTS, [0.1, 270], [0.12, 250]]
    found = list(curve_problems({**values, "stress_strain": points}))
    assert [p.field for p in found] == refused


def test_catalogue_materials_with_other_curves_are_judged() -> None:
    """Points that do not fit a catalogue material, and a slope without sense."""
    known = load_material("al-7075-t6")
    (problem,) = material_problems(replace(known, stress_strain=((0.003, 210.0), (0.01, 240.0))))
    assert "from the proof stress of 455 MPa" in problem.sentence
    (problem,) = material_problems(replace(known, tangent_modulus_mpa=-5.0))
    assert problem.field == "tangent_modulus_mpa"
