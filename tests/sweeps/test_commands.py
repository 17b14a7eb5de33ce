"""`barwright sweep` and `optimise` as a person gives them: exit codes, sentences, files."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from studies.commands.main import main
from studies.commands.renamed import OPTIONS
from studies.commands.sweep import pace_in_words
from support.pages import short_bar

ROOT = Path(__file__).parents[2]
MAIN = "import sys; from studies.commands.main import main; sys.exit(main())"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return an empty folder with a study of a short bar, where the command is given."""
    short_bar(tmp_path, "pier", 1.6)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Return exit code, standard output and standard error of a command."""
    code = main(list(arguments))
    told = capsys.readouterr()
    return code, told.out, told.err


WRONG = [
    (["sweep", "pier.toml"], "give --set"),
    (["sweep", "pier.toml", "--set", "bar.stations.*.wal_mm=1,2"], "nearest is wall_mm"),
    (["sweep", "pier.toml", "--set", "clamp.width_mm=40,41", "--measure", "mas"], "no measure"),
    (
        ["sweep", "pier.toml", "--set", "clamp.width_mm=40,41", "--measure", "wall_used"],
        "plan.measures: wall_used is now called wall_utilisation",
    ),
    (["sweep", "pier.toml", "--set", "clamp.width_mm=40,41", "--mode", "sampled"], "distribution"),
    (["sweep", "pier.toml", "--set", "clamp.width_mm=40,41", "--designs", "1"], "at least 2"),
    (["sweep", "pier.toml", "--set", "clamp.width_mm=40,41", "--case", "nobody"], "nobody"),
    (
        ["sweep", "pier.toml", "--set", "clamp.width_mm=40", "--workers", "2", "--scheduler", "x"],
        "--workers",
    ),
    (["sweep", "pier.toml", "--set", "clamp.width_mm=40", "--scheduler", "me"], "tcp://host"),
    (["run", "pier.toml", "--set", "clamp.width_mm=40,42"], "barwright sweep"),
    (["run", "pier.toml", "--set", "clamp.width=40"], "width_mm"),
    (
        ["run", "pier.toml", "--set", "bar.stations.*.wall_mm=14"],
        "must be at most 0.4 of the outer diameter",
    ),
    (["optimise", "pier.toml"], "--vary"),
    (["optimise", "pier.toml", "--vary", "clamp.width_mm=40"], "FROM:TO:STEP"),
    (["optimise", "pier.toml", "--vary", "bar.stations.*.wall_mm=1:2:0.1"], "min_yield_factor"),
    (
        ["optimise", "pier.toml", "--vary", "bar.stations.*.wall_mm=2:1:0.1"],
        "exchange or correct",
    ),
    (
        [
            "optimise",
            "pier.toml",
            "--vary",
            "bar.stations.*.wall_mm=1:2:0.1",
            "--min-fatigue-factor",
            "1",
        ],
        "no case is repeated",
    ),
]


RENAMED = [
    (["lighten", "pier.toml"], "lighten: is now called optimise"),
    (["collapse", "pier.toml", "--to-mm", "3"], "--to-mm: is now called --displacement-mm"),
    (["collapse", "pier.toml", "--to-mm=3"], "--to-mm: is now called --displacement-mm"),
    (["sweep", "pier.toml", "--keep", "mass_g"], "--keep: is now called --measure"),
    (["sweep", "pier.toml", "--indices"], "--indices: is now called --sobol-indices"),
    *(
        (["optimise", "pier.toml", old, "1"], f"{old}: is now called {new}")
        for old, new in OPTIONS.items()
        if old.startswith(("--least", "--most"))
    ),
]


@pytest.mark.parametrize(("arguments", "words"), RENAMED)
def test_an_old_name_is_refused_with_the_new_one(
    folder: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    """Exit code 2 and one sentence, for commands and options of earlier versions."""
    code, out, err = said(capsys, *arguments)
    assert (code, out) == (2, "")
    assert " ".join(err.split()) == f"barwright: {words}"
    assert not (folder / "results").exists()


@pytest.mark.parametrize(("arguments", "words"), WRONG)
def test_bad_input_is_refused_in_a_sentence(
    folder: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    """Exit code 2, the remedy in words, and no folder left behind."""
    code, _, err = said(capsys, *arguments)
    assert code == 2
    assert words in err
    assert "Traceback" not in err
    assert not (folder / "results").exists()


def test_the_pace_counts_what_was_computed_now() -> None:
    """Twelve in four minutes are three a minute; what was reused does not count."""
    assert pace_in_words(240, 12, 100) == "3.0 a minute, 0:33:20 left"
    assert pace_in_words(1, 0, 100) == ""


def test_a_run_with_a_value_set_is_a_study_of_its_own(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its page shows the file that describes it, with the hash of that file."""
    arguments = ["--set", "bar.stations.*.wall_mm*=1.25", "--set", "name=thick", "--no-figures"]
    code, out, _ = said(capsys, "run", "pier.toml", *arguments)
    assert code == 0
    page = (folder / "results" / "thick" / "report.html").read_text(encoding="utf-8")
    assert "wall_mm = 2.0" in page
    assert "# bar.stations.*.wall_mm*=1.25" in page
    assert "thick" in out


def test_a_sweep_from_the_command_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two workers compute a grid in processes of their own; a design without a bore is a row."""
    arguments = [
        "--set",
        "bar.stations.*.wall_mm=1.4,14",
        "--case",
        "push",
        "--workers",
        "2",
    ]
    code, out, err = said(capsys, "sweep", "pier.toml", *arguments)
    assert code == 2
    assert "1 invalid input" in err
    assert "must be at most 0.4 of the outer diameter" in " ".join(out.split())
    assert "1.4" in out
    made = {item.name for item in (folder / "results" / "pier").iterdir()}
    assert {"designs", "designs.csv", "sweep.html", "sweep.json"} <= made


@pytest.mark.slow
def test_a_sweep_ends_at_once_when_interrupted(folder: Path) -> None:
    """Exit code 130, a sentence with what is kept, no process left behind."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    many = ["sweep", "pier.toml", "--set", "bar.stations.*.wall_mm=1:3:400", "--workers", "1"]
    call = [sys.executable, "-c", MAIN, *many]
    running = subprocess.Popen(call, cwd=folder, env=env, stderr=subprocess.PIPE, text=True)
    store = folder / "results" / "pier" / "designs"
    while running.poll() is None and not list(store.glob("*.json")):
        pass
    running.send_signal(2)
    _, err = running.communicate(timeout=20)
    assert running.returncode == 130
    assert "designs are finished and stored" in err
    assert "Traceback" not in err
