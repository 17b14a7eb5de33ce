"""A sweep on one screen: plan, what is finished already, workers, rows, tables."""

import json
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from time import monotonic

from fea.solid.linear_solver import SolverName
from geometry.grading import LevelName
from studies.files.atomic_files import DESIGNS, locked
from studies.files.provenance import older_in_words
from studies.files.results_folder import SWEEP_RECORD
from studies.study_file.chosen_cases import require_cases
from studies.study_file.format.sweep_tables import PlanTable, SweepTable
from studies.study_file.study import Study
from studies.study_file.variants import design_table, with_warnings
from studies.sweeps.executors import Executor, results
from studies.sweeps.plan import merged_by, plan_of
from studies.sweeps.rows import DesignRow, Job, key_of, unneeded
from studies.sweeps.store import older_count, put, refuse_older_files, stored
from studies.sweeps.summary import FORMAT_VERSION
from studies.sweeps.sweep_results import Sweep, SweepRun, measures_of
from studies.sweeps.tables import has_tables, write_tables

TABLES_EVERY_S, TABLES_SHARE = 20.0, 0.03
"""How often the tables are written anew while a sweep goes on, and what share of the time that may
take."""


def sweep_of(
    study: Study,
    sweeps: Sequence[SweepTable],
    plan: PlanTable,
    *,
    level: LevelName | None = None,
    solver: SolverName = "auto",
    cases: Sequence[str] = (),
) -> Sweep:
    """Return the designs of a sweep.

    Args:
        study: What they are variants of.
        sweeps: What varies.
        plan: How to go through it.
        level: Mesh level, the study's where it is None.
        solver: Which direct solver.
        cases: Ids of the cases to compute; none for all.

    Raises:
        StudyError: The study has no case.
        InputError: Nothing varies, a path or figure has no such name, or the axes do not go
            together.
    """
    require_cases(study)
    found = plan_of(study.table, sweeps, plan)
    measures = measures_of(plan.measures, plan.only, gauges=study.gauges)
    without = unneeded(measures) if plan.only else ()
    jobs = []
    for number in range(len(found.values)):
        changes = found.changes(number)
        table = design_table(study.table, changes)
        mesh = level or table.get("mesh", {}).get("level", study.mesh_level)
        key = key_of(table, mesh, tuple(cases), without)
        words = tuple(map(str, changes))
        text, file = json.dumps(table, default=str), str(study.path)
        jobs.append(Job(number, key, text, file, mesh, solver, tuple(cases), words, without))
    warned = with_warnings(study, merged_by(study.table, found.axes))
    return Sweep(warned, found, measures, tuple(jobs))


def run_sweep(
    sweep: Sweep,
    folder: Path,
    executor: Callable[[], AbstractContextManager[Executor]],
    report: Callable[[int, int], None] = lambda finished, reused: None,
    say: Callable[[str], None] = lambda sentence: None,
) -> SweepRun:
    """Compute the designs of a sweep that are not finished yet, each on disk as it finishes.

    Args:
        sweep: The designs.
        folder: Results folder.
        executor: Opens the workers; not called where all designs are stored.
        report: Called with the numbers of designs that are finished, and that were reused.
        say: Called with a sentence on designs that are not reused.

    Raises:
        InputError: The folder cannot be written, holds files of an earlier format, or another
            sweep writes there.
        StoppedError: The workers are gone for good.
    """
    refuse_older_files(folder, {SWEEP_RECORD: FORMAT_VERSION})
    # workers that cannot be had must leave no folder behind
    at_once = all(stored(folder / DESIGNS, job.key) for job in sweep.jobs)
    with nullcontext() if at_once else executor() as workers, locked(folder) as store:
        rows = {job.key: row for job in sweep.jobs if (row := stored(store, job.key))}
        reused = len(rows)
        open_jobs = list({job.key: job for job in sweep.jobs if job.key not in rows}.values())
        older = older_count(store, [job.key for job in open_jobs])
        if older:
            say(older_in_words(older, "stored design"))
        # whole tables of another version stay until the new ones are whole
        kept = older > 0 and has_tables(folder)
        report(reused, reused)
        show = _now_and_then(lambda: kept or write_tables(_run(sweep, rows, reused), folder))
        try:
            for job, row in results(workers, open_jobs) if workers else ():
                put(store, row)
                rows[job.key] = row
                report(len(rows), reused)
                show()
        finally:
            # also where a sweep is interrupted: what is finished can be read
            done = _run(sweep, rows, reused)
            if None not in done.rows or not kept:
                write_tables(done, folder)
    return done


def _now_and_then(write: Callable[[], object]) -> Callable[[], None]:
    """Return what writes the tables when it is time; workers wait meanwhile, so not too often."""
    due = monotonic() + TABLES_EVERY_S

    def show() -> None:
        nonlocal due
        start = monotonic()
        if start < due:
            return
        write()
        due = monotonic() + max(TABLES_EVERY_S, (monotonic() - start) / TABLES_SHARE)

    return show


def unique_count(sweep: Sweep) -> int:
    """Return the number of designs that differ."""
    return len({job.key for job in sweep.jobs})


def _run(sweep: Sweep, rows: dict[str, DesignRow], reused: int) -> SweepRun:
    return SweepRun(sweep, tuple(rows.get(job.key) for job in sweep.jobs), reused)
