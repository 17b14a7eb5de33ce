"""The [bar] table of a study file, and what every table of the file shares."""

from typing import Annotated

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Discriminator,
    Field,
    Tag,
    model_validator,
)

from geometry.source import SourceKind
from studies.study_file.format import rules
from studies.study_file.format import values as v

MAX_POINTS = 100
MAX_STATIONS = 100


class Table(BaseModel):
    """A TOML table whose keys are all known."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class SourceTable(Table):
    """Where a value comes from."""

    kind: SourceKind = Field(description="how sure you are of the value", examples=["measured"])
    reference: v.Text = Field(
        description="publication, certificate or person", examples=["mill certificate"]
    )
    locator: v.Text | None = Field(None, description="clause, table or page")


CurvePoints = Annotated[tuple[v.CurvePoint, ...], Field(min_length=2, max_length=MAX_POINTS)]
CURVE_POINTS = "curve past yield as points of total strain (0.0072, not 0.72 %) and stress in MPa"
EXAMPLE_CURVES = [[[0.0035, 239], [0.0055, 241], [0.08, 290]]]
SLOPE = "slope of a straight curve past the proof stress, in place of points"


class MaterialTable(Table):
    """A material of your own."""

    youngs_modulus_mpa: v.Modulus = Field(description="Young's modulus", examples=[68300])
    poisson_ratio: v.PoissonRatio = Field(description="Poisson's ratio", examples=[0.33])
    density_kg_m3: v.Density = Field(description="density", examples=[2713])
    proof_stress_mpa: v.Strength = Field(description="0.2 % proof stress", examples=[241])
    ultimate_stress_mpa: v.Strength = Field(description="tensile strength", examples=[290])
    source: SourceTable = Field(
        description="where the values come from",
        examples=[{"kind": "measured", "reference": "mill certificate"}],
    )
    title: v.Text | None = Field(None, description="alloy, condition and form in words")
    elongation_percent: v.Elongation | None = Field(
        None, description="elongation at fracture", examples=[10]
    )
    ramberg_osgood_n: v.Exponent | None = Field(
        None, description="exponent of the Ramberg-Osgood curve", examples=[20]
    )
    curve: v.CurveKind = Field(
        "engineering", description="what all stress-strain data relate", examples=["engineering"]
    )
    stress_strain: CurvePoints | None = Field(
        None, description=CURVE_POINTS, examples=EXAMPLE_CURVES
    )
    tangent_modulus_mpa: v.TangentModulus | None = Field(None, description=SLOPE, examples=[700])

    _rule = model_validator(mode="after")(rules.strengths_ordered)
    _curve = model_validator(mode="after")(rules.curve_possible)


class LikeMaterialTable(Table):
    """A material of the catalogue of which some values are your own; fatigue curves stay."""

    like: Annotated[v.Text, AfterValidator(rules.material_known)] = Field(
        description="catalogue id of the material", examples=["al-6061-t6"]
    )
    youngs_modulus_mpa: v.Modulus | None = Field(
        None, description="Young's modulus", examples=[68300]
    )
    poisson_ratio: v.PoissonRatio | None = Field(
        None, description="Poisson's ratio", examples=[0.33]
    )
    density_kg_m3: v.Density | None = Field(None, description="density", examples=[2713])
    proof_stress_mpa: v.Strength | None = Field(
        None, description="0.2 % proof stress", examples=[241]
    )
    ultimate_stress_mpa: v.Strength | None = Field(
        None, description="tensile strength", examples=[290]
    )
    ramberg_osgood_n: v.Exponent | None = Field(
        None, description="exponent of the Ramberg-Osgood curve", examples=[20]
    )
    curve: v.CurveKind | None = Field(
        None, description="what all stress-strain data relate", examples=["engineering"]
    )
    stress_strain: CurvePoints | None = Field(
        None, description=CURVE_POINTS, examples=EXAMPLE_CURVES
    )
    tangent_modulus_mpa: v.TangentModulus | None = Field(None, description=SLOPE, examples=[700])
    source: SourceTable | None = Field(
        None,
        description="where your values come from",
        examples=[{"kind": "measured", "reference": "mill certificate"}],
    )


class StationTable(Table):
    """Diameter and wall at one place of the bar."""

    at_mm: v.Place = Field(
        description="distance along the bar from the clamp centre", examples=[35]
    )
    od_mm: v.Diameter = Field(description="outer diameter", examples=[31.8])
    wall_mm: v.Wall = Field(description="wall thickness", examples=[1.6])


Stations = Annotated[
    tuple[StationTable, ...],
    Field(min_length=1, max_length=MAX_STATIONS),
    AfterValidator(rules.stations_possible),
]


class BendRow(Table):
    """One row of a bend table."""

    straight_mm: v.Place = Field(description="straight length before the bend", examples=[85])
    rotation_deg: v.Turn = Field(0.0, description="turn of the bend plane", examples=[0])
    angle_deg: v.BendAngle = Field(description="bend angle", examples=[12])
    radius_mm: v.Radius = Field(description="centre-line radius of the bend", examples=[70])


class HalfTable(Table):
    """One half of the bar from the clamp centre outwards, by points or by bends."""

    points_mm: tuple[v.Point, ...] | None = Field(
        None,
        min_length=2,
        max_length=MAX_POINTS,
        description="intersection points of the centre line",
        examples=[[[0, 0, 0], [350, 0, 0]]],
    )
    bend_radii_mm: tuple[v.Radius, ...] | None = Field(
        None,
        max_length=MAX_POINTS,
        description="bend radius at each interior point",
        examples=[[70, 70]],
    )
    bends: tuple[BendRow, ...] | None = Field(
        None, max_length=MAX_POINTS, description="bend table", examples=[[]]
    )
    tail_mm: v.Place | None = Field(
        None, description="straight length after the last bend", examples=[160]
    )

    _rule = model_validator(mode="after")(rules.one_way_of_shape)


class LeftTable(HalfTable):
    """The left half, which may carry its own stations."""

    stations: Stations | None = Field(
        None, description="diameters and walls of the left half", examples=[[]]
    )


class BendEffectsTable(Table):
    """What bending does to the tube."""

    wall_change: v.YesNo = Field(True, description="whether bends thin and thicken the wall")
    ovality_percent: v.Ovality | None = Field(
        None, description="flattening in the bends", examples=[2.0]
    )


def _material_kind(value: object) -> str:
    if isinstance(value, str):
        return "<text>"
    like = isinstance(value, dict) and "like" in value
    return "<LikeMaterialTable>" if like else "<MaterialTable>"


MaterialChoice = Annotated[
    Annotated[v.Text, AfterValidator(rules.material_known), Tag("<text>")]
    | Annotated[LikeMaterialTable, Tag("<LikeMaterialTable>")]
    | Annotated[MaterialTable, Tag("<MaterialTable>")],
    Discriminator(_material_kind),
]


class BarTable(Table):
    """The bar itself."""

    name: v.Text | None = Field(None, description="name of the bar", examples=["harbour flat"])
    roll_deg: v.Roll = Field(0.0, description="turn of the bar about x in its clamp", examples=[0])
    material: MaterialChoice = Field(
        description="catalogue id of the material, or a table of its values",
        examples=["al-6061-t6"],
    )
    blend_mm: v.Blend = Field(
        5.0, description="half length over which a station's kink is rounded", examples=[5]
    )
    mass_g: v.Mass | None = Field(None, description="measured mass", examples=[380])
    stations: Stations = Field(
        description="diameters and walls along the bar",
        examples=[[{"at_mm": 0, "od_mm": 31.8, "wall_mm": 2.0}]],
    )
    right: Annotated[HalfTable, AfterValidator(rules.right_bendable)] = Field(
        description="the right half by points or bends",
        examples=[{"points_mm": [[0, 0, 0], [350, 0, 0]]}],
    )
    left: Annotated[LeftTable, AfterValidator(rules.left_bendable)] | None = Field(
        None, description="the left half, by default the mirror image"
    )
    bend_effects: BendEffectsTable = Field(
        BendEffectsTable(), description="what bending does to the tube"
    )
