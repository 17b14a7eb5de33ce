"""Bolts and levers in study files: good ones arrive, each mistake gets one sentence."""

import re
from pathlib import Path

import pytest

from loadcases.bolts import Bolts
from loadcases.levers import LeverClamp
from studies.commands.main import main
from studies.study_file.errors import StudyError
from studies.study_file.study import read_study

GOOD = """\
name = "trial"
[bar]
material = "al-6061-t6"
stations = [
    { at_mm = 0, od_mm = 31.8, wall_mm = 2.2 },
    { at_mm = 150, od_mm = 22.2, wall_mm = 2.0 },
]
[bar.right]
points_mm = [[0, 0, 0], [300, 0, 0]]
bend_radii_mm = []
[clamp]
width_mm = 46
[clamp.bolts]
count = 4
torque_nm = 5
diameter_mm = 5
pressure = "cosine"
[[levers]]
side = "right"
from_end_mm = 110
width_mm = 12
bolts = { count = 1, torque_nm = 4, diameter_mm = 6 }
[[levers]]
at_mm = -200
width_mm = 20
[levers.bolts]
count = 2
torque_nm = 3.5
diameter_mm = 4
nut_factor = 0.15
scatter = 1.8
friction = 0.25
"""

LEVER = 'side = "right"\nfrom_end_mm = 110\nwidth_mm = 12'

# what is replaced, by what, the field that must be named, words that must be said
BAD: list[tuple[str, str, str, list[str]]] = [
    ("count = 4\n", "", "clamp.bolts.count", ["missing", "number of bolts"]),
    ("torque_nm = 5\n", "", "clamp.bolts.torque_nm", ["missing", "N·m", "torque_nm = 5"]),
    ("diameter_mm = 5\n", "diameter = 5\n", "clamp.bolts.diameter", ["mm", "diameter_mm"]),
    ("torque_nm = 5\n", "torque = 5\n", "clamp.bolts.torque", ["N·m", "torque_nm"]),
    ("torque_nm = 5\n", "torque_nmm = 5e3\n", "clamp.bolts.torque_nmm", ["N·mm", "torque_nm"]),
    ("torque_nm = 5\n", "torque_nm = 0\n", "clamp.bolts.torque_nm", ["0 N·m", "above 0 N·m"]),
    ("torque_nm = 5\n", "torque_nm = 5000\n", "clamp.bolts.torque_nm", ["5000", "100 N·m"]),
    ("torque_nm = 5\n", "torque_nm = nan\n", "clamp.bolts.torque_nm", ["nan", "finite"]),
    ("count = 4", "count = 2.5", "clamp.bolts.count", ["2.5", "whole number"]),
    ("count = 4", "count = 40", "clamp.bolts.count", ["40", "at most 16"]),
    ("diameter_mm = 5\n", "diameter_mm = 0.2\n", "clamp.bolts.diameter_mm", ["at least 2 mm"]),
    ('"cosine"', '"cosin"', "clamp.bolts.pressure", ['nearest is "cosine"']),
    ("pressure =", "friction = 2\npressure =", "clamp.bolts.friction", ["2", "at most 1"]),
    ("pressure =", "scatter = 0.5\npressure =", "clamp.bolts.scatter", ["0.5", "at least 1"]),
    ("pressure =", "nut_factor = 20\npressure =", "clamp.bolts.nut_factor", ["20", "0.5"]),
    ("width_mm = 46", "width_mm = 46\nfriction = 0.2", "clamp.friction", ["[clamp.bolts]"]),
    ("[clamp.bolts]", "[[clamp.bolts]]", "clamp.bolts", ["single brackets"]),
    ("width_mm = 12\n", "", "levers[0].width_mm", ["missing", "mm"]),
    ("nut_factor = 0.15", "nut_factr = 0.15", "levers[1].bolts.nut_factr", ["nut_factor"]),
    (
        "width_mm = 12\nbolts = { count = 1",
        "width_mm = 12\nbolts = { count = 0",
        "levers[0].bolts.count",
        ["at least 1"],
    ),
    (LEVER, "width_mm = 12", "levers[0]", ["no place"]),
    (LEVER, LEVER + "\nat_mm = 200", "levers[0]", ["two places"]),
    (LEVER, LEVER.replace('side = "right"\n', ""), "levers[0].side", ["missing", "left"]),
    ("from_end_mm = 110", "from_end_mm = 4", "levers[0].from_end_mm", ["4 mm", "right end"]),
    ("from_end_mm = 110", "from_end_mm = 275", "levers[0].from_end_mm", ["stem's clamp"]),
    ("at_mm = -200", "at_mm = 195", "levers[1].at_mm", ["lever 1", "overlap", "16 mm"]),
    ("at_mm = -200", "at_mm = -299", "levers[1].at_mm", ["left end", "-299 mm"]),
    ("width_mm = 20", "width_mm = 1", "levers[1].width_mm", ["at least 2 mm"]),
]


@pytest.fixture
def study_file(tmp_path: Path) -> Path:
    """A path for a study in an empty folder."""
    return tmp_path / "trial.toml"


def test_bolts_and_levers_arrive(study_file: Path) -> None:
    """Given and default values reach the clamp, and the levers stand at their places."""
    study_file.write_text(GOOD, encoding="utf-8")
    study = read_study(study_file)
    assert study.clamp.bolts == Bolts(4, 5.0, 5.0, pressure="cosine")
    assert study.levers == (
        LeverClamp(190.0, 12.0, Bolts(1, 4.0, 6.0)),
        LeverClamp(-200.0, 20.0, Bolts(2, 3.5, 4.0, 0.15, 1.8, friction=0.25)),
    )


def test_neither_bolts_nor_levers_are_needed(study_file: Path) -> None:
    """A study without them reads as before."""
    text = GOOD[: GOOD.index("[clamp.bolts]")]
    study_file.write_text(text, encoding="utf-8")
    study = read_study(study_file)
    assert study.clamp.bolts is None
    assert study.levers == ()


def test_a_single_table_of_levers_is_refused(study_file: Path) -> None:
    """[levers] in single brackets is told to take double ones."""
    head = GOOD[: GOOD.index("[[levers]]")]
    study_file.write_text(head + "[levers]\nat_mm = 200\n", encoding="utf-8")
    with pytest.raises(StudyError) as caught:
        read_study(study_file)
    (problem,) = caught.value.problems
    assert problem.field == "levers"
    assert "[[levers]]" in problem.sentence


@pytest.mark.parametrize(
    ("old", "new", "field", "words"), BAD, ids=[f"{i}-{b[2]}" for i, b in enumerate(BAD)]
)
def test_one_mistake_gets_one_sentence(
    old: str,
    new: str,
    field: str,
    words: list[str],
    study_file: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Each mistake is told once, at its place, in words that help; the command ends with 2."""
    assert old in GOOD
    study_file.write_text(GOOD.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(StudyError) as caught:
        read_study(study_file)
    problems = caught.value.problems
    assert [problem.field for problem in problems] == [field], problems
    sentence = problems[0].sentence
    assert all(word in sentence for word in words), sentence
    assert not re.search(r"pydantic|\btuple\b|\bNone\b|<\w+Table>|[.!?] [A-Z]|\.$", sentence)
    assert main(["check", str(study_file)]) == 2
    assert f"{field}: " in capsys.readouterr().err
