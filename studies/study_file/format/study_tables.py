"""The study file as tables: every key, its kind and its limits.

Only what a single table can show is judged in the tables; `studies.study_file.study` couples them
to bar and cases. Limits and choices are those of the mechanics. Descriptions serve the messages
and the JSON Schema alike.
"""

from typing import Any, ClassVar

from geometry.grading import LevelName
from loadcases.fatigue_inputs import FATIGUE_LIMITS, STAGE_LIMITS, FatigueInputs, SpectrumEntry
from loadcases.uncertainty import UNCERTAINTY_LIMITS
from studies.study_file.format import values as v
from studies.study_file.format.bar_tables import BarTable
from studies.study_file.format.case_tables import (
    MAX_CASES,
    CaseChoice,
)
from studies.study_file.format.clamp_tables import ClampTable, LeverTable
from studies.study_file.format.gauge_tables import MAX_GAUGES, GaugeTable
from studies.study_file.format.specimen_tables import SpecimenTable
from studies.study_file.format.sweep_tables import OptimiseTable, PlanTable, SweepTable
from studies.study_file.format.table import Table, key

MAX_LEVERS = 8
MAX_SWEEPS = 10
MAX_STAGES = 100


class MeshTable(Table):
    """How fine the mesh is."""

    level: LevelName = key("fineness of the mesh", "standard")


class FatigueTable(Table):
    """What the fatigue life is judged with."""

    limits = FATIGUE_LIMITS

    clamp_factor: v.Levels | None = key(
        "fatigue factor over nominal stress at clamp edges, at 1e5 cycles: low, middle, high; "
        "the default is the metal's",
        None,
        [1.25, 1.5, 1.8],
    )
    surface_factor: v.Levels = key(
        "share of a smooth specimen's fatigue strength elsewhere: low, middle, high",
        FatigueInputs.surface_factor,
    )
    reliability_factor: v.Real = key(
        "share of the median fatigue strength that is allowed", FatigueInputs.reliability_factor
    )


class SpectrumTable(Table):
    """A case as one stage of a fatigue spectrum."""

    limits = STAGE_LIMITS

    case: v.Name = key("id of the case", example="my-case")
    cycles: v.Whole = key("number of cycles", example=100000)
    scale: v.Real = key("multiple of the case's loads", SpectrumEntry.scale)


class UncertaintyTable(Table):
    """Within what the inputs of a path's band are known: half widths at 95 %."""

    limits: ClassVar = UNCERTAINTY_LIMITS

    wall_percent: v.Real | None = key(
        "half width of all walls together; by default that of the specimen's mass, else 5",
        None,
        3.0,
    )
    proof_stress_percent: v.Real | None = key(
        "half width of the proof stress, and of the curve past it; by default 10", None, 8.0
    )
    modulus_percent: v.Real | None = key("half width of Young's modulus; by default 2", None, 2.0)
    clamp_stiffness_times: v.Real | None = key(
        "the clamp is so many times softer to so many times stiffer; by default 3", None, 3.0
    )


class StudyTable(Table):
    """A Barwright study file."""

    name: v.Name = key("name of the study, also of its results folder", example="harbour-flat")
    title: v.Text | None = key("title of the study", None, "Harbour flat")
    bar: BarTable = key("the bar")
    clamp: ClampTable = key("the stem's clamp", ClampTable())
    specimen: SpecimenTable | None = key("the bar on the table, for --as-measured", None)
    levers: tuple[LeverTable, ...] = key("clamps of control levers", (), max_length=MAX_LEVERS)
    gauges: tuple[GaugeTable, ...] = key(
        "dials and strain gauges, read in every case", (), max_length=MAX_GAUGES
    )
    mesh: MeshTable = key("the mesh", MeshTable())
    cases: tuple[CaseChoice, ...] = key("load cases", (), max_length=MAX_CASES)
    fatigue: FatigueTable = key("what fatigue is judged with", FatigueTable())
    uncertainty: UncertaintyTable = key(
        "within what wall, proof stress, modulus and clamp are known", UncertaintyTable()
    )
    spectrum: tuple[SpectrumTable, ...] = key(
        "how often each case comes", (), max_length=MAX_STAGES
    )
    sweep: tuple[SweepTable, ...] = key("what a sweep varies", (), max_length=MAX_SWEEPS)
    plan: PlanTable = key("how a sweep goes through it", PlanTable())
    optimise: OptimiseTable = key(
        "what may vary for the lightest bar, and its constraints", OptimiseTable()
    )


def study_schema() -> dict[str, Any]:
    """Return the JSON Schema of a study file; rules that span several keys are not in it."""
    dialect = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    return {**dialect, **StudyTable.model_json_schema()}
