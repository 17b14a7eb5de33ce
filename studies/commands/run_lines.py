"""What `barwright run` and `collapse` print: a table, the governing limit, cases, cautions."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

import typer

from fea.clamp.clamping import STEM
from fea.stability.criteria import FATIGUE, YIELD, gloss_of
from loadcases.clamp import held_in_words
from studies.commands.case_details import bar_details, case_details, reference_lines, weak_inputs
from studies.commands.case_lines import NEAREST, case_lines
from studies.commands.collapse_lines import path_lines
from studies.commands.lines import labelled, sentence, within, wrapped
from studies.commands.options import Detail
from studies.commands.square_lines import square_lines
from studies.commands.units import inch_rows, shown_within
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.fatigue import FatigueRecord
from studies.records.fatigue_text import decision_text, factor_text, life_text
from studies.records.limit import ClampPreloadRecord, LimitRecord
from studies.records.measures import (
    ALL_REPEATED,
    Governing,
    governing,
    governing_verified,
)
from studies.records.parts import governing_case
from studies.records.places import capitalised, grouped, on_ruler

HEADS = (
    ("Results", "deflection", "stiffness", "peak", YIELD.id, "governing"),
    ("", "mm", "N/mm", "MPa", "factor", "factor"),
)
TITLE = 25

BLOCK = 6
"""Lines of warnings, and of cautions with limitations."""


def print_run(record: ResultsRecord, folder: Path | None, detail: Detail = Detail.DEFAULT) -> None:
    """Print the results of a study, and where they lie, if anywhere."""
    typer.echo("\n".join(run_lines(record, folder, detail)))


def run_lines(record: ResultsRecord, folder: Path | None, detail: Detail) -> list[str]:
    """Return the lines that a run prints; `Detail` says how many."""
    verbose = detail is Detail.VERBOSE
    table = [*_table(record), "", *_governing(record)]
    if detail is Detail.QUIET:
        return [*table, "", *within(record.cautions, BLOCK, indent=0)]
    lines = [*_head(record), *(bar_details(record) if verbose else ()), "", *table]
    lines += ["", *square_lines(record.square)] if record.square else []
    warned = [*map(sentence, record.warnings), *_by_case(record, lambda case: case.warnings)]
    lines += ["", "Warnings", *_block(warned, verbose=verbose)] if warned else []
    if record.bar.conventions:
        lines += ["", "Conventions", *_conventions(record.bar.conventions)]
    for number, case in enumerate(record.cases, start=1):
        lines += ["", *_case(number, case, verbose=verbose)]
    if verbose:
        lines += ["", *_notes(record), "", *reference_lines(record)]
    cautions = list(_cautions(record, verbose=verbose))
    lines += ["", "Cautions and limitations", *_block(cautions, verbose=verbose)]
    if folder is None:
        return lines
    more = "" if verbose else "; more: --verbose"
    return [*lines, "", f"Results in {folder}: report.html, results.json{more}"]


def _cautions(record: ResultsRecord, *, verbose: bool) -> Iterator[str]:
    yield from record.cautions
    yield from _by_case(record, lambda case: case.cautions)
    yield from record.limitations
    if verbose:
        yield from _by_case(record, lambda case: case.limitations)
    yield from _by_case(record, lambda case: case.collapse.cautions if case.collapse else ())


def _block(texts: Sequence[str], *, verbose: bool) -> list[str]:
    if not verbose:
        return within(texts, BLOCK)
    return [line for text in texts for line in wrapped(text, 2, 4)]


def _head(record: ResultsRecord) -> Iterator[str]:
    bar, mesh = record.bar, record.study.mesh
    yield from wrapped(f"{record.study.name}: {record.study.title}", 0, 2)
    weighed = "" if bar.measured_mass_g is None else f", {bar.measured_mass_g:.0f} g measured"
    parts = [bar.name, bar.material, f"{bar.end_to_end_mm:.0f} mm end to end"]
    parts.append(f"{bar.mass_g:.0f} g computed{weighed}")
    yield from labelled("Bar", ", ".join(parts), 2, 7)
    yield from _clamps(record)
    dofs = f"{mesh.level}, {grouped(mesh.dofs)} degrees of freedom"
    yield from labelled("Mesh", f"{dofs}, solver {record.study.solver}", 2, 7)


def _clamps(record: ResultsRecord) -> Iterator[str]:
    """Yield the stem's clamp, and the first lever with the number of others."""
    stems = [one for one in record.clamp_preload if one.name == STEM]
    levers = [one for one in record.clamp_preload if one.name != STEM]
    held = held_in_words(record.clamp.width_mm, record.clamp.model)
    yield from labelled("Clamp", "; ".join([held, *map(_preload, stems)]), 2, 7)
    if levers:
        more = f"; and {len(levers) - 1} more" if len(levers) > 1 else ""
        text = f"{on_ruler(levers[0].at_mm)}; {_preload(levers[0])}{more}"
        yield from labelled("Lever", text, 2, 7)


def _preload(clamp: ClampPreloadRecord) -> str:
    least, nominal, largest = (force / 1000 for force in clamp.preload_n)
    between = shown_within(f"{least:.1f} to {largest:.1f}", "kN")
    return f"preload {nominal:.1f} kN ({between}); slip {_slip(clamp)}"


def _slip(clamp: ClampPreloadRecord) -> str:
    """Return the slip torque in N·m with its careful end."""
    careful = clamp.slip_torque_range_nmm[0]
    low = shown_within(f"{careful / 1000:.0f}", "N·m")
    return f"{clamp.slip_torque_nmm / 1000:.0f} N·m (low {low})"


def _table(record: ResultsRecord) -> Iterator[str]:
    """Yield a row of numbers a case; a title is cut, a number never."""
    for heads in (*HEADS, *inch_rows(HEADS[1], HEADS[1])):
        yield _row(heads)
    for number, case in enumerate(record.cases, start=1):
        stiffness = case.stiffness_n_per_mm
        name = wrapped(case.title)[0]
        name = name if len(name) <= TITLE else f"{name[: TITLE - 3].rstrip()}..."
        cells = (
            f"{case.deflection_mm:.2f}",
            "-" if stiffness is None else f"{stiffness:.1f}",
            f"{case.peak_stress_mpa:.0f}",
            f"{case.yield_factor:.2f}",
            f"{case.governing_factor:.2f}",
        )
        yield _row((f"{number:>2}  {name}", *cells))
        yield from map(_row, inch_rows(HEADS[1], ("", *cells)))


def _conventions(texts: Sequence[str]) -> Iterator[str]:
    for text in texts:
        yield from wrapped(text, 2, 4)


def _row(cells: Sequence[str]) -> str:
    first, *numbers = cells
    columns = zip(numbers, (10, 11, 7, 8, 11), strict=True)
    return f"{first:<30}{''.join(f'{one:>{width}}' for one, width in columns)}".rstrip()


def _governing(record: ResultsRecord) -> Iterator[str]:
    """Yield the governing limit: factor and place, what it says, its weakest input, verified."""
    case, nearest = governing_case(record.cases), governing(record)
    limit, life = case.nearest_limit, case.fatigue
    if nearest.case == ALL_REPEATED and record.fatigue:
        yield from _governing_life(ALL_REPEATED, record.fatigue)
    elif limit.criterion == FATIGUE.id and life:
        yield from _governing_life(_number(record, case), life)
    else:
        head = (limit.name, _number(record, case), f"{nearest.factor:.2f} x load", limit.place)
        yield from _hung(f"Governing limit: {', '.join(one for one in head if one)}", 0)
        below = "Below the load. " if nearest.factor < 1 else ""
        yield from _hung(f"{below}{capitalised(gloss_of(limit.criterion))}.")
    if nearest.case != ALL_REPEATED and limit.weak_inputs:
        yield from _hung(f"Weakest input: {_weakest(limit)}.")
    yield from _verified(record, nearest)


def _governing_life(number: str, life: FatigueRecord) -> Iterator[str]:
    head = (FATIGUE.label, number, factor_text(life), life.at.text)
    yield from _hung(f"Governing limit: {', '.join(head)}", 0)
    below = "Below the load. " if (life.low_factor or 0) < 1 else ""
    yield from _hung(f"{below}{decision_text(life)}")
    yield from _hung(f"Life {life_text(life)}.")


def _verified(record: ResultsRecord, nearest: Governing) -> Iterator[str]:
    """Yield the nearest verified limit where another governs."""
    found = governing_verified(record)
    if found is None:
        yield "  No limit rests on verified inputs alone."
    elif found != nearest:
        case = next(case for case in record.cases if case.id == found.case)
        head = (found.limit, _number(record, case), f"{found.factor:.2f} x load")
        yield from _hung(f"Among verified limits: {', '.join(head)}")


def _number(record: ResultsRecord, case: CaseRecord) -> str:
    return f"case {record.cases.index(case) + 1}"


def _hung(text: str, indent: int = 2) -> list[str]:
    return wrapped(text, indent, indent + 2)


def _weakest(limit: LimitRecord) -> str:
    """Return the weakest input with its range and what that does, or that none is stated."""
    one = limit.weak_inputs[0]
    ranged = "no range stated"
    if one.range and one.factor_range:
        low, high = one.range
        ranged = f"{low:.3g} to {high:.3g} gives {one.factor_range[0]:.2f} to "
        ranged += f"{one.factor_range[1]:.2f}"
    return f"{one.input}, {one.evidence}; {ranged}"


def _case(number: int, case: CaseRecord, *, verbose: bool) -> Iterator[str]:
    yield from case_lines(number, case, None if verbose else NEAREST)
    if verbose:
        yield from case_details(case)
    if case.collapse:
        yield ""
        yield from path_lines(number, case, case.collapse, verbose=verbose)


def _by_case(record: ResultsRecord, of: Callable[[CaseRecord], Iterable[str]]) -> list[str]:
    """Return sentences of cases, each once, with the numbers of its cases before it."""
    found: dict[str, list[str]] = {}
    for number, case in enumerate(record.cases, start=1):
        for text in dict.fromkeys(of(case)):
            found.setdefault(text, []).append(f"{number}")
    return [
        f"Case{'s' if len(numbers) > 1 else ''} {', '.join(numbers)}: {text}"
        for text, numbers in found.items()
    ]


def _notes(record: ResultsRecord) -> Iterator[str]:
    yield "Notes"
    for text in _by_case(record, _notes_of):
        yield from wrapped(text, 2, 4)


def _notes_of(case: CaseRecord) -> Iterator[str]:
    yield from (*weak_inputs(case), *case.remarks, *case.notes)
    # of a life that is not judged the caution says why
    if case.fatigue and case.fatigue.factor is not None:
        yield from case.fatigue.notes
    if case.collapse:
        yield case.collapse.flow_curve
