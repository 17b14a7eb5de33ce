"""Ten questions that a reviewer asks of a run, answered in plain sentences."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot

from fea.stability.criteria import FATIGUE, gloss_of
from geometry.source import MARKS
from loadcases.case import Case, Figure
from studies.assessment.run import StudyRun
from studies.page.beyond_answers import (
    beyond_asked,
    beyond_assumed,
    beyond_load,
    beyond_place,
    beyond_sure,
    collapses,
)
from studies.page.inputs import inputs
from studies.page.inspection import inspections
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.limit import FatigueRecord, LimitRecord
from studies.records.parts import gauge_mm, governing_case
from studies.records.places import capitalised, grouped

STANDARD = "standard"
OF_LOAD = 2
"""Figures of a case that say what is pressed, and where."""

FOREMOST = 3
"""Inspections named among the answers; the page lists all."""


@dataclass(frozen=True)
class Answer:
    """A question and what the run says to it.

    Attributes:
        question: As a reviewer asks it.
        sentences: The answer.
    """

    question: str
    sentences: tuple[str, ...]


def answers(run: StudyRun, record: ResultsRecord) -> tuple[Answer, ...]:
    """Return the ten questions with their answers."""
    case = governing_case(record.cases)
    limit = case.limits[0]
    return (
        Answer("What fails first?", (*_first(record, case), *collapses(record.cases))),
        Answer("At what load?", (*_load(record, case), *beyond_load(record))),
        Answer("Where?", (*_where(record, limit), *beyond_place(record))),
        Answer("How heavy is it?", tuple(_mass(record))),
        Answer("How stiff is it?", tuple(_stiffness(one) for one in record.cases)),
        Answer("What was assumed?", (*_assumed(run), *beyond_assumed(record))),
        Answer("What is only remembered?", tuple(_remembered(run, record))),
        Answer("How sure are the figures?", (*_sure(record, case), *beyond_sure(record))),
        Answer("What does the standard ask?", tuple(_asked(run, record))),
        Answer("What should be inspected?", inspections(run, record)[:FOREMOST]),
    )


def together_first(record: ResultsRecord) -> FatigueRecord | None:
    """Return the life under all repeated loads where it ends before any case's limit."""
    life = record.fatigue
    if life is None or life.factor is None:
        return None
    return life if life.factor < governing_case(record.cases).governing_factor else None


def _first(record: ResultsRecord, case: CaseRecord) -> Iterator[str]:
    if life := together_first(record):
        yield (
            f"All repeated loads together come first: {FATIGUE.label} at {life.factor:.2f} times "
            f"their size ({FATIGUE.gloss})."
        )
    limit = case.limits[0]
    yield f"{capitalised(limit.name)} under '{case.title}': {gloss_of(limit.criterion)}."
    after = ", ".join(f"{one.name} at {one.load_factor:.2f}" for one in case.limits[1:4])
    if after:
        yield f"In the same case follow, as multiples of its load: {after}."
    for one in record.cases:
        if one.fatigue and one.fatigue.factor is None:
            yield f"The fatigue of '{one.title}' is not judged: nothing is known to judge it with."


def _load(record: ResultsRecord, case: CaseRecord) -> Iterator[str]:
    factor = case.governing_factor
    if life := together_first(record):
        yield f"At {life.factor:.2f} times all repeated loads together."
    loads = "; ".join(_times(factor, load.force_n, load.moment_nmm, load.side, load.at_mm)
                      for load in case.load_points)  # fmt: skip
    yield f"At {factor:.2f} times the load of '{case.title}': {loads}."
    if factor < 1:
        yield "That is before the load of the case is reached."


def _times(
    factor: float,
    force_n: tuple[float, ...],
    moment_nmm: tuple[float, ...],
    side: str,
    at_mm: float,
) -> str:
    force, moment = hypot(*force_n), hypot(*moment_nmm) / 1000
    parts = [f"{factor * force:.0f} N"] if force else []
    parts += [f"{factor * moment:.1f} N m"] if moment else []
    return f"{' and '.join(parts)} on the {side}, {abs(at_mm):.0f} mm from the clamp centre"


def _where(record: ResultsRecord, limit: LimitRecord) -> Iterator[str]:
    if life := together_first(record):
        yield f"All repeated loads together: {life.at.text}."
    yield (
        f"{capitalised(limit.place)}." if limit.place else "In the clamp, or in the bar as a whole."
    )


def _mass(record: ResultsRecord) -> Iterator[str]:
    bar = record.bar
    yield f"{bar.mass_g:.0f} g, computed from the sections as described."
    if bar.measured_mass_g is None:
        yield "No measured mass was given: weigh the bar, it is the cheapest check of the wall."
        return
    off = 100 * (bar.measured_mass_g / bar.mass_g - 1)
    yield f"{bar.measured_mass_g:.0f} g measured, {off:+.1f} % against that."


def _stiffness(case: CaseRecord) -> str:
    read_mm = gauge_mm(case)
    moved = f"'{case.title}': {case.deflection_mm:.2f} mm in all"
    if case.stiffness_n_per_mm is None or read_mm is None:
        return f"{moved} (a moment alone, so no stiffness in N/mm)."
    gauge = f"{read_mm:.2f} mm on a gauge along the force"
    return f"{moved}, {gauge}, {case.stiffness_n_per_mm:.1f} N/mm."


def _assumed(run: StudyRun) -> Iterator[str]:
    study, effects = run.study, run.study.bar.spec.effects
    yield (
        "A perfect bar as described: no flaws, scratches, dents or corrosion; linear elastic, "
        "static, loads that keep their direction."
    )
    clamp = study.clamp
    held = "that gives a little (an estimate)" if clamp.model == "elastic" else "that does not give"
    yield f"The stem holds {clamp.width_mm:g} mm of the bar in a clamp {held}."
    yield (
        "The stem's bolts were given, so slip and preload count."
        if clamp.bolts
        else "The stem's bolts were not given, so slip and preload stress were not computed."
    )
    wall = "thins outside and thickens inside" if effects.wall_change else "stays as it was"
    yield f"In bends the wall {wall}; ovality {effects.ovality_percent:g} %."
    yield from (f"{capitalised(warning)}." for warning in run.study.warnings)


def _remembered(run: StudyRun, record: ResultsRecord) -> Iterator[str]:
    by_mark: dict[str, dict[str, None]] = {}
    for group in inputs(run):
        for row in group.rows:
            if row.unsure:
                by_mark.setdefault(row.mark, {})[row.name.partition("; ")[0]] = None
    for mark, names in by_mark.items():
        yield f"{capitalised(mark)}: {'; '.join(names)}."
    limits = (limit for case in record.cases for limit in case.limits)
    lines = dict.fromkeys(
        f"{one.input} ({one.evidence})" for limit in limits for one in limit.weak_inputs
    )
    yield f"Weakest inputs of the limits: {'; '.join(lines)}."


def _sure(record: ResultsRecord, case: CaseRecord) -> Iterator[str]:
    error = case.error_estimate
    yield (
        f"The mesh, by its own estimate, is off by {error.deflection_percent:.2g} % in the "
        f"deflection and {error.stress_percent:.2g} % in the peak stress of '{case.title}'."
    )
    plain = case.beam.rigid_bends.deflection_mm
    flexible = case.beam.flexible_bends.deflection_mm
    yield (
        f"A frame of beams that shares no code with it gives {plain:.2f} to {flexible:.2f} mm "
        f"where the solid gives {case.deflection_mm:.2f} mm."
    )
    if case.clamp_stiffness_study:
        soft, *_, firm = case.clamp_stiffness_study
        yield (
            f"With a clamp a third as stiff the deflection is {soft.deflection_mm:.2f} mm, with "
            f"one three times as stiff {firm.deflection_mm:.2f} mm."
        )
    failed = [
        f"{check.name} of '{one.title}'"
        for one in record.cases
        for check in one.checks
        if not check.passed
    ]
    count = sum(len(one.checks) for one in record.cases)
    words = f"not passed: {', '.join(failed)}" if failed else "all passed"
    yield f"{count} checks of balance, energy and bracket: {words}."
    yield "Wall, bends and strength of the real bar move the figures more: measure them first."


def _asked(run: StudyRun, record: ResultsRecord) -> Iterator[str]:
    for case, told in zip(run.cases, record.cases, strict=True):
        yield from _asks(case.placed.case)
        yield from beyond_asked(told, case.placed.case)
    yield "Whether a bar passes is for the accredited physical test to say, never for this page."


def _asks(case: Case) -> Iterator[str]:
    if case.source.kind != STANDARD and not case.limits:
        yield f"'{case.title}' is no test of a standard: {case.source.reference}."
        return
    asked = "; ".join(_figure(figure) for figure in (*case.figures[:OF_LOAD], *case.limits))
    cycles = case.cycle.cycles if case.cycle else None
    often = f"; {grouped(cycles)} cycles" if cycles else ""
    yield f"'{case.title}': {asked}{often}."


def _figure(figure: Figure) -> str:
    """Return a figure with its source; what its meaning says behind a semicolon stands aside."""
    meaning, _, aside = figure.meaning.partition("; ")
    value = "" if figure.value is None else f" {figure.value:g} {figure.unit}".rstrip()
    said = f"{aside}; " if aside else ""
    return f"{meaning}{value} ({said}{figure.source.reference}, {MARKS[figure.source.kind]})"
