"""Bends by their names: in paths, in words, in the tables of `check`."""

from pathlib import Path

import pytest

from geometry.errors import InputError
from studies.commands.main import main
from studies.study_file.key_places import places
from studies.study_file.key_words import words_of
from studies.study_file.variants import variant_of, with_settings
from support.off_square import BENDS, POINTS, RISER, study_of


@pytest.mark.parametrize(
    ("half", "path", "place"),
    [
        (POINTS, "bar.right.bend_radii_mm[knee]", ("bend_radii_mm", 1)),
        (POINTS, "bar.right.bend_radii_mm[inner,knee]", ("bend_radii_mm", 0)),
        (POINTS, "bar.right.points_mm[inner][2]", ("points_mm", 1, 2)),
        (BENDS, "bar.right.bends.knee.angle_deg", ("bends", 1, "angle_deg")),
        (BENDS, "bar.right.bends[inner].radius_mm", ("bends", 0, "radius_mm")),
    ],
)
def test_a_path_calls_a_bend_by_its_name(
    half: dict[str, object], path: str, place: tuple[object, ...]
) -> None:
    """Its radius, its corner, its row of the bend table."""
    assert places(study_of(half, None).table, path)[0] == ("bar", "right", *place)


def test_what_varies_is_told_by_the_name() -> None:
    """As an axis of a sweep has it; without a name by its number."""
    named = study_of(POINTS, None).table
    assert words_of(named, "bar.right.bend_radii_mm[knee]") == "bend radius, right half, knee, mm"
    assert "knee z" in words_of(named, "bar.right.points_mm[knee][2]")
    plain = study_of({key: POINTS[key] for key in ("points_mm", "bend_radii_mm")}, None).table
    assert words_of(plain, "bar.right.bend_radii_mm[1]") == "bend radius, right half, corner 2, mm"


def test_a_setting_by_name_changes_that_bend() -> None:
    """And no other."""
    study = with_settings(study_of(POINTS, None), ["bar.right.bend_radii_mm[knee]=70"])
    assert study.bar_spec.right.bend_radii_mm == (65, 70)


def test_an_unknown_name_is_refused_with_those_there_are() -> None:
    """In words."""
    with pytest.raises(InputError, match="or named inner or knee"):
        places(study_of(POINTS, None).table, "bar.right.bend_radii_mm[elbow]")


@pytest.mark.parametrize("half", [POINTS, BENDS, RISER])
def test_check_prints_the_names(
    half: dict[str, object], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In the bend table and in that of tube bending, beside the number."""
    path = tmp_path / "named.toml"
    path.write_text(variant_of(study_of(half, None), []).text, encoding="utf-8")
    assert main(["check", str(path)]) == 0
    out, _ = capsys.readouterr()
    assert out.count("1 inner") == out.count("2 knee") == 2
