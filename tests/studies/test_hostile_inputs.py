"""Inputs that once ended in a traceback, or not at all: one sentence each, and exit code 2."""

import csv
import json
import os
import signal
from pathlib import Path

import pytest

from studies.commands import main as command_line
from studies.commands.computing import progress
from studies.commands.main import main
from studies.comparison.designs import _island
from studies.files import worker_process
from studies.files.opening import fields_in
from studies.sweeps.sweep_results import Column
from studies.sweeps.tables import csv_text
from support.pages import short_bar

WALL = "bar.stations[0].wall_mm"
MANY_DIGITS = "9" * 350

REFUSED = [
    (["run", "--set", f"{WALL}=-1", "--set", "bar.blend_mm*=1.1"], [WALL, "-1 mm", "0.1 mm"]),
    (["run", "--set", f"{WALL}=-1", "--set", "bar.roll_deg+=1"], [WALL, "-1 mm", "0.1 mm"]),
    (["run", "--set", "bar.stations[²].wall_mm=1"], ["has no entry", "counted from 0"]),
    (["run", "--set", f"bar.stations[{'9' * 5000}].wall_mm=1"], ["has no entry"]),
    (["run", "--set", "bar.stations[0]\n.wall_mm=1"], ["line break", "wall_mm"]),
    (["run", "--set", f"{WALL}*={MANY_DIGITS}"], [WALL, "digits", "smaller"]),
    (["run", "--set", f"{WALL}+={MANY_DIGITS}"], [WALL, "digits", "smaller"]),
    (
        ["sweep", "--set", f"bar.right.points_mm[0][0]*={MANY_DIGITS}"],
        ["points_mm[0][0]", "digits", "finite"],
    ),
    (["sweep", "--set", f"{WALL}*=1,inf"], [WALL, "inf", "finite"]),
    (["run", "--out", "x" * 300], ["--out", "300 bytes", "at most 200", "shorter"]),
    (["run", "--out", f"{'x' * 300}/y"], ["--out", "cannot be written"]),
    (["sweep", "--set", f"{WALL}=1,2", "--workers", "100000"], ["--workers", "100000", "512"]),
    (["sweep", "--set", f"{WALL}=1:2:1000000000"], ["count", "at most 1000"]),
    (
        ["optimise", "--vary", f"{WALL}=1:2:1e-300", "--min-yield-factor", "1"],
        ["optimise.vary[0].step", "1e-300", "10000 sizes", "larger step"],
    ),
    (
        ["optimise", "--vary", f"{WALL}=1:2:1e-9", "--min-yield-factor", "1"],
        ["optimise.vary[0].step", "1e-09", "10000 sizes"],
    ),
]


@pytest.mark.parametrize(("arguments", "words"), REFUSED, ids=[str(n) for n in range(len(REFUSED))])
def test_a_hostile_option_is_refused(
    arguments: list[str], words: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line with field, value, limit and remedy; nothing is written."""
    short_bar(folder, "pier", 1.6)
    command, *options = arguments
    assert main([command, "pier.toml", *options]) == 2
    said = capsys.readouterr().err
    assert all(word in said for word in words), said
    assert len(said.splitlines()) == 1, said
    assert [path.name for path in folder.iterdir()] == ["pier.toml"]


BROKEN = [
    (
        "stations = [{ at_mm = 0,",
        "stations = [{ at_mm = 0, od_mm = 25.4, wall_mm = 1.6 }, { at_mm = 5e-324,",
        ["bar.stations[1].at_mm", "e-324 mm", "0.001 mm"],
    ),
    ("[0, 0, -400]", "[0, 0, 1e-300]", ["cases[0].loads[0]", "1e-300 N and", "0.001 N"]),
    ("[0, 0, -400]", "[0, 0, 0], moment_nmm = [0, 0, 1e-300]", ["1e-300 N·mm", "0.001"]),
    ("[0, 0, -400]", f"[0, 0, {MANY_DIGITS}]", ["cases[0].loads[0].force_n[2]", "digits"]),
]


@pytest.mark.parametrize(("old", "new", "words"), BROKEN, ids=[str(n) for n in range(len(BROKEN))])
def test_a_hostile_number_is_refused(
    old: str, new: str, words: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Numbers that no bar and no load has are told, not computed with."""
    path = short_bar(folder, "pier", 1.6)
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    assert main(["check", "pier.toml"]) == 2
    said = capsys.readouterr().err
    assert all(word in said for word in words), said


def test_a_folder_name_too_long_to_look_at(folder: Path) -> None:
    """What no system can open holds no page."""
    assert main(["view", "x" * 300]) == 2


@pytest.mark.parametrize("content", ["{", "[" * 100_000, "[1]", '{"a": }'])
def test_spoiled_data_in_a_page_is_no_data(content: str) -> None:
    """A comparison then computes the design again."""
    page = f'<script id="scene" type="application/json">{content}</script>'
    assert _island(page, "scene") == {}


@pytest.mark.parametrize("cases", [[{}], [{"id": 3}], [7], 7, [{"id": "push"}, {"title": "x"}]])
def test_results_without_ids_show_what_they_name(cases: object, folder: Path) -> None:
    """Cases without an id have no fields; those with one do."""
    told = {"format": "barwright-results", "cases": cases}
    (folder / "results.json").write_text(json.dumps(told), encoding="utf-8")
    (folder / "fields").mkdir()
    (folder / "fields" / "push.vtu").touch()
    named = isinstance(cases, list) and {"id": "push"} in cases
    assert main(["view", str(folder), "--vtk", "--case", "nobody"]) == 2
    if named:
        assert fields_in(folder, None).name == "push.vtu"


def test_a_folder_that_is_write_protected_is_left_alone(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is told before anything is computed, for a rename would replace it all the same."""
    short_bar(folder, "pier", 1.6)
    out = folder / "out"
    out.mkdir()
    (out / "results.json").write_text('{"format": "barwright-results"}', encoding="utf-8")
    real = os.access
    for protected in (out, folder):
        monkeypatch.setattr(
            os, "access", lambda path, mode, at=protected: Path(path) != at and real(path, mode)
        )
        assert main(["run", "pier.toml", "--out", "out", "--no-figures"]) == 2
        said = capsys.readouterr().err
        assert "--out: " in said
        assert "cannot be written" in said
        assert len(said.splitlines()) == 1
        monkeypatch.setattr(os, "access", real)
    assert [path.name for path in out.iterdir()] == ["results.json"]


@pytest.mark.parametrize("number", [13, 28, 24])
def test_workers_that_cannot_be_started_are_told(
    number: int, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a writable /dev/shm, or without handles, a sweep says what it needs."""

    def fail(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    short_bar(folder, "pier", 1.6)
    monkeypatch.setattr(worker_process, "ProcessPoolExecutor", fail)
    assert main(["sweep", "pier.toml", "--set", f"{WALL}=1.4,1.6", "--workers", "2"]) == 2
    said = capsys.readouterr().err
    assert all(word in said for word in ("--workers", os.strerror(number).lower(), "shm"))
    assert len(said.splitlines()) == 1


@pytest.mark.parametrize("text", ["=1+1", "+1", "-x", "@a", "\tb"])
def test_a_table_holds_no_formula(text: str) -> None:
    """Text that a spreadsheet would compute is text there; numbers stay numbers."""
    found = csv_text(
        (
            Column("name", "", "state", 0, "", (text, "-1.5 mm")),
            Column("n", "", "input", 0, "", (-1.5, None)),
        )
    )
    rows = list(csv.reader(found.splitlines()))
    assert rows == [["name", "n"], [f"'{text}", "-1.5"], ["'-1.5 mm", ""]]


def test_termination_is_an_interruption(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """SIGTERM ends with the sentence and the exit code of Ctrl-C, and no longer after the end."""
    before = signal.getsignal(signal.SIGTERM)
    monkeypatch.setattr(command_line, "_run", lambda _: signal.raise_signal(signal.SIGTERM))
    assert main([]) == 130
    assert "stopped" in capsys.readouterr().err
    assert signal.getsignal(signal.SIGTERM) == before


def test_progress_without_a_terminal_is_a_line_a_stage(capsys: pytest.CaptureFixture[str]) -> None:
    """Steps of one stage are one line, and nothing goes to standard output."""
    with progress() as tell:
        for stage in ("mesh", "mesh", "push, step 1", "push, step 12", "3 designs", "4 designs"):
            tell(stage)
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.splitlines() == ["stage: mesh", "stage: push, step 1", "stage: 3 designs"]
