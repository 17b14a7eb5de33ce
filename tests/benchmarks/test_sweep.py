"""What a sweep costs: designs under way at once, memory over 100.

Counts and a ratio within one run. What a design costs beside a single run is counted in
`tests/sweeps/test_design_costs.py`. The sweeps are of the riser example's walls on the coarse mesh,
which keeps a run to minutes.
"""

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np
import pytest

from studies.study_file.study import read_study
from studies.sweeps.executors import Executor, local_executor
from studies.sweeps.rows import Job
from studies.sweeps.sweep import run_sweep, sweep_of
from studies.sweeps.sweep_results import Sweep
from support.pages import RISER
from support.sweeps import WALL, axis, plan, short_study

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]

LEAST_TOGETHER = 6
"""Of 8 designs those that begin while another is under way: all but the first, and one that may
begin in the moment in which both workers are done. Workers that wait for each other make it 0."""

MOST_GROWTH = 1.03
"""Most memory after 100 designs over that after 50. Measured 1.00."""


def riser_sweep() -> Sweep:
    """Return 8 walls of the riser, from 10 % thin to 11 % thick."""
    walls = axis(WALL, scale=[0.9 + k * 0.03 for k in range(8)])
    return sweep_of(read_study(RISER), [walls], plan(), level="coarse")


@contextmanager
def noting(workers: int, under_way: list[int]) -> Iterator[Executor]:
    """Yield workers; how many designs are under way is noted as each begins, itself included."""
    with local_executor(workers) as made:
        begun: list[Future[str]] = []

        def submit(job: Job) -> "Future[str]":
            begun.append(made.submit(job))
            under_way.append(sum(not future.done() for future in begun))
            return begun[-1]

        yield replace(made, submit=submit)


def swept(sweep: Sweep, folder: Path, workers: int) -> tuple[float, list[int]]:
    """Return the wall-clock of a sweep, and the designs that were under way as each began."""
    start, under_way = perf_counter(), list[int]()
    run = run_sweep(sweep, folder, lambda: noting(workers, under_way))
    assert all(row and row.status == "computed" for row in run.rows)
    return perf_counter() - start, under_way


def test_two_workers_work_at_once(tmp_path: Path, record_property: Record) -> None:
    """Whenever a design begins another is under way; with one worker none is.

    Times are shown and not judged: what two processes save depends on what else the cores do.
    """
    sweep = riser_sweep()
    one, alone = swept(sweep, tmp_path / "one", 1)
    two, together = swept(sweep, tmp_path / "two", 2)
    record_property("one worker, two workers", f"{one:.1f} s, {two:.1f} s")
    record_property("two over one", f"{two / one:.2f}")
    record_property("designs under way as each began", together)
    assert alone == [1] * 8
    assert together.count(2) >= LEAST_TOGETHER
    assert max(together) == 2


def test_memory_stays_flat(tmp_path: Path, record_property: Record) -> None:
    """After 100 designs two workers have never held more than after 50, but for 3 %.

    The process that leads them holds a gigabyte meanwhile, which must not be told as theirs.
    """
    ballast = np.ones(2**27)
    walls = axis(WALL, linspace={"from": 1.2, "to": 2.0, "count": 100})
    sweep = sweep_of(short_study(tmp_path), [walls], plan(), cases=["push"])
    run = run_sweep(sweep, tmp_path / "out", lambda: local_executor(2))
    # designs are handed out in order, so a pair of neighbours is one of each worker
    held = [row.memory_mb for row in run.rows if row and row.memory_mb is not None]
    assert len(held) == 100
    curve = {after: 2 * median(held[after - 10 : after]) for after in (10, 25, 50, 75, 100)}
    told = ", ".join(f"{after}: {most:.0f} MB" for after, most in curve.items())
    record_property("most memory of both workers after so many designs", told)
    record_property("growth", f"{curve[100] / curve[50]:.3f}, at most {MOST_GROWTH:g}")
    assert curve[100] <= MOST_GROWTH * curve[50]
    assert curve[100] < ballast.nbytes / 2**20
