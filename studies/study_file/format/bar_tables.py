"""The [bar] table of a study file, its halves by points, bends or families; geometry's records."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Self

from pydantic import AfterValidator, Field, model_validator

from geometry.bar import BarSpec
from geometry.bend_effects import BendEffects
from geometry.bend_table import (
    BEND_LIMITS,
    COORDINATE_LIMITS,
    LENGTH_LIMITS,
    RADIUS_LIMITS,
    Bend,
    BendTable,
    Polyline,
    cut_length_mm,
    polyline_from_table,
    table_from_polyline,
)
from geometry.errors import InputError, Problem
from geometry.families import polyline_of_shape
from geometry.fit import MASS_LIMITS, OVALITY_LIMITS, ROLL_LIMITS
from geometry.section import BLEND_LIMITS, STATION_LIMITS, Station, build_profile
from loadcases.load import Side
from studies.study_file.format import values as v
from studies.study_file.format.material_tables import MaterialChoice
from studies.study_file.format.shape_tables import AnyShape, shape_of
from studies.study_file.format.square_tables import OutOfSquareTable
from studies.study_file.format.table import Table, judged, key

MAX_POINTS = 100
MAX_STATIONS = 100

MAX_HALF_MM = 1500.0
"""Three times what the widest bars have: beyond it a unit is wrong, or a point."""


class StationTable(Table):
    """Diameter and wall at one place of the bar."""

    limits = STATION_LIMITS

    name: v.Label | None = key("name of the station in paths", None, "clamp")
    at_mm: v.Real = key("distance along the bar from the clamp centre", example=35)
    od_mm: v.Real = key("outer diameter", example=31.8)
    wall_mm: v.Real = key("wall thickness", example=1.6)
    eccentricity_mm: v.Real = key("way of the bore off the middle", Station.eccentricity_mm, 0.1)
    thickest_deg: v.Real = key("angle of the thickest wall, 0 on top", Station.thickest_deg)


def stations_of(tables: tuple[StationTable, ...]) -> tuple[Station, ...]:
    """Return geometry's stations of the file's."""
    return tuple(Station(**table.model_dump(exclude={"name"})) for table in tables)


def _possible(tables: tuple[StationTable, ...]) -> tuple[StationTable, ...]:
    """Refuse stations that do not ascend, walls that leave no bore, and names that come twice."""
    judged(tables, _name_problems(tables))
    try:
        build_profile(stations_of(tables), None, 0.0)
    except InputError as error:
        found = [Problem(p.field.removeprefix("stations"), p.sentence) for p in error.problems]
        return judged(tables, found)
    return tables


def _name_problems(tables: tuple[StationTable, ...]) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for number, name in enumerate(table.name for table in tables):
        if name and first.setdefault(name, number) != number:
            sentence = f"is {name!r}, as that of stations[{first[name]}]; rename one of the two"
            yield Problem(f"[{number}].name", sentence)


Stations = Annotated[
    tuple[StationTable, ...],
    Field(min_length=1, max_length=MAX_STATIONS),
    AfterValidator(_possible),
]


class BendRow(Table):
    """One row of a bend table."""

    limits = BEND_LIMITS

    name: v.Label | None = key("name of the bend in paths", None, "knee")
    straight_mm: v.Real = key("straight length before the bend", example=85)
    rotation_deg: v.Real = key("turn of the bend plane", 0.0)
    angle_deg: v.Real = key("bend angle", example=12)
    radius_mm: v.Real = key("centre-line radius of the bend", example=70)


class HalfTable(Table):
    """One half of the bar from the clamp centre outwards, by points, bends or its family."""

    side: ClassVar[Side] = "right"
    limits: ClassVar = {
        "points_mm": COORDINATE_LIMITS,
        "bend_radii_mm": RADIUS_LIMITS,
        "tail_mm": LENGTH_LIMITS,
    }

    points_mm: tuple[v.Vector, ...] | None = key(
        "intersection points of the centre line",
        None,
        [[0, 0, 0], [350, 0, 0]],
        min_length=2,
        max_length=MAX_POINTS,
    )
    bend_radii_mm: tuple[v.Real, ...] | None = key(
        "bend radius at each interior point", None, [70, 70], max_length=MAX_POINTS
    )
    bends: tuple[BendRow, ...] | None = key("bend table", None, [], max_length=MAX_POINTS)
    tail_mm: v.Real | None = key("straight length after the last bend", None, 160)
    shape: AnyShape | None = key("dimensions of a family, in place of points or bends", None)
    bend_names: tuple[v.Label, ...] | None = key(
        "names of the bends from the clamp outwards", None, ["inner", "knee"], max_length=MAX_POINTS
    )

    @model_validator(mode="after")
    def _can_be_bent(self) -> Self:
        ways = tuple(_way_problems(self)) or tuple(_bend_problems(self))
        return judged(self, ways or _bend_name_problems(self))


class LeftTable(HalfTable):
    """The left half, which may carry its own stations."""

    side = "left"

    stations: Stations | None = key("diameters and walls of the left half", None, [])


class BendEffectsTable(Table):
    """What bending does to the tube."""

    limits: ClassVar = {"ovality_percent": OVALITY_LIMITS}

    wall_change: v.YesNo = key("whether bends thin and thicken the wall", BendEffects.wall_change)
    ovality_percent: v.Real | None = key("flattening in the bends", None, 2.0)


class BarTable(Table):
    """The bar itself."""

    limits: ClassVar = {"roll_deg": ROLL_LIMITS, "blend_mm": BLEND_LIMITS, "mass_g": MASS_LIMITS}

    name: v.Text | None = key("name of the bar", None, "harbour flat")
    roll_deg: v.Real = key("turn of the bar about x in its clamp", BarSpec.roll_deg)
    material: MaterialChoice = key(
        "catalogue id of the material, or a table of its values", example="al-6061-t6"
    )
    blend_mm: v.Real = key("half length over which a station's kink is rounded", BarSpec.blend_mm)
    mass_g: v.Real | None = key("measured mass", None, 380)
    stations: Stations = key(
        "diameters and walls along the bar", example=[{"at_mm": 0, "od_mm": 31.8, "wall_mm": 2.0}]
    )
    right: HalfTable = key(
        "the right half by points, bends or shape", example={"points_mm": [[0, 0, 0], [350, 0, 0]]}
    )
    left: LeftTable | None = key("the left half, by default the mirror image", None)
    out_of_square: OutOfSquareTable | None = key(
        "how far one end lies off the mirror image of the other", None
    )
    bend_effects: BendEffectsTable = key("what bending does to the tube", BendEffectsTable())


def polyline_of(half: HalfTable) -> Polyline:
    """Return a half in geometry's sense: a left half by points is mirrored in x.

    Raises:
        InputError: The bend table cannot be built.
    """
    if half.shape is not None:
        return polyline_of_shape(shape_of(half.shape))
    if half.bends is not None:
        rows = tuple(Bend(**row.model_dump(exclude={"name"})) for row in half.bends)
        return polyline_from_table(BendTable(rows, half.tail_mm or 0.0))
    sign = 1.0 if half.side == "right" else -1.0
    # adding zero turns -0.0 into 0.0, which people do not want to read
    points = tuple((sign * x + 0.0, y, z) for x, y, z in half.points_mm or ())
    return Polyline(points, half.bend_radii_mm or ())


def bend_names_of(half: HalfTable) -> tuple[str | None, ...]:
    """Return the name of each corner of a half, None for one that has none.

    Raises:
        InputError: The half cannot be built.
    """
    if half.bend_names is not None:
        return half.bend_names
    if half.bends is not None:
        return tuple(row.name for row in half.bends)
    return (None,) * len(polyline_of(half).bend_radii_mm)


def _bend_name_problems(half: HalfTable) -> Iterator[Problem]:
    names = half.bend_names
    if names is not None and any(row.name for row in half.bends or ()):
        yield Problem("bend_names", "stands beside names in bends; keep one of the two ways")
        return
    count = len(polyline_of(half).bend_radii_mm)
    if names is not None and len(names) != count:
        sentence = f"holds {len(names)} names for {count} bends; give one for each bend"
        yield Problem("bend_names", sentence)
    first: dict[str | None, int] = {}
    for number, name in enumerate(bend_names_of(half)):
        if name and first.setdefault(name, number) != number:
            field = f"bends[{number}].name" if names is None else f"bend_names[{number}]"
            yield Problem(field, f"is {name!r}, as that of another bend; rename one of the two")


def in_terms_of_file(half: HalfTable, problem: Problem) -> Problem:
    """Return a problem of a polyline at the key that the file holds: points or bends."""
    name, bracket, rest = problem.field.partition("[")
    if half.shape is not None:
        if bracket:
            return Problem("shape", f"corner {rest.rstrip(']')}: {problem.sentence}")
        return Problem(f"shape.{problem.field}", problem.sentence)
    if half.bends is None or not bracket or name not in {"points_mm", "bend_radii_mm"}:
        return problem
    index = int(rest.rstrip("]"))
    if name == "bend_radii_mm":
        return Problem(f"bends[{index}].radius_mm", problem.sentence)
    field = f"bends[{index - 1}]" if index <= len(half.bends) else "tail_mm"
    return Problem(field, problem.sentence)


def _way_problems(half: HalfTable) -> Iterator[Problem]:
    by_points = half.points_mm is not None or half.bend_radii_mm is not None
    by_bends = half.bends is not None or half.tail_mm is not None
    if half.shape is not None:
        if by_points or by_bends:
            yield Problem("shape", "stands beside points or bends; keep one of the ways")
        return
    first, second = ("points_mm", "bend_radii_mm") if by_points else ("bends", "tail_mm")
    if by_points and by_bends:
        yield Problem("", "is given by points and by bends; keep one of the two ways")
    elif not by_points and not by_bends:
        sentence = "has no shape; give points_mm and bend_radii_mm, bends and tail_mm, or shape"
        yield Problem("", sentence)
    elif getattr(half, first) is None:
        yield Problem(first, f"is missing, though {second} is given; give it as well")
    elif by_bends and half.tail_mm is None:
        yield Problem("tail_mm", "is missing; give the straight after the last bend in mm")


def _bend_problems(half: HalfTable) -> Iterator[Problem]:
    try:
        length_mm = cut_length_mm(table_from_polyline(polyline_of(half)))
    except InputError as error:
        ours = {problem.field: problem for problem in _start_problems(half)}
        yield from (ours.get(p.field, in_terms_of_file(half, p)) for p in error.problems)
        return
    if length_mm > MAX_HALF_MM:
        sentence = (
            f"is {length_mm:.0f} mm long from clamp centre to end; the limit is "
            f"{MAX_HALF_MM:g} mm, so check the points and their unit"
        )
        yield Problem("", sentence)


def _start_problems(half: HalfTable) -> Iterator[Problem]:
    """Say what is wrong at the clamp in the numbers of the file, which geometry sees mirrored."""
    if half.points_mm is None:
        return
    start, corner = half.points_mm[:2]
    along, sign = (corner[0], "+") if half.side == "right" else (-corner[0], "-")
    if any(start):
        yield Problem("points_mm[0]", f"is {_text(start)}; start at the clamp centre, [0, 0, 0]")
    elif any(corner) and (along <= 0 or any(corner[1:])):
        sentence = (
            f"is {_text(corner)}, but the first segment of the {half.side} half runs along {sign}x "
            "out of the clamp; set y and z to 0 and bend at the next point"
        )
        yield Problem("points_mm[1]", sentence)


def _text(point: tuple[float, float, float]) -> str:
    return "[" + ", ".join(f"{value:g}" for value in point) + "]"
