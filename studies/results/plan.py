"""The plan of a test: from a run of its case, and a path where there is one, to plan.json."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from loadcases.beds import room_mm
from loadcases.case import Case, is_sustained
from studies.assessment.run import CaseRun, StudyRun
from studies.bench.foreseen import Foreseen, linear_foreseen, path_foreseen
from studies.bench.gauge import Gauge
from studies.bench.plan_record import InstrumentRecord, PlanRecord, StepRecord
from studies.bench.plan_steps import Goal, top_load
from studies.collapse.requirements import hold_min
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.collapse import CollapseRecord
from studies.results.plan_cycle import cycle_of
from studies.results.plan_instruments import Instrument
from studies.results.plan_parts import (
    bar_record,
    expected_record,
    gauge_record,
    inspected,
    step_records,
    study_record,
    subject_record,
)
from studies.results.plan_words import (
    CAUTIONS,
    coarse_notes,
    cycle_notes,
    cycle_stops,
    notes,
    stops,
)


def is_repeated(case: Case) -> bool:
    """Return whether a case comes again and again: it is planned in cycles."""
    return case.cycle is not None and not is_sustained(case)


def foreseen_of(case: CaseRecord, path: CollapseRecord | None) -> Foreseen:
    """Return the expected curve: of the path, or the linear run's straight line."""
    return path_foreseen(case, path) if path else linear_foreseen(case)


def goal_of(case: Case, *, beyond: bool) -> Goal:
    """Return how far a test goes, and how long the catalogue holds its load."""
    minutes = hold_min(case)
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
    steps = [] if repeated else step_records(case, foreseen, goal, gauge)
    return PlanRecord(
        study=study_record(record),
        bar=bar_record(planned.run, record),
        test=subject_record(case, of_case, foreseen, goal),
        expected=expected_record(of_case, foreseen, planned.from_where),
        gauge=gauge_record(gauge, planned.peak) if gauge else None,
        steps=steps,
        cycle=cycle_of(planned.case, record, gauge) if repeated else None,
        instruments=[
            InstrumentRecord(tag=one.tag, what=one.what, place=one.place, expected=one.expected)
            for one in found
        ],
        inspect=inspected(planned.run, record),
        stop=list(cycle_stops() if repeated else stops(foreseen, goal, gauge, _room_mm(planned))),
        notes=list(_notes(planned, steps)),
        cautions=list(CAUTIONS),
    )


def _notes(planned: Planned, steps: list[StepRecord]) -> Iterator[str]:
    if is_repeated(planned.case.placed.case):
        yield from cycle_notes(planned.of_case, planned.foreseen, planned.gauge)
        return
    study, of_case = planned.run.study, planned.of_case
    command = f"barwright collapse {study.path.name} --case {of_case.id}"
    yield from notes(of_case, planned.foreseen, planned.goal, planned.gauge, command)
    yield from coarse_notes(steps)


def _room_mm(planned: Planned) -> float:
    """Return the travel after which a ram meets its bed, infinite without one."""
    placed, study = planned.case.placed, planned.run.study
    return room_mm(placed.supports, study.bar, study.clamp) if placed.case.ram_force_n else inf
