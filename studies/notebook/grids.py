"""The tables of a notebook: what a run, a comparison and a sweep come to, as texts in rows."""

from collections.abc import Sequence
from dataclasses import dataclass

from fea.stability.criteria import FATIGUE
from studies.comparison.comparison_page import names_of
from studies.comparison.differences import bar_rows, case_tables, cell_text
from studies.page.writing import fixed, value
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.fatigue_text import factor_text
from studies.records.limit_text import BELOW, range_and_decision
from studies.records.places import capitalised
from studies.sweeps.summary import Summary, summary_of
from studies.sweeps.sweep_results import GOVERNING, MASS, NOT_YET, SweepRun, columns

CASE_HEADS = (
    "Load case", "Deflection, mm", "Stiffness, N/mm", "Peak, MPa", "Governing factor",
    "Governing limit", "Place",
)  # fmt: skip

MOST_DESIGNS = 10
"""Designs that a notebook shows; the page and the table hold all."""

FIGURES = (MASS, GOVERNING, "governing_limit")

WHOLE = "clamp or whole bar"


@dataclass(frozen=True)
class Grid:
    """A table: its caption, the heads of its columns, rows of as many texts."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def run_grid(record: ResultsRecord) -> Grid:
    """Return a row for each load case of a run, and one for all repeated loads together."""
    rows = [_case_row(number, case) for number, case in enumerate(record.cases, start=1)]
    life = record.fatigue
    if life and life.low_factor is not None:
        place = life.at.text
        none = ("-",) * 3
        rows.append(("All repeated loads", *none, factor_text(life), FATIGUE.label, place))
    caption = f"{record.bar.name}: {record.study.title}, {record.bar.mass_g:.0f} g"
    return Grid(f"{caption}, {record.study.mesh.level} mesh", CASE_HEADS, tuple(rows))


def _case_row(number: int, case: CaseRecord) -> tuple[str, ...]:
    limit = case.nearest_limit
    return (
        f"{number} {case.title}",
        f"{case.deflection_mm:.2f}",
        fixed(case.stiffness_n_per_mm, 1),
        f"{case.peak_stress_mpa:.0f}",
        range_and_decision(limit),
        limit.name,
        limit.place or WHOLE,
    )


def comparison_grids(records: Sequence[ResultsRecord]) -> tuple[Grid, ...]:
    """Return the figures of the bars, then those of each case; differences from the first."""
    names = names_of(records)
    bars = [
        (row.name, *(cell_text(one, row.decimals) for one in row.cells))
        for row in bar_rows(records)
    ]
    found = [Grid("Bars", ("", *names), tuple(bars))]
    for table in case_tables(records, names):
        rows = [("load", *(load or "-" for load in table.loads))]
        rows += [
            (row.name, *(cell_text(one, row.decimals) for one in row.cells)) for row in table.rows
        ]
        found.append(Grid(" ".join((table.title, table.note)).strip(), ("", *names), tuple(rows)))
    return tuple(found)


def sweep_grids(run: SweepRun) -> tuple[Grid, ...]:
    """Return the first designs of a sweep, then the least and greatest of every figure."""
    return _designs(run), _ranges(run, summary_of(run))


def _designs(run: SweepRun) -> Grid:
    found = columns(run)
    inputs = [column for column in found if column.kind == "input"]
    shown = [*inputs, *(column for column in found if column.key in FIGURES)]
    factors = next((column.values for column in found if column.key == GOVERNING), ())
    rows = []
    for number, row in enumerate(run.rows[:MOST_DESIGNS]):
        cells = [value(column.values[number], column.decimals) for column in shown]
        status = row.status if row else NOT_YET
        rows.append(
            (f"{number + 1}", *cells, _marked(status, factors[number] if factors else None))
        )
    count = len(run.rows)
    title = f"Designs 1 to {MOST_DESIGNS} of {count}" if count > MOST_DESIGNS else "Designs"
    heads = "design", *(column.name for column in shown), "status"
    return Grid(f"{run.sweep.study.title}: {title.lower()}", heads, tuple(rows))


def _marked(status: str, factor: object) -> str:
    below = isinstance(factor, int | float) and factor < 1
    return f"{status}, {BELOW}" if below else status


def _ranges(run: SweepRun, summary: Summary) -> Grid:
    known = {column.key: column for column in columns(run)}
    rows = []
    for span in summary.spans:
        column = known[span.figure]
        ends = (span.least, span.least_design), (span.greatest, span.greatest_design)
        cells = (f"{value(end, column.decimals)} (design {design})" for end, design in ends)
        rows.append((column.name, *cells))
    return Grid("Ranges", ("figure", "least", "greatest"), tuple(rows))


def text_of(grid: Grid) -> str:
    """Return a table as lines of text, for where there is no HTML."""
    widths = [max(map(len, column)) for column in zip(grid.heads, *grid.rows, strict=True)]
    lines = [
        "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in (grid.heads, *grid.rows)
    ]
    return "\n".join((capitalised(grid.caption), *lines))
