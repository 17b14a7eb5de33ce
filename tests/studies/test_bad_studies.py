"""Broken study files: each mistake gets one sentence at its place, and the exit code 2."""

import re
from pathlib import Path

import pytest

from studies.commands.main import main
from studies.study_file.study import read_study
from support.broken_keys import BAD_KEYS, BAD_TYPES
from support.broken_materials import BAD_MATERIALS, BAD_POINTS
from support.broken_studies import (
    GOOD,
    ID,
    PAIRS,
    RADII,
    STATION,
    edited,
    refused,
    with_material,
    with_points,
)
from support.broken_values import BAD_FATIGUE, BAD_LOADS, BAD_SHAPES, BAD_VALUES
from support.processes import RUN, python

FORBIDDEN = re.compile(
    r"input should|pydantic|field required|extra inputs|valid (string|number|integer)|traceback|"
    r"validation error|\bdict\b|\btuple\b|(?-i:\bNone\b)|<\w+Table>",
    re.IGNORECASE,
)

BAD = BAD_KEYS + BAD_TYPES + BAD_VALUES + BAD_SHAPES + BAD_LOADS + BAD_FATIGUE
CASES = [(edited(old, new), field, words) for old, new, field, words in BAD]
CASES += [(with_material(old, new), field, words) for old, new, field, words in BAD_MATERIALS]
CASES += [(with_points(old, new), PAIRS + at, words) for old, new, at, words in BAD_POINTS]
NAMES = [f"{index}-{field or 'top'}" for index, (_, field, _) in enumerate(CASES)]


def test_the_unbroken_study_is_good(study_file: Path) -> None:
    """The text that every broken one is made of is itself a study without a warning on mass."""
    study_file.write_text(GOOD, encoding="utf-8")
    study = read_study(study_file)
    assert [case.case.id for case in study.cases] == ["iso-4210-5.bar-bending", "my-case"]
    assert not any("mass" in warning for warning in study.warnings)


def test_a_material_table_is_good(study_file: Path) -> None:
    """The material table that broken ones are made of is good, and its values arrive."""
    study_file.write_text(with_material("= 241", "= 240"), encoding="utf-8")
    assert read_study(study_file).bar.spec.material.proof_stress_mpa == 240


def test_points_past_yield_are_good(study_file: Path) -> None:
    """The points that broken ones are made of are good, a neck after the highest one included."""
    study_file.write_text(with_points("242", "242"), encoding="utf-8")
    assert read_study(study_file).bar.spec.material.stress_strain[3] == (0.1, 270)


def test_there_are_many_and_different_mistakes() -> None:
    """There are at least 60 broken files with at least 25 different places."""
    assert len(CASES) >= 60
    assert len({re.sub(r"\[\d+\]", "[]", field) for _, field, _ in CASES}) >= 25


@pytest.mark.parametrize(("text", "field", "words"), CASES, ids=NAMES)
def test_one_mistake_gets_one_sentence(
    text: str, field: str, words: list[str], study_file: Path
) -> None:
    """Each mistake is told once, at its place, with the words that help."""
    study_file.write_text(text, encoding="utf-8")
    problems = refused(study_file).problems
    assert [problem.field for problem in problems] == [field], problems
    sentence = problems[0].sentence
    assert all(word in sentence for word in words), sentence
    assert not FORBIDDEN.search(sentence), sentence
    assert sentence.isprintable()
    assert not re.search(r"[.!?] [A-Z]|\.$", sentence), sentence
    assert len(sentence) < 400


@pytest.mark.parametrize(("text", "field", "words"), CASES, ids=NAMES)
def test_the_command_refuses_with_2(
    text: str, field: str, words: list[str], study_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command line ends with 2, says it on standard error alone and writes nothing."""
    study_file.write_text(text, encoding="utf-8")
    assert main(["check", "--json", str(study_file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert f"{study_file}: {field}: " in err
    assert "Traceback" not in err
    assert [path.name for path in study_file.parent.iterdir()] == [study_file.name]


def test_mistakes_in_different_parts_are_told_together(study_file: Path) -> None:
    """Schema, material, geometry, clamp, case, load and cycle: all seven at once."""
    text = GOOD
    for old, new in [
        ('level = "standard"', 'level = "hyper"'),
        (ID, 'material = "wood"'),
        (RADII, "bend_radii_mm = [250, 66]"),
        ("width_mm = 46", "width_mm = -1"),
        ('bicycle = "mountain"', 'bicycle = "hobby-horse"'),
        ("-600]", "nan]"),
        (STATION, STATION.replace("2.2", "16")),
    ]:
        assert old in text
        text = text.replace(old, new, 1)
    study_file.write_text(text, encoding="utf-8")
    assert {problem.field for problem in refused(study_file).problems} == {
        "mesh.level",
        "bar.material",
        "bar.right.points_mm[2]",
        "bar.stations[1].wall_mm",
        "clamp.width_mm",
        "cases[0].bicycle",
        "cases[1].loads[0].force_n[2]",
    }


def test_case_mistakes_are_told_beside_schema_mistakes(study_file: Path) -> None:
    """A load that meets the clamp is told although the mesh table is wrong too."""
    text = edited('level = "standard"', "level = 3").replace(
        "from_end_mm = 50", "from_end_mm = 370"
    )
    study_file.write_text(text, encoding="utf-8")
    fields = [problem.field for problem in refused(study_file).problems]
    assert fields == ["mesh.level", "cases[1].loads[0].from_end_mm"]


def test_several_mistakes_of_one_table_are_all_told(study_file: Path) -> None:
    """Three wrong values in one station are three sentences."""
    study_file.write_text(
        edited(STATION, '{ at_mm = "a", od_mm = -1, wall_mm = true }'), encoding="utf-8"
    )
    problems = refused(study_file).problems
    assert [problem.field for problem in problems] == [
        "bar.stations[1].at_mm",
        "bar.stations[1].od_mm",
        "bar.stations[1].wall_mm",
    ]


def test_a_flood_of_mistakes_is_cut_short(
    study_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two hundred unknown keys are not two hundred lines."""
    extra = "".join(f"zz{index} = 1\n" for index in range(200))
    study_file.write_text(extra + GOOD, encoding="utf-8")
    assert main(["check", str(study_file)]) == 2
    err = capsys.readouterr().err
    assert "200 problems" in err
    assert len(err.splitlines()) < 60


@pytest.mark.parametrize("index", [0, 10, 40, 70])
def test_a_whole_process_refuses_with_2(index: int, study_file: Path) -> None:
    """The exit code of the process itself is 2, with no traceback and nothing printed."""
    text, field, _ = CASES[index]
    study_file.write_text(text, encoding="utf-8")
    done = python(RUN, "check", str(study_file))
    assert done.returncode == 2
    assert field in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
