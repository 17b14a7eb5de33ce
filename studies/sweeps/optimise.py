"""The lightest bar: a search over the pipeline, then a full run of what it found on a fine mesh."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import inf
from pathlib import Path
from typing import Any

import numpy as np

from fea.solid.linear_solver import SolverName
from geometry.arrays import Floats
from geometry.errors import InputError, Problem, refuse
from geometry.grading import LevelName
from geometry.properties import mass_g
from studies.records.assessed import Part
from studies.records.measures import Measure
from studies.study_file.changes import Change, changed, number_at
from studies.study_file.chosen_cases import require_cases
from studies.study_file.errors import StudyError
from studies.study_file.format.sweep_tables import OptimiseTable, VariedTable
from studies.study_file.key_places import places
from studies.study_file.key_words import words_of
from studies.study_file.study import Study, study_from_table
from studies.study_file.variants import design_table, variant_of
from studies.sweeps.constraints import (
    INFEASIBLE,
    Constraint,
    Margin,
    check_judged,
    constraints_of,
    margins_of,
)
from studies.sweeps.executors import Executor, results
from studies.sweeps.plan import Axis, merged_by, written_at
from studies.sweeps.rows import DesignRow, Job, key_of, unneeded
from studies.sweeps.search import Found, lightest
from studies.sweeps.sizes import Grid, Point
from studies.sweeps.sizes import Problem as Search
from studies.sweeps.store import put, stored
from studies.sweeps.sweep_results import measures_of

CONFIRMED_ON: LevelName = "fine"

MOST_CONFIRMATIONS = 4
"""Searches, each with margins shifted by the fine mesh's of the one before."""


Evaluated = dict[str, tuple[Point, DesignRow]]
"""Every design that a search computed, by its key and in that order: sizes and row."""


@dataclass(frozen=True, eq=False)
class Task:
    """An optimisation: the least mass within constraints.

    Attributes:
        study: The study to start from.
        varied: Keys that vary and their sizes.
        constraints: Of every case.
        level: Mesh level of the search.
        solver: Which direct solver.
        measures: Those of a case that tables tell.
        without: Parts of the assessment of designs that none of these needs; the lightest bar is
            assessed whole.
    """

    study: Study
    varied: tuple[VariedTable, ...]
    constraints: tuple[Constraint, ...]
    level: LevelName
    solver: SolverName
    measures: tuple[Measure, ...]
    without: tuple[Part, ...]


def task_of(
    study: Study, table: OptimiseTable, level: LevelName | None, solver: SolverName = "auto"
) -> Task:
    """Return the optimisation of a study.

    Raises:
        StudyError: The study has no case.
        InputError: Nothing varies, a path names no number, a measure has no such name, or there is
            no constraint.
    """
    require_cases(study)
    problems: list[Problem] = []
    if not table.vary:
        sentence = "names nothing that varies; give --vary PATH=FROM:TO:STEP or [[optimise.vary]]"
        problems.append(Problem("optimise.vary", sentence))
    for varied in table.vary:
        try:
            for place in places(study.table, varied.path):
                number_at(study.table, place)
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(*problems)
    constraints = constraints_of(table, study.gauges)
    check_judged(constraints, study.cases)
    keys = [constraint.key for constraint in constraints]
    measures = measures_of(keys, table.only, "optimise", study.gauges)
    without = unneeded(measures) if table.only else ()
    level = level or study.mesh_level
    return Task(study, table.vary, constraints, level, solver, measures, without)


def changes_of(task: Task, point: Point) -> tuple[Change, ...]:
    """Return what makes a point of the study."""
    pairs = zip(task.varied, point, strict=True)
    return tuple(Change(varied.path, varied.acts_as, value) for varied, value in pairs)


def merged_in(task: Task) -> tuple[str, ...]:
    """Return a sentence for each path whose sizes take the place of differing numbers."""
    return merged_by(task.study.table, axes_of(task))


def axes_of(task: Task) -> tuple[Axis, ...]:
    """Return what varies, as a sweep would."""
    table = task.study.table
    return tuple(
        Axis(
            one.path,
            words_of(table, one.path, one.acts_as),
            one.acts_as,
            (),
            None,
            written_at(table, places(table, one.path)),
        )
        for one in task.varied
    )


def dimensions(task: Task, point: Point) -> dict[str, list[float]]:
    """Return the numbers that a point comes to at every place of each path."""
    table = changed(task.study.table, changes_of(task, point))
    paths = dict.fromkeys(varied.path for varied in task.varied)
    return {
        path: [round(number_at(table, place), 9) for place in places(table, path)] for path in paths
    }


def search(
    task: Task,
    store: Path,
    executor: Executor,
    evaluated: Evaluated,
    fine_shifts: Mapping[tuple[str, str], float],
    report: Callable[[int], None],
) -> Found:
    """Return the lightest bar in steps that meets the constraints on the mesh of the search.

    Args:
        task: The optimisation.
        store: Where finished designs lie, and go.
        executor: Computes them.
        evaluated: Gets every design that is computed.
        fine_shifts: What the fine mesh adds to the margin of each (figure, case), as far as known.
        report: Called with the number of designs computed.

    Raises:
        InputError: The designs have no figures, whatever their sizes.
        StoppedError: The workers are gone for good.
    """
    grids = tuple(Grid(v.from_, v.to, v.step) for v in task.varied)
    known = tuple(_known(task, v) for v in task.varied)
    largest = tuple(grid.size(grid.last) for grid in grids)
    begun = rows_of(task, store, executor, evaluated, [largest, _inside(known, grids)])
    if all(row.status != "computed" for row in begun):
        raise refuse("optimise", f"has no computed design to begin from; {begun[0].reason}")
    layout = next(_names(each) for row in begun if (each := margins_of(task.constraints, row)))

    def margins(points: Sequence[Point]) -> Floats:
        rows = rows_of(task, store, executor, evaluated, points)
        report(len(evaluated))
        return np.array(
            [_line(margins_of(task.constraints, row), layout, fine_shifts) for row in rows]
        )

    # each mass is read several times, and builds a bar
    mass = cache(lambda point: _mass_g(task, point))
    return lightest(Search(grids, mass, margins), known)


def rows_of(
    task: Task, store: Path, executor: Executor, evaluated: Evaluated, points: Sequence[Point]
) -> list[DesignRow]:
    """Return the rows of points, from disk where they are finished, else computed together."""
    jobs = [_job(task, point, number) for number, point in enumerate(points)]
    rows: dict[str, DesignRow | None] = {
        job.key: evaluated[job.key][1] if job.key in evaluated else stored(store, job.key)
        for job in jobs
    }
    open_jobs = list({job.key: job for job in jobs if rows[job.key] is None}.values())
    for job, fresh in results(executor, open_jobs):
        put(store, fresh)
        rows[job.key] = fresh
    found = [row for job in jobs if (row := rows[job.key])]
    for point, row in zip(points, found, strict=True):
        evaluated.setdefault(row.key, (point, row))
    return found


def confirmed_study(task: Task, point: Point, folder: Path, name: str) -> Study:
    """Return the study of a point, with a name and a file of its own in a folder."""
    changes = (Change("name", "value", name), *changes_of(task, point))
    made = variant_of(task.study, changes)
    return replace(made, path=folder / f"{name}.toml")


def _job(task: Task, point: Point, number: int) -> Job:
    changes = changes_of(task, point)
    table = design_table(task.study.table, changes)
    key = key_of(table, task.level, (), task.without)
    text, file = json.dumps(table, default=str), str(task.study.path)
    words = tuple(map(str, changes))
    return Job(number, key, text, file, task.level, task.solver, (), words, task.without)


def _mass_g(task: Task, point: Point) -> float:
    """Return the mass of a bar, infinite where there is no such bar."""
    table: dict[str, Any] = design_table(task.study.table, changes_of(task, point))
    bare = {key: value for key, value in table.items() if key in ("name", "bar", "clamp")}
    try:
        return mass_g(study_from_table(bare, task.study.path, "").bar)
    except StudyError:
        return inf


def _known(task: Task, varied: VariedTable) -> float:
    """Return the size that the study has."""
    if varied.acts_as == "factor":
        return 1.0
    return number_at(task.study.table, places(task.study.table, varied.path)[0])


def _inside(point: Point, grids: Sequence[Grid]) -> Point:
    pairs = zip(point, grids, strict=True)
    return tuple(min(max(value, grid.low), grid.size(grid.last)) for value, grid in pairs)


def _names(margins: Sequence[Margin]) -> list[tuple[str, str]]:
    return [(margin.constraint.key, margin.case) for margin in margins]


def _line(
    margins: Sequence[Margin],
    layout: Sequence[tuple[str, str]],
    fine_shifts: Mapping[tuple[str, str], float],
) -> list[float]:
    """Return margins in one order for all designs, what the fine mesh adds to them included."""
    found = {name: margin.margin for name, margin in zip(_names(margins), margins, strict=True)}
    return [found.get(name, INFEASIBLE) + fine_shifts.get(name, 0.0) for name in layout]
