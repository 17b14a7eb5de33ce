"""A sweep and its results, as records and as the columns of one table."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from geometry.errors import InputError, Problem
from geometry.limits import unknown_name
from loadcases.gauges import PlacedGauge
from studies.records.gauge_measures import gauge_measure
from studies.records.measures import ALL_MEASURES, RENAMED, USUAL, Measure, Way
from studies.study_file.changes import Value
from studies.study_file.study import Study
from studies.sweeps.plan import Plan
from studies.sweeps.rows import DesignRow, Job

MASS, GOVERNING = "mass_g", "governing_factor"

NOT_YET = "pending"
"""Status of a design that is not finished."""

ColumnKind = Literal["state", "input", "figure"]


@dataclass(frozen=True, eq=False)
class Sweep:
    """Designs to compute.

    Attributes:
        study: What they are variants of.
        plan: What varies.
        measures: Figures of each case that the tables show.
        jobs: One for each design of the plan, in its order.
    """

    study: Study
    plan: Plan
    measures: tuple[Measure, ...]
    jobs: tuple[Job, ...]


@dataclass(frozen=True, eq=False)
class SweepRun:
    """The results of a sweep.

    Attributes:
        sweep: Its designs.
        rows: One for each design of the plan, None where it is not finished.
        reused: Number of designs that an earlier run had finished.
    """

    sweep: Sweep
    rows: tuple[DesignRow | None, ...]
    reused: int

    @property
    def not_assessed(self) -> tuple[str, ...]:
        """Return what of the designs was not assessed, as no figure that is kept needs it."""
        return tuple(dict.fromkeys(part.value for job in self.sweep.jobs for part in job.without))


@dataclass(frozen=True)
class Column:
    """A column of a sweep's table.

    Attributes:
        key: Head of the column, with its unit; `case/figure` for one of a case.
        name: In words.
        kind: State, input or figure.
        decimals: Shown, where it is a figure.
        better: Which way a figure is better.
        values: One a design, None where there is none.
    """

    key: str
    name: str
    kind: ColumnKind
    decimals: int
    better: Way
    values: tuple[Value | None, ...]


def measures_of(
    keys: Sequence[str],
    only: Sequence[str] = (),
    table: str = "plan",
    gauges: Sequence[PlacedGauge] = (),
) -> tuple[Measure, ...]:
    """Return the usual measures, or `only` these, and those named, in their usual order.

    The study's `gauges` are among the usual ones. `table` of the study file is where measures were
    named.

    Raises:
        InputError: No measure has one of these names; the nearest or the new one is named.
    """
    of_gauges = tuple(gauge_measure(one.gauge.name, one.gauge.kind) for one in gauges)
    every = ALL_MEASURES + of_gauges
    known = [measure.key for measure in every]
    given = [("measures", key) for key in keys] + [("only", key) for key in only]
    problems = [
        _unknown_measure(f"{table}.{of}", key, known) for of, key in given if key not in known
    ]
    if problems:
        raise InputError(*problems)
    usual = *USUAL, *(measure.key for measure in of_gauges)
    chosen = {*(only or usual), *keys}
    return tuple(measure for measure in every if measure.key in chosen)


def _unknown_measure(field: str, key: str, known: Sequence[str]) -> Problem:
    if now := RENAMED.get(key):
        return Problem(field, f"{key} is now called {now}; rename it")
    return unknown_name(field, "measure", key, known)


@lru_cache(maxsize=1)
def columns(run: SweepRun) -> tuple[Column, ...]:
    """Return the table of a sweep: state, inputs and figures of every design, in their order.

    Cached for the last run, as every statistic reads it.
    """
    figures = [column for column in _figures(run) if any(v is not None for v in column.values)]
    return (*_state(run), *_inputs(run), *figures)


def figure_columns(run: SweepRun) -> tuple[Column, ...]:
    """Return the numeric columns of figures."""
    return tuple(
        column
        for column in columns(run)
        if column.kind == "figure" and not any(isinstance(v, str) for v in column.values)
    )


def input_columns(run: SweepRun) -> tuple[Column, ...]:
    """Return the columns of what varies."""
    return tuple(column for column in columns(run) if column.kind == "input")


def column_named(found: Sequence[Column], key: str) -> Column | None:
    """Return the column of that key, None where there is none."""
    return next((column for column in found if column.key == key), None)


def numbers(column: Column) -> Floats:
    """Return a column (designs,) as numbers; not a number where there is none."""
    return np.array([v if isinstance(v, int | float) else np.nan for v in column.values], float)


def _state(run: SweepRun) -> list[Column]:
    count = range(len(run.rows))
    reasons = tuple(row.reason or None if row else None for row in run.rows)
    return [
        Column("design", "design", "state", 0, "", tuple(n + 1 for n in count)),
        Column(
            "status",
            "status",
            "state",
            0,
            "",
            tuple(row.status if row else NOT_YET for row in run.rows),
        ),
        Column("reason", "reason", "state", 0, "", reasons),
    ]


def _inputs(run: SweepRun) -> list[Column]:
    plan = run.sweep.plan
    return [
        Column(axis.name, axis.label, "input", 5, "", tuple(row[number] for row in plan.values))
        for number, axis in enumerate(plan.axes)
    ]


def _figures(run: SweepRun) -> list[Column]:
    rows = run.rows
    computed = [row if row and row.status == "computed" else None for row in rows]
    bars: list[tuple[str, str, int, Way]] = [
        (MASS, "mass, g", 1, "less"),
        (GOVERNING, "governing factor", 3, "more"),
        ("repeated_factor", "factor, all repeated loads", 3, "more"),
    ]
    found = [
        Column(key, name, "figure", decimals, way, tuple(_of_bar(row, key) for row in computed))
        for key, name, decimals, way in bars
    ]
    limit = tuple((row.governing_limit or None) if row else None for row in computed)
    case = tuple((row.governing_case or None) if row else None for row in computed)
    found[2:2] = [
        Column("governing_limit", "governing limit", "figure", 0, "", limit),
        Column("governing_case", "governing case", "figure", 0, "", case),
    ]
    ids = dict.fromkeys(id_ for row in computed if row for id_ in row.cases)
    return found + [
        Column(
            f"{id_}/{measure.key}",
            f"{measure.name}: {id_}",
            "figure",
            measure.decimals + 1,
            measure.better,
            tuple(row.cases.get(id_, {}).get(measure.key) if row else None for row in computed),
        )
        for id_ in ids
        for measure in run.sweep.measures
    ]


def _of_bar(row: DesignRow | None, key: str) -> float | None:
    return row.bar.get(key) if row else None
