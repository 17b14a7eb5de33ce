"""The readings of a study's gauges as records."""

from dataclasses import dataclass
from math import radians
from typing import Literal

from fea.solid.gauges import gauge_readings
from loadcases.gauges import PlacedGauge
from studies.assessment.run import CaseRun, StudyRun
from studies.records.gauges import GaugeRecord
from studies.records.parts import place_record


@dataclass(frozen=True)
class _Place:
    """Where a gauge is."""

    s_mm: float
    theta_rad: float
    surface: Literal["outer", "inner"]


def gauge_records(run: StudyRun, case: CaseRun) -> list[GaugeRecord]:
    """Return what every gauge of the study reads in a case."""
    gauges = run.study.gauges
    if not gauges:
        return []
    moved = case.answer.displacement_mm
    readings = gauge_readings(run.model, gauges, moved, case.stress)
    return [_record(run, *pair) for pair in zip(gauges, readings, strict=True)]


def _record(run: StudyRun, placed: PlacedGauge, reading: float) -> GaugeRecord:
    gauge = placed.gauge
    dial = gauge.kind == "dial"
    place = _Place(placed.at_mm, radians(gauge.theta_deg), "outer" if dial else gauge.surface)
    return GaugeRecord(
        name=gauge.name,
        kind=gauge.kind,
        at=place_record(run.study.bar, place, "as placed"),
        reading=reading,
        unit="mm" if dial else "um/m",
    )
