"""A study file that is saved again and again: what is answered, and in what order."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event, Thread
from time import monotonic, sleep

import pytest

from studies.assessment.run import run_study
from studies.files.results_folder import landed
from studies.live.board import Board
from studies.live.session import Answer, Ends, Task, follow_file
from studies.results.record import results_record
from studies.study_file.study import read_study
from support.processes import ROOT

LONGEST_S = 60.0


@dataclass
class Session:
    """What a session told."""

    board: Board = field(default_factory=Board)
    answers: list[Answer] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def wait_for(self, whole: int = 0, rough: int = 0, complaints: int = 0) -> None:
        """Wait until so many answers and complaints have come."""
        end = monotonic() + LONGEST_S
        while monotonic() < end:
            kinds = [one.whole for one in self.answers]
            counts = kinds.count(True), kinds.count(False), len(self.complaints)
            if all(a >= b for a, b in zip(counts, (whole, rough, complaints), strict=True)):
                return
            sleep(0.05)
        pytest.fail(f"only {counts} whole, rough and complaints came")


@contextmanager
def session_of(file: Path) -> Iterator[Session]:
    """Yield what a session on a file tells."""
    session, ended = Session(), Event()
    task = Task(file, None, file.parent / "out", None, "auto")
    ends = Ends(session.board, session.answers.append, session.complaints.append)
    thread = Thread(target=follow_file, args=(task, ends, ended))
    thread.start()
    try:
        yield session
    finally:
        ended.set()
        thread.join(LONGEST_S)
        assert not thread.is_alive()


def save(file: Path, before: str, after: str) -> None:
    """Save a file as an editor does: another file takes its place."""
    beside = file.with_suffix(".new")
    beside.write_text(file.read_text(encoding="utf-8").replace(before, after), encoding="utf-8")
    beside.replace(file)


def test_saves_are_answered_at_once_and_whole_behind(file: Path) -> None:
    """Rough first, then the digits of a run; a fault in between is told and hinders nothing."""
    with session_of(file) as session:
        session.wait_for(whole=1)
        first, whole = session.answers
        assert (first.whole, whole.whole) == (False, True)
        assert "Not yet assessed: elastic buckling, clamps, fatigue" not in session.board.shown.page
        assert session.board.shown.report
        expected = results_record(run_study(read_study(file)))
        written = landed(file.parent / "out")["cases"][0]
        for name in ("deflection_mm", "peak_stress_mpa", "governing_factor"):
            # threads may add in another order
            figure = pytest.approx(getattr(expected.cases[0], name), rel=1e-9)
            assert getattr(whole.record.cases[0], name) == figure
            assert written[name] == figure
        assert first.record.cases[0].deflection_mm == pytest.approx(
            expected.cases[0].deflection_mm, rel=5e-3
        )

        save(file, "wall_mm = 2.0", "wall_mm = thick")
        session.wait_for(complaints=1)
        assert "line 4" in session.complaints[0]
        assert "The file as saved cannot be computed" in session.board.shown.page

        save(file, "wall_mm = thick", "wall_mm = 1.8")
        session.wait_for(rough=2)
        again = session.answers[2]
        assert not again.whole
        assert again.before is first.record
        assert again.record.bar.mass_g < first.record.bar.mass_g
        assert "cannot be computed" not in session.board.shown.page
        assert "Not yet assessed: elastic buckling, clamps, fatigue" in session.board.shown.page
        session.wait_for(whole=2)
        assert session.answers[-1].before is whole.record


def test_a_save_while_refining_supersedes_it(file: Path) -> None:
    """The whole answer that comes is that of the last save alone."""
    with session_of(file) as session:
        session.wait_for(rough=1)
        save(file, "wall_mm = 2.0", "wall_mm = 1.9")
        session.wait_for(rough=2)
        save(file, "wall_mm = 1.9", "wall_mm = 1.7")
        session.wait_for(rough=3, whole=1)
        latest = read_study(file).sha256
        assert [one.record.study.sha256 for one in session.answers if one.whole] == [latest]


def test_the_command_ends_with_an_interrupt(file: Path) -> None:
    """Exit code 0, one sentence, and no process is left; the folder holds whole results."""
    call = [
        sys.executable,
        "-c",
        "import sys; from studies.commands.main import main; sys.exit(main())",
        "live",
        str(file),
        "--no-open",
        "--out",
        str(file.parent / "out"),
    ]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    pipe = subprocess.PIPE
    process = subprocess.Popen(call, stdout=pipe, stderr=pipe, text=True, env=env, cwd=file.parent)
    end = monotonic() + LONGEST_S
    while not (file.parent / "out" / "results.json").exists() and monotonic() < end:
        sleep(0.1)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=LONGEST_S)
    assert process.returncode == 0, err
    assert "rough mesh" in out
    assert "live at http://127.0.0.1:" in err
    assert "barwright: ended" in err
    assert "Traceback" not in err
    assert landed(file.parent / "out")["study"]["name"] == "wall-test"
