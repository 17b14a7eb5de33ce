"""The study file as tables: every key, its kind and its limits.

Only what a single table can show is judged here, by the types of `studies.values`
and by `studies.rules`; `studies.study` couples the tables to bar and cases.
Descriptions serve the messages and the JSON Schema alike.
"""

from typing import Annotated, Literal, get_args

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
from studies import rules
from studies import values as v

MAX_POINTS = 100
MAX_STATIONS = 100
MAX_CASES = 100
MAX_LOADS = 20
MAX_SWEEPS = 10
MAX_VALUES = 1000


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
    curve: Literal["engineering", "true"] = Field(
        "engineering", description="what the stress-strain curve relates", examples=["engineering"]
    )

    _rule = model_validator(mode="after")(rules.strengths_ordered)


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
    radius_mm: v.Length = Field(description="centre-line radius of the bend", examples=[70])


class HalfTable(Table):
    """One half of the bar from the clamp centre outwards, by points or by bends."""

    points_mm: tuple[v.Point, ...] | None = Field(
        None,
        min_length=2,
        max_length=MAX_POINTS,
        description="intersection points of the centre line",
        examples=[[[0, 0, 0], [350, 0, 0]]],
    )
    bend_radii_mm: tuple[v.Length, ...] | None = Field(
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
    return "<text>" if isinstance(value, str) else "<MaterialTable>"


MaterialChoice = Annotated[
    Annotated[v.Text, AfterValidator(rules.material_known), Tag("<text>")]
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


class ClampTable(Table):
    """The stem's clamp, centred on s = 0."""

    width_mm: v.Length = Field(46.0, description="clamped length of the bar", examples=[46])
    grip: v.Grip = Field("elastic", description="how the clamp holds", examples=["elastic"])
    normal_n_per_mm3: v.GripStiffness = Field(
        7000.0, description="stiffness of an elastic grip across its face", examples=[7000]
    )
    tangential_n_per_mm3: v.GripStiffness = Field(
        3500.0, description="stiffness of an elastic grip along its face", examples=[3500]
    )


class MeshTable(Table):
    """How fine the mesh is."""

    level: v.MeshLevel = Field("standard", description="fineness of the mesh")


class LoadTable(Table):
    """A force and a moment on a band of the tube."""

    side: v.Side | None = Field(None, description="half that carries the load", examples=["right"])
    from_end_mm: v.Place | None = Field(
        None, description="distance of the load from the end of its half", examples=[50]
    )
    at_mm: v.SignedPlace | None = Field(
        None, description="signed place of the load along the bar", examples=[-250]
    )
    force_n: v.ForceVector = Field(
        (0.0, 0.0, 0.0), description="force [x, y, z]", examples=[[0, 0, -600]]
    )
    moment_nmm: v.MomentVector = Field(
        (0.0, 0.0, 0.0), description="moment [x, y, z]", examples=[[0, 0, 0]]
    )
    band_mm: v.Length = Field(30.0, description="length of the loaded band", examples=[30])

    _rule = model_validator(mode="after")(rules.load_placed)


class CycleTable(Table):
    """A load that comes again and again."""

    other: v.Name | None = Field(
        None, description="id of the case at the other end of the cycle", examples=["my-case"]
    )
    cycles: v.Count | None = Field(None, description="number of cycles", examples=[100000])
    preload: v.YesNo = Field(False, description="whether the case is a steady load under the cycle")


class CaseTable(Table):
    """What every case has."""

    title: v.Text | None = Field(None, description="title of the case", examples=["Hard landing"])
    cycle: CycleTable | None = Field(None, description="makes the load a repeated one")


class CatalogueCaseTable(CaseTable):
    """A case from the catalogue; further keys are the parameters that the case declares."""

    model_config = ConfigDict(extra="allow", frozen=True)

    use: v.Name = Field(
        description="id of a catalogue case (`barwright cases` lists them)",
        examples=["iso-4210-5.bar-bending"],
    )
    id: v.Name | None = Field(None, description="id of the case, by default `use`")

    _rule = model_validator(mode="after")(rules.parameters_plain)


class OwnCaseTable(CaseTable):
    """A case of your own."""

    id: v.Name = Field(description="id of the case", examples=["my-case"])
    loads: tuple[LoadTable, ...] = Field(
        min_length=1,
        max_length=MAX_LOADS,
        description="loads",
        examples=[[{"side": "right", "from_end_mm": 50, "force_n": [0, 0, -600]}]],
    )
    axes: v.Axes = Field("bar", description="axes of forces and moments", examples=["bar"])
    steerer_angle_deg: v.SteererAngle = Field(
        72.0, description="angle of the steerer from the horizontal", examples=[72]
    )
    source: SourceTable | None = Field(None, description="where the loads come from")


def _case_kind(value: object) -> str:
    own = isinstance(value, dict) and "use" not in value and rules.OWN_CASE_KEYS & value.keys()
    return "<OwnCaseTable>" if own else "<CatalogueCaseTable>"


CaseChoice = Annotated[
    Annotated[CatalogueCaseTable, Tag("<CatalogueCaseTable>")]
    | Annotated[OwnCaseTable, Tag("<OwnCaseTable>")],
    Discriminator(_case_kind),
]


class LinspaceTable(Table):
    """Evenly spaced values, both ends included."""

    from_: v.Number = Field(alias="from", description="first value", examples=[1.2])
    to: v.Number = Field(description="last value", examples=[2.0])
    count: v.SweepCount = Field(description="number of values", examples=[5])


class SweepTable(Table):
    """One thing that a sweep varies."""

    path: v.Text = Field(description="what varies", examples=["bar.stations.*.wall_mm"])
    values: tuple[v.SweepValue, ...] | None = Field(
        None, min_length=1, max_length=MAX_VALUES, description="values", examples=[[1.4, 1.6]]
    )
    scale: tuple[v.Number, ...] | None = Field(
        None, min_length=1, max_length=MAX_VALUES, description="factors", examples=[[0.9, 1.1]]
    )
    linspace: LinspaceTable | None = Field(
        None,
        description="evenly spaced values",
        examples=[{"from": 1.2, "to": 2.0, "count": 5}],
    )

    _rule = model_validator(mode="after")(rules.one_way_of_sweep)


class StudyTable(Table):
    """A Barwright study file."""

    name: v.Name = Field(
        description="name of the study, also of its results folder", examples=["harbour-flat"]
    )
    title: v.Text | None = Field(None, description="title of the study", examples=["Harbour flat"])
    bar: BarTable = Field(description="the bar", examples=["[bar]"])
    clamp: ClampTable = Field(ClampTable(), description="the stem's clamp")
    mesh: MeshTable = Field(MeshTable(), description="the mesh")
    cases: tuple[CaseChoice, ...] = Field((), max_length=MAX_CASES, description="load cases")
    sweep: tuple[SweepTable, ...] = Field(
        (), max_length=MAX_SWEEPS, description="what a sweep varies"
    )


TAGGED: dict[str, type[Table]] = {
    f"<{table.__name__}>": table for table in (MaterialTable, CatalogueCaseTable, OwnCaseTable)
}
SOURCE_KINDS: tuple[str, ...] = get_args(SourceKind)
