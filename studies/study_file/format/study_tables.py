"""The study file as tables: every key, its kind and its limits.

Only what a single table can show is judged in the tables; `studies.study_file.study` couples them
to bar and cases. Limits and choices are those of the mechanics. Descriptions serve the messages
and the JSON Schema alike.
"""

from typing import Any

from pydantic import Field

from geometry.grading import LevelName
from loadcases.fatigue_inputs import FATIGUE_LIMITS, STAGE_LIMITS, FatigueInputs, SpectrumEntry
from studies.study_file.format import values as v
from studies.study_file.format.bar_tables import BarTable
from studies.study_file.format.case_tables import (
    MAX_CASES,
    CaseChoice,
    CatalogueCaseTable,
    OwnCaseTable,
)
from studies.study_file.format.clamp_tables import ClampTable, LeverTable
from studies.study_file.format.material_tables import LikeMaterialTable, MaterialTable
from studies.study_file.format.sweep_tables import OptimiseTable, PlanTable, SweepTable
from studies.study_file.format.table import Table

MAX_LEVERS = 8
MAX_SWEEPS = 10
MAX_STAGES = 100


class MeshTable(Table):
    """How fine the mesh is."""

    level: LevelName = Field("standard", description="fineness of the mesh")


class FatigueTable(Table):
    """What the fatigue life is judged with."""

    limits = FATIGUE_LIMITS

    clamp_factor: v.Levels | None = Field(
        None,
        description="fatigue factor over nominal stress at clamp edges, at 1e5 cycles: low, "
        "middle, high; the default is the metal's",
        examples=[[1.25, 1.5, 1.8]],
    )
    surface_factor: v.Levels = Field(
        FatigueInputs.surface_factor,
        description="share of a smooth specimen's fatigue strength elsewhere: low, middle, high",
        examples=[[0.7, 0.85, 1.0]],
    )
    reliability_factor: v.Real = Field(
        FatigueInputs.reliability_factor,
        description="share of the median fatigue strength that is allowed",
        examples=[1.0],
    )


class SpectrumTable(Table):
    """A case as one stage of a fatigue spectrum."""

    limits = STAGE_LIMITS

    case: v.Name = Field(description="id of the case", examples=["my-case"])
    cycles: v.Whole = Field(description="number of cycles", examples=[100000])
    scale: v.Real = Field(
        SpectrumEntry.scale, description="multiple of the case's loads", examples=[1.0]
    )


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
        OptimiseTable(), description="what may vary for the lightest bar, and its constraints"
    )


TAGGED: dict[str, type[Table]] = {
    f"<{table.__name__}>": table
    for table in (MaterialTable, LikeMaterialTable, CatalogueCaseTable, OwnCaseTable)
}


def study_schema() -> dict[str, Any]:
    """Return the JSON Schema of a study file; rules that span several keys are not in it."""
    dialect = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    return {**dialect, **StudyTable.model_json_schema()}
