"""One command a results folder, and the next one mends what a kill left, wherever it came."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from geometry.errors import InputError
from studies.commands.main import main
from studies.files import results_folder
from studies.files.atomic_files import locked
from studies.files.opening import page_in
from studies.files.recovery import held, recover
from studies.files.results_folder import COMPARISON_NAMES, land
from support.pages import short_bar
from support.processes import ROOT

KILLED = """
import os, signal, sys
from pathlib import Path
from studies.files.results_folder import COMPARISON_NAMES, RUN_NAMES, land
folder, kind, left = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
real = Path.rename

def rename(path, target):
    global left
    if left == 0:
        os.kill(os.getpid(), signal.SIGKILL)
    left -= 1
    return real(path, target)

Path.rename = rename

def write(fresh):
    (fresh / f"{kind}.json").write_text(f'{{"format": "barwright-{kind}", "mark": "new"}}')
    if kind == "results":
        (fresh / "figures").mkdir()
        (fresh / "figures" / "new.png").touch()

land(folder, write, RUN_NAMES if kind == "results" else COMPARISON_NAMES)
"""

OTHERS = ("designs/a.json", "collapse/push/position.npz", "notes/mine.txt", "figures/photo.jpg")
"""Files that no run replaces."""


def _mark(folder: Path, kind: str = "results") -> str:
    return str(json.loads((folder / f"{kind}.json").read_text(encoding="utf-8"))["mark"])


def _earlier(folder: Path) -> None:
    """Write a folder with results, a comparison, and what other commands and people keep."""
    folder.mkdir()
    for kind in ("results", "comparison"):
        content = {"format": f"barwright-{kind}", "mark": "old"}
        (folder / f"{kind}.json").write_text(json.dumps(content), encoding="utf-8")
    for name in (*OTHERS, "figures/old.png"):
        (folder / name).parent.mkdir(exist_ok=True, parents=True)
        (folder / name).touch()


def _killed(folder: Path, kind: str, renames: int) -> bool:
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    call = [sys.executable, "-c", KILLED, str(folder), kind, str(renames)]
    return subprocess.run(call, env=env, check=False).returncode == -signal.SIGKILL


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is of POSIX")
@pytest.mark.parametrize("kind", ["results", "comparison"])
@pytest.mark.parametrize("renames", range(9))
def test_a_kill_at_any_rename_loses_nothing(tmp_path: Path, kind: str, renames: int) -> None:
    """The set is the old or the new one, whole; all else is where it was; nothing is left over."""
    folder = tmp_path / "bar"
    _earlier(folder)
    killed = _killed(folder, kind, renames)
    assert killed == (renames < 8)
    with held(folder):
        assert all((folder / name).exists() for name in OTHERS)
        assert _mark(folder, kind) == ("old" if renames < 2 else "new")
        other = "comparison" if kind == "results" else "results"
        assert _mark(folder, other) == "old"
        old_set = kind == "comparison" or renames < 2
        assert (folder / "figures" / "old.png").exists() == old_set
        assert (folder / "figures" / "new.png").exists() == (not old_set)
    assert [item.name for item in tmp_path.iterdir()] == ["bar"]


def test_a_page_is_found_that_a_kill_hid(tmp_path: Path) -> None:
    """`view` brings it back, as whatever comes next does."""
    hidden = tmp_path / ".bar.old-abcdefgh"
    hidden.mkdir()
    (hidden / "report.html").touch()
    assert page_in(tmp_path / "bar") == tmp_path / "bar" / "report.html"
    assert [item.name for item in tmp_path.iterdir()] == ["bar"]


def test_hidden_folders_of_others_stay(tmp_path: Path) -> None:
    """Only names that this program makes are cleared, and only those of the folder."""
    strange = {".bar.new-notes", ".barn.new-abcdefgh", ".bar.old-abcdefgh.zip"}
    for name in strange:
        (tmp_path / name).mkdir()
    recover(tmp_path / "bar")
    with held(tmp_path / "bar"):
        pass
    assert {item.name for item in tmp_path.iterdir()} == strange


def test_what_is_at_work_is_not_mended(tmp_path: Path) -> None:
    """A reader leaves alone what the command that holds the folder has under way."""
    with held(tmp_path / "bar"):
        (tmp_path / ".bar.old-abcdefgh").mkdir()
        recover(tmp_path / "bar")
        assert (tmp_path / ".bar.old-abcdefgh").exists()
    recover(tmp_path / "bar")
    assert (tmp_path / "bar").exists()


def test_notes_of_the_same_name_both_stay(tmp_path: Path) -> None:
    """Somebody wrote into the new folder before the old one was emptied."""
    for place in (tmp_path / "bar", tmp_path / ".bar.old-abcdefgh"):
        place.mkdir()
        (place / "notes.txt").write_text(place.name, encoding="utf-8")
    recover(tmp_path / "bar")
    kept = {path.name: path.read_text(encoding="utf-8") for path in (tmp_path / "bar").iterdir()}
    assert kept == {"notes.txt": "bar", "notes.txt.earlier": ".bar.old-abcdefgh"}


COMMANDS = {
    "run": ["run", "pier.toml", "--out", "out"],
    "collapse": ["collapse", "pier.toml", "--out", "out"],
    "compare": ["compare", "pier.toml", "quay.toml", "--out", "out"],
    "sweep": ["sweep", "pier.toml", "--set", "bar.blend_mm=4,5", "--out", "out"],
    "optimise": [
        *("optimise", "pier.toml", "--vary", "bar.stations[0].wall_mm=1:2:0.1"),
        *("--min-yield-factor", "1", "--out", "out"),
    ],
}


@pytest.mark.parametrize("command", COMMANDS)
def test_the_second_command_in_a_folder_is_refused(
    command: str, folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before it computes anything, with what to do; a lock left by a kill is none."""

    def never(*_: object, **__: object) -> None:
        pytest.fail("it computes")

    for name in ("pier", "quay"):
        short_bar(folder, name, 1.6)
    # first where it is imported to, or that module would keep the substitute
    monkeypatch.setattr("studies.comparison.designs.run_study", never)
    monkeypatch.setattr("studies.assessment.run.run_study", never)
    monkeypatch.setattr("studies.files.worker_process.ProcessPoolExecutor", never)
    with held(folder / "out"):
        assert main(COMMANDS[command]) == 2
    said = capsys.readouterr().err.splitlines()[-1]
    assert "another command writes to out just now; wait for it" in said
    (folder / ".out.lock").touch()
    with held(folder / "out"):
        pass
    assert not (folder / ".out.lock").exists()


def test_a_sweep_keeps_its_folder_where_the_parent_is_protected(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It replaces no folder, so it needs no lock beside it; its store has one."""
    (tmp_path / "bar").mkdir()
    real = os.access
    monkeypatch.setattr(
        os, "access", lambda path, mode: Path(path) != tmp_path and real(path, mode)
    )
    with held(tmp_path / "bar", replaced=False), locked(tmp_path / "bar"):
        assert [item.name for item in tmp_path.iterdir()] == ["bar"]
    with pytest.raises(InputError, match="cannot be written"), held(tmp_path / "bar"):
        pass


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("at", [1, 2])
def test_an_interruption_waits_for_the_renames(
    number: int, at: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And then says that the new results are there, since nothing-was-written would be untrue."""
    folder, real, count = tmp_path / "bar", Path.rename, 0
    _earlier(folder)

    def rename(path: Path, target: Path) -> Path:
        nonlocal count
        count += 1
        if count == at:
            signal.raise_signal(number)
        return real(path, target)

    def write(fresh: Path) -> None:
        (fresh / "comparison.json").write_text('{"mark": "new"}', encoding="utf-8")

    monkeypatch.setattr(Path, "rename", rename)
    before = signal.getsignal(number)
    with pytest.raises(KeyboardInterrupt, match="new results are in"):
        land(folder, write, COMPARISON_NAMES)
    assert signal.getsignal(number) == before
    assert _mark(folder, "comparison") == "new"
    assert all((folder / name).exists() for name in OTHERS)
    assert [item.name for item in tmp_path.iterdir()] == ["bar"]
    assert results_folder.FRESH == ".new-"
