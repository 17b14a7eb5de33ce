"""The bar as a map from the flat block (s, theta, zeta) to space.

s: arc length along the centre line, mm, 0 at the clamp centre, positive to the
rider's right. theta: angle round the tube, 0 at the top and 90 deg at the front
at the clamp, carried along without twist. zeta: depth through the wall, 0 at the
inner surface, 1 at the outer surface. (s, theta, zeta) is right-handed.
"""

from dataclasses import dataclass, field

import numpy as np

from geometry.arrays import Floats
from geometry.bend_effects import (
    BendEffects,
    BentZones,
    bent_zones,
    outer_factor,
    ramp_ends_mm,
    wall_factor,
)
from geometry.bend_table import Polyline
from geometry.centreline import CentreLine, arcs, build_centreline, locate
from geometry.errors import InputError
from geometry.fit import shape_problems, spec_problems
from geometry.material import Material
from geometry.out_of_square import Turned
from geometry.section import Profile, Station, build_profile, kinks_mm, od_mm, thicker_mm, wall_mm


@dataclass(frozen=True)
class BarSpec:
    """A bar as its maker or reviewer describes it.

    Attributes:
        name: For tables and file names.
        right: Right half, from the clamp centre outwards.
        left: Left half in the same sense (written as a right half); None mirrors the right.
        stations: Outer diameter and wall over the distance from the clamp centre.
        left_stations: Those of the left half; None mirrors the right.
        material: What it is made of.
        blend_mm: Half length of the rounding at each station, mm.
        effects: What bending did to the tube.
        roll_deg: Rotation of the bar about x in its clamp, right-handed, from the steerer, deg.
        measured_mass_g: Weighed mass in g, if known.
        turned: How the bends of one half were turned for a bar out of square, None for none.
    """

    name: str
    right: Polyline
    stations: tuple[Station, ...]
    material: Material
    left: Polyline | None = None
    left_stations: tuple[Station, ...] | None = None
    blend_mm: float = 5.0
    effects: BendEffects = field(default_factory=BendEffects)
    roll_deg: float = 0.0
    measured_mass_g: float | None = None
    turned: Turned | None = None


@dataclass(frozen=True, eq=False)
class Bar:
    """A bar that can be evaluated anywhere: see `position_mm`."""

    spec: BarSpec
    line: CentreLine
    profile: Profile
    zones: BentZones


def build_bar(spec: BarSpec) -> Bar:
    """Return the bar of a description.

    Raises:
        InputError: Every fault found, among them a bend too tight for its tube and a
            bar that intersects itself.
    """
    problems = spec_problems(spec.effects, spec.roll_deg, spec.measured_mass_g)
    halves = (
        {"right": spec.right} if spec.left is None else {"right": spec.right, "left": spec.left}
    )
    for side, half in halves.items():
        try:
            build_centreline(half)
        except InputError as error:
            problems += error.within(side).problems
    try:
        profile = build_profile(spec.stations, spec.left_stations, spec.blend_mm)
    except InputError as error:
        raise InputError(*problems, *error.problems) from None
    if problems:
        raise InputError(*problems)
    line = build_centreline(spec.right, spec.left)
    problems = shape_problems(halves, line, profile, spec.effects)
    if problems:
        raise InputError(*problems)
    return _assembled(spec, line, profile)


def nominal_od_mm(bar: Bar, s_mm: Floats) -> Floats:
    """Return the outer diameter in mm at `s_mm` before ovality, same shape."""
    return od_mm(bar.profile, s_mm)


def nominal_wall_mm(bar: Bar, s_mm: Floats) -> Floats:
    """Return the wall in mm at `s_mm` before any change in bends, same shape."""
    return wall_mm(bar.profile, s_mm)


def outer_radius_mm(bar: Bar, s_mm: Floats, theta_rad: Floats) -> Floats:
    """Return the radius in mm of the outer surface at (s, theta); the arguments broadcast.

    Source: ovality as in the module docstring of `bend_effects`.
    """
    round_mm = nominal_od_mm(bar, s_mm) / 2
    return round_mm * outer_factor(bar.zones, s_mm, theta_rad, bar.spec.effects.ovality_percent)


def local_wall_mm(bar: Bar, s_mm: Floats, theta_rad: Floats) -> Floats:
    """Return the wall in mm at (s, theta) with the change in bends; the arguments broadcast.

    Source: wall change as in the module docstring of `bend_effects`, bore as in that of `section`.
    """
    wall = nominal_wall_mm(bar, s_mm)
    drawn = _drawn_wall_mm(bar, s_mm, theta_rad)
    if not bar.spec.effects.wall_change:
        return drawn
    mean_radius = (nominal_od_mm(bar, s_mm) - wall) / 2
    return drawn * wall_factor(bar.zones, s_mm, theta_rad, mean_radius)


def _drawn_wall_mm(bar: Bar, s_mm: Floats, theta_rad: Floats) -> Floats:
    """Return the wall of the tube before it is bent."""
    if bar.profile.is_eccentric:
        return _eccentric_wall_mm(bar, s_mm, theta_rad)
    return nominal_wall_mm(bar, s_mm) + np.zeros_like(theta_rad)


def _eccentric_wall_mm(bar: Bar, s_mm: Floats, theta_rad: Floats) -> Floats:
    """Return the wall to a round bore off the middle: from the outside's centre, along theta."""
    outer = nominal_od_mm(bar, s_mm) / 2
    bore = outer - nominal_wall_mm(bar, s_mm)
    front, top = thicker_mm(bar.profile, s_mm)
    # the bore's centre lies away from the thickest wall
    along = -(front * np.sin(theta_rad) + top * np.cos(theta_rad))
    across = front * np.cos(theta_rad) - top * np.sin(theta_rad)
    result: Floats = outer - along - np.sqrt(bore**2 - across**2)
    return result


def position_mm(bar: Bar, s_mm: Floats, theta_rad: Floats, zeta: Floats) -> Floats:
    """Return the place in space (..., 3), mm, of (s, theta, zeta); the arguments broadcast.

    Source: the map of the module docstring.
    """
    s_mm, theta_rad, zeta = np.broadcast_arrays(s_mm, theta_rad, zeta)
    radius = outer_radius_mm(bar, s_mm, theta_rad)
    radius = radius - (1 - zeta) * local_wall_mm(bar, s_mm, theta_rad)
    frame = locate(bar.line, s_mm)
    outward = np.cos(theta_rad)[..., None] * frame.top + np.sin(theta_rad)[..., None] * frame.front
    result: Floats = frame.position_mm + radius[..., None] * outward
    return result


def axes(bar: Bar, s_mm: Floats, theta_rad: Floats) -> Floats:
    """Return (..., 3, 3): rows tangent, hoop and outward unit vectors at (s, theta).

    `s_mm` and `theta_rad` broadcast to (...). Source: the map of the module docstring.
    """
    s_mm, theta_rad = np.broadcast_arrays(s_mm, theta_rad)
    frame = locate(bar.line, s_mm)
    cos, sin = np.cos(theta_rad)[..., None], np.sin(theta_rad)[..., None]
    return np.stack(
        [frame.tangent, cos * frame.front - sin * frame.top, cos * frame.top + sin * frame.front],
        axis=-2,
    )


def smooth_breaks_mm(bar: Bar) -> Floats:
    """Return (k,): the ascending k places between which the map is smooth, mm, both ends included.

    Source: kinks of centre line, stations and bend ramps, as they are defined there.
    """
    kinks = [at + side * blend for at, blend in kinks_mm(bar.profile) for side in (-1, 1)]
    places = np.concatenate([bar.line.breaks_mm, kinks, ramp_ends_mm(bar.zones)])
    places = np.unique(np.round(places, 9))
    inside = (places > bar.line.left_end_mm + 1e-6) & (places < bar.line.right_end_mm - 1e-6)
    return np.concatenate([[bar.line.left_end_mm], places[inside], [bar.line.right_end_mm]])


def end_to_end_mm(bar: Bar) -> float:
    """Return the distance between the two centre-line ends, mm.

    Source: Euclidean distance.
    """
    ends = locate(bar.line, np.array([bar.line.left_end_mm, bar.line.right_end_mm])).position_mm
    return float(np.linalg.norm(ends[1] - ends[0]))


def _assembled(spec: BarSpec, line: CentreLine, profile: Profile) -> Bar:
    bends = arcs(line)
    tangent_points = np.array([[arc.s_from_mm, arc.s_to_mm] for arc in bends]).reshape(-1, 2)
    return Bar(spec, line, profile, bent_zones(bends, od_mm(profile, tangent_points)))
