"""Reading good study files: what arrives in the records, and the warnings."""

import hashlib
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from geometry.bar import build_bar, end_to_end_mm
from geometry.properties import mass_g
from geometry.tube_bending import (
    extrados_wall_mm,
    intrados_wall_mm,
    outer_strain_percent,
    springback_fraction,
)
from loadcases.fatigue_inputs import FatigueInputs, SpectrumEntry
from studies.study_file.errors import StudyError
from studies.study_file.format.study_tables import study_schema
from studies.study_file.geometry_summary import geometry_summary
from studies.study_file.shipped import EXAMPLES, example_text, renamed_example
from studies.study_file.study import (
    SPECTRUM_LEFT_OUT,
    Study,
    read_study,
    require_cases,
    study_from_table,
    with_cases,
)

SMALL = """\
name = "small"
[bar]
material = "ti-3al-2.5v-cwsr"
stations = [ { at_mm = 0, od_mm = 24, wall_mm = 1.0 } ]
[bar.right]
points_mm = [[0, 0, 0], [150, 0, 0], [300, 0, 60]]
bend_radii_mm = [60]
"""


def read(text: str, folder: Path) -> Study:
    """Return the study in `text`, written to a file first."""
    path = folder / "study.toml"
    path.write_text(text, encoding="utf-8")
    return read_study(path)


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


def test_cycle_of_the_study_wins_and_keeps_what_it_leaves_out(tmp_path: Path) -> None:
    """A cycle's other end comes from the study, its number of cycles from the catalogue."""
    cases = """
[[cases]]
use = "iso-4210-5.fatigue-in-phase"
bicycle = "racing"
[cases.cycle]
other = "rest"
[[cases]]
id = "rest"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
[[cases]]
id = "weight"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
[cases.cycle]
cycles = 1e5
preload = true
"""
    first, _, second = read(SMALL + cases, tmp_path).cases
    assert first.case.cycle
    assert (first.case.cycle.other, first.case.cycle.cycles) == ("rest", 100_000)
    assert second.case.cycle
    assert (second.case.cycle.cycles, second.case.cycle.preload) == (100_000, True)
    assert second.loads[0].at_mm == 200


def test_a_chosen_case_keeps_what_its_life_needs(tmp_path: Path) -> None:
    """The other end of its cycle and the steady loads stay; what has no part in it goes."""
    cases = """
[[cases]]
id = "swing"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
cycle = { other = "back", cycles = 1e5 }
[[cases]]
id = "back"
loads = [ { at_mm = 200, force_n = [0, 0, 1] } ]
[[cases]]
id = "weight"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
cycle = { preload = true }
[[cases]]
id = "alone"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
"""
    study = read(SMALL + cases, tmp_path)
    kept = [placed.case.id for placed in with_cases(study, ["swing"]).cases]
    assert kept == ["swing", "back", "weight"]
    assert [placed.case.id for placed in with_cases(study, ["alone"]).cases] == ["alone"]


@pytest.mark.parametrize(
    ("cycle", "field"),
    [
        ('{ other = "weight" }', "cases[0].cycle.other"),
        ('{ other = "back", preload = true }', "cycle.preload"),
    ],
)
def test_a_steady_load_is_no_end_of_a_cycle(cycle: str, field: str, tmp_path: Path) -> None:
    """Named as another end, or given one, it would count twice or not at all."""
    cases = f"""
[[cases]]
id = "swing"
loads = [ {{ at_mm = 200, force_n = [0, 0, -1] }} ]
cycle = {cycle}
[[cases]]
id = "back"
loads = [ {{ at_mm = 200, force_n = [0, 0, -1] }} ]
[[cases]]
id = "weight"
loads = [ {{ at_mm = 200, force_n = [0, 0, -1] }} ]
cycle = {{ preload = true }}
"""
    with pytest.raises(StudyError, match=re.escape(field)):
        read(SMALL + cases, tmp_path)


SPECTRUM = """
[[cases]]
id = "push"
loads = [ { at_mm = 200, force_n = [0, 0, -1] } ]
[[cases]]
id = "pull"
loads = [ { at_mm = 200, force_n = [0, 0, 1] } ]
[[spectrum]]
case = "push"
cycles = 1e5
[[spectrum]]
case = "pull"
cycles = 300
scale = 2.5
"""


def test_fatigue_defaults_say_where_they_come_from(tmp_path: Path) -> None:
    """What a study leaves out is the record's own default, and its source says so."""
    found = read(SMALL, tmp_path).fatigue
    assert found == FatigueInputs()
    assert (found.clamp_edge_factor, found.reliability_factor) == (2.0, 1.0)
    assert found.clamp_edge_source.kind == "memory"


def test_fatigue_of_the_study_and_its_spectrum_arrive(tmp_path: Path) -> None:
    """Factors and stages reach the record; a given factor no longer counts as remembered."""
    text = SMALL + SPECTRUM + "[fatigue]\nclamp_edge_factor = 1.6\n"
    found = read(text, tmp_path).fatigue
    assert found.spectrum == (SpectrumEntry("push", 1e5), SpectrumEntry("pull", 300, 2.5))
    assert (found.clamp_edge_factor, found.clamp_edge_source.kind) == (1.6, "practice")
    assert found.reliability_source == FatigueInputs().reliability_source


def test_a_spectrum_goes_with_one_of_its_cases(tmp_path: Path) -> None:
    """A part of a spectrum would look like the whole: it is dropped, and a warning says so."""
    study = read(SMALL + SPECTRUM, tmp_path)
    fewer, same = with_cases(study, ["push"]), with_cases(study, ["pull", "push"])
    assert fewer.fatigue.spectrum == ()
    assert SPECTRUM_LEFT_OUT in fewer.warnings
    assert same.fatigue == study.fatigue
    assert SPECTRUM_LEFT_OUT not in same.warnings


def test_a_misspelt_case_of_the_catalogue_is_told_once(tmp_path: Path) -> None:
    """The spectrum that names it rightly is not blamed as well."""
    cases = '[[cases]]\nuse = "rider.drop-landin"\n[[spectrum]]\ncase = "rider.drop-landing"\n'
    with pytest.raises(StudyError) as caught:
        read(f"{SMALL}{cases}cycles = 10\n", tmp_path)
    assert [p.field for p in caught.value.problems] == ["cases[0].use"]


def test_a_spectrum_without_cases_is_refused(tmp_path: Path) -> None:
    """A stage has nothing to repeat."""
    with pytest.raises(StudyError, match=r"no case; add \[\[cases\]\]"):
        read(SMALL + '[[spectrum]]\ncase = "push"\ncycles = 10\n', tmp_path)


def test_own_id_and_title_of_a_catalogue_case(tmp_path: Path) -> None:
    """The same catalogue case may stand twice under ids of its own."""
    case = '[[cases]]\nuse = "rider.drop-landing"\n'
    study = read(f'{SMALL}{case}{case}id = "heavy"\ntitle = "Heavy"\nrider_kg = 110\n', tmp_path)
    light, heavy = study.cases
    assert (light.case.id, heavy.case.id, heavy.case.title) == (
        "rider.drop-landing",
        "heavy",
        "Heavy",
    )
    force = [np.linalg.norm(case.loads[0].force_n) for case in (light, heavy)]
    assert force[1] / force[0] == pytest.approx(110 / 80)


def test_a_mass_off_by_more_than_3_percent_names_the_wall_that_would_explain_it(
    tmp_path: Path,
) -> None:
    """The wall named, put into the study, gives the measured mass within the 3 %."""
    computed = mass_g(read(SMALL, tmp_path).bar)
    heavy = SMALL.replace("[bar]", f"[bar]\nmass_g = {1.2 * computed:.1f}")
    (warning,) = [w for w in read(heavy, tmp_path).warnings if "mass_g" in w]
    assert "+20.0 %" in warning
    wall = float(warning.split("a mean wall of ")[1].split(" mm")[0])
    again = read(heavy.replace("wall_mm = 1.0", f"wall_mm = {wall}"), tmp_path)
    assert not [w for w in again.warnings if "mass_g" in w]


def test_a_mass_beyond_a_solid_rod_names_no_wall(tmp_path: Path) -> None:
    """A mass in the wrong unit is not explained by a wall thicker than the tube."""
    (warning,) = [
        w
        for w in read(SMALL.replace("[bar]", "[bar]\nmass_g = 9000"), tmp_path).warnings
        if "mass" in w
    ]
    assert "no wall of this bar would explain it" in warning


@pytest.mark.parametrize("share", [0.98, 1.02])
def test_a_mass_off_by_less_is_no_warning(share: float, tmp_path: Path) -> None:
    """Two percent either way is what scales and drawn tubes differ by."""
    computed = mass_g(read(SMALL, tmp_path).bar)
    text = SMALL.replace("[bar]", f"[bar]\nmass_g = {share * computed}")
    assert not [w for w in read(text, tmp_path).warnings if "mass_g" in w]


@pytest.mark.parametrize(
    ("effects", "word"),
    [
        ("", "not given"),
        ("[bar.bend_effects]\novality_percent = 9\n", "8 %"),
        ("[bar.bend_effects]\novality_percent = 0\n", None),
    ],
)
def test_ovality_warnings(effects: str, word: str | None, tmp_path: Path) -> None:
    """Ovality left out is noted, more than 8 % is doubted, a stated zero is believed."""
    found = [w for w in read(SMALL + effects, tmp_path).warnings if "ovality" in w]
    assert len(found) == (word is not None)
    assert word is None or word in found[0]


def test_a_straight_bar_needs_no_ovality(tmp_path: Path) -> None:
    """Nothing is said about bends where there are none."""
    text = SMALL.split("points_mm")[0] + "points_mm = [[0, 0, 0], [300, 0, 0]]\n"
    assert read(text, tmp_path).warnings == ()


def test_tight_titanium_and_strain_warnings(tmp_path: Path) -> None:
    """R 40 on 24 mm titanium is under 2 x OD and strains the outer fibre by 30 %."""
    text = SMALL.replace("bend_radii_mm = [60]", "bend_radii_mm = [40]")
    warnings = "\n".join(read(text, tmp_path).warnings)
    assert "1.67 x outer diameter" in warnings
    assert "bending strain, outer fibre, 30 % in 2 bends" in warnings


def test_bending_formulas_against_the_worked_figures() -> None:
    """22.2 mm tube: springback 4.5 and 7.6 deg of 90, walls 0.85 and 1.21 t, strain 18.5 %."""
    titanium = {"proof_mpa": 724, "modulus_mpa": 103e3}
    assert 90 * springback_fraction(60, 22.2, 0.9, **titanium) == pytest.approx(4.5, abs=0.05)
    assert 90 * springback_fraction(100, 22.2, 0.9, **titanium) == pytest.approx(7.6, abs=0.05)
    steel = {"proof_mpa": 517, "modulus_mpa": 200e3}
    assert 90 * springback_fraction(60, 22.2, 0.9, **steel) == pytest.approx(1.7, abs=0.05)
    assert extrados_wall_mm(60, 22.2, 1.0) == pytest.approx(0.85, abs=0.005)
    assert intrados_wall_mm(60, 22.2, 1.0) == pytest.approx(1.21, abs=0.005)
    assert outer_strain_percent(60, 22.2) == pytest.approx(18.5)


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


def places(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Return the path of every value inside a plain table."""
    items = value.items() if isinstance(value, dict) else enumerate(value)
    found: list[tuple[str | int, ...]] = []
    for key, item in items:
        found.append((*path, key))
        if isinstance(item, dict | list):
            found += places(item, (*path, key))
    return found


def changed(table: dict[str, object], path: tuple[str | int, ...], value: object) -> None:
    """Put `value` at a place of a plain table."""
    inner: object = table
    for part in path[:-1]:
        inner = inner[part]  # type: ignore[index]
    inner[path[-1]] = value  # type: ignore[index]


PLACES = places(tomllib.loads(example_text("harbour-riser")))
ODD_VALUES = st.one_of(
    st.none().map(lambda _: {}),
    st.booleans(),
    st.integers(),
    st.integers(min_value=10**300, max_value=10**310),
    st.floats(allow_nan=True, allow_infinity=True),
    st.text(max_size=5),
    st.lists(st.floats(-1, 1), max_size=4),
    st.dictionaries(st.text(max_size=3), st.integers(0, 3), max_size=2),
)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(place=st.sampled_from(PLACES), value=ODD_VALUES)
def test_any_value_anywhere_is_read_or_refused_in_plain_words(
    place: tuple[str | int, ...], value: object
) -> None:
    """Whatever stands at a place of the file, the answer is a study or sentences, never a crash."""
    table = tomllib.loads(example_text("harbour-riser"))
    changed(table, place, value)
    try:
        study_from_table(table, Path("odd.toml"), "")
    except StudyError as error:
        for problem in error.problems:
            assert str(problem).isprintable()
            assert "nput should" not in problem.sentence
            assert len(problem.sentence) < 600
