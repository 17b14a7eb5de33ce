"""The tables of one half of the bar, by points or by bends, and geometry's record of it."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Self, TypeVar

from pydantic import AfterValidator, Field, model_validator

from geometry.bend_table import (
    BEND_LIMITS,
    COORDINATE_LIMITS,
    LENGTH_LIMITS,
    RADIUS_LIMITS,
    Bend,
    BendTable,
    Polyline,
    check_polyline,
    cut_length_mm,
    polyline_from_table,
    table_from_polyline,
)
from geometry.errors import InputError, Problem
from geometry.section import STATION_LIMITS, Station, build_profile
from studies.study_file.format import values as v
from studies.study_file.format.table import Table, judged

MAX_POINTS = 100
MAX_STATIONS = 100

MAX_HALF_MM = 1500.0
"""Three times what the widest bars have: beyond it a unit is wrong, or a point."""


class StationTable(Table):
    """Diameter and wall at one place of the bar."""

    limits = STATION_LIMITS

    at_mm: v.Real = Field(description="distance along the bar from the clamp centre", examples=[35])
    od_mm: v.Real = Field(description="outer diameter", examples=[31.8])
    wall_mm: v.Real = Field(description="wall thickness", examples=[1.6])


def stations_of(tables: tuple[StationTable, ...]) -> tuple[Station, ...]:
    """Return geometry's stations of the file's."""
    return tuple(Station(**dict(table)) for table in tables)


def _possible(tables: tuple[StationTable, ...]) -> tuple[StationTable, ...]:
    """Refuse stations that do not ascend and walls that leave no bore."""
    try:
        build_profile(stations_of(tables), None, 0.0)
    except InputError as error:
        found = [Problem(p.field.removeprefix("stations"), p.sentence) for p in error.problems]
        return judged(tables, found)
    return tables


Stations = Annotated[
    tuple[StationTable, ...],
    Field(min_length=1, max_length=MAX_STATIONS),
    AfterValidator(_possible),
]


class BendRow(Table):
    """One row of a bend table."""

    limits = BEND_LIMITS

    straight_mm: v.Real = Field(description="straight length before the bend", examples=[85])
    rotation_deg: v.Real = Field(0.0, description="turn of the bend plane", examples=[0])
    angle_deg: v.Real = Field(description="bend angle", examples=[12])
    radius_mm: v.Real = Field(description="centre-line radius of the bend", examples=[70])


class HalfTable(Table):
    """One half of the bar from the clamp centre outwards, by points or by bends."""

    limits: ClassVar = {
        "points_mm": COORDINATE_LIMITS,
        "bend_radii_mm": RADIUS_LIMITS,
        "tail_mm": LENGTH_LIMITS,
    }

    points_mm: tuple[v.Vector, ...] | None = Field(
        None,
        min_length=2,
        max_length=MAX_POINTS,
        description="intersection points of the centre line",
        examples=[[[0, 0, 0], [350, 0, 0]]],
    )
    bend_radii_mm: tuple[v.Real, ...] | None = Field(
        None,
        max_length=MAX_POINTS,
        description="bend radius at each interior point",
        examples=[[70, 70]],
    )
    bends: tuple[BendRow, ...] | None = Field(
        None, max_length=MAX_POINTS, description="bend table", examples=[[]]
    )
    tail_mm: v.Real | None = Field(
        None, description="straight length after the last bend", examples=[160]
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        return judged(self, _way_problems(self))


class LeftTable(HalfTable):
    """The left half, which may carry its own stations."""

    stations: Stations | None = Field(
        None, description="diameters and walls of the left half", examples=[[]]
    )


Half = TypeVar("Half", bound=HalfTable)


def polyline_of(half: HalfTable, side: str) -> Polyline:
    """Return a half in geometry's sense: a left half by points is mirrored in x.

    Raises:
        InputError: The bend table cannot be built.
    """
    if half.bends is not None:
        rows = tuple(Bend(**dict(row)) for row in half.bends)
        return polyline_from_table(BendTable(rows, half.tail_mm or 0.0))
    sign = 1.0 if side == "right" else -1.0
    # adding zero turns -0.0 into 0.0, which people do not want to read
    points = tuple((sign * x + 0.0, y, z) for x, y, z in half.points_mm or ())
    return Polyline(points, half.bend_radii_mm or ())


def in_terms_of_file(half: HalfTable, problem: Problem) -> Problem:
    """Return a problem of a polyline at the key that the file holds: points or bends."""
    if half.bends is None:
        return problem
    name, bracket, rest = problem.field.partition("[")
    if not bracket or name not in {"points_mm", "bend_radii_mm"}:
        return problem
    index = int(rest.rstrip("]"))
    if name == "bend_radii_mm":
        return Problem(f"bends[{index}].radius_mm", problem.sentence)
    field = f"bends[{index - 1}]" if index <= len(half.bends) else "tail_mm"
    return Problem(field, problem.sentence)


def right_bendable(half: Half) -> Half:
    """Refuse a right half that no tube can follow."""
    return judged(half, _bend_problems(half, "right"))


def left_bendable(half: Half) -> Half:
    """Refuse a left half that no tube can follow."""
    return judged(half, _bend_problems(half, "left"))


def _way_problems(half: HalfTable) -> Iterator[Problem]:
    by_points = half.points_mm is not None or half.bend_radii_mm is not None
    by_bends = half.bends is not None or half.tail_mm is not None
    first, second = ("points_mm", "bend_radii_mm") if by_points else ("bends", "tail_mm")
    if by_points and by_bends:
        yield Problem("", "is given by points and by bends; keep one of the two ways")
    elif not by_points and not by_bends:
        yield Problem("", "has no shape; give points_mm and bend_radii_mm, or bends and tail_mm")
    elif getattr(half, first) is None:
        yield Problem(first, f"is missing, though {second} is given; give it as well")
    elif by_bends and half.tail_mm is None:
        yield Problem("tail_mm", "is missing; give the straight after the last bend in mm")


def _bend_problems(half: HalfTable, side: str) -> Iterator[Problem]:
    try:
        polyline = polyline_of(half, side)
        check_polyline(polyline)
    except InputError as error:
        ours = {problem.field: problem for problem in _start_problems(half, side)}
        yield from (ours.get(p.field, in_terms_of_file(half, p)) for p in error.problems)
        return
    length_mm = cut_length_mm(table_from_polyline(polyline))
    if length_mm > MAX_HALF_MM:
        sentence = (
            f"is {length_mm:.0f} mm long from clamp centre to end; the limit is "
            f"{MAX_HALF_MM:g} mm, so check the points and their unit"
        )
        yield Problem("", sentence)


def _start_problems(half: HalfTable, side: str) -> Iterator[Problem]:
    """Say what is wrong at the clamp in the numbers of the file, which geometry sees mirrored."""
    if half.points_mm is None:
        return
    start, corner = half.points_mm[:2]
    along = corner[0] if side == "right" else -corner[0]
    if any(start):
        yield Problem("points_mm[0]", f"is {_text(start)}; start at the clamp centre, [0, 0, 0]")
    elif any(corner) and (along <= 0 or any(corner[1:])):
        sign = "+x" if side == "right" else "-x"
        sentence = (
            f"is {_text(corner)}, but the first segment of the {side} half runs along {sign} out "
            "of the clamp; set y and z to 0 and bend at the next point"
        )
        yield Problem("points_mm[1]", sentence)


def _text(point: tuple[float, float, float]) -> str:
    return "[" + ", ".join(f"{value:g}" for value in point) + "]"
