"""Results of a run under the ten questions of a reviewer."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from fea.solid.peak_error import PEAK_COVERAGE
from fea.stability.criteria import FATIGUE, gloss_of
from geometry.source import MARKS
from loadcases.case import Case, Figure
from studies.assessment.run import StudyRun
from studies.page.each_once import remarks_once
from studies.page.inputs import inputs
from studies.page.inspection import inspections
from studies.page.path_answers import (
    collapses,
    path_accuracy,
    path_assumptions,
    path_loads,
    path_places,
    path_requirement,
)
from studies.records.case import CaseRecord, LoadPointRecord, ResultsRecord
from studies.records.fatigue import FatigueRecord
from studies.records.fatigue_text import decision_text, factor_text, life_text
from studies.records.limit import LimitRecord
from studies.records.limit_text import range_and_decision, range_text, says_of_load
from studies.records.measures import governing_verified
from studies.records.parts import gauge_mm, governing_case, has_ram, own_points
from studies.records.places import capitalised, grouped, on_ruler, percent
from studies.records.supports import SupportsRecord, friction_text

STANDARD = "standard"
OF_LOAD = 2
"""Figures of a case on its load and load point."""

FOREMOST = 3
"""Inspections named among the answers; the page lists all."""


ASSUMED = "What was assumed?"
"""Its answer holds all limitations of the model; the page leads there."""


@dataclass(frozen=True)
class Answer:
    """A reviewer's question and its answer.

    Attributes:
        question: A reviewer's.
        sentences: Its answer, one fact each.
    """

    question: str
    sentences: tuple[str, ...]


def answers(run: StudyRun, record: ResultsRecord) -> tuple[Answer, ...]:
    """Return the ten questions with their answers."""
    case = governing_case(record.cases)
    limit = case.nearest_limit
    return (
        Answer("What fails first?", (*_first(record, case), *collapses(record.cases))),
        Answer("At what load?", (*_load(record, case), *path_loads(record))),
        Answer("Where?", (*_where(record, limit), *path_places(record))),
        Answer("How heavy is it?", tuple(_mass(record))),
        Answer("How stiff is it?", tuple(_stiffness(one) for one in record.cases)),
        Answer(ASSUMED, (*_assumed(run, record), *path_assumptions(record))),
        Answer("Which inputs are weak?", tuple(_weak_inputs(run, record))),
        Answer("How accurate are the figures?", (*_accuracy(record, case), *path_accuracy(record))),
        Answer("What does the standard require?", tuple(_required(run, record))),
        Answer("What should be inspected?", inspections(run, record)[:FOREMOST]),
    )


def together_first(record: ResultsRecord) -> FatigueRecord | None:
    """Return the life under all repeated loads where it ends before any case's limit."""
    life = record.fatigue
    if life is None or life.low_factor is None:
        return None
    return life if life.low_factor < governing_case(record.cases).governing_factor else None


def _first(record: ResultsRecord, case: CaseRecord) -> Iterator[str]:
    if life := together_first(record):
        yield (
            f"All repeated loads combined: {FATIGUE.label} at {factor_text(life)}. "
            f"{decision_text(life)}"
        )
    limit = case.nearest_limit
    if limit.verified:
        yield f"{capitalised(limit.name)} under '{case.title}': {gloss_of(limit.criterion)}."
    else:
        yield f"{capitalised(limit.name)} under '{case.title}': {_unverified(record, limit)}."
    if limit.criterion == FATIGUE.id and case.fatigue:
        yield f"{decision_text(case.fatigue)} Life {life_text(case.fatigue)}."
    after = ", ".join(f"{one.name} {one.load_factor:.2f} x load" for one in case.limits[1:4])
    if after:
        yield f"Next limits of this case: {after}."
    for one in record.cases:
        if one.fatigue and one.fatigue.factor is None:
            yield f"Fatigue of '{one.title}': not assessed, no data."


def _unverified(record: ResultsRecord, limit: LimitRecord) -> str:
    """Return the range of a factor that is no fact, and the nearest verified limit beside it."""
    range_ = range_and_decision(limit)
    if limit.factor_range is None:
        range_ += ", no range stated"
    verified = governing_verified(record)
    if verified is None:
        return f"{range_}; no limit rests on verified inputs alone"
    title = next(case.title for case in record.cases if case.id == verified.case)
    beside = f"{verified.limit} {verified.factor:.2f} x load under '{title}'"
    return f"{range_}; nearest verified limit: {beside}"


def _load(record: ResultsRecord, case: CaseRecord) -> Iterator[str]:
    limit = case.nearest_limit
    if life := together_first(record):
        yield f"{factor_text(life)}, all repeated loads combined; life {life_text(life)}."
    high = limit.factor_range[2] if limit.factor_range else limit.load_factor
    factors = dict.fromkeys((limit.load_factor, high))
    loads = "; ".join(_scaled_load(list(factors), load) for load in own_points(case))
    if case.supports and has_ram(case):
        loads = f"ram {_ends(list(factors), case.supports.ram_force_n, 0)} N"
    yield f"{range_text(limit)} of '{case.title}': {loads}."
    if says := says_of_load(limit):
        yield f"At the load of the case: {says}." if high >= 1 else f"This is {says} of the case."


def _scaled_load(factors: Sequence[float], load: LoadPointRecord) -> str:
    """Return a load times each of the factors, and where it acts."""
    force, moment = hypot(*load.force_n), hypot(*load.moment_nmm) / 1000
    parts = [f"{_ends(factors, force, 0)} N"] if force else []
    parts += [f"{_ends(factors, moment, 1)} N·m"] if moment else []
    return f"{' and '.join(parts)} at {on_ruler(load.at_mm)}"


def _ends(factors: Sequence[float], size: float, decimals: int) -> str:
    return " to ".join(f"{factor * size:.{decimals}f}" for factor in factors)


def _where(record: ResultsRecord, limit: LimitRecord) -> Iterator[str]:
    if life := together_first(record):
        yield f"All repeated loads combined: {life.at.text}."
    yield (f"{capitalised(limit.place)}." if limit.place else "Clamp or whole bar.")


def _mass(record: ResultsRecord) -> Iterator[str]:
    bar = record.bar
    yield f"{bar.mass_g:.0f} g, computed from the sections."
    if bar.measured_mass_g is None:
        yield "Measured mass: not given. Weighing is the cheapest check of the wall."
        return
    off = 100 * (bar.measured_mass_g / bar.mass_g - 1)
    yield f"{bar.measured_mass_g:.0f} g measured, {off:+.1f} % from computed."


def _stiffness(case: CaseRecord) -> str:
    read_mm = gauge_mm(case)
    if case.supports and has_ram(case):
        return _at_ram(case, case.supports)
    deflection = f"'{case.title}': deflection {case.deflection_mm:.2f} mm"
    if case.stiffness_n_per_mm is None or read_mm is None:
        return f"{deflection}; stiffness in N/mm: none, moment only."
    gauge = f"{read_mm:.2f} mm along the load"
    return f"{deflection}, {gauge}, {case.stiffness_n_per_mm:.1f} N/mm."


def _at_ram(case: CaseRecord, supports: SupportsRecord) -> str:
    """Return a ram's travel, and the stiffness as the range that friction leaves."""
    travel = f"'{case.title}': ram travel {case.deflection_mm:.2f} mm"
    if not (range_ := friction_text(supports)):
        return f"{travel}, {case.stiffness_n_per_mm:.1f} N/mm."
    return f"{travel}, {case.stiffness_n_per_mm:.0f} N/mm with friction {range_}."


def _assumed(run: StudyRun, record: ResultsRecord) -> Iterator[str]:
    study, effects = run.study, run.study.bar.spec.effects
    yield from remarks_once(record).limitations
    yield "Loads of constant direction."
    clamp = study.clamp
    stiffness = ", stiffness estimated" if clamp.model == "elastic" else ""
    yield f"Clamp: {clamp.in_words}{stiffness}."
    if not clamp.holds:
        yield (
            "Displacements: from the mean motion of the cross-section at the middle, or from "
            "supports that stand still."
        )
    elif clamp.bolts:
        yield "Stem bolts: given; slip and preload stress computed."
    else:
        yield "Stem bolts: not given; slip and preload stress not computed."
    wall = "thinner outside, thicker inside" if effects.wall_change else "unchanged"
    yield f"Wall in bends: {wall}; ovality {effects.ovality_percent:g} %."


def _weak_inputs(run: StudyRun, record: ResultsRecord) -> Iterator[str]:
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


def _accuracy(record: ResultsRecord, case: CaseRecord) -> Iterator[str]:
    error = case.error_estimate
    yield (
        f"Error estimate of the mesh, '{case.title}': deflection "
        f"{percent(error.deflection_percent)}, peak stress {percent(error.stress_percent)}; "
        f"{PEAK_COVERAGE}."
    )
    plain = case.beam.rigid_bends.deflection_mm
    flexible = case.beam.flexible_bends.deflection_mm
    if plain or flexible:
        yield (
            f"Deflection: solid {case.deflection_mm:.2f} mm; beam bounds {plain:.2f} to "
            f"{flexible:.2f} mm, independent code."
        )
    if case.clamp_stiffness_study:
        soft, *_, firm = case.clamp_stiffness_study
        yield (
            f"Deflection at clamp stiffness x 1/3: {soft.deflection_mm:.2f} mm; x 3: "
            f"{firm.deflection_mm:.2f} mm."
        )
    failed = [
        f"{check.name} of '{one.title}'"
        for one in record.cases
        for check in one.checks
        if not check.passed
    ]
    count = sum(len(one.checks) for one in record.cases)
    words = f"failed: {', '.join(failed)}" if failed else "all passed"
    yield f"{count} checks of balance, energy and bracket: {words}."
    yield "Wall, bends and strength of the real bar matter more. Measure these first."


def _required(run: StudyRun, record: ResultsRecord) -> Iterator[str]:
    for case, one in zip(run.cases, record.cases, strict=True):
        yield from _requirements(case.placed.case)
        yield from path_requirement(one, case.placed.case)
    yield "The accredited physical test decides whether a bar passes."


def _requirements(case: Case) -> Iterator[str]:
    if case.source.kind != STANDARD and not case.limits:
        yield f"'{case.title}': not a standard test; {case.source.reference}."
        return
    required = "; ".join(_figure(figure) for figure in (*case.figures[:OF_LOAD], *case.limits))
    cycles = case.cycle.cycles if case.cycle else None
    often = f"; {grouped(cycles)} cycles" if cycles else ""
    yield f"'{case.title}': {required}{often}."


def _figure(figure: Figure) -> str:
    """Return a figure with its source; what follows a semicolon in its meaning is a note."""
    meaning, _, aside = figure.meaning.partition("; ")
    value = "" if figure.value is None else f" {figure.value:g} {figure.unit}".rstrip()
    note = f"{aside}; " if aside else ""
    return f"{meaning}{value} ({note}{figure.source.reference}, {MARKS[figure.source.kind]})"
