"""Half bars by the dimensions of the trade: families solved to intersection points.

Lengths are of the centre line, heights and reaches from the clamp's centre (common practice, no
source: makers also measure to the outside of the tube, or at the grip). Seen by the rider x is to
the right, y forward, z up. A grip's backsweep b is its angle from x in the top view, its upsweep u
that above the horizontal, so it runs along (cos u cos b, -cos u sin b, sin u).

Widths are of a bar whose left half is the mirror image; of a half by itself they are twice its own.
Over all is between the outermost points of its open ends: a disk of radius r square to the
direction d reaches r sqrt(1 - d_x^2) beyond its centre.
"""

from dataclasses import dataclass
from math import cos, hypot, radians, sin, sqrt, tan
from typing import Literal

from geometry.bend_table import Point, Polyline
from geometry.errors import refuse
from geometry.limits import Range

WidthOf = Literal["centres", "over all"]

_ANGLE = Range(-60, 60, "deg", "give the angle in degrees, 5 to 12 commonly")
_LENGTH = Range(0, 2000, "mm", "give the length in mm", above=True)
_RADIUS = Range(
    0, 500, "mm", "give the centre-line radius of the bend, 50 to 100 commonly", above=True
)
FAMILY_LIMITS = {
    "width_mm": Range(100, 2000, "mm", "give the width of the whole bar, 380 to 820 commonly"),
    "end_od_mm": Range(5, 100, "mm", "give the outer diameter of the end, 22.2 or 23.8 commonly"),
    "backsweep_deg": _ANGLE,
    "upsweep_deg": _ANGLE,
    "middle_mm": _LENGTH,
    "knee_mm": _LENGTH,
    "rise_mm": Range(
        -200, 300, "mm", "give the height of the ends above the clamp, 10 to 80 commonly"
    ),
    "reach_mm": Range(20, 250, "mm", "give how far it reaches forward, 65 to 105 commonly"),
    "drop_mm": Range(
        20, 300, "mm", "give how far the ends lie below the clamp, 110 to 160 commonly"
    ),
    "flare_deg": Range(0, 45, "deg", "give by how much the hooks lean outward, 0 to 20 commonly"),
    "ramp_deg": Range(-30, 45, "deg", "give by how much the arms fall forward, 0 to 15 commonly"),
    "end_back_mm": _LENGTH,
    "end_deg": Range(-45, 45, "deg", "give by how much the ends fall rearward, 0 to 15 commonly"),
    "bend_radius_mm": _RADIUS,
    "top_radius_mm": _RADIUS,
    "hook_radius_mm": _RADIUS,
}


@dataclass(frozen=True)
class Straight:
    """A straight bar."""

    width_mm: float


@dataclass(frozen=True)
class Flat:
    """A bar with one bend in each half.

    Attributes:
        width_mm: Of the whole bar, by `width_of`.
        backsweep_deg: Of the grip.
        upsweep_deg: Of the grip.
        middle_mm: Distance of the two bends' corners.
        bend_radius_mm: Of the bend.
        width_of: What the width is between.
        end_od_mm: Of the end, for a width over all.
    """

    width_mm: float
    backsweep_deg: float = 0.0
    upsweep_deg: float = 0.0
    middle_mm: float = 100.0
    bend_radius_mm: float = 100.0
    width_of: WidthOf = "centres"
    end_od_mm: float | None = None


@dataclass(frozen=True)
class Riser:
    """A bar whose grips are higher than its clamp: a leg across the rider's view, then the grip.

    Attributes:
        width_mm: Of the whole bar, by `width_of`.
        rise_mm: Height of the end's centre above the clamp's.
        backsweep_deg: Of the grip.
        upsweep_deg: Of the grip.
        middle_mm: Distance of the two inner bends' corners.
        knee_mm: Distance of the two outer bends' corners.
        bend_radius_mm: Of both bends.
        width_of: What the width is between.
        end_od_mm: Of the end, for a width over all.
    """

    width_mm: float
    rise_mm: float
    backsweep_deg: float = 8.0
    upsweep_deg: float = 5.0
    middle_mm: float = 120.0
    knee_mm: float = 260.0
    bend_radius_mm: float = 70.0
    width_of: WidthOf = "centres"
    end_od_mm: float | None = None


@dataclass(frozen=True)
class Drop:
    """A bar whose arms go forward and whose hooks go down and back.

    Attributes:
        width_mm: Between the centres of the ends.
        reach_mm: From the clamp's centre to the foremost of the centre line.
        drop_mm: Of the end's centre below the clamp's.
        flare_deg: Of the hook's plane outward.
        ramp_deg: Of the arm below the horizontal.
        end_back_mm: From the foremost of the hook back to the end.
        end_deg: Of the lower straight below the horizontal, rearward.
        top_radius_mm: Of the bend from the top into the arm.
        hook_radius_mm: Of both bends of the hook.
    """

    width_mm: float
    reach_mm: float
    drop_mm: float
    flare_deg: float = 0.0
    ramp_deg: float = 5.0
    end_back_mm: float = 125.0
    end_deg: float = 5.0
    top_radius_mm: float = 28.0
    hook_radius_mm: float = 50.0


Shape = Straight | Flat | Riser | Drop


def polyline_of_shape(shape: Shape) -> Polyline:
    """Return the right half of a family.

    Source: geometry, module docstring.

    Raises:
        InputError: The dimensions do not go together, named by field.
    """
    if isinstance(shape, Straight):
        return Polyline(((0.0, 0.0, 0.0), (shape.width_mm / 2, 0.0, 0.0)), ())
    if isinstance(shape, Drop):
        return _drop(shape)
    return _flat(shape) if isinstance(shape, Flat) else _riser(shape)


def _grip(shape: Flat | Riser) -> Point:
    """Return the way of the grip for each mm to the right."""
    back, up = radians(shape.backsweep_deg), radians(shape.upsweep_deg)
    return 1.0, -tan(back), tan(up) / cos(back)


def _end_x_mm(shape: Flat | Riser) -> float:
    """Return x of the end's centre."""
    if shape.width_of == "centres":
        return shape.width_mm / 2
    if shape.end_od_mm is None:
        raise refuse("end_od_mm", "is missing beside width_of = 'over all'; give that of the end")
    along = 1 / hypot(*_grip(shape))
    return shape.width_mm / 2 - shape.end_od_mm / 2 * sqrt(1 - along**2)


def _flat(shape: Flat) -> Polyline:
    corner, end_x = shape.middle_mm / 2, _end_x_mm(shape)
    if corner >= end_x:
        sentence = f"is {shape.middle_mm:g} mm, wider than the bar itself; give less"
        raise refuse("middle_mm", sentence)
    _, back, up = _grip(shape)
    grip = end_x - corner
    if not (shape.backsweep_deg or shape.upsweep_deg):
        return polyline_of_shape(Straight(2 * end_x))
    end = (end_x, grip * back, grip * up)
    return Polyline(((0.0, 0.0, 0.0), (corner, 0.0, 0.0), end), (shape.bend_radius_mm,))


def _riser(shape: Riser) -> Polyline:
    corner, knee_x, end_x = shape.middle_mm / 2, shape.knee_mm / 2, _end_x_mm(shape)
    if not corner < knee_x < end_x:
        sentence = (
            f"is {shape.knee_mm:g} mm, not between middle_mm, {shape.middle_mm:g} mm, and the "
            "width; give one between"
        )
        raise refuse("knee_mm", sentence)
    _, back, up = _grip(shape)
    grip = end_x - knee_x
    knee = (knee_x, 0.0, shape.rise_mm - grip * up)
    end = (end_x, grip * back, shape.rise_mm)
    radius = shape.bend_radius_mm
    return Polyline(((0.0, 0.0, 0.0), (corner, 0.0, 0.0), knee, end), (radius, radius))


def _drop(shape: Drop) -> Polyline:
    """Return a drop bar: its hook in a plane that the flare turns about the way forward."""
    lean = radians(shape.flare_deg)
    top_x = shape.width_mm / 2 - shape.drop_mm * tan(lean)
    if top_x <= 0:
        sentence = f"is {shape.flare_deg:g} deg, more than the width leaves room for; give less"
        raise refuse("flare_deg", sentence)
    depth = shape.drop_mm / cos(lean)
    elbow = shape.reach_mm * tan(radians(shape.ramp_deg))
    heel = depth - shape.end_back_mm * tan(radians(shape.end_deg))
    if heel <= elbow:
        sentence = f"is {shape.drop_mm:g} mm, no more than ramp and ends take; give more"
        raise refuse("drop_mm", sentence)
    hook = (
        (shape.reach_mm, elbow),
        (shape.reach_mm, heel),
        (shape.reach_mm - shape.end_back_mm, depth),
    )
    points = tuple((top_x + down * sin(lean), y, -down * cos(lean)) for y, down in hook)
    radii = (shape.top_radius_mm, shape.hook_radius_mm, shape.hook_radius_mm)
    return Polyline(((0.0, 0.0, 0.0), (top_x, 0.0, 0.0), *points), radii)
