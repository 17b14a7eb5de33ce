"""Designs that other sources or libraries computed: told, computed again, and kept until then."""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from geometry.errors import InputError
from studies.files import provenance
from studies.files.atomic_files import locked
from studies.study_file.format.sweep_tables import OptimiseTable
from studies.sweeps.executors import REFUSED
from studies.sweeps.optimise import task_of
from studies.sweeps.optimised import optimise
from studies.sweeps.rows import DesignRow, Job, unfinished_row
from studies.sweeps.store import older_count, put, stored
from studies.sweeps.sweep import run_sweep
from studies.sweeps.sweep_results import Sweep, SweepRun
from support.copies import copied, correct, sources_at
from support.pages import short_bar
from support.processes import ROOT
from support.sweeps import WALL, at_once, made_row, short_study, wall_sweep

WALLS_MM = (1.2, 1.4, 1.6, 1.8, 2.0)
SENTENCE = "are of another version of barwright or its libraries and are computed again"


@pytest.fixture
def sweep(tmp_path: Path) -> Sweep:
    """Return a sweep over five walls that other sources have finished."""
    made = wall_sweep(short_study(tmp_path), *WALLS_MM)
    corrected(tmp_path, "fea/solid/kernels.py")
    with sources_at(tmp_path / "copy"):
        run_sweep(made, tmp_path / "out", at_once(made_row))
    return made


def corrected(folder: Path, *files: str) -> None:
    """Copy the packages into a folder, and change some of their files."""
    copy = copied(folder)
    for file in files:
        correct(copy / file)


def again(
    sweep: Sweep, folder: Path, make: Callable[[Job], DesignRow] = made_row
) -> tuple[SweepRun, list[Job], list[str]]:
    """Give the same command again; return what came of it, the jobs begun, and what was said."""
    jobs: list[Job] = []
    said: list[str] = []
    done = run_sweep(sweep, folder / "out", at_once(make, jobs), say=said.append)
    return done, jobs, said


def contents(folder: Path) -> dict[str, bytes]:
    """Return each design on disk."""
    return {path.name: path.read_bytes() for path in (folder / "out/designs").glob("*.json")}


def test_corrected_sources_compute_all_designs_again(tmp_path: Path, sweep: Sweep) -> None:
    """The sentence counts them; each takes the place of the old one; then nothing is older."""
    before = contents(tmp_path)
    done, jobs, said = again(sweep, tmp_path)
    assert (len(jobs), done.reused, said) == (5, 0, [f"5 stored designs {SENTENCE}"])
    after = contents(tmp_path)
    assert after.keys() == before.keys()
    assert not set(after.values()) & set(before.values())
    done, jobs, said = again(sweep, tmp_path)
    assert (len(jobs), done.reused, said) == (0, 5, [])


def test_a_changed_page_computes_nothing_again(tmp_path: Path) -> None:
    """Rows do not come from there."""
    sweep = wall_sweep(short_study(tmp_path), *WALLS_MM)
    run_sweep(sweep, tmp_path / "out", at_once(made_row))
    corrected(tmp_path, "studies/page/templates/sweep.html", "studies/sweeps/sweep_page.py")
    with sources_at(tmp_path / "copy"):
        _, jobs, said = again(sweep, tmp_path)
    assert (jobs, said) == ([], [])


def test_another_library_computes_all_designs_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As other sources do; and a wall that was not there yet is no older design."""
    sweep = wall_sweep(short_study(tmp_path), *WALLS_MM)
    run_sweep(sweep, tmp_path / "out", at_once(made_row))
    real = provenance.library_version
    newer = {"numpy": "99.0"}
    monkeypatch.setattr(provenance, "library_version", lambda name: newer.get(name) or real(name))
    _, jobs, said = again(wall_sweep(sweep.study, *WALLS_MM, 2.2), tmp_path)
    assert (len(jobs), said) == (6, [f"5 stored designs {SENTENCE}"])


@pytest.mark.parametrize("end", [KeyboardInterrupt, InputError])
def test_stopped_in_between_old_designs_and_tables_are_there(
    tmp_path: Path, sweep: Sweep, end: type[BaseException]
) -> None:
    """Two are new, three old, all whole; the tables show five old ones until five are new."""
    before, table = contents(tmp_path), (tmp_path / "out/designs.csv").read_bytes()

    def row(job: Job) -> DesignRow:
        return made_row(job, deflection_mm=0.125)

    def told(finished: int, reused: int) -> None:
        if finished == 2:
            raise end

    with pytest.raises(end):
        run_sweep(sweep, tmp_path / "out", at_once(row), told)
    now = contents(tmp_path)
    assert now.keys() == before.keys()
    assert sum(now[name] == before[name] for name in before) == 3
    assert (tmp_path / "out/designs.csv").read_bytes() == table
    done, jobs, said = again(sweep, tmp_path, row)
    assert (len(jobs), done.reused, said) == (3, 2, [f"3 stored designs {SENTENCE}"])
    assert b"0.125" in (tmp_path / "out/designs.csv").read_bytes()


def test_a_worker_that_dies_takes_no_old_design_along(tmp_path: Path, sweep: Sweep) -> None:
    """What was finished stays until it is replaced; the next command tries again."""
    key = sweep.jobs[0].key
    old = contents(tmp_path)[f"{key[:32]}.json"]
    with locked(tmp_path / "out") as store:
        put(store, unfinished_row(sweep.jobs[0], "worker failed", "it died"))
        assert contents(tmp_path)[f"{key[:32]}.json"] == old
        assert older_count(store, [key]) == 1
        put(store, unfinished_row(sweep.jobs[0], "failed", "the mesh folds"))
        assert older_count(store, [key]) == 0
        assert stored(store, key)


@pytest.mark.parametrize("kind", ["other sources", "other keys"])
def test_a_row_of_a_worker_with_other_sources_is_refused(tmp_path: Path, kind: str) -> None:
    """It is a row with a reason, not a figure; a worker like this one computes it after all."""
    sweep = wall_sweep(short_study(tmp_path), *WALLS_MM)

    class Other(DesignRow):
        """A row as another version tells it."""

        another: int = 1

    def row(job: Job) -> DesignRow:
        made = made_row(job)
        if job is not sweep.jobs[1]:
            return made
        other = made.model_copy(update={"sources_sha256": "0" * 64})
        return other if kind == "other sources" else Other(**made.model_dump())

    done, _, _ = again(sweep, tmp_path, row)
    states = [row.status for row in done.rows if row]
    assert states == ["computed", "worker failed", *["computed"] * 3]
    assert done.rows[1]
    assert done.rows[1].reason == REFUSED
    assert not done.rows[1].cases
    _, jobs, _ = again(sweep, tmp_path)
    assert [job.number for job in jobs] == [1]


def test_a_search_counts_the_older_designs(tmp_path: Path) -> None:
    """It begins with what it can use, and says how many it cannot."""
    table = {"vary": [{"path": WALL, "from": 1.0, "to": 2.0, "step": 0.1}], "min_yield_factor": 3}
    task = task_of(short_study(tmp_path), OptimiseTable.model_validate(table), None)
    said: list[str] = []

    def find() -> None:
        nothing = lambda text: None  # noqa: E731
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("studies.sweeps.optimised.run_study", _stopped)
            with pytest.raises(KeyboardInterrupt):
                optimise(task, tmp_path / "out", "light", at_once(made_row), nothing, said.append)

    find()
    assert said == []
    count, table_before = len(contents(tmp_path)), (tmp_path / "out/designs.csv").read_bytes()
    find()
    assert said == []
    corrected(tmp_path, "geometry/bar.py")
    with sources_at(tmp_path / "copy"):
        find()
    assert said == [f"{count} stored designs {SENTENCE} where the search needs them"]
    assert (tmp_path / "out/designs.csv").read_bytes() == table_before


def _stopped(*_: object, **__: object) -> None:
    raise KeyboardInterrupt


@pytest.mark.slow
def test_killed_in_between_nothing_is_lost(tmp_path: Path) -> None:
    """Over a copy of the packages, in processes of its own, with a kill while it computes again.

    Each design is the old one or the new one, whole; what is new is not computed a third time.
    """
    count, copy = 40, copied(tmp_path)
    short_bar(tmp_path, "pier", 1.6)
    place = tmp_path / "results/pier"
    assert _begun(tmp_path, count).wait(timeout=300) == 0
    before = _written(place)
    correct(copy / "geometry/materials/al-7075-t6.toml")
    running = _begun(tmp_path, count)
    until = time.monotonic() + 300
    while sum(_written(place)[name] != before[name] for name in before) < 2:
        assert running.poll() is None
        assert time.monotonic() < until
        time.sleep(0.01)
    running.kill()
    running.communicate()
    now = _written(place)
    assert now.keys() == before.keys()
    tables = [name for name in now if "/" not in name]
    designs = sorted(now.keys() - set(tables))
    for name in designs:
        DesignRow.model_validate_json((place / name).read_text(encoding="utf-8"))
    older = sum(now[name] == before[name] for name in designs)
    assert 0 < older < count == len(designs)
    assert "designs.csv" in tables
    assert all(now[name] == before[name] for name in tables)
    last = _begun(tmp_path, count)
    _, err = last.communicate(timeout=300)
    assert f"note: {older} stored designs {SENTENCE}" in err
    end = _written(place)
    new = [name for name in now if now[name] != before[name]]
    assert {name: end[name] for name in new} == {name: now[name] for name in new}
    assert all(end[name] != before[name] for name in before)


def _begun(folder: Path, count: int) -> subprocess.Popen[str]:
    path = os.pathsep.join([str(folder / "copy"), str(ROOT / "tests")])
    walls = f"{WALL}=1.2:2.0:{count}"
    call = ["-m", "support.quick_sweep", "sweep", "pier.toml", "--set", walls, "--workers", "1"]
    return subprocess.Popen(
        [sys.executable, *call],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": path},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )


def _written(place: Path) -> dict[str, int]:
    """Return when each table and each design was written, by its path in the folder."""
    found = [*place.glob("*.*"), *place.glob("designs/[!.]*.json")]
    return {
        path.relative_to(place).as_posix(): path.stat().st_mtime_ns
        for path in found
        if path.is_file() and not path.name.startswith(".")
    }
