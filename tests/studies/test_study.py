"""Reading good study files: the shipped examples, and what arrives in the records."""

import hashlib
from pathlib import Path

import numpy as np
import pytest

from geometry.bar import build_bar, end_to_end_mm
from geometry.properties import mass_g
from studies.study_file.chosen_cases import require_cases
from studies.study_file.errors import StudyError
from studies.study_file.format.study_tables import study_schema
from studies.study_file.geometry_summary import geometry_summary
from studies.study_file.shipped import EXAMPLES, example_text, renamed_example
from studies.study_file.study import Study, read_study
from support.study_texts import SMALL, read


@pytest.fixture(params=EXAMPLES)
def example(request: pytest.FixtureRequest, tmp_path: Path) -> Study:
    """Each shipped example in turn."""
    return read(example_text(request.param), tmp_path)


def test_examples_are_good_and_named_like_their_files(example: Study) -> None:
    """Every shipped example reads without an error, has cases and its file's name."""
    assert example.name in EXAMPLES
    assert len(example.cases) >= 2
    assert example.title != example.name


def test_examples_explain_themselves() -> None:
    """A newcomer finds a comment on at least every fifth line of an example."""
    for name in EXAMPLES:
        lines = [line for line in example_text(name).splitlines() if line.strip()]
        assert sum("#" in line for line in lines) >= len(lines) / 5


def test_drop_bar_weighs_what_such_bars_weigh(tmp_path: Path) -> None:
    """A titanium drop bar of 24 mm x 1 mm tube and 1 m developed length has 310 to 370 g."""
    study = read(example_text("harbour-drop"), tmp_path)
    found = geometry_summary(study.bar)
    assert 310 <= found.mass_g <= 370
    assert found.developed_length_mm == pytest.approx(1000, abs=15)
    assert found.end_to_end_mm == pytest.approx(420, abs=5)
    shape = found.shapes[0]
    assert shape.foremost_mm == pytest.approx(80, abs=5)
    assert -shape.lowest_mm == pytest.approx(127, abs=6)


def test_riser_rises_and_is_wide(tmp_path: Path) -> None:
    """The riser example is 760 mm wide and its grips lie 25 to 30 mm above the clamp."""
    found = geometry_summary(read(example_text("harbour-riser"), tmp_path).bar)
    assert found.end_to_end_mm == pytest.approx(760, abs=1)
    assert 25 <= found.shapes[0].rise_mm <= 30
    assert found.shapes[0].backsweep_deg == pytest.approx(7.3, abs=0.1)


def test_the_hash_is_of_the_bytes(tmp_path: Path) -> None:
    """The SHA-256 is that of the file as it lies on disk, comments included."""
    study = read(SMALL + "# a remark\n", tmp_path)
    assert study.sha256 == hashlib.sha256(study.path.read_bytes()).hexdigest()


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    """An editor's byte order mark at the beginning is no part of the first key."""
    path = tmp_path / "study.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SMALL.encode())
    assert read_study(path).name == "small"


def test_windows_line_ends_do_no_harm(tmp_path: Path) -> None:
    """A file with carriage returns reads like one without."""
    path = tmp_path / "study.toml"
    path.write_bytes(SMALL.replace("\n", "\r\n").encode())
    assert read_study(path).name == "small"


def test_defaults(tmp_path: Path) -> None:
    """What a short file leaves out takes the documented defaults."""
    study = read(SMALL, tmp_path)
    spec = study.bar_spec
    assert (study.title, spec.name, study.mesh_level) == ("small", "small", "standard")
    assert (spec.blend_mm, spec.roll_deg, spec.left, spec.measured_mass_g) == (5, 0, None, None)
    assert spec.effects.wall_change
    assert spec.effects.ovality_percent == 0
    assert (study.clamp.width_mm, study.clamp.model) == (46, "elastic")
    assert (study.clamp.normal_n_per_mm3, study.clamp.tangential_n_per_mm3) == (7000, 3500)
    assert study.cases == ()


def test_a_run_needs_a_case_and_a_check_does_not(tmp_path: Path) -> None:
    """A file without cases reads, and is refused when cases are required."""
    with pytest.raises(StudyError, match="at least one"):
        require_cases(read(SMALL, tmp_path))


def test_left_points_are_mirrored(tmp_path: Path) -> None:
    """A left half by global points with x negated is the mirror image of the right."""
    left = (
        "[bar.left]\npoints_mm = [[0, 0, 0], [-150, 0, 0], [-300, 0, 60]]\nbend_radii_mm = [60]\n"
    )
    bar, mirrored = read(SMALL + left, tmp_path).bar, read(SMALL, tmp_path).bar
    assert bar.spec.left == bar.spec.right
    assert np.allclose(bar.line.breaks_mm, mirrored.line.breaks_mm)


def test_left_points_that_go_right_are_refused_in_the_files_own_numbers(tmp_path: Path) -> None:
    """The sentence shows the point as written, not its mirror image."""
    left = "[bar.left]\npoints_mm = [[0, 0, 0], [150, 0, 0]]\n"
    with pytest.raises(StudyError) as caught:
        read(SMALL + left, tmp_path)
    (problem,) = caught.value.problems
    assert problem.field == "bar.left.points_mm[1]"
    assert "[150, 0, 0]" in problem.sentence
    assert "-x" in problem.sentence


def test_a_fault_of_a_mirrored_half_is_told_once(tmp_path: Path) -> None:
    """A bend too tight stands in [bar.right] alone when no left half is written."""
    with pytest.raises(StudyError) as caught:
        read(SMALL.replace("bend_radii_mm = [60]", "bend_radii_mm = [9]"), tmp_path)
    assert [p.field for p in caught.value.problems] == ["bar.right.bend_radii_mm[0]"]


def test_points_and_bends_describe_the_same_bar(tmp_path: Path) -> None:
    """The bend table that a check prints builds the bar that the points built."""
    by_points = read(SMALL, tmp_path).bar
    half = geometry_summary(by_points).halves[0]
    (bend,) = half.bends
    row = (
        f"bends = [{{ straight_mm = {bend.straight_mm}, rotation_deg = {bend.rotation_deg}, "
        f"angle_deg = {bend.angle_deg}, radius_mm = {bend.radius_mm} }}]\n"
        f"tail_mm = {half.tail_mm}\n"
    )
    by_bends = read(SMALL.split("points_mm")[0] + row, tmp_path).bar
    assert end_to_end_mm(by_bends) == pytest.approx(end_to_end_mm(by_points), abs=1e-6)
    assert mass_g(by_bends) == pytest.approx(mass_g(by_points), rel=1e-9)


def test_summary_of_a_straight_tube_against_closed_forms(tmp_path: Path) -> None:
    """Length, mass, area and yield moment of a plain 24 x 1 tube are the textbook's."""
    text = SMALL.split("points_mm")[0] + "points_mm = [[0, 0, 0], [300, 0, 0]]\n"
    found = geometry_summary(read(text, tmp_path).bar)
    area = np.pi * 23
    assert found.developed_length_mm == pytest.approx(600)
    assert found.mass_g == pytest.approx(area * 600 * 4480e-6)
    assert found.sections[0].area_mm2 == pytest.approx(area)
    modulus = np.pi * (24**4 - 22**4) / 64 / 12
    assert found.sections[0].yield_moment_nm == pytest.approx(modulus * 724 / 1000)


def test_a_spec_builds_the_same_bar_again(example: Study) -> None:
    """The description kept with a study is enough to build its bar."""
    assert mass_g(build_bar(example.bar_spec)) == pytest.approx(mass_g(example.bar), rel=1e-12)


def test_renaming_an_example_changes_every_name(tmp_path: Path) -> None:
    """A new study carries its own name at the top, at the bar and in the comments."""
    text = renamed_example("harbour-drop", "my-drop")
    assert "harbour-drop" not in text
    study = read(text, tmp_path)
    assert (study.name, study.bar_spec.name) == ("my-drop", "my-drop")


def test_the_schema_names_every_table() -> None:
    """The JSON Schema describes the tables and refuses unknown keys."""
    schema = study_schema()
    assert set(schema["required"]) == {"name", "bar"}
    assert schema["additionalProperties"] is False
    assert schema["$defs"]["LinspaceTable"]["required"] == ["from", "to", "count"]
    assert schema["$defs"]["StationTable"]["properties"]["wall_mm"]["minimum"] == 0.1
