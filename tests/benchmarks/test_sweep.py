"""What a sweep costs: designs under way at once, time and memory over many.

Ratios within one run. What a design costs beside a single run is counted in
`tests/sweeps/test_design_costs.py`. The sweeps are of walls of a short bar on the coarse mesh: what
workers do beside each other, and what they keep, does not depend on how large a design is.
"""

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

import numpy as np
import pytest

from studies.sweeps.executors import Executor, local_executor
from studies.sweeps.rows import Job
from studies.sweeps.sweep import run_sweep, sweep_of
from studies.sweeps.sweep_results import Sweep
from studies.sweeps.worker import compute
from support.sweeps import WALL, axis, plan, short_study

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]
Spans = list[tuple[float, float]]

LEAST_TOGETHER, MOST_ALONE = 0.5, 0.1
"""Share of a sweep's time in which two designs are under way, with two workers and with one.
The last of eight may be alone. Workers that wait for each other make it 0."""

DESIGNS, MOST_GROWTH = 24, 1.1
"""Most memory after all designs over that after half of them. Measured 1.000 to 1.021, for an
allocator keeps what it likes; six designs a worker lie between, and one that left its factor behind
would make it 1.5 or more."""


def short_sweep(folder: Path, count: int, *only: str) -> Sweep:
    """Return so many walls of a short bar with one case."""
    walls = axis(WALL, linspace={"from": 1.2, "to": 2.0, "count": count})
    return sweep_of(short_study(folder), [walls], plan(only=only), level="coarse", cases=["push"])


@contextmanager
def noting(workers: int, spans: Spans) -> Iterator[Executor]:
    """Yield workers; when each design begins and ends is noted."""
    with local_executor(workers) as made:

        def submit(job: Job) -> "Future[str]":
            begun, future = perf_counter(), made.submit(job)
            future.add_done_callback(lambda _: spans.append((begun, perf_counter())))
            return future

        yield replace(made, submit=submit)


def together(spans: Spans) -> float:
    """Return the share of the time, from first to last, in which two or more are under way."""
    places = sorted({at for span in spans for at in span})
    both = sum(
        later - earlier
        for earlier, later in pairwise(places)
        if sum(begun <= earlier and later <= ended for begun, ended in spans) > 1
    )
    return both / (places[-1] - places[0])


def swept(sweep: Sweep, folder: Path, workers: int) -> tuple[float, float]:
    """Return the wall-clock of a sweep, and the share of it in which two are under way."""
    start, spans = perf_counter(), Spans()
    run = run_sweep(sweep, folder, lambda: noting(workers, spans))
    assert all(row and row.status == "computed" for row in run.rows)
    assert len(spans) == len(run.rows)
    return perf_counter() - start, together(spans)


def test_two_workers_work_at_once(tmp_path: Path, record_property: Record) -> None:
    """Most of the time two designs are under way; with one worker never.

    Times are shown and not judged: what two processes save depends on what else the cores do.
    """
    sweep = short_sweep(tmp_path, 8, "deflection_mm")
    one, alone = swept(sweep, tmp_path / "one", 1)
    two, beside = swept(sweep, tmp_path / "two", 2)
    record_property("one worker, two workers", f"{one:.1f} s, {two:.1f} s")
    record_property("two under way, one worker and two", f"{alone:.2f}, {beside:.2f}")
    assert alone < MOST_ALONE
    assert beside > LEAST_TOGETHER


def test_memory_stays_flat(tmp_path: Path, record_property: Record) -> None:
    """After 24 whole designs two workers have never held more than after 12, but for 10 %.

    The process that leads them holds a gigabyte meanwhile, which must not be told as theirs.
    """
    ballast = np.ones(2**27)
    sweep = short_sweep(tmp_path, DESIGNS)
    run = run_sweep(sweep, tmp_path / "out", lambda: local_executor(2))
    # designs are handed out in order, so a pair of neighbours is one of each worker
    held = [row.memory_mb for row in run.rows if row and row.memory_mb is not None]
    assert len(held) == DESIGNS
    half, whole = DESIGNS // 2, DESIGNS
    curve = {after: 2 * median(held[after - 4 : after]) for after in (half // 2, half, whole)}
    told = ", ".join(f"{after}: {most:.0f} MB" for after, most in curve.items())
    record_property("most memory of both workers after so many designs", told)
    record_property("growth", f"{curve[whole] / curve[half]:.3f}, at most {MOST_GROWTH:g}")
    assert curve[whole] <= MOST_GROWTH * curve[half]
    assert curve[whole] < ballast.nbytes / 2**20


LATER, MOST_LATER, MOST_WHOLE = 8, 1.4, 3.0
"""CPU time of a later design over an earlier one, and of a whole design over one of its deflection
alone. Measured 1.0 to 1.1 and 1.4: the bar is short, and most of a design is its mesh and beam."""


def test_time_grows_with_the_designs_and_no_faster(tmp_path: Path, record_property: Record) -> None:
    """The last four of nine cost a worker what the four before did, after the first."""
    whole, part = (short_sweep(tmp_path, LATER + 1, *only) for only in ((), ("deflection_mm",)))
    times = {"whole": seconds_of(whole), "deflection": seconds_of(part)}
    half = LATER // 2
    least = {name: (min(each[:half]), min(each[half:])) for name, each in times.items()}
    for name, (early, late) in least.items():
        told = f"{early:.2f} s, {late:.2f} s; {60 / late:.0f} a minute and worker"
        record_property(f"{name}: earlier and later design", told)
        assert late <= MOST_LATER * early
    ratio = least["whole"][1] / least["deflection"][1]
    record_property("whole over deflection", f"{ratio:.2f}, at most {MOST_WHOLE:g}")
    assert ratio <= MOST_WHOLE


def seconds_of(sweep: Sweep) -> list[float]:
    """Return the CPU time of every design but the first, by one worker."""
    times = []
    for job in sweep.jobs:
        start = process_time()
        compute(job)
        times.append(process_time() - start)
    return times[1:]
