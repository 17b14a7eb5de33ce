"""The geometry of a bar before anything is solved: the content of `barwright check`."""

from dataclasses import dataclass
from math import atan2, degrees, hypot, pi, sqrt

import numpy as np

from geometry.bar import Bar, end_to_end_mm, nominal_od_mm, nominal_wall_mm
from geometry.bend_table import (
    Bend,
    BendTable,
    Polyline,
    cut_length_mm,
    setback_mm,
    table_from_polyline,
)
from geometry.centreline import locate
from geometry.properties import mass_g, volume_pappus_mm3
from geometry.section_class import SectionClass, section_class
from geometry.tube_bending import (
    extrados_wall_mm,
    intrados_wall_mm,
    outer_strain_percent,
    springback_fraction,
)
from loadcases.load import Side

GRIP_FROM_END_MM = 60.0
"""Middle of the hand from the end of the bar, as in the rider's load cases."""

STEEP = sqrt(0.5)
"""Of a way down, from which on its lean is a flare."""

Point = tuple[float, float, float]


@dataclass(frozen=True)
class SectionRow:
    """A round section before bending.

    Attributes:
        place: In words.
        at_mm: Signed arc length.
        od_mm: Outer diameter.
        wall_mm: Wall.
        area_mm2: Area of metal.
        i_mm4: Second moment of area.
        z_mm3: Section modulus.
        od_per_wall: D/t.
        yield_moment_nm: Moment at which the outer fibre reaches the proof stress.
        section_class: How structural standards class it in bending, None where no rule is known.
    """

    place: str
    at_mm: float
    od_mm: float
    wall_mm: float
    area_mm2: float
    i_mm4: float
    z_mm3: float
    od_per_wall: float
    yield_moment_nm: float
    section_class: SectionClass | None


@dataclass(frozen=True)
class BendRow:
    """One bend for the tube bender; the last five are estimates at the bend's middle.

    Attributes:
        straight_mm: Straight before the bend.
        rotation_deg: Turn of the bend plane.
        angle_deg: Bend angle.
        radius_mm: Centre-line radius.
        setback_mm: Tangent point to intersection point.
        od_mm: Outer diameter.
        extrados_wall_mm: Wall at the extrados.
        intrados_wall_mm: Wall at the intrados.
        outer_strain_percent: Strain of the outer fibre.
        springback_deg: Springback of the bend, at least.
    """

    straight_mm: float
    rotation_deg: float
    angle_deg: float
    radius_mm: float
    setback_mm: float
    od_mm: float
    extrados_wall_mm: float
    intrados_wall_mm: float
    outer_strain_percent: float
    springback_deg: float


@dataclass(frozen=True)
class HalfRow:
    """One half for the tube bender, in global axes: the left half's points have negative x."""

    side: Side
    points_mm: tuple[Point, ...]
    bend_radii_mm: tuple[float, ...]
    bends: tuple[BendRow, ...]
    tail_mm: float
    cut_length_mm: float


@dataclass(frozen=True)
class ShapeRow:
    """The course of a half, in the bar's own axes.

    Attributes:
        side: Which half.
        rise_mm: Height of its end over the clamp.
        back_mm: Distance of its end behind the clamp.
        highest_mm: Highest z of the centre line.
        lowest_mm: Lowest z.
        foremost_mm: Foremost y.
        backsweep_deg: Angle of the end rearward from straight out.
        upsweep_deg: Angle of the end upward.
        flare_deg: Lean outward of the tube where it goes down most steeply; None where it nowhere
            goes down by more than 45 deg.
        outermost_mm: Of the end's edge across, from the clamp's centre.
    """

    side: Side
    rise_mm: float
    back_mm: float
    highest_mm: float
    lowest_mm: float
    foremost_mm: float
    backsweep_deg: float
    upsweep_deg: float
    flare_deg: float | None
    outermost_mm: float


@dataclass(frozen=True)
class GeometrySummary:
    """The geometry of a bar, as `check` reports it.

    Attributes:
        developed_length_mm: Arc length of the whole centre line.
        end_to_end_mm: Distance between its ends.
        mass_g: Computed mass.
        volume_mm3: Volume of metal.
        sections: At the clamp, the stations and the grips.
        shapes: Right half, then left.
        halves: Right half, then left.
    """

    developed_length_mm: float
    end_to_end_mm: float
    mass_g: float
    volume_mm3: float
    sections: tuple[SectionRow, ...]
    shapes: tuple[ShapeRow, ...]
    halves: tuple[HalfRow, ...]


def geometry_summary(bar: Bar) -> GeometrySummary:
    """Return the sections, shape, mass and bend tables of a bar."""
    sides: tuple[Side, ...] = ("right", "left")
    return GeometrySummary(
        developed_length_mm=bar.line.right_end_mm - bar.line.left_end_mm,
        end_to_end_mm=end_to_end_mm(bar),
        mass_g=mass_g(bar),
        volume_mm3=volume_pappus_mm3(bar),
        sections=tuple(_section(bar, place, at) for place, at in _places(bar)),
        shapes=tuple(_shape(bar, side) for side in sides),
        halves=tuple(_half(bar, side) for side in sides),
    )


def is_mirrored(bar: Bar) -> bool:
    """Return whether the left half is the mirror image of the right."""
    return bar.spec.left is None and bar.spec.left_stations is None


def _places(bar: Bar) -> list[tuple[str, float]]:
    right = [s.at_mm for s in bar.spec.stations if s.at_mm < bar.line.right_end_mm]
    places = [("clamp centre", 0.0), *(("station", at) for at in right if at > 0)]
    places.append(("grip", bar.line.right_end_mm - GRIP_FROM_END_MM))
    if not is_mirrored(bar):
        own = bar.spec.left_stations or bar.spec.stations
        left = [-s.at_mm for s in own if 0 < s.at_mm < -bar.line.left_end_mm]
        places += [("left station", at) for at in left]
        places.append(("left grip", bar.line.left_end_mm + GRIP_FROM_END_MM))
    return sorted(places, key=lambda place: (place[1] < 0, abs(place[1])))


def _section(bar: Bar, place: str, at_mm: float) -> SectionRow:
    D, t = float(nominal_od_mm(bar, np.array(at_mm))), float(nominal_wall_mm(bar, np.array(at_mm)))
    second = pi * (D**4 - (D - 2 * t) ** 4) / 64
    modulus, material = 2 * second / D, bar.spec.material
    moment = modulus * material.proof_stress_mpa / 1000
    stocky = section_class(D, t, material.youngs_modulus_mpa, material.proof_stress_mpa)
    return SectionRow(place, at_mm, D, t, pi * t * (D - t), second, modulus, D / t, moment, stocky)


def _shape(bar: Bar, side: Side) -> ShapeRow:
    sign, end = (1, bar.line.right_end_mm) if side == "right" else (-1, bar.line.left_end_mm)
    frame = locate(bar.line, np.linspace(0, end, 2001))
    path, ways = frame.position_mm, sign * frame.tangent
    x, y, z = ways[-1]
    down = ways[ways[:, 2].argmin()]
    radius = float(nominal_od_mm(bar, np.array(end))) / 2
    return ShapeRow(
        side=side,
        rise_mm=_tidy(path[-1, 2]),
        back_mm=_tidy(-path[-1, 1]),
        highest_mm=_tidy(path[:, 2].max()),
        lowest_mm=_tidy(path[:, 2].min()),
        foremost_mm=_tidy(path[:, 1].max()),
        backsweep_deg=_tidy(degrees(atan2(-y, sign * x))),
        upsweep_deg=_tidy(degrees(atan2(z, hypot(x, y)))),
        flare_deg=_tidy(degrees(atan2(sign * down[0], -down[2]))) if down[2] < -STEEP else None,
        outermost_mm=_tidy(sign * path[-1, 0] + radius * sqrt(max(0.0, 1 - x**2))),
    )


def _half(bar: Bar, side: Side) -> HalfRow:
    left = bar.spec.right if bar.spec.left is None else bar.spec.left
    polyline = bar.spec.right if side == "right" else left
    table, sign = table_from_polyline(polyline), 1.0 if side == "right" else -1.0
    return HalfRow(
        side=side,
        points_mm=_points(polyline, sign),
        bend_radii_mm=polyline.bend_radii_mm,
        bends=_bends(bar, table, sign),
        tail_mm=_tidy(table.tail_mm),
        cut_length_mm=cut_length_mm(table),
    )


def _points(polyline: Polyline, sign: float) -> tuple[Point, ...]:
    return tuple((_tidy(sign * x), _tidy(y), _tidy(z)) for x, y, z in polyline.points_mm)


def _bends(bar: Bar, table: BendTable, sign: float) -> tuple[BendRow, ...]:
    rows, reached_mm = [], 0.0
    for bend in table.bends:
        arc_mm = bend.radius_mm * np.radians(bend.angle_deg)
        rows.append(_bend(bar, bend, sign * (reached_mm + bend.straight_mm + arc_mm / 2)))
        reached_mm += bend.straight_mm + arc_mm
    return tuple(rows)


def _bend(bar: Bar, bend: Bend, middle_mm: float) -> BendRow:
    od, wall = (float(f(bar, np.array(middle_mm))) for f in (nominal_od_mm, nominal_wall_mm))
    R, material = bend.radius_mm, bar.spec.material
    fraction = springback_fraction(
        R,
        od,
        wall,
        proof_mpa=material.proof_stress_mpa,
        modulus_mpa=material.youngs_modulus_mpa,
    )
    return BendRow(
        straight_mm=_tidy(bend.straight_mm),
        rotation_deg=_tidy(bend.rotation_deg),
        angle_deg=_tidy(bend.angle_deg),
        radius_mm=R,
        setback_mm=setback_mm(bend),
        od_mm=od,
        extrados_wall_mm=extrados_wall_mm(R, od, wall),
        intrados_wall_mm=intrados_wall_mm(R, od, wall),
        outer_strain_percent=outer_strain_percent(R, od),
        springback_deg=bend.angle_deg * fraction,
    )


def _tidy(value: float) -> float:
    """Return a length or angle without the dust of rounding, and no negative zero."""
    return round(float(value), 9) + 0.0
