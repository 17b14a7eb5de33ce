"""Honest mistakes that pass: `barwright check` says each once, and nothing on a plain study."""

from pathlib import Path

import pytest

from studies.commands.main import main
from studies.study_file.hints import hints
from studies.study_file.shipped import EXAMPLES, example_text
from studies.study_file.study import read_study
from support.broken_studies import refused
from support.study_texts import read

PLAIN = """
name = "plain"
[bar]
material = "al-6061-t6"
mass_g = 100
stations = [
    { at_mm = 0, od_mm = 25.4, wall_mm = 1.6 },
    { at_mm = 100, od_mm = 25.4, wall_mm = 1.6 },
]
[bar.right]
points_mm = [[0, 0, 0], [150, 0, 0], [300, 0, 60]]
bend_radii_mm = [80]
[clamp]
width_mm = 40
bolts = { count = 4, torque_nm = 5, diameter_mm = 5 }
[[levers]]
side = "left"
from_end_mm = 60
width_mm = 12
bolts = { count = 1, torque_nm = 3, diameter_mm = 5 }
"""

MISTAKES = [
    ("[150, 0, 0], [300, 0, 60]]", "[30, 0, 0], [60, 0, 0]]", ["bar: 120 mm", "cm"]),
    ("mass_g = 100", "mass_g = 2.98", ["bar.mass_g: 2.98 g", "2980", "kg"]),
    ("torque_nm = 5,", "torque_nm = 50,", ["clamp.bolts.torque_nm: 50 N·m", "970 MPa"]),
    ("at_mm = 100", "at_mm = 400", ["bar.stations[1].at_mm: 400 mm", "beyond the end"]),
    ("from_end_mm = 60", "from_end_mm = 155", ["levers[0]: stands on a bend"]),
    ("width_mm = 12", "width_mm = 3", ["levers[0].bolts: press", "ring buckling"]),
]


def test_a_plain_study_gets_no_hint(tmp_path: Path) -> None:
    """The study that the mistakes are made in has none."""
    assert hints(read(PLAIN, tmp_path)) == ()


@pytest.mark.parametrize(("old", "new", "words"), MISTAKES, ids=[new for _, new, _ in MISTAKES])
def test_a_mistake_gets_a_hint(
    old: str, new: str, words: list[str], study_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """`check` says what is odd, at its key, on standard error; the study stays good."""
    assert old in PLAIN
    text = PLAIN.replace(old, new, 1)
    if "[60, 0, 0]" in text:
        text = text.replace("[80]", "[]").replace("[30, 0, 0], ", "").replace("= 60", "= 25")
    study_file.write_text(text, encoding="utf-8")
    assert main(["check", str(study_file)]) == 0
    said = [line for line in capsys.readouterr().err.splitlines() if line.startswith("hint: ")]
    assert any(all(word in line for word in words) for line in said), said


@pytest.mark.parametrize("example", EXAMPLES)
def test_only_a_drop_bar_gets_the_hint_on_bending(example: str, tmp_path: Path) -> None:
    """The standard's bending of the bar is asked about on the drop bar, and there alone."""
    path = tmp_path / f"{example}.toml"
    text = example_text(example) + '\n[[cases]]\nid = "more"\nuse = "iso-4210-5.bar-bending"\n'
    path.write_text(text + 'bicycle = "mountain"\n', encoding="utf-8")
    asked = [hint for hint in hints(read_study(path)) if "drop bar" in hint]
    assert bool(asked) == (example == "harbour-drop")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("od_mm = 25.4", 'od_mm = "22,2"', "22.2 with a decimal point"),
        ("od_mm = 25.4", "od_mm = 22,2", "write 22.2 with a decimal point"),
        ("mass_g = 100", "mass_g = 98,5", "write 98.5 with a decimal point"),
        ("diameter_mm = 5 }\n[[", "diameter_mm = 5, pressure_bar = 3 }\n[[", "pressure has none"),
    ],
)
def test_a_refusal_names_the_slip(old: str, new: str, words: str, study_file: Path) -> None:
    """A decimal comma in quotes, and a pressure in bar where the key wants a kind."""
    assert old in PLAIN
    study_file.write_text(PLAIN.replace(old, new, 1), encoding="utf-8")
    (problem,) = refused(study_file).problems
    assert words in problem.sentence
