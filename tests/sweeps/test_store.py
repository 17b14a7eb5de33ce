"""Finished designs on disk: whole or not there, held by one sweep at a time."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from geometry.errors import InputError
from studies.files.atomic_files import in_use, locked, write_whole
from studies.files.results_folder import (
    OPTIMISE_RECORD,
    OUR_FORMATS,
    SWEEP_RECORD,
    check_folder,
    is_ours,
)
from studies.study_file.format.sweep_tables import OptimiseTable
from studies.sweeps.optimise import task_of
from studies.sweeps.optimised import optimise
from studies.sweeps.rows import DesignRow, unfinished_row
from studies.sweeps.store import put, refuse_older_files, stored
from studies.sweeps.sweep import run_sweep
from support.sweeps import at_once, made_row, short_study, wall_sweep

HOLD = """
import sys, time
from pathlib import Path
from studies.files.atomic_files import locked
with locked(Path(sys.argv[1])):
    print("held", flush=True)
    time.sleep(60)
"""


@pytest.fixture(scope="module")
def row(tmp_path_factory: pytest.TempPathFactory) -> DesignRow:
    """Return the row of a design."""
    return made_row(wall_sweep(short_study(tmp_path_factory.mktemp("row")), 1.6).jobs[0])


def test_a_row_comes_back_as_it_was(tmp_path: Path, row: DesignRow) -> None:
    """Under its own key and no other; what is damaged counts as not finished."""
    with locked(tmp_path) as store:
        put(store, row)
        assert stored(store, row.key) == row
        assert stored(store, "0" * 64) is None
        next(store.glob("*.json")).write_text("{", encoding="utf-8")
        assert stored(store, row.key) is None


def test_a_lost_design_is_not_finished(tmp_path: Path, row: DesignRow) -> None:
    """The memory that it wanted may be there next time; a refused one stays refused."""
    job = wall_sweep(short_study(tmp_path), 1.6).jobs[0]
    with locked(tmp_path / "out") as store:
        put(store, unfinished_row(job, "worker failed", "the process died"))
        assert stored(store, job.key) is None
        put(store, unfinished_row(job, "invalid input", "no bore"))
        found = stored(store, job.key)
        assert found
        assert found.reason == "no bore"


def test_one_sweep_at_a_time(tmp_path: Path) -> None:
    """Another process is refused in words, and nothing of a run may land there meanwhile."""
    held = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(tmp_path)], stdout=subprocess.PIPE, text=True
    )
    try:
        assert held.stdout
        assert held.stdout.readline() == "held\n"
        assert in_use(tmp_path)
        with pytest.raises(InputError, match="another command writes to"), locked(tmp_path):
            pass
        with pytest.raises(InputError, match="another command writes to"):
            check_folder(tmp_path)
    finally:
        held.kill()
        held.wait()
    # whatever ended it, the folder is free again
    assert not in_use(tmp_path)
    with locked(tmp_path):
        pass


def test_what_was_left_half_written_goes(tmp_path: Path, row: DesignRow) -> None:
    """Killed in the middle of a file, the next sweep clears it away and keeps the rest."""
    with locked(tmp_path) as store:
        put(store, row)
        (store / ".0123.json.new").write_text("{", encoding="utf-8")
        (tmp_path / ".designs.csv.new").touch()
    with locked(tmp_path) as store:
        assert not list(tmp_path.rglob("*.new"))
        assert stored(store, row.key) == row


def test_a_folder_where_a_sweep_began_is_ours(tmp_path: Path) -> None:
    """Killed before its first table, it can go on; a folder with other things is refused."""
    with locked(tmp_path / "begun"):
        pass
    assert is_ours(tmp_path / "begun")
    check_folder(tmp_path / "begun", "pier.toml")
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "notes.txt").touch()
    with pytest.raises(InputError, match="no results of barwright"):
        check_folder(tmp_path / "other", "pier.toml")


def test_a_full_disk_leaves_what_was_there(
    tmp_path: Path, row: DesignRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The old file stays whole, no half of the new one is left, and a sentence says what to do."""
    with locked(tmp_path) as store:
        put(store, row)
        monkeypatch.setattr("os.fsync", _no_space)
        with pytest.raises(InputError, match=r"no space left on device.*same command again"):
            put(store, row.model_copy(update={"reason": "new"}))
        monkeypatch.undo()
        assert stored(store, row.key) == row
        assert not list(store.glob("*.new"))
        assert not list(store.glob(".*.new"))


def _no_space(handle: int) -> None:
    raise OSError(28, "No space left on device")


@pytest.mark.skipif(sys.platform == "win32", reason="a limit on file sizes is of POSIX")
def test_a_file_is_never_seen_half_written(tmp_path: Path) -> None:
    """With a real limit of the system on the size of files the old content stays."""
    path = tmp_path / "table.csv"
    write_whole(path, "old")
    limited = (
        "import resource, sys; from pathlib import Path; "
        "from studies.files.atomic_files import write_whole\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "try:\n    write_whole(Path(sys.argv[1]), 'x' * 5000)\n"
        "except OSError as error:\n    print(error.strerror)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", limited, str(path)], capture_output=True, text=True, check=True
    )
    assert "large" in done.stdout
    assert path.read_text(encoding="utf-8") == "old"
    assert [item.name for item in tmp_path.iterdir()] == ["table.csv"]


def test_designs_of_an_earlier_format_are_refused(tmp_path: Path, row: DesignRow) -> None:
    """In one sentence with what to do; a sweep begins nothing beside them and removes none."""
    store = tmp_path / "designs"
    store.mkdir()
    old = store / "0123.json"
    old.write_text('{"format": "barwright-design", "format_version": 2}', encoding="utf-8")
    sweep = wall_sweep(short_study(tmp_path), 1.6)
    with pytest.raises(InputError, match="has format 2, this version reads format 3; keep it"):
        run_sweep(sweep, tmp_path, at_once(made_row))
    assert list(store.iterdir()) == [old]
    old.write_text(row.model_dump_json(), encoding="utf-8")
    refuse_older_files(tmp_path, {})
    refuse_older_files(tmp_path / "none", {SWEEP_RECORD: 2})


@pytest.mark.parametrize("name", [SWEEP_RECORD, OPTIMISE_RECORD])
def test_records_of_an_earlier_format_are_refused(tmp_path: Path, name: str) -> None:
    """Neither a sweep nor a search replaces a record of earlier keys, or leaves designs there."""
    study = short_study(tmp_path)
    old = tmp_path / "out" / name
    old.parent.mkdir()
    old.write_text(json.dumps({"format": OUR_FORMATS[name], "format_version": 1}), encoding="utf-8")
    table = {"vary": [{"path": "bar.stations.*.wall_mm", "from": 1.0, "to": 2.0, "step": 0.1}]}
    task = task_of(study, OptimiseTable.model_validate({**table, "min_yield_factor": 1}), None)
    commands = [lambda: optimise(task, old.parent, "light", at_once(made_row), lambda text: None)]
    if name == SWEEP_RECORD:
        sweep = wall_sweep(study, 1.6)
        commands.append(lambda: run_sweep(sweep, old.parent, at_once(made_row)))
    for command in commands:
        with pytest.raises(InputError, match=f"{name}: has format 1, this version reads format 2"):
            command()
    assert list(old.parent.iterdir()) == [old]
