"""A disk that is full when results land, and interruptions: what is said is true."""

import json
import signal
from pathlib import Path

import pytest

from studies.assessment.run import StudyRun, run_study
from studies.commands.main import main
from studies.files import results_folder
from studies.study_file.study import read_study
from support.pages import short_bar
from support.processes import RUN as RUN_MAIN
from support.processes import python

RUN = ["run", "pier.toml", "--out", "out", "--no-figures"]


def _full(*_: object) -> None:
    raise OSError(28, "No space left on device")


def _interrupt(*_: object) -> None:
    signal.raise_signal(signal.SIGINT)


@pytest.fixture(scope="module")
def solved(tmp_path_factory: pytest.TempPathFactory) -> StudyRun:
    """Return the answers of a study."""
    return run_study(read_study(short_bar(tmp_path_factory.mktemp("solved"), "pier", 1.6)))


@pytest.fixture
def pier(folder: Path, solved: StudyRun, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a folder with this study, whose answers are at hand."""
    short_bar(folder, "pier", 1.6)
    monkeypatch.setattr("studies.assessment.run.run_study", lambda *_: solved)
    return folder


def test_a_run_prints_its_answer_all_the_same(
    pier: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a word on files, which are not there; exit code 2 with the reason and a remedy."""
    monkeypatch.setattr("studies.results.writing.write_fields", _full)
    assert main(RUN) == 2
    said = capsys.readouterr()
    assert "Push on the right" in said.out
    assert "Results in" not in said.out
    last = said.err.splitlines()[-1]
    assert "no space left on device" in last
    assert "name another folder" in last
    assert main([*RUN, "--json"]) == 2
    assert json.loads(capsys.readouterr().out)["cases"][0]["id"] == "push"
    assert [path.name for path in pier.iterdir()] == ["pier.toml"]


def test_a_comparison_prints_its_table_all_the_same(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The designs that it computed are kept where `run` keeps them."""
    for name, wall_mm in (("pier", 1.6), ("quay", 1.4)):
        short_bar(folder, name, wall_mm)
    monkeypatch.setattr(results_folder, "land", _land_full(results_folder.land))
    assert main(["compare", "pier.toml", "quay.toml", "--out", "out", "--no-figures"]) == 2
    said = capsys.readouterr()
    assert "Bars" in said.out
    assert "Page in" not in said.out
    assert "no space left on device" in said.err.splitlines()[-1]
    assert (folder / "results" / "quay" / "results.json").exists()


def _land_full(real):
    def land(folder: Path, write: object, names: object = ()) -> None:
        real(folder, _full if folder.name == "out" else write, names)

    return land


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("studies.assessment.run.run_study", "nothing was written, earlier results are as"),
        ("studies.results.writing.write_fields", "nothing was written, earlier results are as"),
        ("studies.commands.run_lines.run_lines", "the new results are in out"),
    ],
)
def test_an_interruption_says_what_is_there(
    place: str,
    words: str,
    pier: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """While it computes, while it writes, and while it prints."""
    monkeypatch.setattr(place, _interrupt)
    assert main(RUN) == 130
    said = capsys.readouterr().err.splitlines()[-1]
    assert said.startswith(f"barwright: stopped; {words}")
    assert (pier / "out" / "results.json").exists() == ("new" in words)
    assert {path.name for path in pier.iterdir()} <= {"pier.toml", "out"}


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device that is full is of Linux")
def test_output_that_is_full_is_told() -> None:
    """In one sentence, with exit code 2, and Python adds nothing."""
    with Path("/dev/full").open("w") as full:
        done = python(RUN_MAIN, "materials", stdout=full)
    assert done.returncode == 2
    assert "no space left on device" in done.stderr
    assert len(done.stderr.splitlines()) == 1
