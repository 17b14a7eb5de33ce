"""Designs beside each other: what differs from the first, in percent, and which way is better."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isclose
from typing import Literal

from studies.comparison.loads import load_differences, load_text
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.gauge_measures import gauge_measures_of
from studies.records.limit_text import BELOW
from studies.records.measures import MEASURES, Measure, Way
from studies.study_file.format.wording import listed

Judged = Literal["first", "better", "worse", "same", "differs", ""]

SAME_PERCENT = 0.5
"""Differences below this are called none: a mesh moves most figures by as much."""

GOVERNING, BARE_YIELD, YIELD = "governing_factor", "yield_factor", "first_yield_factor"

STRESS = "peak_stress_mpa"
"""Judged between equal proof stresses only: of another alloy the factors say it."""


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
    """A load case that some of the designs have, and its figures.

    Attributes:
        id: Id of the case.
        title: Its title.
        in_all_designs: Whether all designs have it.
        loads: Of each design, with their places; empty for one that has no such case.
        note: Whose loads differ from the first design's; empty where none do.
        rows: The figures.
    """

    id: str
    title: str
    in_all_designs: bool
    loads: tuple[str, ...]
    note: str
    rows: tuple[Row, ...]


def bar_rows(designs: Sequence[ResultsRecord]) -> tuple[Row, ...]:
    """Return the figures of the bars themselves."""
    together = [design.fatigue.low_factor if design.fatigue else None for design in designs]
    proof = [design.material.proof_stress_mpa for design in designs]
    rows = [
        _row("mass, g", 1, "less", [design.bar.mass_g for design in designs]),
        _row("width end to end, mm", 1, "", [design.bar.end_to_end_mm for design in designs]),
        _row("proof stress, MPa", 0, "", proof),
        _row("low factor, all repeated loads", 2, "more", together),
    ]
    return tuple(row for row in rows if any(cell.value is not None for cell in row.cells))


def case_tables(designs: Sequence[ResultsRecord], names: Sequence[str]) -> tuple[CaseTable, ...]:
    """Return the figures of every case, in order of appearance, those of all designs first.

    Args:
        designs: The designs.
        names: Of the designs, for sentences.
    """
    order = dict.fromkeys(case.id for design in designs for case in design.cases)
    tables = [_table([case_of(design, id_) for design in designs], designs, names) for id_ in order]
    return tuple(sorted(tables, key=lambda table: not table.in_all_designs))


def cell_text(cell: Cell, decimals: int) -> str:
    """Return a figure with its difference and what that is worth, a dash where there is none."""
    if cell.value is None:
        return "-"
    value = f"{cell.value:.{decimals}f}" if cell.value < 1e6 else f"{cell.value:.2g}"
    percent = "" if cell.percent is None else f" {round(cell.percent, 1) + 0.0:+.1f} %"
    words = f" ({cell.words})" if cell.words else ""
    judged = f" {cell.judged}" if cell.judged in ("better", "worse", "same") else ""
    return f"{value}{percent}{judged}{words}"


def case_of(design: ResultsRecord, case_id: str) -> CaseRecord | None:
    """Return a design's case of that id, None where it has none."""
    return next((case for case in design.cases if case.id == case_id), None)


def _table(
    cases: Sequence[CaseRecord | None], designs: Sequence[ResultsRecord], names: Sequence[str]
) -> CaseTable:
    named = next(case for case in cases if case)
    first = cases[0]
    differing = [load_differences(first, case) if first and case else () for case in cases]
    return CaseTable(
        named.id,
        named.title,
        all(cases),
        tuple(load_text(case) if case else "" for case in cases),
        _note(differing, names),
        tuple(_rows(cases, designs, [not found for found in differing])),
    )


def _note(differing: Sequence[tuple[str, ...]], names: Sequence[str]) -> str:
    others = [name for name, found in zip(names, differing, strict=True) if found]
    if not others:
        return ""
    what = list(dict.fromkeys(word for found in differing for word in found))
    loads = "Loads differ" if len(others) > 1 else "Load differs"
    return f"{loads} from {names[0]} ({listed(what)}): differences of {listed(others)} not judged."


def _rows(
    cases: Sequence[CaseRecord | None], designs: Sequence[ResultsRecord], alike: Sequence[bool]
) -> Iterator[Row]:
    proof = [design.material.proof_stress_mpa for design in designs]
    same_metal = [isclose(one, proof[0], rel_tol=1e-6) for one in proof]
    for figure in (*MEASURES, *gauge_measures_of(cases)):
        values = [figure.of(case) if case else None for case in cases]
        if all(value is None for value in values) or _said_by_another(figure, cases):
            continue
        words = [_limit(case) if case and figure.key == GOVERNING else "" for case in cases]
        compared = [a and m for a, m in zip(alike, same_metal, strict=True)]
        compared = compared if figure.key == STRESS else list(alike)
        yield _row(figure.name, figure.decimals, figure.better, values, words, compared)


def _limit(case: CaseRecord) -> str:
    """Return the name of the governing limit, and whether it lies below the load."""
    below = f", {BELOW}" if case.governing_factor < 1 else ""
    return f"{case.nearest_limit.name}{below}"


def _said_by_another(figure: Measure, cases: Sequence[CaseRecord | None]) -> bool:
    """Return whether yield without preload is the first yield of all designs."""
    if figure.key != BARE_YIELD:
        return False
    first = next(one for one in MEASURES if one.key == YIELD)
    pairs = ((figure.of(case), first.of(case)) for case in cases if case)
    return all(bare == nearest for bare, nearest in pairs)


def _row(
    name: str,
    decimals: int,
    better: Way,
    values: Sequence[float | None],
    words: Sequence[str] = (),
    compared: Sequence[bool] = (),
) -> Row:
    first, notes = values[0], words or [""] * len(values)
    flags = compared or [True] * len(values)
    cells = [Cell(first, None, "first" if first is not None else "", notes[0])]
    for value, word, judge in zip(values[1:], notes[1:], flags[1:], strict=True):
        percent = 100 * (value / first - 1) if value is not None and first else None
        cells.append(Cell(value, percent, _judged(percent, better if judge else ""), word))
    return Row(name, decimals, tuple(cells))


def _judged(percent: float | None, better: Way) -> Judged:
    if percent is None:
        return ""
    if abs(percent) < SAME_PERCENT:
        return "same"
    if not better:
        return "differs"
    return "better" if (percent > 0) == (better == "more") else "worse"
