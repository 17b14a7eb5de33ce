"""The press in a file: keys as options, options first, faults in words."""

from math import pi
from pathlib import Path

import pytest

from geometry.errors import InputError
from studies.bench.rig_file import read_rig_file, rig_of
from studies.commands.main import main
from studies.study_file.errors import StudyError
from support.code_rules import ROOT

BY_HAND = str(ROOT / "studies" / "examples" / "press-by-hand.csv")
WHOLE = """
bore_mm = 40
gauge_class_percent = 1
full_scale = 60
friction_percent = [1, 3]
block = "block.csv"
"""


def written(folder: Path, text: str) -> Path:
    """Return the file of a press."""
    path = folder / "bench.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_file_is_a_press_and_options_come_first(tmp_path: Path) -> None:
    """An area takes the place of the file's bore; the block lies beside the file."""
    file = read_rig_file(written(tmp_path, WHOLE))
    assert file.block == tmp_path / "block.csv"
    rig = rig_of({"full_scale": None}, file)
    assert rig.area_mm2 == pytest.approx(pi * 400)
    assert (rig.full_scale, rig.friction_percent) == (60, (1, 3))
    other = rig_of({"area_mm2": 900.0, "full_scale": 100}, file)
    assert (other.area_mm2, other.full_scale, other.gauge_class_percent) == (900.0, 100, 1)
    with pytest.raises(InputError, match="does not go with an area"):
        rig_of({"area_mm2": 900.0, "bore_mm": 40})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("bore = 40\n", "no key of a press is called 'bore'; nearest: bore_mm"),
        ('bore_mm = "40"\n', "give a number without quotes"),
        ("friction_percent = 3\n", "give least and largest, as [0, 5]"),
        ("block = 3\n", "give a text in quotes"),
        ("gauge_class_percent = 1\n", "full_scale: is not given"),
        ("bore_mm = 40\narea_mm2 = 900\n", "does not go with an area"),
        ("bore_mm 40\n", "write key = value"),
    ],
)
def test_faults_of_a_file(tmp_path: Path, text: str, words: str) -> None:
    """One sentence each, with the file's name."""
    with pytest.raises(StudyError) as caught:
        read_rig_file(written(tmp_path, text))
    assert words in str(caught.value)
    assert "bench.toml" in str(caught.value)


def test_the_command_takes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As with the options, and as refused without a file."""
    rig = written(tmp_path, WHOLE.replace('block = "block.csv"\n', ""))
    assert main(["press", BY_HAND, "--rig", str(rig)]) == 0
    by_file = capsys.readouterr().out
    options = ["--bore-mm", "40", "--gauge-class", "1", "--full-scale", "60"]
    assert main(["press", BY_HAND, *options, "--friction-percent", "1:3"]) == 0
    assert capsys.readouterr().out == by_file
    assert main(["press", BY_HAND, "--rig", str(tmp_path / "none.toml")]) == 2
    told = capsys.readouterr().err
    assert "does not exist" in told
    assert "barwright new" not in told
    assert main(["press", BY_HAND, "--rig", str(rig), "--mass-g", "0.1"]) == 2
    assert "--mass-g" in capsys.readouterr().err
