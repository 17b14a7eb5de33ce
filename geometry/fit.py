"""Whether a tube can follow its centre line: the refusals of `build_bar`."""

from collections.abc import Mapping
from itertools import pairwise

import numpy as np

from geometry.arrays import Floats
from geometry.bend_effects import BendEffects
from geometry.bend_table import Polyline, bent_corners
from geometry.centreline import Arc, CentreLine, arcs, locate
from geometry.errors import Problem
from geometry.limits import Range, number_problem
from geometry.section import Profile, od_mm, thicker_mm, wall_mm

MIN_RADIUS_PER_OD = 0.55
"""At R = OD/2 the intrados folds into a point; a tenth above it is the margin."""

MIN_INNER_SHARE = 0.05
"""Smallest inner over outer radius at a thickened intrados."""

OVALITY_LIMITS = Range(0, 20, "%", "give 100 (ODmax - ODmin)/ODnominal")
"""Far above any published limit for bends (8 to 10 %), and the map still holds."""

ROLL_LIMITS = Range(-180, 180, "deg", "give the rotation of the bar about x in its clamp")
MASS_LIMITS = Range(1, 100_000, "g", "give the mass in g, 200 to 500 commonly")


def spec_problems(effects: BendEffects, roll_deg: float, mass_g: float | None) -> list[Problem]:
    """Return what is wrong with the plain numbers of a description."""
    found = [
        number_problem("bend_effects.ovality_percent", effects.ovality_percent, OVALITY_LIMITS),
        number_problem("roll_deg", roll_deg, ROLL_LIMITS),
    ]
    if mass_g is not None:
        found.append(number_problem("measured_mass_g", mass_g, MASS_LIMITS))
    return [problem for problem in found if problem]


def shape_problems(
    halves: Mapping[str, Polyline], line: CentreLine, profile: Profile, effects: BendEffects
) -> list[Problem]:
    """Return the bends that are too tight, and places where the bar intersects itself.

    Args:
        halves: The halves as given, by side; a mirrored half is judged with its twin.
        line: Their centre line.
        profile: Diameter and wall.
        effects: What bending did to the tube.
    """
    problems = []
    for side, half in halves.items():
        outward = 1 if side == "right" else -1
        bends = [arc for arc in arcs(line) if outward * (arc.s_from_mm + arc.s_to_mm) > 0][
            ::outward
        ]
        for corner, arc in zip(bent_corners(half), bends, strict=True):
            where = f"{side}.bend_radii_mm[{corner}]"
            problems += _bend_problems(arc, profile, effects, where)
    return problems or _contact_problems(line, profile)


def _bend_problems(arc: Arc, profile: Profile, effects: BendEffects, where: str) -> list[Problem]:
    s = np.linspace(arc.s_from_mm, arc.s_to_mm, 33)
    od, wall = od_mm(profile, s), wall_mm(profile, s) + np.hypot(*thicker_mm(profile, s))
    limit = MIN_RADIUS_PER_OD * float(od.max())
    if arc.radius_mm < limit:
        return [
            Problem(
                where,
                f"is {arc.radius_mm:g} mm, too tight for a tube of {od.max():g} mm: the "
                f"intrados would fold; give at least {limit:.2f} mm ({MIN_RADIUS_PER_OD:g} x the "
                "outer diameter)",
            )
        ]
    mean = (od - wall) / 2
    intrados = wall * arc.radius_mm / (arc.radius_mm - mean) if effects.wall_change else wall
    left = od / 2 * (1 - effects.ovality_percent / 200) - intrados
    if np.any(left < MIN_INNER_SHARE * od / 2):
        return [
            Problem(
                where,
                f"is {arc.radius_mm:g} mm: bending would thicken the wall of {wall.max():g} mm to "
                f"{intrados.max():.2f} mm at the intrados, which "
                "leaves too small an inner radius; give a larger radius or a thinner wall, or set "
                "bend_effects.wall_change = false",
            )
        ]
    return []


def _contact_problems(line: CentreLine, profile: Profile) -> list[Problem]:
    """Look for two places, apart along the bar, closer together than its diameter."""
    s = _samples(line, float(od_mm(profile, line.breaks_mm).min()))
    places, od = locate(line, s).position_mm, od_mm(profile, s)
    apart = np.linalg.norm(places[:, None] - places[None], axis=-1)
    touching = apart < (od[:, None] + od[None]) / 2
    touching &= np.abs(s[:, None] - s[None]) > 1.5 * np.maximum(od[:, None], od[None])
    if not touching.any():
        return []
    i, j = np.argwhere(touching)[0]
    return [
        Problem(
            "right" if s[j] > 0 else "left",
            f"the bar intersects itself: at s = {s[i]:.0f} mm and s = {s[j]:.0f} mm its centre "
            f"line is only {apart[i, j]:.1f} mm apart at a diameter of {od[i]:.1f} mm; "
            "check points, bend angles and rotations",
        )
    ]


def _samples(line: CentreLine, od: float) -> Floats:
    pieces = [
        np.linspace(a, b, max(int((b - a) / (od / 4)), 2), endpoint=False)
        for a, b in pairwise(line.breaks_mm)
    ]
    return np.append(np.concatenate(pieces), line.breaks_mm[-1])
