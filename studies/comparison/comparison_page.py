"""comparison.html: designs beside each other, on one page that works like a run's."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from fea.stability import criteria
from geometry.arrays import Floats
from studies.comparison.bar_pictures import bar_pictures, ruler, ruler_ends_mm
from studies.comparison.designs import Design
from studies.comparison.differences import CaseTable, Row, bar_rows, case_of, case_tables
from studies.comparison.limits_beside import limits_beside
from studies.comparison.overview import (
    LETTERS,
    CaseInStrip,
    cases_in_strip,
    key_rows,
    sentences,
)
from studies.files.provenance import OTHER_VERSION
from studies.page import assets
from studies.page.chart import Axis, Chart, Line, Tick, chart, value_axis
from studies.page.curves import utilisation_name
from studies.page.filling import environment, shared_parts
from studies.page.first_screen import headline
from studies.page.ladder import ladders
from studies.page.view_fields import LEAST_SCALE
from studies.records.case import ResultsRecord
from studies.records.places import capitalised
from studies.study_file.format.wording import listed

STEPS = 201

MOST_PERCENT, LEAST_PERCENT = 100.0, 2.0
"""Ends between which the axis of the differences ends; what is larger is cut, and its figure stands
beside it."""


@dataclass(frozen=True)
class Dot:
    """A design in the chart of mass against stiffness, in percent of its width and height."""

    letter: str
    name: str
    left: float
    top: float
    factor: float
    mass_g: float
    stiffness: float


@dataclass(frozen=True)
class Scatter:
    """Mass against stiffness."""

    dots: tuple[Dot, ...]
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]


@dataclass(frozen=True)
class CasePart:
    """What the page shows of a case: its figures, the end of their axis, its charts."""

    table: CaseTable
    most_percent: float
    charts: tuple[Chart, ...]
    scatter: Scatter | None


def comparison_html(designs: Sequence[Design]) -> str:
    """Return the page that compares designs; differences are from the first."""
    records = [design.record for design in designs]
    axis = Axis(*ruler_ends_mm([design.scene for design in designs]))
    names = names_of(records)
    keys, bars = key_rows(records), bar_rows(records)
    tables = case_tables(records, names)
    template = environment().get_template("comparison.html")
    return template.render(
        **shared_parts(assets.COMPARISON),
        records=records,
        names=names,
        headlines=[headline(record) for record in records],
        fills=[one.rungs[0].fill for one in ladders(records)],
        others=[OTHER_VERSION if design.older else "" for design in designs],
        letters=LETTERS,
        sentences=sentences(records, keys),
        unlike=_unlike(tables),
        pictures=bar_pictures(designs),
        ruler=ruler((axis.low_mm, axis.high_mm)),
        most_utilisation=LEAST_SCALE,
        limits=limits_beside(records),
        key_rows=keys,
        key_percent=most_percent(keys),
        bar_rows=bars,
        bar_percent=most_percent(bars),
        strips=[_strip(records, tables, shared=shared) for shared in (True, False)],
        owners_of={table.id: [k for k, load in enumerate(table.loads) if load] for table in tables},
        case_numbers={table.id: number for number, table in enumerate(tables, start=1)},
        parts=[_part(designs, table, axis) for table in tables],
        axis=axis,
        span={"ends_mm": [axis.low_mm, axis.high_mm]},
        designs=[
            {**_without_paths(design.scene), "name": name}
            for design, name in zip(designs, names, strict=True)
        ],
        numbers={table.id: _numbers(designs, table.id, axis) for table in tables},
        cautions=_cautions(records),
    )


def _unlike(tables: Sequence[CaseTable]) -> str:
    """Return which designs have another load or clamp than the first in a case; empty for none."""
    if not any(table.in_all_designs for table in tables):
        return "No case is shared: every factor is of the design's own loads."
    flags = zip(*(table.alike for table in tables), strict=True)
    found = [letter for letter, alike in zip(LETTERS, flags, strict=False) if not all(alike)]
    if not found:
        return ""
    differ = "differ" if len(found) > 1 else "differs"
    return f"Load or clamp of {listed(found)} {differ} from A: no difference given there."


def _strip(
    records: Sequence[ResultsRecord], tables: Sequence[CaseTable], *, shared: bool
) -> list[CaseInStrip]:
    """Return the cases that all designs have, or the others; tables hold the former first."""
    loads = {table.id: "loads or clamps differ" if table.note else _load(table) for table in tables}
    every = cases_in_strip(records, loads)
    return [
        case for case, table in zip(every, tables, strict=True) if table.in_all_designs is shared
    ]


def _load(table: CaseTable) -> str:
    """Return the load of the first design that has the case."""
    return next(load for load in table.loads if load)


def most_percent(rows: Sequence[Row]) -> float:
    """Return where the axis of the differences of some rows ends, percent."""
    sizes = [abs(c.percent) for row in rows for c in row.cells if c.percent is not None]
    return min(MOST_PERCENT, max([LEAST_PERCENT, *sizes]))


def names_of(records: Sequence[ResultsRecord]) -> list[str]:
    """Return the names of the bars; those of the studies where two bars have one name."""
    bars = [record.bar.name for record in records]
    return bars if len(set(bars)) == len(bars) else [record.study.name for record in records]


def _overlaid() -> tuple[tuple[str, str], ...]:
    """Return the columns of a design's numbers that are overlaid, and their short names."""
    return (
        ("largest von Mises, MPa", "mises"),
        ("vertical bending moment, N·m", "moment"),
        *((utilisation_name(one), one.id) for one in criteria.LOCAL),
    )


def _without_paths(scene: dict[str, Any]) -> dict[str, Any]:
    """Return a scene that shows linear answers only: paths of designs have no common steps."""
    return {**scene, "cases": [_without_path(case) for case in scene["cases"]]}


def _without_path(case: dict[str, Any]) -> dict[str, Any]:
    fields = [field for field in case["fields"] if not field["steps"]]
    return {**case, "path": None, "fields": fields}


def _part(designs: Sequence[Design], table: CaseTable, axis: Axis) -> CasePart:
    charts = tuple(
        chart(axis, short, capitalised(column), lines)
        for column, short in _overlaid()
        if (lines := list(_lines(designs, table.id, column)))
    )
    scatter = _scatter([design.record for design in designs], table.id)
    return CasePart(table, most_percent(table.rows), charts, scatter)


def _lines(designs: Sequence[Design], case_id: str, column: str) -> Iterator[Line]:
    names = names_of([design.record for design in designs])
    for number, design in enumerate(designs):
        numbers = design.numbers.get(case_id)
        if numbers is None:
            continue
        s, values = np.array(numbers["s_mm"]), np.array(numbers["columns"][column])
        letter = LETTERS[number]
        yield Line(names[number], f"design-{letter}", s, values, letter)


def _numbers(designs: Sequence[Design], case_id: str, axis: Axis) -> dict[str, Any]:
    """Return the overlaid columns of all designs at the same places."""
    s = np.linspace(axis.low_mm, axis.high_mm, STEPS)
    columns = {
        f"{LETTERS[number]} {column}": _at(s, design.numbers[case_id], column)
        for column, _ in _overlaid()
        for number, design in enumerate(designs)
        if case_id in design.numbers
    }
    return {"s_mm": s.round(2).tolist(), "columns": columns}


def _at(s: Floats, numbers: dict[str, Any], column: str) -> list[float]:
    values = np.interp(s, numbers["s_mm"], numbers["columns"][column])
    return [float(f"{value:.4g}") for value in values]


def _scatter(records: Sequence[ResultsRecord], case_id: str) -> Scatter | None:
    """Return the chart of a case; None where a pure moment has no stiffness."""
    found = [
        (LETTERS[number], name, record.bar.mass_g, case, case.stiffness_n_per_mm)
        for number, (name, record) in enumerate(zip(names_of(records), records, strict=True))
        if (case := case_of(record, case_id)) and case.stiffness_n_per_mm is not None
    ]
    if not found:
        return None
    across = value_axis([mass_g for _, _, mass_g, _, _ in found], 0, 100)
    up = value_axis([stiffness for *_, stiffness in found], 100, 0)
    dots = tuple(
        Dot(
            letter,
            name,
            across.place(mass_g),
            up.place(stiffness),
            case.governing_factor,
            mass_g,
            stiffness,
        )
        for letter, name, mass_g, case, stiffness in found
    )
    return Scatter(dots, across.ticks, up.ticks)


def _cautions(records: Sequence[ResultsRecord]) -> list[str]:
    """Return what every case of every design shares, and warnings by design."""
    first, *others = ([*one.cautions, *one.limitations] for one in records)
    named = zip(names_of(records), records, strict=True)
    warned = [f"{name}: {line}" for name, record in named for line in record.warnings]
    return [line for line in first if all(line in other for other in others)] + warned
