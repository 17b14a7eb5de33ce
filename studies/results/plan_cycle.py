"""The cycles of a repeated case: what gauge and travel should read at both of its ends."""

from dataclasses import asdict

from studies.assessment.run import CaseRun
from studies.bench.foreseen import linear_foreseen, travel_at
from studies.bench.gauge import Gauge, shown
from studies.bench.plan_record import CycleEndRecord, CycleRecord, ShownRecord
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.load_text import loads_in_words
from studies.records.parts import own_points

CHECKS = (1, 100, 1_000, 10_000)
SHARES = (0.25, 0.5, 0.75, 1.0)
"""Cycles, and shares of those required, at which both ends are read: practice, unsourced."""


def cycle_of(case: CaseRun, record: ResultsRecord, gauge: Gauge | None) -> CycleRecord:
    """Return the cycle of a repeated case."""
    cases, cycle = {one.id: one for one in record.cases}, case.placed.case.cycle
    own = cases[case.placed.case.id]
    first = _end("as drawn", own, gauge)
    other = cases.get(cycle.other or "") if cycle else None
    second = _end(other.title, other, gauge) if other else _reversed(first)
    cycles = cycle.cycles if cycle else None
    return CycleRecord(cycles=cycles, checks_at=_checks(cycles), ends=[first, second])


def _end(name: str, case: CaseRecord, gauge: Gauge | None) -> CycleEndRecord:
    foreseen = linear_foreseen(case)
    load = foreseen.case_load
    # beyond first yield the straight line still says what an elastic bar would do
    travel = travel_at(foreseen, load)
    if travel is None:
        travel = float(foreseen.travel[-1]) * load / float(foreseen.load[-1])
    shows = shown(gauge, load) if gauge else None
    return CycleEndRecord(
        name=name,
        loads=loads_in_words(own_points(case)),
        load=load,
        gauge=ShownRecord(**asdict(shows)) if shows else None,
        travel=travel,
    )


def _reversed(end: CycleEndRecord) -> CycleEndRecord:
    words = {"name": "reversed", "loads": "the reverse", "travel": -end.travel, "load": -end.load}
    return end.model_copy(update=words)


def _checks(cycles: float | None) -> list[float]:
    """Return at how many cycles both ends are read; the last is the end of the test."""
    if cycles is None:
        return [float(one) for one in CHECKS]
    early = [float(one) for one in CHECKS if one < SHARES[0] * cycles]
    return [*early, *(float(round(share * cycles)) for share in SHARES)]
