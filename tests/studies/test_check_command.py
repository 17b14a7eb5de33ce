"""The command that checks a study file: what it prints where, and what it imports."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from studies.commands.main import main
from studies.study_file.shipped import EXAMPLES, example_text
from support.processes import HEAVY, ROOT, RUN, loaded, python


@pytest.fixture(params=EXAMPLES)
def example(request: pytest.FixtureRequest, folder: Path) -> Path:
    """Each shipped example as a file in the current folder."""
    path = folder / f"{request.param}.toml"
    path.write_text(example_text(request.param), encoding="utf-8")
    return path


def test_check_loads_nothing_heavy(example: Path) -> None:
    """A check needs numpy and pydantic, and none of the libraries that solve or draw."""
    code = "from studies.commands.main import main; main()"
    modules = loaded(code, "check", str(example))
    assert "numpy" in modules
    assert not modules & set(HEAVY)


def test_check_prints_what_a_bench_needs(example: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Sections, mass, points, lengths and loads are there; at most 100 columns, no colour."""
    assert main(["check", str(example)]) == 0
    out, _ = capsys.readouterr()
    for words in ("Round sections", "Mass", "developed length", "points", "cut length", "Loads"):
        assert words in out
    assert "\x1b" not in out
    assert max(map(len, out.splitlines())) <= 100
    assert not re.search(r"(?<!\d)-0(\.0*)?(?![\d.])", out)


def test_sections_of_steel_alone_have_a_class(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Aluminium's cell says so; 31.8 x 2.2 of 4130 at 435 MPa or more is compact, class 1."""
    Path("flat.toml").write_text(example_text("harbour-flat"), encoding="utf-8")
    assert main(["check", "flat.toml"]) == 0
    assert "not classified, rule unread" in " ".join(capsys.readouterr().out.split())
    steel = re.sub(r'material = "[^"]*"', 'material = "steel-4130-n"', example_text("harbour-flat"))
    Path("flat.toml").write_text(steel, encoding="utf-8")
    assert main(["check", "flat.toml"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "not classified" not in out
    assert "compact" in out
    assert "(from memory)" in out


def test_check_gives_the_bend_table_and_estimates(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The drop bar's rows come back as written, with springback called a lower bound."""
    Path("drop.toml").write_text(example_text("harbour-drop"), encoding="utf-8")
    assert main(["check", "drop.toml"]) == 0
    out, err = capsys.readouterr()
    assert re.search(r"1 +140\.00 +-30\.00 +90\.00 +60 +60\.00", out)
    assert "lower bound" in out
    assert "warning: bending strain" in err


def test_check_json_is_json_and_nothing_else(
    example: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Standard output parses as a whole, and its numbers agree with each other."""
    assert main(["check", "--json", str(example)]) == 0
    content = json.loads(capsys.readouterr().out)
    assert content["format"] == "barwright-check"
    assert content["study"]["name"] == example.stem
    cut = sum(half["cut_length_mm"] for half in content["halves"])
    assert cut == pytest.approx(content["bar"]["centreline_length_mm"], abs=1e-6)
    right, left = content["halves"]
    assert [(-x, y, z) for x, y, z in right["points_mm"]] == [tuple(p) for p in left["points_mm"]]
    assert content["cases"][0]["loads"][0]["side"] == "right"
    for row in content["sections"]:
        # of every metal, also of those without a class
        assert row["od_per_wall"] == pytest.approx(row["od_mm"] / row["wall_mm"])
    assert isinstance(content["warnings"], list)


def test_check_shows_hostile_text_harmlessly(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Square brackets in a title are no markup, and signs that a terminal lacks do no harm."""
    text = example_text("harbour-flat").replace("Straight flat bar", "[red]Bar[/red] [/] µ\u200b")
    Path("a.toml").write_text(text, encoding="utf-8")
    assert main(["check", "a.toml"]) == 0
    out = capsys.readouterr().out
    assert "[red]Bar[/red] [/]" in out
    assert "\u200b" not in out


def test_check_survives_an_ascii_terminal(example: Path) -> None:
    """A character set without the degree sign or lines still gets its tables."""
    code = f"import sys; sys.stdout.reconfigure(encoding='ascii', errors='strict')\n{RUN}"
    done = python(code, "check", str(example))
    assert done.returncode == 0, done.stderr
    assert "Mass" in done.stdout


def test_check_without_cases_is_good(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A bar alone can be checked."""
    text = example_text("harbour-flat").split("[[cases]]")[0]
    Path("a.toml").write_text(text, encoding="utf-8")
    assert main(["check", "a.toml"]) == 0
    assert "No load cases" in capsys.readouterr().out


def test_both_halves_are_shown_where_they_differ(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A left half of its own gets its own tables and sections."""
    left = "[bar.left]\npoints_mm = [[0, 0, 0], [-300, 0, 0]]\n[clamp]"
    text = example_text("harbour-flat").replace("[clamp]", left)
    Path("a.toml").write_text(text, encoding="utf-8")
    assert main(["check", "a.toml"]) == 0
    out = capsys.readouterr().out
    assert "Right half: points" in out
    assert "Left half: points" in out
    assert "left grip" in out


@pytest.mark.parametrize("closing", [">&-", "2>&-", ">&- 2>&-"])
def test_closed_streams_do_no_harm(closing: str, example: Path) -> None:
    """Output that nobody asked for may be closed from the start."""
    script = f'{sys.executable} -c "{RUN}" check {example.name} {closing}; echo "$?" >&3'
    done = subprocess.run(
        ["bash", "-c", f"exec 3>code; {script}"],  # noqa: S607 the shell closes the streams
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
        timeout=60,
    )
    assert done.returncode == 0
    assert Path("code").read_text(encoding="utf-8") == "0\n"


def test_check_takes_changes_as_run_does(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A heavier bar by the factor of its walls, a name of its own; a wrong path is refused."""
    Path("flat.toml").write_text(example_text("harbour-flat"), encoding="utf-8")
    masses = []
    for options in ((), ("--set", "bar.material=ti-3al-2.5v-cwsr", "--set", "name=titanium")):
        assert main(["check", "flat.toml", "--json", *options]) == 0
        told = json.loads(capsys.readouterr().out)
        masses.append(told["bar"]["mass_g"])
    assert told["study"]["name"] == "titanium"
    assert masses[1] / masses[0] == pytest.approx(4480 / 2713, rel=0.02)
    assert main(["check", "flat.toml", "--set", "bar.roll=4"]) == 2
    assert "roll_deg" in capsys.readouterr().err
