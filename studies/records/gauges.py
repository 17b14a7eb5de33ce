"""What the gauges of a study read in a case."""

from typing import Literal

from pydantic import Field

from loadcases.gauges import GaugeKind
from studies.records.base import PlaceRecord, Record

GaugeUnit = Literal["mm", "um/m"]


class GaugeRecord(Record):
    """A reading in proportion to the load, by small displacements, zero without it."""

    name: str
    kind: GaugeKind
    at: PlaceRecord
    reading: float = Field(description="In the unit beside it, at the load of the case.")
    unit: GaugeUnit


GAUGE_UNITS: dict[GaugeUnit, str] = {"mm": "mm", "um/m": "µm/m"}
"""As they are printed."""


def gauge_unit(kind: GaugeKind) -> GaugeUnit:
    """Return the unit of a gauge's readings."""
    return "mm" if kind == "dial" else "um/m"


def reading_text(record: GaugeRecord) -> str:
    """Return a reading with its place."""
    value = f"{record.reading:.3f} mm" if record.unit == "mm" else f"{record.reading:.0f} µm/m"
    return f"{record.name}: {value} at {record.at.text}"
