"""The readings of a study's gauges as records."""

from fea.solid.gauges import gauge_readings
from loadcases.gauges import PlacedGauge
from studies.assessment.run import CaseRun, StudyRun
from studies.records.gauges import GaugeRecord, gauge_unit
from studies.records.parts import gauge_place


def gauge_records(run: StudyRun, case: CaseRun) -> list[GaugeRecord]:
    """Return what every gauge of the study reads in a case."""
    gauges = run.study.gauges
    if not gauges:
        return []
    moved = case.answer.displacement_mm
    readings = gauge_readings(run.model, gauges, moved, case.stress)
    return [_record(run, *pair) for pair in zip(gauges, readings, strict=True)]


def _record(run: StudyRun, placed: PlacedGauge, reading: float) -> GaugeRecord:
    return GaugeRecord(
        name=placed.gauge.name,
        kind=placed.gauge.kind,
        at=gauge_place(run.study.bar, placed),
        reading=reading,
        unit=gauge_unit(placed.gauge.kind),
    )
