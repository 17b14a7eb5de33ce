"""What bending does to a tube: wall change and ovality, blended at the bends' ends.

Wall: neutral axis on the centre line and volume constant give
t(phi) = t R / (R + r cos phi), phi from the extrados, r the mean radius
(derived, textbook mechanics). Ovality o in percent:
outer radius OD/2 (1 - (o/200) cos 2 phi), minor axis in the bend plane, where
o = 100 (ODmax - ODmin)/ODnominal (secondary source, common definition).

The effects of a bend grow and fade by a smoothstep centred on its tangent points.
Its length is the outer diameter; where two bends are close it shrinks until both
meet in the middle of the straight between, but not below half a diameter: there
the weights of the two bends overlap and still never add up to more than one, so
that a bend tangent to the next has no step in its wall.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from geometry.arrays import Floats
from geometry.centreline import Arc


@dataclass(frozen=True)
class BendEffects:
    """Which effects of bending are modelled.

    Attributes:
        wall_change: Thin the extrados and thicken the intrados.
        ovality_percent: Flattening in the bends, 0 for none.
    """

    wall_change: bool = True
    ovality_percent: float = 0.0


@dataclass(frozen=True, eq=False)
class BentZones:
    """The n bends with the reach of their ramps.

    Attributes:
        from_mm: (n,) tangent points where the bends begin, s in mm.
        to_mm: (n,) tangent points where they end, s in mm.
        reach_from_mm: (n,) half length of the ramp at the beginning.
        reach_to_mm: (n,) half length of the ramp at the end.
        radius_mm: (n,) centre-line radii.
        extrados_rad: (n,) theta of each bend's extrados.
    """

    from_mm: Floats
    to_mm: Floats
    reach_from_mm: Floats
    reach_to_mm: Floats
    radius_mm: Floats
    extrados_rad: Floats


def bent_zones(bends: tuple[Arc, ...], od_mm: Floats) -> BentZones:
    """Return the zones of the n bends.

    Source: the ramps of the module docstring.

    Args:
        bends: The arcs of a centre line in ascending s.
        od_mm: (n, 2) outer diameter at the beginning and end of each.
    """
    straights = [after.s_from_mm - before.s_to_mm for before, after in pairwise(bends)]
    od_mm = np.reshape(od_mm, (len(bends), 2))
    return BentZones(
        np.array([arc.s_from_mm for arc in bends]),
        np.array([arc.s_to_mm for arc in bends]),
        _reach(od_mm[:, 0], np.array([np.inf, *straights][: len(bends)])),
        _reach(od_mm[:, 1], np.array([*straights, np.inf][-len(bends) or 1 :])[: len(bends)]),
        np.array([arc.radius_mm for arc in bends]),
        np.array([arc.extrados_rad for arc in bends]),
    )


def weights(zones: BentZones, s_mm: Floats) -> Floats:
    """Return (..., n): how much of each of the n bends' effects acts at `s_mm` (...), 0 to 1.

    Source: the smoothstep of the module docstring.
    """
    s_mm = np.asarray(s_mm, dtype=float)[..., None]
    rise = _smoothstep((s_mm - zones.from_mm) / (2 * zones.reach_from_mm) + 0.5)
    fall = _smoothstep((s_mm - zones.to_mm) / (2 * zones.reach_to_mm) + 0.5)
    # ramps of unequal reach may cross by a trace in a very short bend
    return np.maximum(rise - fall, 0.0)


def wall_factor(
    zones: BentZones, s_mm: Floats, theta_rad: Floats, mean_radius_mm: Floats
) -> Floats:
    """Return wall over nominal wall at (s, theta); the arguments broadcast.

    Source: t(phi) of the module docstring.
    """
    phi = np.asarray(theta_rad)[..., None] - zones.extrados_rad
    radius = zones.radius_mm
    thinned = radius / (radius + np.asarray(mean_radius_mm)[..., None] * np.cos(phi))
    result: Floats = 1 + (weights(zones, s_mm) * (thinned - 1)).sum(-1)
    return result


def outer_factor(
    zones: BentZones, s_mm: Floats, theta_rad: Floats, ovality_percent: float
) -> Floats:
    """Return outer radius over nominal outer radius at (s, theta); the arguments broadcast.

    Source: the ovality of the module docstring.
    """
    phi = np.asarray(theta_rad)[..., None] - zones.extrados_rad
    flattening = (weights(zones, s_mm) * np.cos(2 * phi)).sum(-1)
    result: Floats = 1 - ovality_percent / 200 * flattening
    return result


def ramp_ends_mm(zones: BentZones) -> Floats:
    """Return (4 n,): where the ramps of the n bends begin and end, ascending s in mm.

    Source: module docstring.
    """
    return np.sort(
        np.concatenate(
            [
                zones.from_mm - zones.reach_from_mm,
                zones.from_mm + zones.reach_from_mm,
                zones.to_mm - zones.reach_to_mm,
                zones.to_mm + zones.reach_to_mm,
            ]
        )
    )


def _reach(od_mm: Floats, straight_mm: Floats) -> Floats:
    return np.minimum(od_mm / 2, np.maximum(straight_mm / 2, od_mm / 4))


def _smoothstep(x: Floats) -> Floats:
    x = np.clip(x, 0.0, 1.0)
    return x * x * (3 - 2 * x)
