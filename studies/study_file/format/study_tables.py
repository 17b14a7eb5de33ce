"""The study file as tables: every key, its kind and its limits.

Only what a single table can show is judged here, by the types of `values` and by `rules`;
`studies.study_file.study` couples the tables to bar and cases. Descriptions serve the messages
and the JSON Schema alike.
"""

from typing import Annotated, Any

from pydantic import ConfigDict, Discriminator, Field, Tag, model_validator

from studies.study_file.format import rules
from studies.study_file.format import values as v
from studies.study_file.format.bar_tables import (
    BarTable,
    LikeMaterialTable,
    MaterialTable,
    SourceTable,
    Table,
)
from studies.study_file.format.sweep_tables import OptimiseTable, PlanTable, SweepTable

MAX_CASES = 100
MAX_LEVERS = 8
MAX_LOADS = 20
MAX_SWEEPS = 10
MAX_STAGES = 100
MAX_LEVELS = 20


class BoltsTable(Table):
    """The bolts that close a clamp."""

    count: v.BoltCount = Field(description="number of bolts", examples=[4])
    torque_nm: v.Torque = Field(description="torque on each bolt", examples=[5])
    diameter_mm: v.Thread = Field(description="diameter of the thread", examples=[5])
    nut_factor: v.NutFactor = Field(
        0.2, description="K of torque = K x diameter x preload", examples=[0.2]
    )
    scatter: v.Scatter = Field(
        1.6, description="largest over least preload at one torque", examples=[1.6]
    )
    pressure: v.Pressure = Field("uniform", description="how the pressure is spread round")
    friction: v.Friction = Field(
        0.2, description="coefficient of friction, clamp on tube", examples=[0.2]
    )


class ClampTable(Table):
    """The stem's clamp, centred on s = 0."""

    width_mm: v.ClampWidth = Field(46.0, description="clamped length of the bar", examples=[46])
    model: v.ClampModel = Field("elastic", description="how the clamp holds", examples=["elastic"])
    normal_n_per_mm3: v.GripStiffness = Field(
        7000.0, description="stiffness of an elastic grip across its face", examples=[7000]
    )
    tangential_n_per_mm3: v.GripStiffness = Field(
        3500.0, description="stiffness of an elastic grip along its face", examples=[3500]
    )
    bolts: BoltsTable | None = Field(None, description="the bolts that close it")


class LeverTable(Table):
    """The clamp of a control lever on a grip."""

    side: v.Side | None = Field(None, description="half that carries it", examples=["right"])
    from_end_mm: v.Place | None = Field(
        None, description="distance of its middle from the end of its half", examples=[140]
    )
    at_mm: v.SignedPlace | None = Field(
        None, description="signed place of its middle along the bar", examples=[-220]
    )
    width_mm: v.Band = Field(description="clamped length", examples=[12])
    bolts: BoltsTable = Field(
        description="the bolts that close it",
        examples=[{"count": 1, "torque_nm": 3, "diameter_mm": 5}],
    )

    _rule = model_validator(mode="after")(rules.lever_placed)


class MeshTable(Table):
    """How fine the mesh is."""

    level: v.MeshLevel = Field("standard", description="fineness of the mesh")


class FatigueTable(Table):
    """What the fatigue life is judged with."""

    clamp_edge_factor: v.NotchFactor = Field(
        2.0, description="fatigue notch factor Kf at the edge of an elastic clamp", examples=[2.0]
    )
    reliability_factor: v.Reliability = Field(
        1.0, description="share of the median fatigue strength that is allowed", examples=[1.0]
    )


class SpectrumTable(Table):
    """A case as one stage of a fatigue spectrum."""

    case: v.Name = Field(description="id of the case", examples=["my-case"])
    cycles: v.Count = Field(description="number of cycles", examples=[100000])
    scale: v.LoadScale = Field(1.0, description="multiple of the case's loads", examples=[1.0])


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
    band_mm: v.Band = Field(30.0, description="length of the loaded band", examples=[30])

    _rule = model_validator(mode="after")(rules.load_placed)


class CycleTable(Table):
    """A load that comes again and again."""

    other: v.Name | None = Field(
        None, description="id of the case at the other end of the cycle", examples=["my-case"]
    )
    cycles: v.Count | None = Field(None, description="number of cycles", examples=[100000])
    preload: v.YesNo = Field(False, description="whether the case is a steady load under the cycle")


class CollapseTable(Table):
    """How far the loads of a case grow past yield, and what happens on the way."""

    displacement_mm: v.PathEnd | None = Field(
        None, description="deflection along the loads to push to", examples=[60]
    )
    rotation_deg: v.PathTurn | None = Field(
        None, description="turn to push to, for a case of moments alone", examples=[20]
    )
    unload_at: tuple[v.LoadScale, ...] = Field(
        (1.0,),
        max_length=MAX_LEVELS,
        description="multiples of the loads from which they are taken away again, for the set",
        examples=[[1.0, 1.2]],
    )
    sustained: tuple[v.Name, ...] = Field(
        (), max_length=MAX_CASES, description="ids of cases whose loads stay meanwhile"
    )
    preload: v.YesNo = Field(True, description="whether the clamps' bolts press meanwhile")
    mesh: v.MeshLevel = Field("coarse", description="fineness of the path's own mesh")
    imperfection_percent: v.Amplitude = Field(
        0.0, description="amplitude of the wall's imperfection in percent of the wall"
    )
    imperfection: v.ImperfectionShape = Field("ripple", description="shape of the imperfection")
    knock_down_percent: tuple[v.Amplitude, ...] = Field(
        (),
        max_length=MAX_LEVELS,
        description="amplitudes of further paths, for what each takes from the limit",
        examples=[[5, 10, 20]],
    )


class CaseTable(Table):
    """What every case has."""

    title: v.Text | None = Field(None, description="title of the case", examples=["Hard landing"])
    cycle: CycleTable | None = Field(None, description="makes the load a repeated one")
    collapse: CollapseTable | None = Field(
        None, description="lets the loads grow past yield to a stated deflection"
    )


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


class StudyTable(Table):
    """A Barwright study file."""

    name: v.Name = Field(
        description="name of the study, also of its results folder", examples=["harbour-flat"]
    )
    title: v.Text | None = Field(None, description="title of the study", examples=["Harbour flat"])
    bar: BarTable = Field(description="the bar", examples=["[bar]"])
    clamp: ClampTable = Field(ClampTable(), description="the stem's clamp")
    levers: tuple[LeverTable, ...] = Field(
        (), max_length=MAX_LEVERS, description="clamps of control levers"
    )
    mesh: MeshTable = Field(MeshTable(), description="the mesh")
    cases: tuple[CaseChoice, ...] = Field((), max_length=MAX_CASES, description="load cases")
    fatigue: FatigueTable = Field(FatigueTable(), description="what fatigue is judged with")
    spectrum: tuple[SpectrumTable, ...] = Field(
        (), max_length=MAX_STAGES, description="how often each case comes"
    )
    sweep: tuple[SweepTable, ...] = Field(
        (), max_length=MAX_SWEEPS, description="what a sweep varies"
    )
    plan: PlanTable = Field(PlanTable(), description="how a sweep goes through it")
    optimise: OptimiseTable = Field(
        OptimiseTable(), description="what may vary for the lightest bar, and what it must keep"
    )


TAGGED: dict[str, type[Table]] = {
    f"<{table.__name__}>": table
    for table in (MaterialTable, LikeMaterialTable, CatalogueCaseTable, OwnCaseTable)
}


def study_schema() -> dict[str, Any]:
    """Return the JSON Schema of a study file; rules that span several keys are not in it."""
    dialect = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    return {**dialect, **StudyTable.model_json_schema()}
