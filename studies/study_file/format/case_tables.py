"""The [[cases]] tables of a study file: loads, cycles and how far loads grow past yield."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Self

from pydantic import ConfigDict, Discriminator, Tag, model_validator

from geometry.errors import Problem
from geometry.grading import LevelName
from loadcases.axes import Axes
from loadcases.case import CYCLES_LIMITS, STEERER_LIMITS, Case, Cycle
from loadcases.contact_points import SupportKind
from loadcases.load import (
    COMPONENT_LIMITS,
    LOAD_LIMITS,
    Load,
    Side,
    load_problems_without_bar,
)
from loadcases.path_control import PATH_LIMITS, ImperfectionShape, PathControl
from loadcases.supports import SUPPORT_LIMITS, Support
from studies.study_file.format import values as v
from studies.study_file.format.material_tables import SourceTable
from studies.study_file.format.table import Table, judged, key
from studies.study_file.format.wording import shown, shown_key

MAX_CASES = 100
MAX_LOADS = 20
MAX_SUPPORTS = 20
MAX_LEVELS = 20

OWN_CASE_KEYS = frozenset({"id", "loads", "supports", "axes", "steerer_angle_deg"})
"""A case without `use` that has one of these is meant as one of your own."""


class LoadTable(Table):
    """A force and a moment on a band of the tube."""

    limits: ClassVar = {**LOAD_LIMITS, **COMPONENT_LIMITS}

    side: Side | None = key("half that carries the load", None, "right")
    from_end_mm: v.Real | None = key("distance of the load from the end of its half", None, 50)
    at_mm: v.Real | None = key("signed place of the load along the bar", None, -250)
    force_n: v.Vector = key("force [x, y, z]", Load.force_n, [0, 0, -600])
    moment_nmm: v.Vector = key("moment [x, y, z]", Load.moment_nmm)
    band_mm: v.Real = key("length of the loaded band", Load.band_mm)

    @model_validator(mode="after")
    def _possible(self) -> Self:
        return judged(self, load_problems_without_bar(Load(**dict(self))))


class SupportTable(Table):
    """A support of the bar beside its clamp."""

    limits: ClassVar = SUPPORT_LIMITS

    kind: SupportKind = key("kind of support", example="roller")
    side: Side | None = key("half that is supported", None, "right")
    from_end_mm: v.Real | None = key("distance of the support from the end of its half", None)
    at_mm: v.Real | None = key("signed place of the support along the bar", None, 250)
    direction: v.Vector = key("from the support into the bar [x, y, z]", Support.direction)
    friction: v.Real = key("coefficient of friction, 0 where it rolls", Support.friction)
    band_mm: v.Real = key("length of the held band, plate, saddle or fixture", Support.band_mm)
    radius_mm: v.Real | None = key(
        "radius of a roller or saddle, for a path past yield", None, example=15
    )


class CycleTable(Table):
    """A load that comes again and again."""

    limits: ClassVar = {"cycles": CYCLES_LIMITS}

    other: v.Name | None = key("id of the case at the other end of the cycle", None, "my-case")
    cycles: v.Whole | None = key("number of cycles", None, 100000)
    preload: v.YesNo = key("whether the case is a sustained load under the cycle", Cycle.preload)


class CollapseTable(Table):
    """How far the loads of a case grow past yield, and what happens on the way."""

    limits = PATH_LIMITS

    displacement_mm: v.Real | None = key(
        "displacement along the loads at which the path ends", None, 60
    )
    rotation_deg: v.Real | None = key(
        "rotation at which the path ends, for a case of moments alone", None, 20
    )
    unload_at: tuple[v.Real, ...] = key(
        "multiples of the loads from which they are taken away, for the permanent set",
        PathControl.unload_at,
        [1.0, 1.2],
        max_length=MAX_LEVELS,
    )
    sustained: tuple[v.Name, ...] = key(
        "ids of cases whose loads act throughout", (), max_length=MAX_CASES
    )
    preload: v.YesNo = key("whether the clamps' bolts press throughout", PathControl.preload)
    mesh: LevelName = key("fineness of the path's own mesh", PathControl.mesh)
    imperfection_percent: v.Real = key(
        "amplitude of the wall's imperfection in percent of the wall",
        PathControl.imperfection_percent,
    )
    imperfection: ImperfectionShape = key("shape of the imperfection", PathControl.shape)
    knock_down_percent: tuple[v.Real, ...] = key(
        "amplitudes of further paths, for the knock-down factor of each",
        PathControl.knock_down_percent,
        [5, 10, 20],
        max_length=MAX_LEVELS,
    )


class CaseTable(Table):
    """What every case has."""

    title: v.Text | None = key("title of the case", None, "Hard landing")
    cycle: CycleTable | None = key("makes the load a repeated one", None)
    collapse: CollapseTable | None = key(
        "lets the loads grow past yield to a stated displacement", None
    )


class CatalogueCaseTable(CaseTable):
    """A case from the catalogue; further keys are the parameters that the case declares."""

    model_config = ConfigDict(extra="allow", frozen=True)

    use: v.Name = key(
        "id of a catalogue case (`barwright cases` lists them)", example="iso-4210-5.bar-bending"
    )
    id: v.Name | None = key("id of the case, by default `use`", None)

    @property
    def parameters(self) -> dict[str, object]:
        """Return the parameters that the study gives."""
        return self.model_extra or {}

    @model_validator(mode="after")
    def _parameters_plain(self) -> Self:
        sentence = (
            "stands beside use; a catalogue case brings its own loads, so drop one of the two"
        )
        loads = [Problem("loads", sentence)] if "loads" in self.parameters else []
        return judged(self, loads or _parameter_problems(self.parameters))


class OwnCaseTable(CaseTable):
    """A case of your own."""

    limits: ClassVar = {"steerer_angle_deg": STEERER_LIMITS}

    id: v.Name = key("id of the case", example="my-case")
    loads: tuple[LoadTable, ...] = key(
        "loads",
        example=[{"side": "right", "from_end_mm": 50, "force_n": [0, 0, -600]}],
        min_length=1,
        max_length=MAX_LOADS,
    )
    supports: tuple[SupportTable, ...] = key(
        "supports beside the clamp, which stand still", (), max_length=MAX_SUPPORTS
    )
    axes: Axes = key("axes of forces and moments", Case.axes)
    steerer_angle_deg: v.Real = key(
        "angle of the steerer from the horizontal", Case.steerer_angle_deg
    )
    source: SourceTable | None = key("where the loads come from", None)


def case_kind(value: object) -> str:
    """Return the tag of the table that tells a case."""
    own = isinstance(value, dict) and "use" not in value and OWN_CASE_KEYS & value.keys()
    return "<OwnCaseTable>" if own else "<CatalogueCaseTable>"


AnyCaseTable = CatalogueCaseTable | OwnCaseTable
CaseChoice = Annotated[
    Annotated[CatalogueCaseTable, Tag("<CatalogueCaseTable>")]
    | Annotated[OwnCaseTable, Tag("<OwnCaseTable>")],
    Discriminator(case_kind),
]


def _parameter_problems(given: dict[str, object]) -> Iterator[Problem]:
    """Yield the parameters that are neither a plain number nor a short text."""
    for name, value in given.items():
        if name in ("loads", "supports"):
            sentence = (
                "is a key of a case of your own; drop it, or drop `use` and give the case an id"
            )
            yield Problem(name, sentence)
        elif wrong := _odd(value):
            yield Problem(shown_key(name), wrong)
        if shown_key(name) != name:
            yield Problem(shown_key(name), "is no parameter of a case; use letters, digits and _")


def _odd(value: object) -> str | None:
    """Return what is wrong with a value as a parameter, None for a plain one."""
    if isinstance(value, str):
        return None if len(value) <= v.TEXT_LENGTH else f"is {shown(value)}; shorten it"
    if isinstance(value, bool) or not isinstance(value, int | float):
        return f"is {shown(value)}; give a number or a text"
    return f"is {shown(value)}; give a smaller number" if abs(value) > 1e12 else None
