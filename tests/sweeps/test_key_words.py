"""Keys in the trade's words: what varies, where, in which unit."""

import tomllib
from typing import Any

import pytest

from studies.study_file.format.values import Acts
from studies.study_file.key_words import words_of
from studies.study_file.shipped import example_text


def riser() -> dict[str, Any]:
    """Return the riser example with one station named."""
    table: dict[str, Any] = tomllib.loads(example_text("harbour-riser"))
    table["bar"]["stations"][2]["name"] = "bend"
    return table


@pytest.mark.parametrize(
    ("path", "acts", "words"),
    [
        ("bar.stations.*.wall_mm", "value", "wall thickness, mm"),
        ("bar.stations.*.wall_mm", "factor", "wall thickness, x nominal"),
        ("bar.stations.*.od_mm", "shift", "outer diameter, mm added"),
        ("bar.stations[0,1].wall_mm", "value", "wall thickness at 0 and 48 mm, mm"),
        ("bar.stations[3].od_mm", "value", "outer diameter at 220 mm, mm"),
        ("bar.stations.bend.wall_mm", "value", "wall thickness at bend, mm"),
        ("bar.stations[2,3].wall_mm", "value", "wall thickness at bend and 220 mm, mm"),
        ("bar.material", "value", "material"),
        ("bar.material.proof_stress_mpa", "value", "0.2 % proof stress, MPa"),
        ("bar.right.points_mm[2][1]", "shift", "centre line, right half, corner 2 y, mm added"),
        ("bar.right.bend_radii_mm[0]", "value", "bend radius, right half, corner 1, mm"),
        ("bar.bend_effects.ovality_percent", "value", "ovality in bends, %"),
        ("clamp.width_mm", "value", "clamped length of the bar, mm"),
        ("clamp.bolts.torque_nm", "value", "bolt torque, clamp, N·m"),
        ("levers[0].bolts.torque_nm", "value", "bolt torque, lever 1, N·m"),
        ("cases.*.rider_kg", "value", "mass of the rider, kg"),
        (
            "cases[rider.drop-landing].rider_kg",
            "value",
            "mass of the rider, rider.drop-landing, kg",
        ),
        ("fatigue.surface_factor[1]", "value", "fatigue surface factor, middle"),
        ("fatigue.reliability_factor", "value", "fatigue reliability factor"),
        ("mesh.level", "value", "mesh level"),
    ],
)
def test_a_key_is_named_in_words(path: str, acts: Acts, words: str) -> None:
    """With places on the bar's ruler, names where stations have them, and the unit."""
    assert words_of(riser(), path, acts) == words
