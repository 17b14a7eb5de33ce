"""The parts of a test's plan as plan.json holds them."""

from dataclasses import asdict
from itertools import accumulate

from fea.stability.criteria import YIELD
from geometry.source import MARKS
from loadcases.case import Case, figure_in_words
from studies.assessment.run import StudyRun
from studies.bench.foreseen import Foreseen, Place, load_band, travel_at
from studies.bench.gauge import Gauge, force_n_at, reading, resolves_peak, round_step, shown
from studies.bench.plan_record import (
    ExpectedRecord,
    GaugeRecord,
    MarkRecord,
    PlanBarRecord,
    PlanStudyRecord,
    RequirementRecord,
    ShownRecord,
    StepRecord,
    SubjectRecord,
)
from studies.bench.plan_steps import Goal, Step, steps_of, top_load
from studies.page.inspection import inspections
from studies.records.base import finite
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.clock import now_utc
from studies.records.load_text import loads_in_words
from studies.records.parts import has_ram, own_points
from studies.records.places import short
from studies.records.supports import ram_text
from studies.results.plan_words import step_words

TOLERANCE = "force_tolerance_percent"
"""Figure of the catalogue's cases."""

MOST_SIGNS, MOST_TITLE, MOST_NAME = 520, 130, 80
"""Of inspections, of the case's title and of another name: the page has room for no more."""

TRAVEL = {"mm": "deflection along the load", "deg": "rotation along the moment"}
RAM_TRAVEL = "ram travel"


def inspected(run: StudyRun, record: ResultsRecord) -> list[str]:
    """Return what to inspect, nearest limits first, as much as the page has room for."""
    *places, practice = inspections(run, record)
    lengths = accumulate(map(len, places))
    kept = [one for one, length in zip(places, lengths, strict=True) if length <= MOST_SIGNS]
    return [*kept, practice]


def study_record(record: ResultsRecord) -> PlanStudyRecord:
    """Return the study and what made the plan."""
    return PlanStudyRecord(
        name=record.study.name,
        title=record.study.title,
        file=record.study.file,
        sha256=record.study.sha256,
        barwright_version=record.study.barwright_version,
        date=now_utc()[:10],
    )


def bar_record(run: StudyRun, record: ResultsRecord) -> PlanBarRecord:
    """Return the bar, and what holds it."""
    clamp, specimen = run.study.clamp, run.study.specimen
    bolts = clamp.bolts
    held = f"clamp {clamp.width_mm:g} mm wide" if clamp.holds else "free of any clamp"
    if clamp.holds and bolts:
        held += f", {bolts.count:g} bolts at {bolts.torque_nm:g} N·m"
    return PlanBarRecord(
        name=short(record.bar.name, MOST_NAME),
        material=record.bar.material,
        mass_g=record.bar.mass_g,
        specimen=short(specimen.id, MOST_NAME) if specimen else None,
        specimen_mass_g=record.bar.measured_mass_g,
        held=held,
    )


def subject_record(case: Case, record: CaseRecord, foreseen: Foreseen, goal: Goal) -> SubjectRecord:
    """Return what is tested."""
    source = record.source
    words = loads_in_words(own_points(record)) if own_points(record) else ""
    if record.supports and has_ram(record):
        words = ram_text(record.supports)
    return SubjectRecord(
        case=record.id,
        title=short(record.title, MOST_TITLE),
        source=", ".join(one for one in (source.reference, source.locator) if one),
        evidence=MARKS[case.source.kind],
        loads=words + _from_end(case),
        load=foreseen.case_load,
        hold_s=goal.hold_s,
        tolerance_percent=next((one.value for one in case.figures if one.name == TOLERANCE), None),
        requirements=[
            RequirementRecord(
                meaning=one.meaning, value=figure_in_words(one), evidence=MARKS[one.source.kind]
            )
            for one in case.limits
        ],
    )


def _from_end(case: Case) -> str:
    ends = {one.from_end_mm for one in case.loads if one.from_end_mm is not None}
    return f", {ends.pop():g} mm from the end" if len(ends) == 1 else ""


def expected_record(case: CaseRecord, foreseen: Foreseen, from_where: str) -> ExpectedRecord:
    """Return the expected curve with its marks."""
    band = foreseen.band
    travel = RAM_TRAVEL if has_ram(case) else TRAVEL[foreseen.travel_unit]
    return ExpectedRecord(
        basis="path" if foreseen.traced else "linear",
        from_where=from_where,
        load_unit=foreseen.load_unit,
        travel_unit=foreseen.travel_unit,
        travel_name=travel,
        travel=foreseen.travel.tolist(),
        load=foreseen.load.tolist(),
        band_travel=band.travel.tolist() if band else None,
        band_low=band.low.tolist() if band else None,
        band_high=band.high.tolist() if band else None,
        marks=_marks(foreseen),
    )


def _marks(foreseen: Foreseen) -> list[MarkRecord]:
    """Return first yield, the case's load, the offset load and the top, in the order of travel."""
    places = [
        Place(f"{YIELD.label} (linear)", foreseen.straight_to, _travel(foreseen, "straight_to")),
        Place("load of the case", foreseen.case_load, _travel(foreseen, "case_load")),
        foreseen.offset,
        foreseen.top,
    ]
    known = sorted((one for one in places if one and one.travel >= 0), key=lambda one: one.travel)
    return [_mark(foreseen, letter, one) for letter, one in zip("ABCD", known, strict=False)]


def _travel(foreseen: Foreseen, name: str) -> float:
    found = travel_at(foreseen, getattr(foreseen, name))
    return -1.0 if found is None else found


def _mark(foreseen: Foreseen, letter: str, place: Place) -> MarkRecord:
    low, high = load_band(foreseen, place.travel) or (None, None)
    return MarkRecord(
        letter=letter, name=place.name, load=place.load, travel=place.travel, low=low, high=high
    )


def gauge_record(gauge: Gauge, peak: float) -> GaugeRecord:
    """Return the gauge, and whether it resolves the peak of the test."""
    low, high = gauge.friction
    return GaugeRecord(
        unit=gauge.unit,
        force_of_unit_n=gauge.unit_n,
        friction_percent=(100 * low, 100 * high),
        rig=finite(asdict(gauge.rig)),
        divisions_at_peak=shown(gauge, peak).divisions,
        resolves_peak=resolves_peak(gauge, peak),
    )


def step_records(
    case: Case, foreseen: Foreseen, goal: Goal, gauge: Gauge | None
) -> list[StepRecord]:
    """Return the steps of a test, loads and readings rounded to what can be set."""
    spacing = top_load(foreseen, goal) / 10

    def rounded(load: float) -> float:
        if gauge is None:
            step = round_step(spacing, None)
            return max(1, round(load / step)) * step
        step = round_step(reading(gauge, spacing), gauge.rig.resolution)
        return force_n_at(gauge, max(1, round(reading(gauge, load) / step)) * step)

    found = steps_of(foreseen, goal, rounded)
    return [
        _step(number, one, foreseen, gauge, standard=bool(case.limits))
        for number, one in enumerate(found, start=1)
    ]


def _step(
    number: int, step: Step, foreseen: Foreseen, gauge: Gauge | None, *, standard: bool
) -> StepRecord:
    low, high = step.travel_band or (None, None)
    shows = shown(gauge, step.load) if gauge and step.load else None
    return StepRecord(
        number=number,
        kind=step.kind,
        what=step_words(step.kind, foreseen, step.load, standard=standard),
        load=step.load,
        gauge=ShownRecord(**asdict(shows)) if shows else None,
        travel=step.travel,
        travel_low=low,
        travel_high=high,
        permanent_set=step.permanent_set,
        hold_s=step.hold_s,
    )
