"""The content of results.json: the contract with everything that reads results.

A key never changes its meaning without a new `format_version`. Lengths are in mm,
forces in N, moments in N mm, stresses in MPa, angles in degrees.
"""

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

FORMAT: Literal["barwright-results"] = "barwright-results"
FORMAT_VERSION: Literal[1] = 1

Vector = tuple[float, float, float]


class Record(BaseModel):
    """A part of results.json."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class SourceRecord(Record):
    """Where a value comes from; `kind` says how sure that is."""

    kind: str
    reference: str
    locator: str


class MeshRecord(Record):
    """The mesh that was solved."""

    level: str
    nodes: int
    cells: int
    dofs: int


class StudyRecord(Record):
    """What was asked, and with what it was answered."""

    name: str
    title: str
    file: str = Field(description="Name of the study file, without its folder.")
    sha256: str = Field(description="Of the study file's bytes.")
    barwright_version: str
    libraries: dict[str, str]
    solver: str = Field(description="Sparse direct solver that was used.")
    mesh: MeshRecord
    seconds: dict[str, float]


class MaterialRecord(Record):
    """The values used, with their sources by block."""

    id: str
    youngs_modulus_mpa: float
    poisson_ratio: float
    density_kg_m3: float
    proof_stress_mpa: float
    ultimate_stress_mpa: float
    sources: dict[str, SourceRecord]


class BarRecord(Record):
    """The bar as it was computed."""

    name: str
    material: str
    mass_g: float
    measured_mass_g: float | None
    centreline_length_mm: float
    end_to_end_mm: float = Field(description="Between the two ends of the centre line.")
    roll_deg: float


class ClampRecord(Record):
    """How the bar is held; the grip is the largest unknown of a deflection."""

    width_mm: float
    grip: str
    normal_n_per_mm3: float | None
    tangential_n_per_mm3: float | None
    source: SourceRecord | None = Field(description="Of the default stiffness; null if it is not.")


class LoadPointRecord(Record):
    """One load: what acts and what its place does (mean over its band's outer face)."""

    side: str
    at_mm: float
    band_mm: float
    force_n: Vector
    moment_nmm: Vector
    displacement_mm: Vector
    along_force_mm: float | None = Field(
        description="The part of it along the force, what a gauge on the ram reads."
    )
    rotation_deg: Vector


class PlaceRecord(Record):
    """A place on the bar."""

    s_mm: float
    theta_deg: float = Field(ge=0, lt=360)
    face: Literal["outer", "bore"]
    rule: str = Field(description="How the stress was read there.")
    words: str


class GripRecord(Record):
    """The answer with another stiffness of the grip."""

    stiffness_scale: float
    deflection_mm: float
    peak_stress_mpa: float


class BeamRecord(Record):
    """The independent frame: pairs are [plain bends, full pipe-bend flexibility]."""

    deflection_mm: tuple[float, float]
    work_nmm: tuple[float, float]
    peak_stress_mpa: float = Field(description="Nominal, shear left out, outside the load bands.")


class ErrorRecord(Record):
    """Estimated error of the mesh."""

    deflection_percent: float
    stress_percent: float


class ZoneRecord(Record):
    """Neighbouring places where a limit is used to more than half, or a limit's worst place."""

    s_from_mm: float
    s_to_mm: float
    s_mm: float = Field(description="Of its worst place.")
    theta_deg: float = Field(ge=0, lt=360, description="Of its worst place.")
    utilisation: float = Field(description="Used share at its worst place.")
    limit: Literal["yield", "stability", "ovalisation"]
    driver: str = Field(description="What uses it up there.")
    words: str


class BucklingRecord(Record):
    """Instability: of the elastic bar as a whole, and of the wall place by place."""

    elastic_factor: float | None = Field(
        description="Lowest multiple of the load at which the perfect elastic bar buckles."
    )
    elastic_factors: list[float]
    reversed_factors: list[float] = Field(description="Multiples of the reversed load.")
    utilisation: float = Field(description="Of the wall's stability, at its worst place.")
    wrinkling_factor: float | None = Field(
        description="Multiple of the load at which the wall gives way first."
    )
    ovalisation_factor: float | None
    worst: list[ZoneRecord] = Field(description="The most used place of each limit.")
    zones: list[ZoneRecord] = Field(description="Most used first.")


class StageRecord(Record):
    """A case as one stage of a fatigue life."""

    case: str
    cycles: float


class FatigueRecord(Record):
    """Fatigue life at the worst place and on the worst plane through it."""

    cycles: float = Field(description="Asked for, of all stages together.")
    stages: list[StageRecord]
    amplitude_mpa: float = Field(description="Normal stress on the plane, notch factor included.")
    mean_mpa: float = Field(description="As counted: a compressive mean is zero.")
    stress_ratio: float
    plane_deg: float = Field(description="Normal of the plane, from axial towards hoop.")
    at: PlaceRecord
    notch_factor: float
    reliability_factor: float
    life_cycles: float | None = Field(description="At least this where beyond_curve.")
    beyond_curve: bool
    damage: float | None = Field(description="Miner's sum of one repetition.")
    safety_factor: float | None = Field(
        description="Multiple of the repeated loads that uses the life up."
    )
    basis: str
    curve: SourceRecord | None
    notes: list[str]


class TightenedRecord(Record):
    """A tightened clamp."""

    name: str
    at_mm: float
    width_mm: float
    bolts: dict[str, float | str]
    preload_n: tuple[float, float, float] = Field(description="Least, nominal and largest sum.")
    pressure_mpa: float = Field(description="Mean, nominal.")
    ring_pressure_mpa: float = Field(description="That presses a free tube flat.")
    slip_torque_nmm: float = Field(description="At the least preload.")
    line_slip_torque_nmm: float = Field(description="The same, touching along two lines only.")
    peak_stress_mpa: float = Field(description="Von Mises in the tube at the largest preload.")


class ClampCaseRecord(Record):
    """What the tightened clamps mean for a load case."""

    yield_factor: float = Field(description="Multiple that yields together with the preload.")
    yield_at: PlaceRecord
    slip_factor: float | None = Field(description="Multiple that turns the bar in its clamp.")
    lifted_percent: float = Field(description="Of the clamped face that would have to pull.")
    contact_peak_mpa: float | None = Field(description="With a clamp that only presses.")
    contact_deflection_mm: float | None


class LimitRecord(Record):
    """Something that ends the use of the bar in a load case."""

    name: str
    event: str
    load_factor: float = Field(description="Multiple of the load case at which it happens.")
    place: str
    s_mm: float | None
    theta_deg: float | None
    rests_on: list[str] = Field(description="What in it is remembered or estimated.")


class CheckRecord(Record):
    """A check; its name says whether the limit is a most or a least."""

    name: str
    value: float
    limit: float
    passed: bool


class CaseRecord(Record):
    """The answer to one load case."""

    id: str
    title: str
    source: SourceRecord
    remarks: list[str] = Field(description="How the loads came about on this bar.")
    notes: list[str]
    load_points: list[LoadPointRecord]
    deflection_mm: float = Field(description="Largest displacement over the load points.")
    stiffness_n_per_mm: float | None = Field(
        description="Largest load over its displacement along itself; null for pure moments."
    )
    peak_stress_mpa: float = Field(description="Von Mises, by the hot-spot rule.")
    peak_stress_at: PlaceRecord
    load_band_peak_mpa: float = Field(description="Von Mises inside the load bands, apart.")
    safety_factor_yield: float = Field(description="Proof stress over peak stress.")
    safety_factor_ultimate: float = Field(description="Ultimate stress over peak stress.")
    work_nmm: float
    beam: BeamRecord
    grip: list[GripRecord]
    reaction_n: Vector
    reaction_moment_nmm: Vector
    error_estimate: ErrorRecord
    buckling: BucklingRecord
    clamp: ClampCaseRecord | None = Field(description="Null where no bolts are given.")
    fatigue: FatigueRecord | None = Field(description="Null for a case that comes once.")
    limits: list[LimitRecord] = Field(description="Nearest first.")
    governing_factor: float = Field(description="Of the nearest limit.")
    checks: list[CheckRecord]
    verdict: str
    cautions: list[str]


class ResultsRecord(Record):
    """The whole of results.json."""

    format: Literal["barwright-results"]
    format_version: Literal[1]
    study: StudyRecord
    bar: BarRecord
    material: MaterialRecord
    clamp: ClampRecord
    tightened: list[TightenedRecord] = Field(description="The stem's clamp first, then levers.")
    fatigue: FatigueRecord | None = Field(
        description="Under the spectrum, or under all repeated cases in turn."
    )
    verdict: str = Field(description="Of the case whose limit is nearest.")
    warnings: list[str]
    cases: list[CaseRecord]


def results_schema() -> dict[str, Any]:
    """Return the JSON Schema of results.json."""
    return ResultsRecord.model_json_schema()
