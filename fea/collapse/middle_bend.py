"""The middle of a free straight tube under two couples: curvature, and ripples of its wall.

Tests of tubes in bending plot the moment against the curvature of a length that their ends do not
disturb. The curvature is the turn between two sections, 1.5 diameters to each side of the middle,
over their distance; a section's plane is the best one through its nodes, so that ovalisation and
warping do not count.

Ripples are short waves along the generator that is compressed most. Its distance from the neutral
line, midway between the generators a quarter turn to either side, is not changed by what sections
move and turn, and those two have no ripples. It is split by least squares into a smooth course, a
polynomial of the fourth degree, and a wave; the wave takes part so that it does not bend the
polynomial. The amplitude is half of what the rest reaches from its lowest to its highest place,
once the smooth course is taken off, so that a single fold counts as deep as it is.

Limits: a wave has to be shorter than 0.4 of the stretch; an elastic wave has to have three elements
at least, which a path with an imperfection of ripples has, however small. An amplitude is that of
the growth, without an imperfection that the wall has from the start. Of a fold that is not a wave,
the wavelength is that of the wave nearest to it.

Source: definitions; wavelengths about twice `HALF_WAVE` sqrt(radius x wall).
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from fea.collapse.collapse_mode import (
    HALF_WAVE,
    Rings,
    close_rings_of,
    shape_of,
)
from fea.collapse.equilibrium import Point, moved_mm
from fea.collapse.path_model import PathModel
from geometry.arrays import Floats, Ints
from geometry.bar import nominal_od_mm, nominal_wall_mm
from geometry.centreline import locate
from loadcases.load import PlacedLoad

REACH_PER_OD, CLEAR_PER_OD, LEAST_PER_OD = 1.5, 0.5, 0.5
"""Half length of the stretch, its distance from a band of load, and the least half length."""

SMOOTH_DEGREE = 4

SHORTEST, LONGEST, MOST_SHARE = 0.5, 2.0, 0.4
"""Of the elastic wavelength; and the longest wave over the stretch."""

PER_WAVE = 3
"""Least number of elements along an elastic wave."""

WAVES = 121
"""Wavelengths that are tried: each 1.2 % longer than the one before."""

PIECES = 8
"""Places within an element at which its own quadratic course is read."""

SAME = 1e-6

FAINT = 1e-3
"""Amplitude in walls below which a wave has no length worth telling."""


class MiddleBend(NamedTuple):
    """The middle of a bent tube.

    Attributes:
        moment_nmm: Bending moment in the deformed shape: the forces of a couple keep their
            directions while their band turns and ovalises.
        length_mm: Of the stretch.
        curvature_per_mm: Its curvature.
        oval_percent: Mean ovalisation of its rings, largest less smallest diameter over nominal.
        ripple_mm: Amplitude of the ripples, None where elements are too long for them.
        wavelength_mm: Of the wave nearest to them, None also where they are faint.
    """

    moment_nmm: float
    length_mm: float
    curvature_per_mm: float
    oval_percent: float
    ripple_mm: float | None
    wavelength_mm: float | None


@dataclass(frozen=True, eq=False)
class Middle:
    """The stretch of a mesh that is read.

    Attributes:
        rings: Those of the stretch, also at the middles of its elements.
        column: Number of the compressed generator's node in each ring.
        wave_mm: Wavelength of elastic ripples.
        wall_mm: Wall.
    """

    rings: Rings
    column: int
    wave_mm: float
    wall_mm: float


def middle_of(path_model: PathModel) -> Middle | None:
    """Return the stretch of a free straight tube that couples bend, None of any other bar.

    Source: module docstring.
    """
    model, loads = path_model.model, path_model.loads
    bar, line = model.bar, model.bar.line
    ends = locate(line, np.array([line.left_end_mm, line.right_end_mm])).tangent
    straight = not line.curvature_per_mm.any() and np.allclose(*ends)
    couple = np.sum([load.moment_nmm for load in loads if load.side == "right"], axis=0)
    free = not model.clamp.holds and not path_model.standing.supports
    if not (free and straight and _only_bends(loads, couple, ends[0])):
        return None
    od_mm = float(nominal_od_mm(bar, np.array(0.0)))
    room = min(max(load.from_mm, -load.to_mm) for load in loads) - CLEAR_PER_OD * od_mm
    reach = min(REACH_PER_OD * od_mm, room)
    if reach < LEAST_PER_OD * od_mm:
        return None
    rings = _within(close_rings_of(model.mesh), reach)
    out = _outward(rings, model.mesh.points_mm) @ np.cross(couple, ends[0])
    wall = float(nominal_wall_mm(bar, np.array(0.0)))
    wave = 2 * HALF_WAVE * float(np.sqrt((od_mm - wall) / 2 * wall))
    return Middle(rings, int(np.argmax(out)), wave, wall)


def middle_bend(middle: Middle, path_model: PathModel, point: Point) -> MiddleBend:
    """Return what the middle of a bent tube does at a point of its path.

    Source: module docstring.
    """
    equations, points_mm = path_model.equations, path_model.model.mesh.points_mm
    displacement = moved_mm(equations, point.displacement)
    rings, deformed = middle.rings, points_mm + displacement
    first, last = (_normal(deformed[_nodes(rings, at)]) for at in (0, -1))
    turn = np.arctan2(np.linalg.norm(np.cross(first, last)), abs(first @ last))
    out = _depth_mm(middle, deformed) - _depth_mm(middle, points_mm)
    length = float(rings.s_mm[-1] - rings.s_mm[0])
    ripple, wave = ripples_of(rings.s_mm, out, middle.wave_mm)
    fine = np.diff(rings.s_mm[::2]).max() <= middle.wave_mm / PER_WAVE * (1 + SAME)
    forces = (equations.constant + point.factor * equations.load).reshape(-1, 3)
    right = path_model.model.mesh.block[:, 0] > 0
    moment = np.cross(deformed[right], forces[right]).sum(axis=0)
    return MiddleBend(
        float(np.linalg.norm(moment)),
        length,
        float(turn) / length,
        float(shape_of(rings, points_mm, displacement).oval_percent.mean()),
        ripple if fine else None,
        wave if fine and ripple >= FAINT * middle.wall_mm else None,
    )


def _depth_mm(middle: Middle, points_mm: Floats) -> Floats:
    """Return (rings,) the distance of the compressed generator from the neutral line."""
    wall = (points_mm[middle.rings.outer] + points_mm[middle.rings.inner]) / 2
    count = wall.shape[1]
    beside = [(middle.column + turn * round(count / 4)) % count for turn in (1, -1)]
    depth = wall[:, middle.column] - wall[:, beside].mean(axis=1)
    return np.asarray(np.linalg.norm(depth, axis=1))


def ripples_of(s_mm: Floats, out_mm: Floats, wave_mm: float) -> tuple[float, float]:
    """Return amplitude and wavelength of the ripples along a generator, mm.

    Args:
        s_mm: (n,) places of the ends and middles of elements, ascending, n odd.
        out_mm: (n,) how far the generator has moved out there.
        wave_mm: Wavelength about which the nearest one is sought.

    Source: module docstring.
    """
    s, out = _finer(s_mm), _finer(out_mm)
    at = 2 * (s - s[0]) / (s[-1] - s[0]) - 1
    smooth = np.polynomial.legendre.legvander(at, SMOOTH_DEGREE)
    longest = min(LONGEST * wave_mm, MOST_SHARE * (s[-1] - s[0]))
    waves = np.geomspace(SHORTEST * wave_mm, max(longest, SHORTEST * wave_mm), WAVES)
    fits = [_fit(smooth, s, out, wave) for wave in waves]
    best = int(np.argmin([left for left, _ in fits]))
    rest = out - smooth @ fits[best][1]
    return float(np.ptp(rest)) / 2, float(waves[best])


def _fit(smooth: Floats, s_mm: Floats, out_mm: Floats, wave_mm: float) -> tuple[float, Floats]:
    """Return the squares that polynomial and wave leave, and the polynomial's coefficients."""
    phase = 2 * np.pi * s_mm / wave_mm
    both = np.column_stack([smooth, np.cos(phase), np.sin(phase)])
    found = np.linalg.lstsq(both, out_mm)[0]
    left = out_mm - both @ found
    return float(left @ left), found[: smooth.shape[1]]


def _finer(values: Floats) -> Floats:
    """Return values at ends and middles of elements, by their quadratic course, at more places."""
    low, middle, high = values[:-1:2, None], values[1::2, None], values[2::2, None]
    at = np.linspace(-1.0, 1.0, PIECES, endpoint=False)
    within = middle + at * (high - low) / 2 + at**2 * ((high + low) / 2 - middle)
    return np.append(within.ravel(), values[-1])


def _within(rings: Rings, reach_mm: float) -> Rings:
    """Return the whole elements' rings within a reach of the middle."""
    at = np.arange(len(rings.s_mm))
    kept = (np.abs(rings.s_mm) <= reach_mm * (1 + SAME)) & (at % 2 == 0)
    part = slice(int(at[kept][0]), int(at[kept][-1]) + 1)
    return Rings(rings.s_mm[part], rings.theta_rad[part], rings.outer[part], rings.inner[part])


def _only_bends(loads: tuple[PlacedLoad, ...], couple: Floats, tangent: Floats) -> bool:
    """Return whether loads are two couples, one on each half, that bend and do not twist."""
    size = float(np.linalg.norm(couple))
    forced = any(any(load.force_n) for load in loads)
    sides = {load.side for load in loads}
    two = len(loads) == len(sides) == 2
    return two and not forced and bool(size > 0 and abs(couple @ tangent) <= SAME * size)


def _outward(rings: Rings, points_mm: Floats) -> Floats:
    """Return (T, 3) from the middle ring's centre to its nodes."""
    ring = points_mm[rings.outer[len(rings.s_mm) // 2]]
    return np.asarray(ring - ring.mean(axis=0))


def _nodes(rings: Rings, at: int) -> Ints:
    return np.concatenate([rings.outer[at], rings.inner[at]])


def _normal(places_mm: Floats) -> Floats:
    """Return (3,) the normal of the plane that lies nearest to places (n, 3)."""
    return np.asarray(np.linalg.svd(places_mm - places_mm.mean(axis=0))[2][2])
