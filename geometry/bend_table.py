"""Two descriptions of a bent half bar, and the conversion of each to the other.

A `Polyline` gives intersection points and bend radii (XYZ). A `BendTable` gives
what a tube bender sets: straight length, rotation of the bend plane, bend angle
(LRA). Both describe one half from the clamp centre outwards, the first segment along
+x; a left half is built as a right half and mirrored in x.

Rotation convention: right-handed about the direction of travel, from one
bend's plane normal (v x v') to the next; for the first bend 0 deg bends forward
(+y), 90 deg up (+z), 180 deg rearward. Machines differ in sign and zero.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from geometry.arrays import Floats
from geometry.errors import InputError, Problem
from geometry.limits import Range, limit_problems, number_problem
from geometry.vectors import angle_between_rad, rotated, unit

Point = tuple[float, float, float]

MAX_BEND_DEG = 175.0
"""Intersection points tend to infinity at 180 deg; a larger bend is written as two."""

COORDINATE_LIMITS = Range(-5000, 5000, "mm", "give x, y and z of the point in mm")
RADIUS_LIMITS = Range(0, 5000, "mm", "give the centre-line radius of the bend", above=True)
LENGTH_LIMITS = Range(0, 5000, "mm", "give the length of the straight in mm")
BEND_LIMITS = {
    "straight_mm": LENGTH_LIMITS,
    "rotation_deg": Range(-360, 360, "deg", "give the rotation of the bend plane"),
    "angle_deg": Range(
        0, MAX_BEND_DEG, "deg", "give the bend angle, a larger one as two bends", above=True
    ),
    "radius_mm": RADIUS_LIMITS,
}

STRAIGHT_RAD = 1e-9
"""A corner flatter than this is no bend."""

LENGTH_TOLERANCE_MM = 1e-6


@dataclass(frozen=True)
class Polyline:
    """A half bar by its intersection points and bend radii.

    Attributes:
        points_mm: At least two points, the first (0, 0, 0), the first segment along +x.
        bend_radii_mm: Centre-line radius at each interior point.
    """

    points_mm: tuple[Point, ...]
    bend_radii_mm: tuple[float, ...]


@dataclass(frozen=True)
class Bend:
    """One row of a bend table: straight length, rotation of the plane, bend.

    Attributes:
        straight_mm: Straight length before the bend, tangent point to tangent point.
        rotation_deg: Rotation of the bend plane, see the module docstring.
        angle_deg: Bend angle, 0 < angle <= 175.
        radius_mm: Centre-line radius.
    """

    straight_mm: float
    rotation_deg: float
    angle_deg: float
    radius_mm: float


@dataclass(frozen=True)
class BendTable:
    """A half bar as a tube bender makes it: the bends in order, then a straight tail."""

    bends: tuple[Bend, ...]
    tail_mm: float


def polyline_from_table(table: BendTable) -> Polyline:
    """Return the intersection points and radii of a bend table, mm.

    Source: geometry of tangent arcs; the rotation convention of the module docstring.

    Raises:
        InputError: A straight is negative, an angle or radius is out of range, or nothing is left
            of the bar.
    """
    _check_table(table)
    direction, normal = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
    corner, past_mm = np.zeros(3), 0.0
    points = [corner]
    for bend in table.bends:
        normal = rotated(normal, direction, np.radians(bend.rotation_deg))
        corner = corner + direction * (past_mm + bend.straight_mm + setback_mm(bend))
        points.append(corner)
        past_mm = setback_mm(bend)
        direction = rotated(direction, normal, np.radians(bend.angle_deg))
    points.append(corner + direction * (past_mm + table.tail_mm))
    return Polyline(tuple(map(_point, points)), tuple(bend.radius_mm for bend in table.bends))


def table_from_polyline(polyline: Polyline) -> BendTable:
    """Return the bend table of intersection points and radii; corners with no angle vanish.

    Raises:
        InputError: The points or radii cannot be bent, see `check_polyline`.
    """
    check_polyline(polyline)
    corners, radii = _real_corners(polyline)
    segments = np.diff(corners, axis=0)
    normals = [np.array([0.0, 0.0, 1.0])]
    normals += [unit(np.cross(before, after)) for before, after in pairwise(segments)]
    bends, past_mm = [], 0.0
    for i, radius in enumerate(radii):
        angle = angle_between_rad(segments[i], segments[i + 1])
        setback = radius * np.tan(angle / 2)
        straight = float(np.linalg.norm(segments[i]) - past_mm - setback)
        rotation = _rotation_deg(normals[i], normals[i + 1], unit(segments[i]))
        bends.append(Bend(max(straight, 0.0), rotation, float(np.degrees(angle)), radius))
        past_mm = setback
    return BendTable(tuple(bends), max(float(np.linalg.norm(segments[-1]) - past_mm), 0.0))


def setback_mm(bend: Bend) -> float:
    """Return T = R tan(angle/2), tangent point to intersection point, mm.

    Source: elementary geometry of a tangent arc.
    """
    return bend.radius_mm * float(np.tan(np.radians(bend.angle_deg) / 2))


def cut_length_mm(table: BendTable) -> float:
    """Return the developed length of a half in mm: straights, arcs R angle and the tail.

    Source: arc length of the centre line; the bender's stretch is left out.
    """
    arcs = sum(bend.radius_mm * np.radians(bend.angle_deg) for bend in table.bends)
    return float(sum(bend.straight_mm for bend in table.bends) + arcs + table.tail_mm)


def bent_corners(polyline: Polyline) -> tuple[int, ...]:
    """Return the numbers, from 0, of the interior points with a bend."""
    segments = np.diff(np.array(polyline.points_mm, dtype=float), axis=0)
    angles = [angle_between_rad(a, b) for a, b in pairwise(segments)]
    return tuple(i for i, angle in enumerate(angles) if angle > STRAIGHT_RAD)


def check_polyline(polyline: Polyline) -> None:
    """Refuse points and radii of an impossible centre line.

    Raises:
        InputError: One problem for each fault found.
    """
    problems = _point_problems(polyline) or _bend_problems(polyline)
    if problems:
        raise InputError(*problems)


def _point_problems(polyline: Polyline) -> list[Problem]:
    points = np.array(polyline.points_mm, dtype=float)
    if len(points) < 2:
        return [Problem("points_mm", f"{len(points)} points given; give at least 2")]
    problems = []
    if np.any(points[0] != 0.0):
        problems.append(
            Problem("points_mm[0]", f"is {_text(points[0])}; start at the clamp centre [0, 0, 0]")
        )
    segments = np.diff(points, axis=0)
    problems += [
        Problem(f"points_mm[{i + 1}]", "lies on the point before it; remove one of the two")
        for i, segment in enumerate(segments)
        if np.linalg.norm(segment) < LENGTH_TOLERANCE_MM
    ]
    if not problems and angle_between_rad(segments[0], np.array([1.0, 0.0, 0.0])) > 1e-6:
        problems.append(
            Problem(
                "points_mm[1]",
                f"is {_text(points[1])}, but the first segment must run along x out of the clamp; "
                "set its y and z to 0 and bend at the next point",
            )
        )
    corners = max(len(points) - 2, 0)
    if len(polyline.bend_radii_mm) != corners:
        problems.append(
            Problem(
                "bend_radii_mm",
                f"{len(polyline.bend_radii_mm)} radii for {corners} interior points; "
                "give one for each interior point",
            )
        )
    return problems


def _bend_problems(polyline: Polyline) -> list[Problem]:
    segments = np.diff(np.array(polyline.points_mm, dtype=float), axis=0)
    angles = [angle_between_rad(a, b) for a, b in pairwise(segments)]
    problems = [
        problem
        for i, radius in enumerate(polyline.bend_radii_mm)
        if (problem := number_problem(f"bend_radii_mm[{i}]", radius, RADIUS_LIMITS))
    ] + [
        Problem(
            f"points_mm[{i + 1}]",
            f"the bend angle here is {np.degrees(angle):.1f} deg; the limit is "
            f"{MAX_BEND_DEG:g} deg at one point, so split the bend over two points",
        )
        for i, angle in enumerate(angles)
        if np.degrees(angle) > MAX_BEND_DEG
    ]
    return problems or _overlap_problems(segments, angles, polyline.bend_radii_mm)


def _overlap_problems(
    segments: Floats, angles: list[float], radii: tuple[float, ...]
) -> list[Problem]:
    setbacks = [0.0, *(r * float(np.tan(a / 2)) for r, a in zip(radii, angles, strict=True)), 0.0]
    problems = []
    for i, segment in enumerate(segments):
        length, needed = float(np.linalg.norm(segment)), setbacks[i] + setbacks[i + 1]
        if needed > length + LENGTH_TOLERANCE_MM:
            problems.append(
                Problem(
                    f"points_mm[{i + 1}]",
                    f"the segment to this point is {length:.2f} mm long, but the setbacks of its "
                    f"bends need {needed:.2f} mm; lengthen the segment or reduce a bend radius",
                )
            )
    return problems


def _check_table(table: BendTable) -> None:
    problems: list[Problem] = []
    for i, bend in enumerate(table.bends):
        faults = InputError(*limit_problems(bend, BEND_LIMITS))
        problems += faults.within(f"bends[{i}]").problems
    if not table.tail_mm >= 0 or (not table.bends and not table.tail_mm > 0):
        problems.append(
            Problem("tail_mm", f"is {table.tail_mm:g} mm; the bar needs a length above 0")
        )
    if not problems and table.bends and table.bends[0].straight_mm + table.tail_mm <= 0:
        problems.append(Problem("bends[0].straight_mm", "is 0; start with a straight in the clamp"))
    if problems:
        raise InputError(*problems)


def _real_corners(polyline: Polyline) -> tuple[Floats, list[float]]:
    bends = bent_corners(polyline)
    points = np.array(polyline.points_mm, dtype=float)
    kept = [0, *(i + 1 for i in bends), len(points) - 1]
    return points[kept], [polyline.bend_radii_mm[i] for i in bends]


def _rotation_deg(before: Floats, after: Floats, travel: Floats) -> float:
    """Return the angle from one plane normal to the next about the travel, in (-180, 180]."""
    sine = travel @ np.cross(before, after)
    angle = float(np.degrees(np.arctan2(sine, before @ after)))
    return 180.0 if angle <= -180.0 + 1e-9 else angle


def _point(vector: Floats) -> Point:
    return float(vector[0]), float(vector[1]), float(vector[2])


def _text(vector: Floats) -> str:
    return "[" + ", ".join(f"{value:g}" for value in vector) + "]"
