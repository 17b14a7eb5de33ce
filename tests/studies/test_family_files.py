"""A bar by the dimensions of its family in a study file."""

from pathlib import Path

import pytest

from studies.commands.main import main
from studies.study_file.shipped import SHAPES
from studies.study_file.study import read_study

RISER = """name = "measured"
[bar]
material = "al-6061-t6"
stations = [{at_mm = 0, od_mm = 31.8, wall_mm = 2.0}]
[bar.right.shape]
family = "riser"
width_mm = 780
rise_mm = 35
[clamp]
width_mm = 40
[[cases]]
use = "iso-4210-5.bar-bending"
bicycle = "mountain"
"""


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in a folder of its own."""
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("family", SHAPES)
def test_a_file_of_each_family(family: str, capsys: pytest.CaptureFixture[str]) -> None:
    """It asks for the family's dimensions, and is a whole study."""
    assert main(["new", "mine", "--as", family]) == 0
    assert f'family = "{family}"' in Path("mine.toml").read_text(encoding="utf-8")
    assert main(["check", "mine.toml"]) == 0
    assert "Traceback" not in capsys.readouterr().err


def test_an_unknown_family_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    """With those that there are."""
    assert main(["new", "mine", "--as", "cow"]) == 2
    assert "--as: no family of bars is called 'cow'" in capsys.readouterr().err
    assert not Path("mine.toml").exists()


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("rise_mm = 35", "", "bar.right.shape.rise_mm: is missing"),
        ("rise_mm = 35", "rise_mm = 400", "bar.right.shape.rise_mm: is 400 mm but must be at most"),
        ("rise_mm = 35", "rise_mm = 35\nknee_mm = 60", "bar.right.shape.knee_mm: is 60 mm, not"),
        ("rise_mm = 35", "rise_mm = 35\ndrop_mm = 60", "bar.right.shape.drop_mm: is no key of"),
        ("rise_mm = 35", "rise_mm = 35\nbend_radius_mm = 490", "bar.right.shape: corner 2: the"),
        ('"riser"', '"cow"', "bar.right.shape.family: is the text"),
        (
            "[bar.right.shape]",
            "[bar.right]\npoints_mm = [[0, 0, 0], [9, 0, 0]]\n[bar.right.shape]",
            "bar.right.shape: stands beside points or bends; keep one of the ways",
        ),
    ],
)
def test_bad_dimensions_are_one_sentence(
    old: str, new: str, sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """At the key that is to be changed."""
    Path("bad.toml").write_text(RISER.replace(old, new), encoding="utf-8")
    assert main(["check", "bad.toml"]) == 2
    assert sentence in capsys.readouterr().err


def test_a_half_of_its_own_is_the_bar_out_of_square() -> None:
    """The left end lies 2 mm lower and is read so."""
    left = RISER + "[bar.left.shape]\nfamily = 'riser'\nwidth_mm = 780\nrise_mm = 33\n"
    Path("left.toml").write_text(left, encoding="utf-8")
    bar = read_study(Path("left.toml")).bar
    assert bar.spec.left is not None
    assert bar.spec.left.points_mm[-1][2] == pytest.approx(33)
    assert bar.spec.right.points_mm[-1][2] == pytest.approx(35)


def test_a_dimension_can_be_swept(capsys: pytest.CaptureFixture[str]) -> None:
    """It is a key like any other, and has words."""
    Path("a.toml").write_text(RISER, encoding="utf-8")
    assert main(["check", "a.toml", "--set", "bar.right.shape.rise_mm=45"]) == 0
    assert "45.0 mm above the clamp" in capsys.readouterr().out
