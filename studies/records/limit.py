"""The parts of results.json on the limits of a load case."""

from pydantic import Field

from fea.stability.plastic_hinge import Failure
from studies.records.base import CriterionId, PlaceRecord, Record


class ZoneRecord(Record):
    """Neighbouring places with a utilisation above 0.5, or the worst place of a criterion."""

    s_from_mm: float
    s_to_mm: float
    s_mm: float = Field(description="Of its worst place.")
    theta_deg: float = Field(ge=0, lt=360, description="Of its worst place.")
    utilisation: float = Field(description="At its worst place.")
    limit: CriterionId
    driver: str = Field(description="Name of the limit, or of its largest part there.")
    text: str


class BucklingRecord(Record):
    """Instability: of the elastic bar as a whole, and of the wall place by place."""

    elastic_factor: float | None = Field(
        description="Lowest multiple of the load at which the perfect elastic bar buckles."
    )
    elastic_factors: list[float]
    reversed_factors: list[float] = Field(
        description="Multiples of the other sign: the reversed load, or the farther one of a cycle."
    )
    utilisation: float = Field(description="Of local buckling, at its worst place.")
    wrinkling_factor: float | None = Field(
        description="Multiple of the load at which the wall first buckles locally."
    )
    hoop_yield_factor: float | None = Field(
        description="Multiple at which hoop bending reaches the proof stress, or a tube flattens."
    )
    worst: list[ZoneRecord] = Field(description="Largest utilisation of each local criterion.")
    zones: list[ZoneRecord] = Field(description="Largest utilisation first.")


class ClampPreloadRecord(Record):
    """A preloaded clamp."""

    name: str
    at_mm: float
    width_mm: float
    bolts: dict[str, float | str]
    preload_n: tuple[float, float, float] = Field(description="Least, nominal and largest sum.")
    pressure_mpa: float = Field(description="Mean, nominal.")
    ring_buckling_pressure_mpa: float = Field(description="Of a free tube.")
    slip_torque_nmm: float = Field(description="At the least preload, full contact.")
    slip_torque_range_nmm: tuple[float, float] = Field(
        description="Contact on two lines at low friction; full contact at high friction."
    )
    peak_stress_mpa: float = Field(description="Von Mises in the tube at the largest preload.")


class ContactLossRecord(Record):
    """A part of the clamped face without contact."""

    s_from_mm: float
    s_to_mm: float
    theta_deg: float = Field(description="Where tension would be largest.")
    percent: float = Field(description="Of the clamped face.")
    text: str


class ClampCaseRecord(Record):
    """Slip, contact and yield of a load case with the preloaded clamps."""

    yield_factor: float = Field(description="At first yield with the preload.")
    yield_at: PlaceRecord
    slip_factor: float | None = Field(description="At slip of the bar in its clamp, full contact.")
    slip_factor_range: tuple[float, float] | None = Field(
        description="Contact on two lines at low friction; full contact at high friction."
    )
    contact_loss_percent: float = Field(description="Of the clamped face that would be in tension.")
    contact_loss: list[ContactLossRecord] = Field(description="The largest first.")
    contact_only_peak_mpa: float | None = Field(description="With unilateral contact.")
    contact_only_deflection_mm: float | None


class WeakInputRecord(Record):
    """An input that is not verified, and its effect on the factor."""

    input: str
    evidence: str
    range: tuple[float, float] | None = Field(description="Of the input; null: not known.")
    factor_range: tuple[float, float] | None = Field(
        description="Of the factor over that range; null where it was not computed."
    )


class LimitRecord(Record):
    """A limit of the use of the bar in a load case."""

    criterion: CriterionId
    name: str
    load_factor: float = Field(
        description="Multiple of the load case at which it happens; the low end of a range."
    )
    factor_range: tuple[float, float, float] | None = Field(
        description="Low end, middle and high end; null: no range stated."
    )
    verified: bool = Field(description="All inputs read, derived or the user's own.")
    place: str
    s_mm: float | None
    theta_deg: float | None
    weak_inputs: list[WeakInputRecord] = Field(description="Inputs that a reader must know of.")
    expected_failure: Failure | None = Field(
        default=None, description="Of a wrinkling section, by its moment; null for other limits."
    )
    moment_ratio: float | None = Field(
        default=None,
        description="Of a wrinkling section: its moment then over its full plastic moment.",
    )
