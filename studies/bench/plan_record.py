"""What plan.json holds: the plan of a test, as its page prints it.

Loads are those of one place, in `load_unit`; travels in `travel_unit`. A key never changes its
meaning without a new `format_version`.
"""

from typing import Any, Literal

from pydantic import Field

from studies.bench.foreseen import LoadUnit, TravelUnit
from studies.bench.plan_steps import Kind
from studies.records.base import Record


class PlanStudyRecord(Record):
    """The study and what made the plan."""

    name: str
    title: str
    file: str = Field(description="Name of the study file, without its folder.")
    sha256: str = Field(description="Of the study file's bytes.")
    barwright_version: str
    date: str = Field(description="On which the plan was made, ISO 8601.")


class PlanBarRecord(Record):
    """The bar, and the specimen where one is described."""

    name: str
    material: str
    mass_g: float = Field(description="Computed.")
    specimen: str | None
    specimen_mass_g: float | None
    held: str = Field(description="By what, in words.")


class RequirementRecord(Record):
    """A requirement or figure of the test."""

    meaning: str
    value: str
    evidence: str


class SubjectRecord(Record):
    """What is tested."""

    case: str
    title: str
    source: str
    evidence: str
    loads: str
    load: float
    hold_s: float | None = Field(description="Null: by your test.")
    tolerance_percent: float | None = Field(description="Of the load, upward only.")
    requirements: list[RequirementRecord]


class MarkRecord(Record):
    """A point of the expected curve."""

    letter: str
    name: str
    load: float
    travel: float
    low: float | None = Field(description="Of the load, at 95 %; null without a band.")
    high: float | None


class ExpectedRecord(Record):
    """The expected curve and what it rests on."""

    basis: Literal["path", "linear"]
    from_where: str = Field(description="In words.")
    load_unit: LoadUnit
    travel_unit: TravelUnit
    travel_name: str
    travel: list[float]
    load: list[float]
    band_travel: list[float] | None = Field(description="Null: no band was traced.")
    band_low: list[float] | None
    band_high: list[float] | None
    marks: list[MarkRecord]


class ShownRecord(Record):
    """What the gauge shows."""

    value: float = Field(description="In the gauge's unit.")
    divisions: float | None = Field(description="Null: the smallest step is not known.")
    error_percent: float | None = Field(description="By the class; null: it is not known.")
    remark: str


class StepRecord(Record):
    """A step."""

    number: int
    kind: Kind
    what: str
    load: float
    gauge: ShownRecord | None
    travel: float | None
    travel_low: float | None
    travel_high: float | None
    permanent_set: float | None
    hold_s: float | None


class CycleEndRecord(Record):
    """One end of a cycle."""

    name: str
    loads: str
    load: float
    gauge: ShownRecord | None
    travel: float


class CycleRecord(Record):
    """A repeated load."""

    cycles: float | None
    checks_at: list[float] = Field(description="Numbers of cycles at which both ends are read.")
    ends: list[CycleEndRecord]


class GaugeRecord(Record):
    """The gauge and its ram."""

    unit: str
    force_of_unit_n: float = Field(description="Without friction.")
    friction_percent: tuple[float, float]
    rig: dict[str, Any]
    divisions_at_peak: float | None
    resolves_peak: bool | None


class InstrumentRecord(Record):
    """A dial, strain gauge or witness mark: where, and what it should read at the case's load."""

    tag: str
    what: str
    place: str
    expected: str


class PlanRecord(Record):
    """The plan of a test."""

    format: Literal["barwright-plan"] = "barwright-plan"
    format_version: Literal[1] = 1
    study: PlanStudyRecord
    bar: PlanBarRecord
    test: SubjectRecord
    expected: ExpectedRecord
    gauge: GaugeRecord | None = Field(description="Null: no ram was given; loads alone.")
    steps: list[StepRecord]
    cycle: CycleRecord | None
    instruments: list[InstrumentRecord]
    inspect: list[str]
    stop: list[str]
    notes: list[str]
    cautions: list[str]


def plan_schema() -> dict[str, Any]:
    """Return the JSON Schema of plan.json."""
    return PlanRecord.model_json_schema()
