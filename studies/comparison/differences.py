"""Designs beside each other: what differs from the first, in percent, and which way is better."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import isclose
from typing import Literal

from studies.comparison.loads import (
    clamp_differences,
    clamp_text,
    load_differences,
    load_text,
)
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.collapse import CollapseRecord
from studies.records.gauge_measures import gauge_measures_of
from studies.records.limit_text import BELOW
from studies.records.measures import MEASURES, Measure, Way
from studies.study_file.format.wording import listed

Judged = Literal["first", "better", "worse", "same", "differs", ""]

SAME_PERCENT = 0.5
"""Differences below this are called none, and those below the discretisation error."""

OF_DEFLECTION = ("deflection_mm", "stiffness_n_per_mm", "elastic_factor")
"""Figures whose discretisation error is that of the deflection; all others follow the stress."""

MASS = "mass, g"
GOVERNING, BARE_YIELD, YIELD = "governing_factor", "yield_factor", "first_yield_factor"

OF_PATH: tuple[tuple[str, int, Way, Callable[[CollapseRecord], float | None]], ...] = (
    ("yield load of the path, x load", 2, "more", lambda path: path.yield_load_factor),
    ("limit load of the path, x load", 2, "more", lambda path: path.limit_load_factor),
    ("permanent set after the load, mm", 2, "less", lambda path: path.permanent_set_mm),
)
"""Figures of a case's path past yield; a comparison traces none."""

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
        same_percent: Size below which a difference is none.
    """

    value: float | None
    percent: float | None
    judged: Judged
    words: str = ""
    same_percent: float = SAME_PERCENT


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
        clamps: Of each design, likewise.
        alike: Whether each is under the first design's load, in its clamp.
        note: Whose loads or clamps differ from the first design's; empty where none do.
        rows: The figures.
    """

    id: str
    title: str
    in_all_designs: bool
    loads: tuple[str, ...]
    clamps: tuple[str, ...]
    alike: tuple[bool, ...]
    note: str
    rows: tuple[Row, ...]


def bar_rows(designs: Sequence[ResultsRecord]) -> tuple[Row, ...]:
    """Return the figures of the bars themselves."""
    together = [design.fatigue.low_factor if design.fatigue else None for design in designs]
    proof = [design.material.proof_stress_mpa for design in designs]
    found: list[tuple[str, int, Way, list[float | None]]] = [
        (MASS, 1, "less", [design.bar.mass_g for design in designs]),
        ("width end to end, mm", 1, "", [design.bar.end_to_end_mm for design in designs]),
        ("proof stress, MPa", 0, "", [*proof]),
        ("low factor, all repeated loads", 2, "more", together),
    ]
    ids = list(dict.fromkeys(case.id for design in designs for case in design.cases))
    alike = [alike_cases(designs[0], design, ids) for design in designs]
    rows = [
        figure_row(name, decimals, way, values, alike=alike if values is together else ())
        for name, decimals, way, values in found
    ]
    return tuple(row for row in rows if any(cell.value is not None for cell in row.cells))


def alike_cases(one: ResultsRecord, other: ResultsRecord, ids: Sequence[str]) -> bool:
    """Return whether two designs have these cases under the same loads, in the same clamp."""
    pairs = [(case_of(one, id_), case_of(other, id_)) for id_ in ids]
    return not clamp_differences(one, other) and all(
        case and another and not load_differences(case, another) for case, another in pairs
    )


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
    pairs = list(zip(cases, designs, strict=True))
    differing = [_differing(pairs[0], pair) for pair in pairs]
    alike = tuple(not found for found in differing)
    return CaseTable(
        named.id,
        named.title,
        all(cases),
        tuple(load_text(case) if case else "" for case in cases),
        tuple(clamp_text(design) if case else "" for case, design in pairs),
        alike,
        _note(differing, names),
        (*_rows(cases, designs, alike), *_path_rows(cases, alike)),
    )


Pair = tuple[CaseRecord | None, ResultsRecord]


def _differing(one: Pair, other: Pair) -> tuple[str, ...]:
    """Return in what load and clamp of a case differ, nothing where one design has it not."""
    first, case = one[0], other[0]
    if first is None or case is None:
        return ()
    return load_differences(first, case) + clamp_differences(one[1], other[1])


def _note(differing: Sequence[tuple[str, ...]], names: Sequence[str]) -> str:
    others = [name for name, found in zip(names, differing, strict=True) if found]
    if not others:
        return ""
    what = list(dict.fromkeys(word for found in differing for word in found))
    differ = "differ" if len(others) > 1 else "differs"
    return f"{listed(others)} {differ} from {names[0]} in {listed(what)}: no difference given."


def _rows(
    cases: Sequence[CaseRecord | None], designs: Sequence[ResultsRecord], alike: Sequence[bool]
) -> Iterator[Row]:
    proof = [design.material.proof_stress_mpa for design in designs]
    same_metal = [isclose(one, proof[0], rel_tol=1e-6) for one in proof]
    errors = [_errors(case) if case else (0.0, 0.0) for case in cases]
    for figure in (*MEASURES, *gauge_measures_of(cases)):
        values = [figure.of(case) if case else None for case in cases]
        if all(value is None for value in values) or _said_by_another(figure, cases):
            continue
        words = [_limit(case) if case and figure.key == GOVERNING else "" for case in cases]
        judged = same_metal if figure.key == STRESS else ()
        known = [of_deflection if figure.key in OF_DEFLECTION else of_stress
                 for of_deflection, of_stress in errors]  # fmt: skip
        yield figure_row(
            figure.name, figure.decimals, figure.better, values,
            words=words, alike=alike, judged=judged, errors=known,
        )  # fmt: skip


def _path_rows(cases: Sequence[CaseRecord | None], alike: Sequence[bool]) -> Iterator[Row]:
    """Yield the figures of paths past yield, where any design has one of this case."""
    paths = [case.collapse if case else None for case in cases]
    for name, decimals, better, of in OF_PATH:
        values = [of(path) if path else None for path in paths]
        if any(value is not None for value in values):
            yield figure_row(name, decimals, better, values, alike=alike)


def _errors(case: CaseRecord) -> tuple[float, float]:
    """Return the discretisation errors of deflection and stress, percent."""
    error = case.error_estimate
    return error.deflection_percent, error.stress_percent


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


def figure_row(  # noqa: PLR0913 all are of one row
    name: str,
    decimals: int,
    better: Way,
    values: Sequence[float | None],
    *,
    words: Sequence[str] = (),
    alike: Sequence[bool] = (),
    judged: Sequence[bool] = (),
    errors: Sequence[float] = (),
) -> Row:
    """Return a figure of all designs, with differences from the first.

    Args:
        name: In words, with its unit.
        decimals: Shown.
        better: Which way it is better.
        values: Of each design.
        words: Text beside each.
        alike: Whether each is under the first one's load; the others have no difference.
        judged: Whether the difference of each is better or worse.
        errors: Discretisation error of each, percent.
    """
    count, first = len(values), values[0]
    notes, flags = words or [""] * count, alike or [True] * count
    ways: list[Way] = [better if judge else "" for judge in judged or [True] * count]
    known = errors or [0.0] * count
    cells = [Cell(first, None, "first" if first is not None else "", notes[0])]
    for k in range(1, count):
        value, same = values[k], max(SAME_PERCENT, known[0], known[k])
        percent = 100 * (value / first - 1) if value is not None and first and flags[k] else None
        cells.append(Cell(value, percent, _judged(percent, ways[k], same), notes[k], same))
    return Row(name, decimals, tuple(cells))


def _judged(percent: float | None, better: Way, same: float) -> Judged:
    if percent is None:
        return ""
    if abs(percent) < same:
        return "same"
    if not better:
        return "differs"
    return "better" if (percent > 0) == (better == "more") else "worse"
