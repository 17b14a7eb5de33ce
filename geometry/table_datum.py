"""Ends of a bar by coordinates on a flat table: the three differences between them.

Four points of the centre line are read anywhere on the table, x about to the rider's right, y
forward, z up: both edges of the clamp zone and both ends. The line through the clamp's edges is
x (datum A), its middle the clamp's centre. The end of the half that does not deviate has the roll
at which the bar is drawn (datum B); of a half that ends near its clamp's axis, as a straight one
does, the roll is that of the table. The differences are those of the ends in these axes.

A reading at the clamp that is off by e moves an end by e W/c, W its distance and c the width of
the clamp zone: so the intervals come from all twelve coordinates, root of the sum of squares.

Source: rigid motions, law of propagation of uncertainty, textbook; the set-up is common practice,
no source.
"""

from dataclasses import astuple, dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.bend_table import COORDINATE_LIMITS, Point
from geometry.errors import refuse
from geometry.limits import Range
from geometry.out_of_square import OutOfSquare, Side
from geometry.vectors import MIRROR_X, unit

TABLE_LIMITS = {
    "clamp_left_mm": COORDINATE_LIMITS,
    "clamp_right_mm": COORDINATE_LIMITS,
    "left_end_mm": COORDINATE_LIMITS,
    "right_end_mm": COORDINATE_LIMITS,
    "within_mm": Range(0, 5, "mm", "give half of the 95 % interval of a coordinate, 0.05 commonly"),
}

LEAST_ARM_MM = 5.0
"""Of an end from the clamp's axis, for the roll to be read at it."""

LEAST_CLAMP_MM = 10.0
"""Between the two points of the clamp zone."""

STEP_MM = 1e-4
"""Of central differences: nearly linear, so neither truncation nor rounding is seen."""


@dataclass(frozen=True)
class TableCoordinates:
    """Points of the centre line on the table.

    Attributes:
        clamp_left_mm: Left edge of the clamp zone.
        clamp_right_mm: Right edge of the clamp zone.
        left_end_mm: Left end.
        right_end_mm: Right end.
        within_mm: Half of the 95 % interval of each coordinate, None where it is not known.
    """

    clamp_left_mm: Point
    clamp_right_mm: Point
    left_end_mm: Point
    right_end_mm: Point
    within_mm: float | None = None


def read_on_table(
    table: TableCoordinates, side: Side, drawn_end_mm: Point, bend: int | None = None
) -> OutOfSquare:
    """Return the reading that coordinates on a table come to.

    Source: module docstring.

    Args:
        table: The coordinates.
        side: The half that deviates.
        drawn_end_mm: End of the other half as drawn, written as a right half.
        bend: Number of the bend that takes it up.

    Raises:
        InputError: The points of the clamp are too close, an end lies on the other's side, or the
            end that is to give the roll lies on the clamp's axis.
    """
    points = np.array(astuple(table)[:4])
    _require_datums(points, side, np.array(drawn_end_mm))
    length, fore_aft, height = _differences(points, side, np.array(drawn_end_mm)).tolist()
    within: list[float | None] = [None] * 3
    if table.within_mm is not None:
        slopes = _slopes(points, side, np.array(drawn_end_mm))
        within = (table.within_mm * np.linalg.norm(slopes, axis=1)).tolist()
    return OutOfSquare(side, height, fore_aft, length, within[2], within[1], within[0], bend)


def _require_datums(points: Floats, side: Side, drawn: Floats) -> None:
    width = float(np.linalg.norm(points[1] - points[0]))
    if width < LEAST_CLAMP_MM:
        sentence = (
            f"lies {width:.3g} mm from clamp_left_mm, but must lie at least {LEAST_CLAMP_MM:g} mm "
            "from it; read both edges of the clamp zone"
        )
        raise refuse("table_coordinates.clamp_right_mm", sentence)
    _require_sides(points)
    arm, wanted = np.linalg.norm(_datum_arm(points, side)), np.linalg.norm(drawn[1:])
    if wanted >= LEAST_ARM_MM and arm < LEAST_ARM_MM / 2:
        name = "right_end_mm" if side == "left" else "left_end_mm"
        sentence = (
            f"lies {arm:.3g} mm from the clamp's axis, but {wanted:.3g} mm as drawn, so it gives "
            "no roll; check which end and which axis was read"
        )
        raise refuse(f"table_coordinates.{name}", sentence)


def _require_sides(points: Floats) -> None:
    """Refuse an end on the other one's side: ends or edges were taken for each other."""
    outward = (points[2:] - points[:2].mean(axis=0)) @ unit(points[1] - points[0])
    for name, way in (("left_end_mm", -outward[0]), ("right_end_mm", outward[1])):
        if way <= 0:
            sentence = (
                f"lies {-way:.1f} mm beyond the clamp's middle on the other end's side; check "
                "which end and which edge of the clamp is left"
            )
            raise refuse(f"table_coordinates.{name}", sentence)


def _datum_arm(points: Floats, side: Side) -> Floats:
    """Return (3,) the way from the clamp's axis to the end of the half that does not deviate."""
    along = unit(points[1] - points[0])
    end = points[3 if side == "left" else 2] - points[:2].mean(axis=0)
    result: Floats = end - along * (along @ end)
    return result


def _differences(points: Floats, side: Side, drawn: Floats) -> Floats:
    """Return (3,) length, fore-aft and height of the half that deviates."""
    ends = (points[2:] - points[:2].mean(axis=0)) @ _bar_axes(points, side, drawn).T
    left, right = ends[0] * MIRROR_X, ends[1]
    result: Floats = left - right if side == "left" else right - left
    return result


def _bar_axes(points: Floats, side: Side, drawn: Floats) -> Floats:
    """Return (3, 3) rows x, y and z of the bar in the axes of the table."""
    along = unit(points[1] - points[0])
    if np.linalg.norm(drawn[1:]) < LEAST_ARM_MM:
        forward = unit(np.cross([0.0, 0.0, 1.0], along))
        return np.stack([along, forward, np.cross(along, forward)])
    arm = unit(_datum_arm(points, side))
    beside = np.cross(along, arm)
    y, z = unit(drawn[1:])
    return np.stack([along, y * arm - z * beside, z * arm + y * beside])


def _slopes(points: Floats, side: Side, drawn: Floats) -> Floats:
    """Return (3, 12): how the differences move with each coordinate."""
    columns = []
    for number in range(points.size):
        step = np.zeros(points.size)
        step[number] = STEP_MM
        ahead, behind = (points + sign * step.reshape(points.shape) for sign in (1, -1))
        columns.append(_differences(ahead, side, drawn) - _differences(behind, side, drawn))
    return np.stack(columns, axis=1) / (2 * STEP_MM)
