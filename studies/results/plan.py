"""The plan of a test: from a run of its case, and a path where there is one, to plan.json."""

from dataclasses import asdict, dataclass
from datetime import date
from itertools import accumulate

from fea.stability.criteria import YIELD
from geometry.source import MARKS
from loadcases.case import Case, figure_in_words, is_sustained
from studies.assessment.run import CaseRun, StudyRun
from studies.bench.foreseen import (
    Foreseen,
    Place,
    linear_foreseen,
    load_band,
    path_foreseen,
    travel_at,
)
from studies.bench.gauge import Gauge, force_n_at, reading, resolves_peak, round_step, shown
from studies.bench.plan_record import (
    ExpectedRecord,
    GaugeRecord,
    InstrumentRecord,
    MarkRecord,
    PlanBarRecord,
    PlanRecord,
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
from studies.records.collapse import CollapseRecord
from studies.records.load_text import loads_in_words
from studies.records.parts import has_ram, own_points
from studies.records.supports import ram_text
from studies.results.plan_cycle import cycle_of
from studies.results.plan_instruments import Instrument
from studies.results.plan_words import CAUTIONS, cycle_notes, cycle_stops, notes, step_words, stops

HOLD, TOLERANCE = "hold_min", "force_tolerance_percent"
"""Figures of the catalogue's cases that a plan reads."""

MOST_SIGNS = 560
"""Of inspections on the page, which has room for no more."""

TRAVEL = {"mm": "deflection along the load", "deg": "rotation along the moment"}
RAM_TRAVEL = "ram travel"


def is_repeated(case: Case) -> bool:
    """Return whether a case comes again and again: it is planned in cycles."""
    return case.cycle is not None and not is_sustained(case)


def foreseen_of(case: CaseRecord, path: CollapseRecord | None) -> Foreseen:
    """Return the expected curve: of the path, or the linear run's straight line."""
    return path_foreseen(case, path) if path else linear_foreseen(case)


def goal_of(case: Case, *, beyond: bool) -> Goal:
    """Return how far a test goes, and how long the catalogue holds its load."""
    minutes = next((one.value for one in case.figures if one.name == HOLD), None)
    return Goal(beyond, None if minutes is None else 60 * minutes)


@dataclass(frozen=True, eq=False)
class Planned:
    """What a plan is made of.

    Attributes:
        run: Of the case, with those of its cycle.
        case: That is tested.
        record: What results.json would hold of the run.
        foreseen: The expected curve.
        from_where: What that rests on.
        goal: How far the test goes.
        gauge: None where none is described.
    """

    run: StudyRun
    case: CaseRun
    record: ResultsRecord
    foreseen: Foreseen
    from_where: str
    goal: Goal
    gauge: Gauge | None

    @property
    def of_case(self) -> CaseRecord:
        """Return the record of the case."""
        return next(one for one in self.record.cases if one.id == self.case.placed.case.id)

    @property
    def peak(self) -> float:
        """Return the largest load of the test."""
        if is_repeated(self.case.placed.case):
            return self.foreseen.case_load
        return top_load(self.foreseen, self.goal)


def plan_record(planned: Planned, found: tuple[Instrument, ...]) -> PlanRecord:
    """Return the plan, with its instruments at their places."""
    case, of_case, foreseen = planned.case.placed.case, planned.of_case, planned.foreseen
    goal, gauge, record = planned.goal, planned.gauge, planned.record
    repeated = is_repeated(case)
    cycle = cycle_of(planned.case, record, gauge) if repeated else None
    command = f"barwright collapse {planned.run.study.path.name} --case {of_case.id}"
    ended = cycle_stops() if cycle else stops(foreseen, goal, gauge)
    told = (
        cycle_notes(of_case, foreseen, gauge)
        if cycle
        else notes(of_case, foreseen, goal, gauge, command)
    )
    return PlanRecord(
        study=_study(record),
        bar=_bar(planned.run, record),
        test=_subject(case, of_case, foreseen, goal),
        expected=_expected(of_case, foreseen, planned.from_where),
        gauge=_gauge(gauge, planned.peak) if gauge else None,
        steps=[] if cycle else _steps(case, foreseen, goal, gauge),
        cycle=cycle,
        instruments=[
            InstrumentRecord(tag=one.tag, what=one.what, place=one.place, expected=one.expected)
            for one in found
        ],
        inspect=_inspect(planned.run, record),
        stop=list(ended),
        notes=list(told),
        cautions=list(CAUTIONS),
    )


def _inspect(run: StudyRun, record: ResultsRecord) -> list[str]:
    *places, practice = inspections(run, record)
    lengths = accumulate(map(len, places))
    kept = [one for one, length in zip(places, lengths, strict=True) if length <= MOST_SIGNS]
    return [*kept, practice]


def _study(record: ResultsRecord) -> PlanStudyRecord:
    return PlanStudyRecord(
        name=record.study.name,
        title=record.study.title,
        file=record.study.file,
        sha256=record.study.sha256,
        barwright_version=record.study.barwright_version,
        date=date.today().isoformat(),
    )


def _bar(run: StudyRun, record: ResultsRecord) -> PlanBarRecord:
    clamp, specimen = run.study.clamp, run.study.specimen
    bolts = clamp.bolts
    held = f"clamp {clamp.width_mm:g} mm wide" if clamp.holds else "free of any clamp"
    if clamp.holds and bolts:
        held += f", {bolts.count:g} bolts at {bolts.torque_nm:g} N·m"
    return PlanBarRecord(
        name=record.bar.name,
        material=record.bar.material,
        mass_g=record.bar.mass_g,
        specimen=specimen.id if specimen else None,
        specimen_mass_g=record.bar.measured_mass_g,
        held=held,
    )


def _subject(case: Case, record: CaseRecord, foreseen: Foreseen, goal: Goal) -> SubjectRecord:
    source = record.source
    words = loads_in_words(own_points(record)) if own_points(record) else ""
    if record.supports and has_ram(record):
        words = ram_text(record.supports)
    return SubjectRecord(
        case=record.id,
        title=record.title,
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


def _expected(case: CaseRecord, foreseen: Foreseen, from_where: str) -> ExpectedRecord:
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


def _gauge(gauge: Gauge, peak: float) -> GaugeRecord:
    low, high = gauge.friction
    return GaugeRecord(
        unit=gauge.unit,
        force_of_unit_n=gauge.unit_n,
        friction_percent=(100 * low, 100 * high),
        rig=finite(asdict(gauge.rig)),
        divisions_at_peak=shown(gauge, peak).divisions,
        resolves_peak=resolves_peak(gauge, peak),
    )


def _steps(case: Case, foreseen: Foreseen, goal: Goal, gauge: Gauge | None) -> list[StepRecord]:
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
