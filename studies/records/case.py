"""The content of results.json: the contract with everything that reads results.

A key never changes its meaning without a new `format_version`. Lengths are in mm,
forces in N, moments in N mm, stresses in MPa, angles in degrees.
"""

from typing import Any, Literal

from pydantic import Field

from fea.solid.peak_error import PEAK_COVERAGE
from studies.records.base import PlaceRecord, Record, SourceRecord
from studies.records.collapse import CollapseRecord
from studies.records.fatigue import FatigueRecord
from studies.records.gauges import GaugeRecord
from studies.records.limit import (
    BucklingRecord,
    ClampCaseRecord,
    ClampPreloadRecord,
    LimitRecord,
)
from studies.records.square import SquareRecord
from studies.records.supports import SupportsRecord

FORMAT: Literal["barwright-results"] = "barwright-results"
FORMAT_VERSION: Literal[2] = 2

Vector = tuple[float, float, float]


class MeshRecord(Record):
    """The mesh that was solved."""

    level: str
    nodes: int
    cells: int
    dofs: int


class StudyRecord(Record):
    """The study, its file, and the software of the run."""

    name: str
    title: str
    file: str = Field(description="Name of the study file, without its folder.")
    sha256: str = Field(description="Of the study file's bytes.")
    barwright_version: str
    sources_sha256: str = Field(description="Of the program's sources that move the numbers.")
    libraries: dict[str, str]
    solver: str = Field(description="Sparse direct solver that was used.")
    mesh: MeshRecord
    computed_at: str = Field(
        default="", description="Date and time, UTC, by the clock of the machine; empty before."
    )
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
    conventions: list[str] = Field(description="What the model assumes of bends and tapers.")


class SpecimenRecord(Record):
    """A certain bar, computed as it was measured."""

    id: str
    as_measured: list[str] = Field(description="What its readings took the place of.")


class ClampRecord(Record):
    """The clamp; its stiffness is the largest unknown of a deflection."""

    width_mm: float
    model: str
    normal_n_per_mm3: float | None
    tangential_n_per_mm3: float | None
    source: SourceRecord | None = Field(description="Of the default stiffness; null if it is not.")


class LoadPointRecord(Record):
    """One load, and displacement and rotation of its load point (mean over its band's surface)."""

    side: str
    at_mm: float
    band_mm: float
    force_n: Vector
    moment_nmm: Vector
    displacement_mm: Vector
    displacement_along_force_mm: float | None = Field(
        description="Component along the force, the reading of a gauge on the ram."
    )
    rotation_deg: Vector


class ClampStiffnessRecord(Record):
    """Results with another clamp stiffness."""

    stiffness_scale: float
    deflection_mm: float
    peak_stress_mpa: float


class BeamBoundRecord(Record):
    """The independent beam with one assumption of its bends."""

    deflection_mm: float
    work_nmm: float


class BeamRecord(Record):
    """The independent beam, whose two solutions bound the solid's."""

    rigid_bends: BeamBoundRecord = Field(description="Bends as stiff as straight tube, k = 1.")
    flexible_bends: BeamBoundRecord = Field(description="Full pipe-bend flexibility.")
    peak_stress_mpa: float = Field(description="Nominal, shear left out, outside the load bands.")


class ErrorRecord(Record):
    """Estimated discretisation error."""

    deflection_percent: float = Field(description="Of the work of the loads.")
    stress_percent: float = Field(description=f"Of the peak stress: {PEAK_COVERAGE}.")


class CheckRecord(Record):
    """A check; its name says whether the limit is a maximum or a minimum."""

    name: str
    value: float
    limit: float
    passed: bool


class CaseRecord(Record):
    """Results of one load case."""

    id: str
    title: str
    source: SourceRecord
    remarks: list[str] = Field(description="How the loads were derived for this bar.")
    notes: list[str]
    load_points: list[LoadPointRecord]
    deflection_mm: float = Field(
        description="Largest displacement over the load points; with a ram its travel."
    )
    stiffness_n_per_mm: float | None = Field(
        description="Largest load over its displacement along itself, with a ram its force over "
        "its travel; null for pure moments."
    )
    peak_stress_mpa: float = Field(description="Von Mises, by the hot-spot rule.")
    peak_stress_at: PlaceRecord
    load_band_peak_mpa: float = Field(
        description="Von Mises inside the load bands, excluded from the peak."
    )
    yield_factor: float = Field(description="Proof stress over peak stress.")
    ultimate_factor: float = Field(description="Ultimate stress over peak stress.")
    work_nmm: float
    beam: BeamRecord
    clamp_stiffness_study: list[ClampStiffnessRecord]
    reaction_n: Vector
    reaction_moment_nmm: Vector
    error_estimate: ErrorRecord
    buckling: BucklingRecord
    clamp: ClampCaseRecord | None = Field(description="Null where no bolts are given.")
    fatigue: FatigueRecord | None = Field(description="Null for a case that comes once.")
    collapse: CollapseRecord | None = Field(
        description="Its path past yield; null where none was traced."
    )
    supports: SupportsRecord | None = Field(
        default=None, description="Beside the clamp; null where there are none."
    )
    gauges: list[GaugeRecord] = Field(default=[], description="What the study's gauges read.")
    limits: list[LimitRecord] = Field(description="Nearest first.")
    governing_factor: float = Field(
        description="Of the nearest limit; the low end where a range is stated."
    )
    governing_factor_mid: float = Field(description="The middle of that limit's range.")
    governing_verified: float | None = Field(
        description="Of the nearest limit whose inputs are all verified; null: there is none."
    )
    checks: list[CheckRecord]
    summary: str
    cautions: list[str] = Field(description="What can hurt someone, of this case alone.")
    limitations: list[str] = Field(description="Of the model, in this case alone.")
    warnings: list[str] = Field(description="On the inputs of this case alone.")

    @property
    def nearest_limit(self) -> LimitRecord:
        """Return the limit that governs the case."""
        return self.limits[0]

    @property
    def nearest_verified(self) -> LimitRecord | None:
        """Return the limit that governs among those whose inputs are all verified."""
        return next((limit for limit in self.limits if limit.verified), None)


class ResultsRecord(Record):
    """The whole of results.json."""

    format: Literal["barwright-results"]
    format_version: Literal[2]
    study: StudyRecord
    bar: BarRecord
    material: MaterialRecord
    clamp: ClampRecord
    specimen: SpecimenRecord | None = Field(
        default=None, description="Where the bar was computed as its specimen was measured."
    )
    square: SquareRecord | None = Field(
        default=None, description="Of a bar out of square, with the square bar beside it."
    )
    clamp_preload: list[ClampPreloadRecord] = Field(
        description="The stem's clamp first, then levers."
    )
    fatigue: FatigueRecord | None = Field(
        description="Under the spectrum, or under all repeated cases in turn."
    )
    summary: str = Field(description="Of the case whose limit is nearest.")
    cautions: list[str] = Field(description="What can hurt someone, in every case.")
    limitations: list[str] = Field(description="Of the model, in every case.")
    warnings: list[str] = Field(description="On the inputs, in every case.")
    cases: list[CaseRecord]


def results_schema() -> dict[str, Any]:
    """Return the JSON Schema of results.json."""
    return ResultsRecord.model_json_schema()
