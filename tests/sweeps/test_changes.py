"""Paths into a study file, and the values set there."""

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import InputError
from studies.study_file.changes import Change, changed, number_at, written_at
from studies.study_file.errors import StudyError
from studies.study_file.key_places import places
from studies.study_file.settings import changes_in, sweep_in
from studies.study_file.shipped import example_text
from studies.study_file.study import study_from_table
from studies.study_file.variants import variant_of
from support.pages import RISER
from support.random_bars import GEOMETRY

TABLE: dict[str, Any] = tomllib.loads(example_text("harbour-riser"))

FOUND = [
    ("bar.stations.*.wall_mm", 6, 2.2),
    ("bar.stations[1].wall_mm", 1, 2.2),
    ("bar.stations.3.wall_mm", 1, 1.6),
    ("bar.stations[3,4].wall_mm", 2, 1.6),
    ("bar.stations[3,3].wall_mm", 1, 1.6),
    ("bar.right.points_mm[2][1]", 1, -5),
    ("cases.*.rider_kg", 2, 85),
    ("cases[rider.drop-landing].rider_kg", 1, 85),
    # what the file leaves out and the schema, the catalogue or the material say
    ("clamp.normal_n_per_mm3", 1, 7000),
    ("cases.*.steerer_angle_deg", 2, 72),
    ("bar.material.proof_stress_mpa", 1, 455),
    ("bar.material.youngs_modulus_mpa", 1, 71000),
    ("fatigue.reliability_factor", 1, 1),
    ("levers[0].bolts.torque_nm", 1, 3),
]

WRONG = [
    ("bar.station.*.wall_mm", "stations"),
    ("bar.stations.*.wall", "wall_mm"),
    ("bar.stations[9].wall_mm", "holds 6 entries"),
    ("bar.stations[3,9].wall_mm", "holds 6 entries"),
    ("bar.stations", "whole table or list"),
    ("cases[nobody].rider_kg", "rider.drop-landing"),
    ("cases.*.ridr_kg", "rider_kg"),
    ("spectrum.*.scale", "no spectrum"),
    ("bar.name.x", "no table"),
    ("a..b", "no path"),
    ("", "no path"),
    ("bar.stations[*", "no path"),
]


@pytest.mark.parametrize(("path", "count", "first"), FOUND)
def test_a_path_names_its_keys(path: str, count: int, first: float) -> None:
    """Wildcards, entries by number and by id, and defaults that the file does not write."""
    found = places(TABLE, path)
    assert len(found) == count
    assert written_at(TABLE, found[0]) == first


@pytest.mark.parametrize(("path", "said"), WRONG)
def test_a_wrong_path_is_refused_in_words(path: str, said: str) -> None:
    """The sentence names what was meant, or what there is."""
    with pytest.raises(InputError, match=said):
        places(TABLE, path)


def test_a_change_leaves_the_study_as_it_was() -> None:
    """Values, factors and additions are set in a copy; the rest stays."""
    before = tomllib.loads(example_text("harbour-riser"))
    made = changed(
        TABLE,
        [
            Change("bar.stations.*.wall_mm", "factor", 1.5),
            Change("bar.right.points_mm[3][2]", "shift", 2.5),
            Change("clamp.normal_n_per_mm3", "factor", 0.5),
            Change("bar.material", "value", "al-6061-t6"),
        ],
    )
    assert before == TABLE
    assert [s["wall_mm"] for s in made["bar"]["stations"]] == pytest.approx(
        [3.3, 3.3, 3.15, 2.4, 2.4, 2.7]
    )
    assert made["bar"]["right"]["points_mm"][3] == [380, -37, 32.5]
    assert made["clamp"]["normal_n_per_mm3"] == 3500
    assert made["bar"]["material"] == "al-6061-t6"
    assert made["cases"] == before["cases"]


def test_a_factor_needs_a_number() -> None:
    """A text cannot be multiplied, nor can what has no value."""
    with pytest.raises(InputError, match="give values instead"):
        changed(TABLE, [Change("bar.material", "factor", 1.1)])
    with pytest.raises(InputError, match="no value"):
        number_at(TABLE, ("bar", "mass_g"))


def test_a_constant_of_a_catalogue_material_changes_and_its_curve_stays() -> None:
    """The material is one like it: other proof stress, same fatigue curve, its source named."""
    table = changed(TABLE, [Change("bar.material.proof_stress_mpa", "factor", 0.9)])
    plain = study_from_table(TABLE, RISER, "").bar.spec.material
    other = study_from_table(table, RISER, "").bar.spec.material
    assert other.proof_stress_mpa == pytest.approx(0.9 * 455)
    assert other.youngs_modulus_mpa == plain.youngs_modulus_mpa
    assert other.fatigue == plain.fatigue
    assert other.id == "al-7075-t6, changed"
    assert other.source.kind == "practice"
    assert other.elastic_source == plain.elastic_source


def test_constants_impossible_together_are_refused() -> None:
    """A proof stress above the tensile strength names the key."""
    table = changed(TABLE, [Change("bar.material.proof_stress_mpa", "value", 600)])
    with pytest.raises(StudyError, match=r"bar\.material.*exchange or correct the two"):
        study_from_table(table, RISER, "")


def test_a_variant_is_a_study_with_a_file_of_its_own() -> None:
    """Its text is a study file that describes it, and its hash is that text's."""
    study = study_from_table(TABLE, RISER, "")
    made = variant_of(study, [Change("bar.stations.*.wall_mm", "value", 1.9)])
    again = study_from_table(tomllib.loads(made.text), RISER, made.sha256)
    assert {s.wall_mm for s in again.bar.spec.stations} == {1.9}
    assert made.sha256 != study.sha256
    assert "# bar.stations.*.wall_mm=1.9" in made.text
    assert again.bar.spec == made.bar.spec


@given(factor=st.floats(0.9, 1.2), number=st.integers(0, 5))
@GEOMETRY
def test_a_changed_study_reads_back_the_same(factor: float, number: int) -> None:
    """Through the text of its file every digit of a value comes back."""
    study = study_from_table(TABLE, RISER, "")
    change = Change(f"bar.stations[{number}].wall_mm", "factor", factor)
    made = variant_of(study, [change])
    assert tomllib.loads(made.text)["bar"]["stations"][number]["wall_mm"] == (
        TABLE["bar"]["stations"][number]["wall_mm"] * factor
    )


def test_settings_of_the_command_line() -> None:
    """Lists, ranges, factors and additions; texts where they are no numbers."""
    listed = sweep_in("bar.stations.*.wall_mm=1.4,1.6")
    assert (listed.path, listed.values, listed.acts_as) == (
        "bar.stations.*.wall_mm",
        (1.4, 1.6),
        "value",
    )
    spaced = sweep_in("bar.roll_deg=0:10:3").linspace
    assert spaced
    assert (spaced.from_, spaced.to, spaced.count) == (0, 10, 3)
    assert sweep_in("clamp.width_mm*=0.9,1.1").acts_as == "factor"
    assert sweep_in("clamp.width_mm+=-2,2").values == (-2, 2)
    assert sweep_in("bar.material=al-6061-t6,al-7075-t6").values == ("al-6061-t6", "al-7075-t6")
    assert changes_in(["clamp.width_mm=40"]) == (Change("clamp.width_mm", "value", 40),)


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        ("bar.roll_deg", "PATH=VALUE"),
        ("=1,2", "PATH=VALUE"),
        ("bar.roll_deg=", "PATH=VALUE"),
        ("bar.roll_deg=0:10:1", "at least 2"),
        ("bar.roll_deg=0:x:3", "give a number"),
    ],
)
def test_a_wrong_setting_is_refused(setting: str, said: str) -> None:
    """One sentence says how it is written."""
    with pytest.raises(InputError, match=said):
        sweep_in(setting)


def test_a_single_run_takes_single_values() -> None:
    """Several values at once belong to a sweep."""
    with pytest.raises(InputError, match="barwright sweep"):
        changes_in(["clamp.width_mm=40,42"])
