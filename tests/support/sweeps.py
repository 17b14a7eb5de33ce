"""Sweeps without the cost of solving: rows made by a formula, by a executor that needs no time."""

import json
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from studies.files.provenance import provenance
from studies.files.version import barwright_version
from studies.study_file.format.sweep_tables import PlanTable, SweepTable
from studies.study_file.study import Study, read_study
from studies.sweeps.executors import Executor
from studies.sweeps.rows import DesignRow, Job
from studies.sweeps.sweep import sweep_of
from studies.sweeps.sweep_results import Sweep
from support.pages import short_bar

WALL, WIDTH = "bar.stations.*.wall_mm", "clamp.width_mm"


def axis(path: str, **keys: Any) -> SweepTable:
    """Return what a study would sweep at a path."""
    return SweepTable.model_validate({"path": path, **keys})


def plan(**keys: Any) -> PlanTable:
    """Return how a study would go through it."""
    return PlanTable.model_validate(keys)


def short_study(folder: Path, name: str = "pier") -> Study:
    """Return a study of a short bar, written into a folder."""
    return read_study(short_bar(folder, name, 1.6))


def wall_sweep(study: Study, *walls_mm: float, **keys: Any) -> Sweep:
    """Return a sweep over walls."""
    return sweep_of(study, [axis(WALL, values=list(walls_mm))], plan(**keys))


def wall_of(job: Job) -> float:
    """Return the first wall of a design."""
    wall: float = json.loads(job.table)["bar"]["stations"][0]["wall_mm"]
    return wall


def made_row(job: Job, **figures: float | None) -> DesignRow:
    """Return a row whose figures are simple functions of the wall, or those given."""
    wall, made_by = wall_of(job), provenance("design")
    case = {
        "governing_factor": 2 * wall,
        "deflection_mm": 4 / wall,
        "stiffness_n_per_mm": 100 * wall,
        "peak_stress_mpa": 200 / wall,
        "yield_factor": 2 * wall,
        "first_yield_factor": 2 * wall,
        **figures,
    }
    return DesignRow(
        key=job.key,
        changes=list(job.changes),
        status="computed",
        reason="",
        barwright_version=barwright_version(),
        sources_sha256=made_by.sources_sha256,
        libraries=dict(made_by.libraries),
        mesh_level=job.level,
        bar={"mass_g": 50 * wall, "governing_factor": case["governing_factor"]},
        governing_limit="first yield",
        governing_case="push",
        cases={"push": case},
    )


def at_once(make: Callable[[Job], DesignRow], seen: list[Job] | None = None) -> Any:
    """Return what opens an executor that makes each row at once; `seen` notes the jobs."""

    def submit(job: Job) -> "Future[str]":
        if seen is not None:
            seen.append(job)
        future: Future[str] = Future()
        try:
            future.set_result(make(job).model_dump_json())
        except Exception as error:  # noqa: BLE001 as a pool would hand it on
            future.set_exception(error)
        return future

    @contextmanager
    def executor() -> Iterator[Executor]:
        yield Executor(submit, lambda: 1, (ConnectionError,), 3)

    return executor
