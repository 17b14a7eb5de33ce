"""comparison.html: designs beside each other, on one page that works like a run's."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from fea.stability import criteria
from geometry.arrays import Floats
from studies.comparison.designs import Design
from studies.comparison.differences import bar_rows, case_of, case_tables
from studies.files.provenance import OTHER_VERSION
from studies.page import assets
from studies.page.chart import Axis, Chart, Line, Tick, chart, value_axis
from studies.page.curves import utilisation_name
from studies.page.filling import environment, shared_parts
from studies.records.case import ResultsRecord
from studies.records.places import capitalised

LETTERS = "ABCDEFGH"

STEPS = 201


@dataclass(frozen=True)
class Dot:
    """A design in the chart of mass against stiffness."""

    letter: str
    name: str
    x: float
    y: float
    radius: float
    factor: float
    css_class: str


@dataclass(frozen=True)
class Scatter:
    """Mass against stiffness, the size of a dot growing with the governing factor."""

    title: str
    words: str
    dots: tuple[Dot, ...]
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]


@dataclass(frozen=True)
class CasePart:
    """What the page shows of a case that designs share."""

    id: str
    charts: tuple[Chart, ...]
    scatter: Scatter | None


def comparison_html(designs: Sequence[Design]) -> str:
    """Return the page that compares designs; differences are from the first."""
    records = [design.record for design in designs]
    axis = Axis(
        min(design.scene["ends_mm"][0] for design in designs),
        max(design.scene["ends_mm"][1] for design in designs),
    )
    names = names_of(records)
    tables = case_tables(records, names)
    template = environment().get_template("comparison.html")
    return template.render(
        **shared_parts(assets.COMPARISON),
        records=records,
        names=names,
        others=[OTHER_VERSION if design.older else "" for design in designs],
        letters=LETTERS,
        bar_rows=bar_rows(records),
        tables=tables,
        parts={table.id: _part(designs, table.id, axis) for table in tables},
        axis=axis,
        span={"ends_mm": [axis.low_mm, axis.high_mm]},
        designs=[
            {**_without_paths(design.scene), "name": name}
            for design, name in zip(designs, names, strict=True)
        ],
        numbers={table.id: _numbers(designs, table.id, axis) for table in tables},
        cautions=_cautions(records),
    )


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


def _part(designs: Sequence[Design], case_id: str, axis: Axis) -> CasePart:
    charts = tuple(
        chart(axis, short, capitalised(column), lines)
        for column, short in _overlaid()
        if (lines := list(_lines(designs, case_id, column)))
    )
    return CasePart(case_id, charts, _scatter([design.record for design in designs], case_id))


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
    across = value_axis([mass_g for _, _, mass_g, _, _ in found], 64, 690)
    up = value_axis([stiffness for *_, stiffness in found], 268, 34)
    most = max(case.governing_factor for *_, case, _ in found) or 1.0
    dots = tuple(
        Dot(
            letter,
            name,
            across.place(mass_g),
            up.place(stiffness),
            4 + 14 * (case.governing_factor / most) ** 0.5,
            case.governing_factor,
            f"design-{letter}",
        )
        for letter, name, mass_g, case, stiffness in found
    )
    words = "; ".join(
        f"{letter} {name}: {mass_g:.0f} g, {stiffness:.1f} N/mm, "
        f"governing factor {case.governing_factor:.2f}"
        for letter, name, mass_g, case, stiffness in found
    )
    title = "Mass against stiffness; the larger the dot, the larger the governing factor"
    return Scatter(title, words, dots, across.ticks, up.ticks)


def _cautions(records: Sequence[ResultsRecord]) -> list[str]:
    """Return what every case of every design shares, and warnings by design."""
    first, *others = ([*one.cautions, *one.limitations] for one in records)
    named = zip(names_of(records), records, strict=True)
    warned = [f"{name}: {line}" for name, record in named for line in record.warnings]
    return [line for line in first if all(line in other for other in others)] + warned
