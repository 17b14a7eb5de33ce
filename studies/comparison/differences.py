"""Designs beside each other: what differs from the first, in percent, and which way is better."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from studies.records.case import CaseRecord, ResultsRecord
from studies.records.measures import MEASURES, Way

Judged = Literal["first", "better", "worse", "same", "differs", ""]

SAME_PERCENT = 0.5
"""Differences below this are called none: a mesh moves most figures by as much."""


@dataclass(frozen=True)
class Cell:
    """A figure of one design.

    Attributes:
        value: The figure, None where there is none.
        percent: Difference from the first design's, None where there is nothing to compare.
        judged: Whether the difference is better or worse.
        words: Text beside the figure, such as the name of the limit.
    """

    value: float | None
    percent: float | None
    judged: Judged
    words: str = ""


@dataclass(frozen=True)
class Row:
    """A figure of all designs."""

    name: str
    decimals: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class CaseTable:
    """A load case that some of the designs have, and its figures."""

    id: str
    title: str
    rows: tuple[Row, ...]


def bar_rows(designs: Sequence[ResultsRecord]) -> tuple[Row, ...]:
    """Return the figures of the bars themselves."""
    together = [design.fatigue.low_factor if design.fatigue else None for design in designs]
    rows = [
        _row("mass, g", 1, "less", [design.bar.mass_g for design in designs]),
        _row("width end to end, mm", 1, "", [design.bar.end_to_end_mm for design in designs]),
        _row("low factor, all repeated loads", 2, "more", together),
    ]
    return tuple(row for row in rows if any(cell.value is not None for cell in row.cells))


def case_tables(designs: Sequence[ResultsRecord]) -> tuple[CaseTable, ...]:
    """Return the figures of every case that at least one design has, in order of appearance."""
    titles = {case.id: case.title for design in reversed(designs) for case in design.cases}
    order = dict.fromkeys(case.id for design in designs for case in design.cases)
    return tuple(CaseTable(id_, titles[id_], tuple(_rows(designs, id_))) for id_ in order)


def case_of(design: ResultsRecord, case_id: str) -> CaseRecord | None:
    """Return a design's case of that id, None where it has none."""
    return next((case for case in design.cases if case.id == case_id), None)


def _rows(designs: Sequence[ResultsRecord], case_id: str) -> Iterator[Row]:
    cases = [case_of(design, case_id) for design in designs]
    for figure in MEASURES:
        values = [figure.of(case) if case else None for case in cases]
        if not any(value is not None for value in values):
            continue
        named = figure.name == MEASURES[0].name
        words = [case.nearest_limit.name if case and named else "" for case in cases]
        yield _row(figure.name, figure.decimals, figure.better, values, words)


def _row(
    name: str,
    decimals: int,
    better: Way,
    values: Sequence[float | None],
    words: Sequence[str] | None = None,
) -> Row:
    first, notes = values[0], words or [""] * len(values)
    cells = [Cell(first, None, "first" if first is not None else "", notes[0])]
    for value, word in zip(values[1:], notes[1:], strict=True):
        percent = 100 * (value / first - 1) if value is not None and first else None
        cells.append(Cell(value, percent, _judged(percent, better), word))
    return Row(name, decimals, tuple(cells))


def _judged(percent: float | None, better: Way) -> Judged:
    if percent is None:
        return ""
    if abs(percent) < SAME_PERCENT:
        return "same"
    if not better:
        return "differs"
    return "better" if (percent > 0) == (better == "more") else "worse"
