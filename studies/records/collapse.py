"""The part of results.json on a case's path past yield.

Every load stands as a multiple of the case's, `..._factor`, and as the sum of its forces, `..._n`,
which is null for a case of moments alone.
"""

from typing import Literal

from pydantic import Field

from fea.collapse.phase import Phase
from loadcases.gauges import GaugeKind
from studies.records.band import BandRecord
from studies.records.base import CriterionId, PlaceRecord, Record
from studies.records.gauges import GaugeUnit

Vector = tuple[float, float, float]
Kind = Literal["plastic hinge", "ovalisation", "wrinkle", "neck", "clamp-edge dent", "buckling"]


class CurveRecord(Record):
    """The path, one entry a step, with unloading and reloading at its levels."""

    phase: list[Phase] = Field(description="What the loads do in the step.")
    cycle: list[int] = Field(
        description="Number, from 1, of the level that the step belongs to; of the last loading "
        "one more than there are levels."
    )
    load_factor: list[float]
    load_n: list[float] | None = Field(description="Null for a case of moments alone.")
    moment_nmm: list[float] | None = Field(
        description="Of one end, the larger; for a case of moments alone."
    )
    deflection_mm: list[float] | None = Field(
        description="Along the loads, mean over them by their size; null for moments alone."
    )
    rotation_deg: list[float] | None = Field(description="For a case of moments alone.")
    plastic_strain: list[float] = Field(description="Largest, averaged along the bar.")
    indentation_mm: list[float] | None = Field(
        default=None,
        description="Dents' part of a ram's travel, under ram and rollers; null without.",
    )
    bar_deflection_mm: list[float] | None = Field(
        default=None, description="The ram's travel less that: the bar's own deflection."
    )
    edge_strain: list[float] = Field(description="Largest at a point; depends on the mesh.")
    ovalisation_percent: list[float]
    negative_pivots: list[int | None] = Field(
        description="Negative pivots of the tangent: unstable modes."
    )


class PathPlaceRecord(Record):
    """Displacement of a load point, one entry a step."""

    side: str
    at_mm: float
    displacement_mm: list[Vector]
    displacement_along_force_mm: list[float] | None = Field(description="Null for a moment.")


class PathSupportRecord(Record):
    """Force of a support on the bar, one entry a step, in the order of the case's supports."""

    kind: str
    side: str
    at_mm: float
    force_n: list[Vector]
    indentation_mm: list[float] | None = Field(
        default=None, description="Dent of the tube there; null where it has none or no ram."
    )


class StiffnessRecord(Record):
    """Secant stiffness of a bar under a ram, from the seat to the last elastic step."""

    up_to_n: float
    ram_n_per_mm: float = Field(description="Force over the ram's travel.")
    bar_n_per_mm: float | None = Field(
        description="Force over the bar's own deflection; null where travel is not parted."
    )


class MiddleBendRecord(Record):
    """The middle of a free straight tube under couples, one entry a step."""

    length_mm: float = Field(description="Of the stretch about the middle.")
    moment_nmm: list[float] = Field(description="In the deformed shape.")
    curvature_per_m: list[float] = Field(description="Turn of the stretch over its length.")
    fibre_strain_percent: list[float] = Field(description="Diameter times curvature over two.")
    ovalisation_percent: list[float] = Field(description="Mean of the stretch.")
    ripple_mm: list[float | None] = Field(
        description="Amplitude of short waves on the compressed side; null where elements are too "
        "long for them."
    )
    ripple_percent_of_wall: list[float | None]
    ripple_wavelength_mm: list[float | None] = Field(description="Null also for faint ones.")


class PathGaugeRecord(Record):
    """Readings of a gauge, one entry a step, zero where the loads begin to grow."""

    name: str
    kind: GaugeKind
    at: PlaceRecord
    unit: GaugeUnit
    readings: list[float] = Field(
        description="Of a dial, the displacement of its place along its direction; of a strain "
        "gauge, the change of its grid's length along the deformed surface over its first length, "
        "elastic and plastic."
    )


class OffsetRecord(Record):
    """Where the curve crosses its first slope shifted by a deflection."""

    rule: str
    shift_mm: float | None
    shift_deg: float | None
    load_factor: float | None = Field(description="Null where the path ends before.")
    load_n: float | None
    deflection_mm: float | None
    rotation_deg: float | None


class UnloadingRecord(Record):
    """An unloading from a level of the load."""

    load_factor: float
    load_n: float | None
    reached: bool
    deflection_mm: float | None
    rotation_deg: float | None = Field(description="For a case of moments alone.")
    permanent_set_mm: float | None = Field(
        description="Largest at a load's place, along its force."
    )
    permanent_set_deg: float | None = Field(description="For a case of moments alone.")
    limit_mm: float | None = Field(description="Of the standard's test, at its load.")
    hold_min: float | None = Field(
        default=None, description="For which that test holds its load; the path does not creep."
    )


class StrainRecord(Record):
    """Plastic strain at the place of collapse, and the strains to compare it with."""

    averaged: float = Field(description="Plastic logarithmic strain, averaged along the bar.")
    averaging_length_mm: float = Field(
        description="Length of the average: max(2 t, 0.5 sqrt(r t))."
    )
    local: float = Field(
        description="Largest at a point, mostly at the clamp's edge; depends on the mesh."
    )
    uniform: float = Field(description="At the onset of necking in tension, by the curve.")
    elongation: float | None = Field(description="At fracture, as a logarithmic strain.")


class AgreementRecord(Record):
    """Place and load of the linear assessment beside those of the path."""

    limit: CriterionId
    share: float = Field(description="Utilisation at the place over the largest of the map.")
    named: bool
    load_factor: float | None = Field(description="Of that limit by the assessment.")
    text: str


class KnockDownRecord(Record):
    """Limit load with an imperfection of the wall, all on one mesh."""

    percent: float = Field(description="Amplitude in percent of the wall; 0 is the perfect one.")
    limit_load_factor: float | None = Field(
        description="Null where none comes before the strain limit or a bifurcation."
    )
    limit_load_n: float | None
    bifurcation_from_factor: float | None = Field(description="Null where it does not.")
    bifurcation_from_n: float | None
    max_load_factor: float | None
    of_perfect: float | None = Field(
        description="Knock-down factor: over the limit load of the perfect wall."
    )
    kind: Kind | None


class CollapseRecord(Record):
    """A path past yield: the curve and its loads; after a bifurcation nothing beyond it."""

    mesh_level: str
    cells: int
    layers: int
    solver: str
    seconds: float
    displacement_mm: float | None = Field(description="Deflection requested.")
    rotation_deg: float | None
    complete: bool
    ended: str = Field(description="Why the path ends where it does.")
    flow_curve: str = Field(description="How the material's curve was read.")
    curve: CurveRecord
    places: list[PathPlaceRecord]
    by_ram: bool = Field(
        False, description="Whether loads are the force of a ram, and deflections its travel."
    )
    supports: list[PathSupportRecord] = Field(default=[], description="On the bar, in bar axes.")
    stiffness: StiffnessRecord | None = Field(default=None, description="Null without a ram.")
    band: BandRecord | None = Field(default=None, description="Null where none was traced.")
    middle: MiddleBendRecord | None = Field(
        default=None, description="Of a free straight tube that two couples bend, else null."
    )
    gauges: list[PathGaugeRecord] = Field(default=[], description="What the gauges read.")
    linear_deflection_mm: float | None = Field(description="Along the case's own loads.")
    linear_rotation_deg: float | None
    yield_load_factor: float | None
    yield_load_n: float | None = Field(description="Averaged plastic strain 0.2 %.")
    yield_load_deflection_mm: float | None
    yield_load_rotation_deg: float | None
    yield_place: PlaceRecord | None = Field(
        default=None, description="Where the yield load is reached; whether local, in its text."
    )
    offset_n: float | None = Field(description="By the first rule.")
    offsets: list[OffsetRecord]
    unloadings: list[UnloadingRecord]
    permanent_set_mm: float | None = Field(description="After the case's own load.")
    bifurcation_from_factor: float | None = Field(
        description="Last point without a negative pivot; null without a bifurcation."
    )
    bifurcation_from_n: float | None
    bifurcation_from_deflection_mm: float | None
    bifurcation_from_rotation_deg: float | None
    bifurcation_to_factor: float | None = Field(
        description="The first point with a negative pivot."
    )
    bifurcation_to_n: float | None
    bifurcation_to_deflection_mm: float | None
    bifurcation_to_rotation_deg: float | None
    limit_load_factor: float | None = Field(
        description="Null where none comes before the strain limit or a bifurcation."
    )
    limit_load_n: float | None
    limit_load_deflection_mm: float | None
    limit_load_rotation_deg: float | None
    max_load_factor: float = Field(
        description="Largest load of the whole path, whatever the strain."
    )
    max_load_n: float | None
    max_load_deflection_mm: float | None
    max_load_rotation_deg: float | None
    strain_limit_load_factor: float | None = Field(
        description="Load at which the strain reaches the elongation."
    )
    strain_limit_load_n: float | None
    strain_limit_load_deflection_mm: float | None
    strain_limit_load_rotation_deg: float | None
    reported_step: int = Field(
        description="Step, from 1, whose place, kind and strain are reported."
    )
    place: PlaceRecord | None = Field(
        description="Where strain is largest; null while elastic, and at a bifurcation."
    )
    kind: Kind | None
    strain: StrainRecord
    negative_pivots: int | None
    absorbed_energy_nmm: float = Field(description="Up to the reported step.")
    imperfection: str | None = Field(description="Of the wall; null for the wall as described.")
    knock_down: list[KnockDownRecord]
    assessment: AgreementRecord | None = Field(description="Null while elastic.")
    text: list[str] = Field(description="All of this, in sentences.")
    cautions: list[str]
