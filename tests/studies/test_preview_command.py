"""`barwright run` and the process beside it that computes other walls."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from geometry.grading import LEVELS
from studies.commands.computing import NO_PREVIEW
from studies.commands.main import main
from support.pages import short_bar
from support.preview_bars import CRUDE, crude_snapshots
from support.processes import ROOT, RUN, dies

SNAPSHOTS = "studies.preview.snapshots.take_snapshots"
NO_ISLAND = '<script id="preview" type="application/json">null</script>'
LONGEST_S = 20.0


@pytest.fixture(autouse=True)
def crude(with_preview: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let runs have a preview, and all be computed on a mesh that is soon solved."""
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    monkeypatch.setattr(SNAPSHOTS, crude_snapshots)


def page_of(folder: Path, wall_mm: float, *options: str) -> str:
    """Run a short bar and return its page."""
    path = short_bar(folder, "pier", wall_mm)
    assert main(["run", str(path), "--no-figures", "--out", "out", *options]) == 0
    return (folder / "out" / "report.html").read_text(encoding="utf-8")


def test_a_run_has_sliders_of_its_walls(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without being asked, and nothing is said of it but its stage."""
    page = page_of(folder, 1.6)
    assert NO_ISLAND not in page
    assert page.count("data-wall=") == 1
    said = capsys.readouterr().err
    assert "stage: other walls" in said
    assert "note:" not in said


def test_no_live_computes_no_other_walls(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """No process is started, and the page has no sliders and nothing for them."""
    monkeypatch.setattr("studies.files.worker_process.ProcessPoolExecutor", pytest.fail)
    page = page_of(folder, 1.6, "--no-live")
    assert NO_ISLAND in page
    assert "data-wall=" not in page
    assert "other walls" not in capsys.readouterr().err


def test_walls_that_cannot_be_moved_are_noted(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The run is whole all the same; the note names what hinders."""
    page = page_of(folder, 10.0)
    assert NO_ISLAND in page
    assert "data-wall=" not in page
    said = capsys.readouterr().err
    assert f"note: {NO_PREVIEW}" in said
    assert "bar.stations[0].wall_mm: is 11 mm" in said
    assert "Traceback" not in said


def test_a_process_that_is_killed_is_noted(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As where memory runs out: the run is whole, without sliders."""
    monkeypatch.setattr(SNAPSHOTS, dies)
    assert NO_ISLAND in page_of(folder, 1.6)
    said = capsys.readouterr().err
    assert f"note: {NO_PREVIEW} its process ended" in said
    assert "Traceback" not in said


def test_a_system_without_processes_is_noted(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without handles or a writable /dev/shm the run goes on alone."""

    def fail(*_: Any) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr("studies.files.worker_process.ProcessPoolExecutor", fail)
    assert NO_ISLAND in page_of(folder, 1.6)
    assert f"note: {NO_PREVIEW} no process can be started" in capsys.readouterr().err


def test_threads_of_the_run_itself_are_left_alone(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only the process beside it is held to one."""
    seen = []
    monkeypatch.delenv("OMP_NUM_THREADS", raising=False)
    short_bar(folder, "pier", 1.6)
    monkeypatch.setattr(
        "studies.assessment.run.mesh_for", lambda *_: seen.append(os.environ.get("OMP_NUM_THREADS"))
    )
    with pytest.raises(AttributeError):
        main(["run", "pier.toml", "--no-figures", "--out", "out"])
    assert seen == [None]


def descendants(pid: int) -> Iterator[int]:
    """Yield the processes that a process started, and theirs."""
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        for child in map(int, task.read_text().split()):
            yield child
            yield from descendants(child)


def until(condition: Any) -> bool:
    """Return whether something comes true in a while."""
    end = time.monotonic() + LONGEST_S
    while not condition():
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True


def is_there(pid: int) -> bool:
    """Return whether a process runs; one that has ended and waits to be asked for does not."""
    try:
        return ") Z " not in Path(f"/proc/{pid}/stat").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False


@pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="processes are read from /proc")
@pytest.mark.parametrize("group", [False, True])
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL])
def test_a_run_that_is_stopped_leaves_no_process(
    how: signal.Signals, group: bool, folder: Path
) -> None:
    """By Ctrl-C, which a terminal sends to both, or from outside, as soon as there are two."""
    path = short_bar(folder, "pier", 1.6)
    call = [sys.executable, "-c", RUN, "run", str(path), "--mesh", "fine", "--no-figures"]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    pipe = subprocess.PIPE
    running = subprocess.Popen(
        call, env=env, text=True, stdout=pipe, stderr=pipe, start_new_session=True
    )
    assert until(lambda: len(list(descendants(running.pid))) > 1)
    children = list(descendants(running.pid))
    (os.killpg if group else os.kill)(running.pid, how)
    _, said = running.communicate(timeout=LONGEST_S)
    assert running.returncode == (130 if how == signal.SIGINT else -how)
    # a parent that is killed while its process starts cannot keep that one from telling
    assert how == signal.SIGKILL or "Traceback" not in said
    assert until(lambda: not any(map(is_there, children)))
