"""Outer diameter and wall along the bar: piecewise linear, the kinks rounded.

A sharp change of taper is a weak stress singularity and no drawn tube has one, so
each kink is replaced by a parabola over +-`blend_mm`, tangent to both straights.

The bore may lie off the middle of the outside, by a vector towards the thin side that varies along
the bar as the wall does. Both outlines stay circles, so the wall is r_o - r_i + e cos(theta - phi)
to the first order of e, thickest at phi.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from geometry.arrays import Floats
from geometry.errors import InputError, Problem
from geometry.limits import Range, limit_problems, number_problem

STATION_LIMITS = {
    "at_mm": Range(0, 5000, "mm", "give the distance from the clamp centre along the bar"),
    "od_mm": Range(5, 250, "mm", "give the outer diameter in mm, 22.2 or 31.8 commonly"),
    "wall_mm": Range(0.1, 50, "mm", "give the wall thickness in mm, 1.2 to 3 commonly"),
    "eccentricity_mm": Range(0, 10, "mm", "give the way of the bore off the middle, 0.1 commonly"),
    "thickest_deg": Range(-360, 360, "deg", "give the angle of the thickest wall, 0 on top"),
}
"""Wide enough for every bar; beyond them a unit is wrong."""

LEAST_DISTANCE_MM = 0.001
"""Between two stations: a nearer pair is a step, whose slope no number holds."""

BLEND_LIMITS = Range(0, 100, "mm", "give the half length of the rounding, 5 commonly")

MOST_WALL_SHARE = 0.4
"""Largest wall over outer diameter. The stress at the inner surface is extrapolated through the
wall: at 0.47 it is 4 times the section's own, at 0.5 it means nothing."""

MOST_ECCENTRICITY = 0.7
"""Of the wall: what is left opposite must still be a wall, also at an extrados."""

AGREEMENT_MM = 1e-9
"""Largest difference of the two halves' diameters and walls at the clamp centre."""


@dataclass(frozen=True)
class Station:
    """The section at a distance from the clamp centre along the bar.

    Attributes:
        at_mm: The distance.
        od_mm: Outer diameter.
        wall_mm: Wall, the mean round the tube.
        eccentricity_mm: By which the bore lies off the middle: the wall is thicker by it on one
            side, and thinner on the other.
        thickest_deg: Angle of the thickest wall, 0 on top, 90 in front.
    """

    at_mm: float
    od_mm: float
    wall_mm: float
    eccentricity_mm: float = 0.0
    thickest_deg: float = 0.0


@dataclass(frozen=True, eq=False)
class Profile:
    """Diameter and wall over the signed arc length.

    Attributes:
        at_mm: (n,) places of the stations, ascending, left half negative.
        od_mm: (n,) outer diameter there, before rounding.
        wall_mm: (n,) wall there, before rounding.
        blend_mm: (n,) half length of the rounding there.
        thicker_mm: (2, n) by how much the wall is thicker in front and on top there.
    """

    at_mm: Floats
    od_mm: Floats
    wall_mm: Floats
    blend_mm: Floats
    thicker_mm: Floats

    @property
    def is_eccentric(self) -> bool:
        """Return whether the bore lies off the middle anywhere."""
        return bool(self.thicker_mm.any())


def build_profile(
    right: tuple[Station, ...], left: tuple[Station, ...] | None, blend_mm: float
) -> Profile:
    """Return the profile of both halves; a missing left half mirrors the right.

    Args:
        right: Stations of the right half, `at_mm` from the clamp centre.
        left: Stations of the left half, likewise; None mirrors the right half.
        blend_mm: Half length of the rounding at each kink, shrunk to half the gap
            between stations where they are close; 0 leaves kinks sharp.

    Raises:
        InputError: Stations do not ascend, a wall or diameter is impossible, or the
            halves do not meet at the clamp centre.
    """
    problems = _station_problems(right, "stations")
    if left is not None:
        problems += _station_problems(left, "left.stations")
        problems += _meeting_problems(right, left)
    if problem := number_problem("blend_mm", blend_mm, BLEND_LIMITS):
        problems.append(problem)
    if problems:
        raise InputError(*problems)
    return _profile(right, right if left is None else left, blend_mm)


def od_mm(profile: Profile, s_mm: Floats) -> Floats:
    """Return the outer diameter at `s_mm` (any shape), before any ovality."""
    return _rounded(profile, profile.od_mm, s_mm)


def wall_mm(profile: Profile, s_mm: Floats) -> Floats:
    """Return the wall at `s_mm` (any shape), before any change in bends."""
    return _rounded(profile, profile.wall_mm, s_mm)


def thicker_mm(profile: Profile, s_mm: Floats) -> tuple[Floats, Floats]:
    """Return by how much the wall is thicker in front and on top at `s_mm` (any shape), mm.

    Source: module docstring.
    """
    front, top = (_rounded(profile, values, s_mm) for values in profile.thicker_mm)
    return front, top


def kinks_mm(profile: Profile) -> tuple[tuple[float, float], ...]:
    """Return (place, half length of rounding) of every real change of slope."""
    bends = np.zeros(len(profile.at_mm), dtype=bool)
    for values in (profile.od_mm, profile.wall_mm, *profile.thicker_mm):
        bends |= np.abs(_slope_changes(profile, values)) > 1e-12
    return tuple(
        (float(at), float(blend))
        for at, blend in zip(profile.at_mm[bends], profile.blend_mm[bends], strict=True)
    )


def _profile(right: tuple[Station, ...], left: tuple[Station, ...], blend_mm: float) -> Profile:
    mirrored = [replace(station, at_mm=-station.at_mm) for station in left]
    both = mirrored[::-1] + [s for s in right if s.at_mm > 0 or left[0].at_mm > 0]
    at = np.array([station.at_mm for station in both])
    gaps = np.concatenate([[np.inf], np.diff(at), [np.inf]])
    return Profile(
        at,
        np.array([station.od_mm for station in both]),
        np.array([station.wall_mm for station in both]),
        np.minimum(blend_mm, np.minimum(gaps[:-1], gaps[1:]) / 2),
        _thicker(both),
    )


def _thicker(stations: Sequence[Station]) -> Floats:
    """Return (2, n): by how much the wall is thicker in front and on top, mm."""
    off = np.array([station.eccentricity_mm for station in stations])
    angle = np.radians([station.thickest_deg for station in stations])
    result: Floats = off * np.stack([np.sin(angle), np.cos(angle)])
    return result


def _slope_changes(profile: Profile, values: Floats) -> Floats:
    slopes = np.diff(values) / np.diff(profile.at_mm)
    return np.diff(slopes, prepend=0.0, append=0.0)


def _rounded(profile: Profile, values: Floats, s_mm: Floats) -> Floats:
    """Return the sum of rounded ramps: x below -b is 0, above b is x, (x + b)^2 / 4b between."""
    past = np.asarray(s_mm, dtype=float)[..., None] - profile.at_mm
    blend = profile.blend_mm
    parabola = np.clip(past + blend, 0.0, 2 * blend) ** 2 / np.where(blend > 0, 4 * blend, 1.0)
    ramps = parabola + np.maximum(past - blend, 0.0)
    result: Floats = values[0] + ramps @ _slope_changes(profile, values)
    return result


def _station_problems(stations: tuple[Station, ...], where: str) -> list[Problem]:
    if not stations:
        return [Problem(where, "is empty; give at least one station with at_mm, od_mm, wall_mm")]
    problems = []
    for i, station in enumerate(stations):
        problems += _one_station_problems(station, f"{where}[{i}]")
    for i, (before, after) in enumerate(pairwise(stations)):
        if after.at_mm > before.at_mm and after.at_mm - before.at_mm < LEAST_DISTANCE_MM:
            problems.append(
                Problem(
                    f"{where}[{i + 1}].at_mm",
                    f"is {after.at_mm:g} mm, {after.at_mm - before.at_mm:.3g} mm beyond the "
                    f"station before it, but must be at least {LEAST_DISTANCE_MM:g} mm beyond it; "
                    "make one station of the two, or place them further apart",
                )
            )
        if not after.at_mm > before.at_mm:
            problems.append(
                Problem(
                    f"{where}[{i + 1}].at_mm",
                    f"is {after.at_mm:g} mm, not beyond the station before it at "
                    f"{before.at_mm:g} mm; list the stations from the clamp centre outwards",
                )
            )
    return problems


def _one_station_problems(station: Station, where: str) -> list[Problem]:
    faults = InputError(*limit_problems(station, STATION_LIMITS))
    problems = list(faults.within(where).problems)
    if station.wall_mm > MOST_WALL_SHARE * station.od_mm > 0:
        problems.append(
            Problem(
                f"{where}.wall_mm",
                f"is {station.wall_mm:g} mm but must be at most {MOST_WALL_SHARE:g} of the outer "
                f"diameter, {MOST_WALL_SHARE * station.od_mm:g} mm: the elements are those of a "
                "tube; give a thinner wall",
            )
        )
    if station.eccentricity_mm > MOST_ECCENTRICITY * station.wall_mm > 0:
        problems.append(
            Problem(
                f"{where}.eccentricity_mm",
                f"is {station.eccentricity_mm:g} mm but must be at most {MOST_ECCENTRICITY:g} of "
                f"the wall, {MOST_ECCENTRICITY * station.wall_mm:g} mm: too little is left on the "
                "thin side; check the readings of the wall",
            )
        )
    return problems


def _meeting_problems(right: tuple[Station, ...], left: tuple[Station, ...]) -> list[Problem]:
    if not right or not left:
        return []
    return [
        Problem(
            f"left.stations[0].{name}",
            f"is {ours:g} mm, but the right half begins with {theirs:g} mm; "
            "both halves meet at the clamp centre and must agree there",
        )
        for name, ours, theirs in (
            ("od_mm", left[0].od_mm, right[0].od_mm),
            ("wall_mm", left[0].wall_mm, right[0].wall_mm),
            ("eccentricity_mm", left[0].eccentricity_mm, right[0].eccentricity_mm),
        )
        if abs(ours - theirs) > AGREEMENT_MM
    ]
