"""What `optimise` does as a whole: search, confirm on the fine mesh, files."""

import json
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import asdict, dataclass
from pathlib import Path

from geometry.properties import mass_g
from studies.assessment.run import StudyRun, run_study
from studies.files.atomic_files import locked, unwritable, write_whole
from studies.files.provenance import older_in_words
from studies.files.results_folder import OPTIMISE_RECORD, OUR_FORMATS, SWEEP_RECORD, land, landed
from studies.files.version import barwright_version
from studies.records.base import finite
from studies.records.case import ResultsRecord
from studies.results.record import results_record
from studies.results.writing import write_results
from studies.study_file.format.sweep_tables import VariedTable
from studies.study_file.variants import variant_of, with_warnings
from studies.sweeps.constraints import Margin, margins_of
from studies.sweeps.executors import Executor
from studies.sweeps.optimise import (
    CONFIRMED_ON,
    MOST_CONFIRMATIONS,
    Evaluated,
    Task,
    axes_of,
    changes_of,
    confirmed_study,
    dimensions,
    merged_in,
    rows_of,
    search,
)
from studies.sweeps.plan import Plan
from studies.sweeps.rows import Job, computed_row
from studies.sweeps.sizes import Point
from studies.sweeps.store import older_in, refuse_older_files
from studies.sweeps.summary import FORMAT_VERSION as SWEEP_VERSION
from studies.sweeps.sweep_results import Sweep, SweepRun
from studies.sweeps.tables import has_tables, write_tables

FORMAT_VERSION = 2

ACTIVE = 0.02
"""Margin below which a constraint is active: the bar cannot be lighter."""


@dataclass(frozen=True, eq=False)
class Optimised:
    """The result of an optimisation.

    Attributes:
        task: The optimisation.
        point: The lightest sizes that meet all constraints, or those that come nearest.
        constraints_met: Whether they meet them on the fine mesh.
        margins: Of their constraints, on the mesh named.
        level: The mesh that the margins are from.
        mass_g: Mass of the bar.
        mass_before_g: Mass of the bar that it began with.
        designs_evaluated: Number of designs that were computed.
        run: The full run of the lightest bar, None where there is none.
    """

    task: Task
    point: Point
    constraints_met: bool
    margins: tuple[Margin, ...]
    level: str
    mass_g: float
    mass_before_g: float
    designs_evaluated: int
    run: StudyRun | None

    @property
    def active(self) -> tuple[Margin, ...]:
        """Return the active constraints, the tightest first.

        The tightest always does, a step less breaks it; unless all sizes are the least on offer.
        """
        pairs = zip(self.task.varied, self.point, strict=True)
        if all(_is_least(varied, value) for varied, value in pairs):
            return ()
        first, *others = sorted(self.margins, key=lambda margin: margin.margin)
        return (first, *(margin for margin in others if margin.margin < ACTIVE))

    @property
    def at_bounds(self) -> tuple[str, ...]:
        """Return which sizes lie at a bound, in words."""
        found = []
        for varied, value in zip(self.task.varied, self.point, strict=True):
            if _is_least(varied, value):
                found.append(f"{varied.name} is the smallest size")
            elif value > varied.to - varied.step + 1e-9:
                found.append(f"{varied.name} is the largest size")
        return tuple(found)


def optimise(
    task: Task,
    folder: Path,
    name: str,
    executor: Callable[[], AbstractContextManager[Executor]],
    report: Callable[[str], None],
    say: Callable[[str], None] = lambda sentence: None,
) -> Optimised:
    """Return the lightest bar; every design that was computed lies in the folder, as of a sweep.

    Args:
        task: The optimisation.
        folder: Results folder.
        name: Of the study that comes out.
        executor: Opens the workers.
        report: Called with what is being done.
        say: Called with a sentence on designs that are not reused.

    Raises:
        InputError: The folder cannot be written, holds files of an earlier format, or no design
            has figures.
        MeshError: The mesh of the lightest bar cannot be made.
        SolveError: The equations of the lightest bar cannot be solved.
        StoppedError: The workers are gone for good.
    """
    evaluated: Evaluated = {}
    found = None
    # workers that cannot be had must leave no folder behind
    refuse_older_files(folder, {SWEEP_RECORD: SWEEP_VERSION, OPTIMISE_RECORD: FORMAT_VERSION})
    with executor() as workers, locked(folder) as store:
        older = older_in(store)
        if older:
            say(f"{older_in_words(older, 'stored design')} where the search needs them")
        try:
            found = _searched(task, (folder, store), name, workers, evaluated, report)
        finally:
            # whole tables of another version stay until the search is whole
            if evaluated and (found or not (older and has_tables(folder))):
                write_tables(_as_sweep(task, evaluated), folder)
    return found


def write_optimised(
    found: Optimised,
    folder: Path,
    name: str,
    draw: Callable[[StudyRun, Path], None] | None,
) -> ResultsRecord | None:
    """Write the lightest bar's results and study file, and optimise.json.

    Returns:
        The content of results.json, None where no bar meets the constraints.

    Raises:
        InputError: The folder cannot be written.
    """
    if found.run is None and landed(folder):
        # the lightest bar of other constraints, which would be taken for this answer
        land(folder, lambda fresh: None)
    record = write_results(found.run, folder, draw) if found.run else None
    try:
        if found.run:
            write_whole(folder / f"{name}.toml", found.run.study.text)
        write_whole(folder / OPTIMISE_RECORD, optimise_json(found))
    except OSError as error:
        raise unwritable(folder, error) from None
    return record


def optimise_json(found: Optimised) -> str:
    """Return the text of optimise.json."""
    study = found.task.study
    sizes = {v.name: value for v, value in zip(found.task.varied, found.point, strict=True)}
    content = {
        "format": OUR_FORMATS[OPTIMISE_RECORD],
        "format_version": FORMAT_VERSION,
        "study": {"name": study.name, "file": study.path.name, "sha256": study.sha256},
        "barwright_version": barwright_version(),
        "constraints_met": found.constraints_met,
        "sizes": sizes,
        "dimensions": dimensions(found.task, found.point),
        "mass_g": found.mass_g,
        "mass_before_g": found.mass_before_g,
        "designs_evaluated": found.designs_evaluated,
        "mesh_of_search": found.task.level,
        "mesh_of_margins": found.level,
        "margins": [asdict(margin) for margin in found.margins],
        "active": [str(margin) for margin in found.active],
        "at_bounds": found.at_bounds,
        "vary": [varied.model_dump(by_alias=True) for varied in found.task.varied],
    }
    return json.dumps(finite(content), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _is_least(varied: VariedTable, value: float) -> bool:
    return abs(value - varied.from_) < varied.step / 2


def _searched(
    task: Task,
    places: tuple[Path, Path],
    name: str,
    workers: Executor,
    evaluated: Evaluated,
    report: Callable[[str], None],
) -> Optimised:
    folder, store = places
    fine_shifts: dict[tuple[str, str], float] = {}
    for attempt in range(MOST_CONFIRMATIONS):
        found = search(
            task, store, workers, evaluated, fine_shifts, lambda n: report(f"{n} designs computed")
        )
        point = found.point
        if not found.feasible:
            break
        report(f"{len(evaluated)} designs computed; full run on the {CONFIRMED_ON} mesh")
        run = run_study(confirmed_study(task, point, folder, name), CONFIRMED_ON, task.solver)
        fine = _margins_of_run(task, run)
        if min(margin.margin for margin in fine) >= 0:
            return _optimised(task, point, fine, evaluated, run)
        coarse = margins_of(task.constraints, rows_of(task, store, workers, evaluated, [point])[0])
        # not less than before, or the search would go back and forth
        for there, here in zip(fine, coarse, strict=True):
            key = (there.constraint.key, there.case)
            fine_shifts[key] = min(fine_shifts.get(key, 0.0), there.margin - here.margin)
        report(f"constraint violated on the {CONFIRMED_ON} mesh; search {attempt + 2}")
    margins = margins_of(task.constraints, rows_of(task, store, workers, evaluated, [point])[0])
    return _optimised(task, point, margins, evaluated, None)


def _optimised(
    task: Task,
    point: Point,
    margins: tuple[Margin, ...],
    evaluated: Evaluated,
    run: StudyRun | None,
) -> Optimised:
    return Optimised(
        task=task,
        point=point,
        constraints_met=run is not None,
        margins=margins,
        level=run.level if run else task.level,
        mass_g=mass_g(variant_of(task.study, changes_of(task, point)).bar),
        mass_before_g=mass_g(task.study.bar),
        designs_evaluated=len(evaluated),
        run=run,
    )


def _margins_of_run(task: Task, run: StudyRun) -> tuple[Margin, ...]:
    job = Job(0, "", "", "", CONFIRMED_ON, task.solver, (), ())
    return margins_of(task.constraints, computed_row(job, results_record(run), 0.0, None))


def _as_sweep(task: Task, evaluated: Evaluated) -> SweepRun:
    """Return all that was computed as a sweep, for its tables and its page."""
    rows = tuple(row for _, row in evaluated.values())
    points = tuple(point for point, _ in evaluated.values())
    plan = Plan(axes_of(task), "paired", points, None, "", 0)
    file, given = str(task.study.path), (task.level, task.solver, (), (), task.without)
    jobs = tuple(Job(number, row.key, "", file, *given) for number, row in enumerate(rows))
    warned = with_warnings(task.study, merged_in(task))
    return SweepRun(Sweep(warned, plan, task.measures, jobs), rows, 0)
