"""The [[cases]] tables of a study file: loads, cycles and how far loads grow past yield."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Self

from pydantic import ConfigDict, Discriminator, Field, Tag, model_validator

from geometry.errors import Problem
from geometry.grading import LevelName
from loadcases.axes import Axes
from loadcases.case import CYCLES_LIMITS, STEERER_ANGLE_DEG, STEERER_LIMITS
from loadcases.load import (
    BAND_MM,
    COMPONENT_LIMITS,
    LOAD_LIMITS,
    Load,
    Side,
    load_problems_without_bar,
)
from loadcases.path_control import PATH_LIMITS, ImperfectionShape, PathControl
from studies.study_file.format import values as v
from studies.study_file.format.material_tables import SourceTable
from studies.study_file.format.table import Table, judged
from studies.study_file.format.wording import shown, shown_key

MAX_CASES = 100
MAX_LOADS = 20
MAX_LEVELS = 20

OWN_CASE_KEYS = frozenset({"id", "loads", "axes", "steerer_angle_deg"})
"""A case without `use` that has one of these is meant as one of your own."""


class LoadTable(Table):
    """A force and a moment on a band of the tube."""

    limits: ClassVar = {**LOAD_LIMITS, **COMPONENT_LIMITS}

    side: Side | None = Field(None, description="half that carries the load", examples=["right"])
    from_end_mm: v.Real | None = Field(
        None, description="distance of the load from the end of its half", examples=[50]
    )
    at_mm: v.Real | None = Field(
        None, description="signed place of the load along the bar", examples=[-250]
    )
    force_n: v.Vector = Field(
        (0.0, 0.0, 0.0), description="force [x, y, z]", examples=[[0, 0, -600]]
    )
    moment_nmm: v.Vector = Field(
        (0.0, 0.0, 0.0), description="moment [x, y, z]", examples=[[0, 0, 0]]
    )
    band_mm: v.Real = Field(BAND_MM, description="length of the loaded band", examples=[30])

    @model_validator(mode="after")
    def _possible(self) -> Self:
        return judged(self, load_problems_without_bar(Load(**dict(self))))


class CycleTable(Table):
    """A load that comes again and again."""

    limits: ClassVar = {"cycles": CYCLES_LIMITS}

    other: v.Name | None = Field(
        None, description="id of the case at the other end of the cycle", examples=["my-case"]
    )
    cycles: v.Whole | None = Field(None, description="number of cycles", examples=[100000])
    preload: v.YesNo = Field(
        False, description="whether the case is a sustained load under the cycle"
    )


class CollapseTable(Table):
    """How far the loads of a case grow past yield, and what happens on the way."""

    limits = PATH_LIMITS

    displacement_mm: v.Real | None = Field(
        None, description="displacement along the loads at which the path ends", examples=[60]
    )
    rotation_deg: v.Real | None = Field(
        None,
        description="rotation at which the path ends, for a case of moments alone",
        examples=[20],
    )
    unload_at: tuple[v.Real, ...] = Field(
        PathControl.unload_at,
        max_length=MAX_LEVELS,
        description="multiples of the loads from which they are taken away, for the permanent set",
        examples=[[1.0, 1.2]],
    )
    sustained: tuple[v.Name, ...] = Field(
        (), max_length=MAX_CASES, description="ids of cases whose loads act throughout"
    )
    preload: v.YesNo = Field(
        PathControl.preload, description="whether the clamps' bolts press throughout"
    )
    mesh: LevelName = Field(PathControl.mesh, description="fineness of the path's own mesh")
    imperfection_percent: v.Real = Field(
        PathControl.imperfection_percent,
        description="amplitude of the wall's imperfection in percent of the wall",
    )
    imperfection: ImperfectionShape = Field(
        PathControl.shape, description="shape of the imperfection"
    )
    knock_down_percent: tuple[v.Real, ...] = Field(
        PathControl.knock_down_percent,
        max_length=MAX_LEVELS,
        description="amplitudes of further paths, for the knock-down factor of each",
        examples=[[5, 10, 20]],
    )


class CaseTable(Table):
    """What every case has."""

    title: v.Text | None = Field(None, description="title of the case", examples=["Hard landing"])
    cycle: CycleTable | None = Field(None, description="makes the load a repeated one")
    collapse: CollapseTable | None = Field(
        None, description="lets the loads grow past yield to a stated displacement"
    )


class CatalogueCaseTable(CaseTable):
    """A case from the catalogue; further keys are the parameters that the case declares."""

    model_config = ConfigDict(extra="allow", frozen=True)

    use: v.Name = Field(
        description="id of a catalogue case (`barwright cases` lists them)",
        examples=["iso-4210-5.bar-bending"],
    )
    id: v.Name | None = Field(None, description="id of the case, by default `use`")

    @model_validator(mode="after")
    def _parameters_plain(self) -> Self:
        given = self.model_extra or {}
        if "loads" not in given:
            return judged(self, _parameter_problems(given))
        sentence = (
            "stands beside use; a catalogue case brings its own loads, so drop one of the two"
        )
        return judged(self, [Problem("loads", sentence)])


class OwnCaseTable(CaseTable):
    """A case of your own."""

    limits: ClassVar = {"steerer_angle_deg": STEERER_LIMITS}

    id: v.Name = Field(description="id of the case", examples=["my-case"])
    loads: tuple[LoadTable, ...] = Field(
        min_length=1,
        max_length=MAX_LOADS,
        description="loads",
        examples=[[{"side": "right", "from_end_mm": 50, "force_n": [0, 0, -600]}]],
    )
    axes: Axes = Field("bar", description="axes of forces and moments", examples=["bar"])
    steerer_angle_deg: v.Real = Field(
        STEERER_ANGLE_DEG, description="angle of the steerer from the horizontal", examples=[72]
    )
    source: SourceTable | None = Field(None, description="where the loads come from")


def _case_kind(value: object) -> str:
    own = isinstance(value, dict) and "use" not in value and OWN_CASE_KEYS & value.keys()
    return "<OwnCaseTable>" if own else "<CatalogueCaseTable>"


CaseChoice = Annotated[
    Annotated[CatalogueCaseTable, Tag("<CatalogueCaseTable>")]
    | Annotated[OwnCaseTable, Tag("<OwnCaseTable>")],
    Discriminator(_case_kind),
]


def _parameter_problems(given: dict[str, object]) -> Iterator[Problem]:
    """Yield the parameters that are neither a plain number nor a short text."""
    for key, value in given.items():
        if wrong := _odd(value):
            yield Problem(shown_key(key), wrong)
        if shown_key(key) != key:
            yield Problem(shown_key(key), "is no parameter of a case; use letters, digits and _")


def _odd(value: object) -> str | None:
    """Return what is wrong with a value as a parameter, None for a plain one."""
    if isinstance(value, str):
        return None if len(value) <= v.TEXT_LENGTH else f"is {shown(value)}; shorten it"
    if isinstance(value, bool) or not isinstance(value, int | float):
        return f"is {shown(value)}; give a number or a text"
    return f"is {shown(value)}; give a smaller number" if abs(value) > 1e12 else None
