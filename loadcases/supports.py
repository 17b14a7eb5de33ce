"""Supports of a case beside the bar's clamp: feet on a bed, rollers, sliders, pins.

A support holds a band of the tube that moves as a rigid ring, its mean motion; it touches at
points of that ring. A rigid ring has no dent, so a support's own indentation is not in a linear
answer. A support presses at its points and does not pull, but for a pin and a slider.

Supports stand still. Those of a bed rise together against a ram: the clamp that holds the bar, or
supports that are the ram's and stand still. That is the same as a ram that comes down on a bed.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm
from geometry.centreline import locate
from geometry.errors import InputError, Problem
from geometry.limits import Range, limit_problems, unknown_name
from geometry.source import Source
from loadcases.axes import Vector, rotated
from loadcases.clamp import Clamp
from loadcases.load import (
    SIDES,
    BandTerms,
    Load,
    PlacedLoad,
    Side,
    band_problems,
    from_end_to_s_mm,
    half_length_mm,
    place_load,
    place_problems,
)

SupportKind = Literal["foot", "ball", "roller", "slider", "pin"]
KINDS: tuple[SupportKind, ...] = get_args(SupportKind)

ON_ENDS = ("foot", "ball")
"""Kinds that stand on the very end of a half."""

HOLDING = ("slider", "pin")
"""Kinds that pull too, and do not rub."""

FRICTION = 0.2
FRICTION_SUPPORTS = Source("memory", "dry metal on metal, 0.1 to 0.4")
"""The catalogue's, under feet."""

BAND_MM, ROLLER_MM = 10.0, 15.0
SUPPORT_BAND = BandTerms("band_mm", "held band", "a shorter one", "the clamp", "both")
SUPPORT_LIMITS = {
    "band_mm": Range(2, 500, "mm", "give the length of the held band, 10 commonly"),
    "radius_mm": Range(1, 500, "mm", "give the radius of the roller, 10 to 25 commonly"),
    "friction": Range(0, 1, "", "give a coefficient of friction such as 0.2, 0 for a free roller"),
}
RAM_LIMITS = Range(0, 1e6, "N", "give the force of the ram in N", above=True)

RING_POINTS = 24
"""Of an open end's edge: the lowest is within 1 % of the radius."""

TOUCHING_MM = 0.05
"""Height above the lowest point up to which an edge lies on its bed from the start."""

FLATTEST_DEG = 30.0
"""Between a roller's direction and the tube, and by which a foot may push out of its end."""


@dataclass(frozen=True)
class Support:
    """A support as it is written: its place as that of a load; a foot stands at the very end.

    Attributes:
        kind: `foot`: the end's edge on a flat bed, `ball`: the end's centre on a ball, `roller`:
            the tube's outer surface on a roller across it, `slider`: the centre line along
            `direction`, either way, `pin`: the centre line, every way.
        direction: From the support into the bar, in the axes of its case.
        friction: Coefficient of friction of foot, ball or roller, 0 where it rolls.
        band_mm: Length of the held band, centred on the place.
        radius_mm: Of a roller; a linear answer does not depend on it.
        side: Half that is supported.
        from_end_mm: Arc length from the end of that half.
        at_mm: Signed arc length, negative on the left.
        of_ram: Whether it is the ram's, and stands still where a bed rises.
    """

    kind: SupportKind
    direction: Vector = (0.0, 0.0, 1.0)
    friction: float = 0.0
    band_mm: float = BAND_MM
    radius_mm: float = ROLLER_MM
    side: Side | None = None
    from_end_mm: float | None = None
    at_mm: float | None = None
    of_ram: bool = False


@dataclass(frozen=True)
class ContactPoint:
    """A point of a supported ring.

    Attributes:
        offset_mm: From the centre-line point at the support's place, in bar axes.
        normal: From the support into the bar, a unit vector.
        friction: Coefficient of friction.
        pulls: Whether the support pulls too.
    """

    offset_mm: Vector
    normal: Vector
    friction: float = 0.0
    pulls: bool = False


@dataclass(frozen=True)
class PlacedSupport:
    """A support on a certain bar.

    Attributes:
        kind: As written.
        side: Half that it holds.
        at_mm: Signed arc length of its band's middle.
        band_mm: Length of that band.
        direction: From the support into the bar, a unit vector in bar axes; a bed rises along it.
        points: Where it may touch, at least one.
        of_ram: Whether it stands still where a bed rises.
        radius_mm: Of a roller.
    """

    kind: SupportKind
    side: Side
    at_mm: float
    band_mm: float
    direction: Vector
    points: tuple[ContactPoint, ...]
    of_ram: bool = False
    radius_mm: float = ROLLER_MM

    def loaded(self, force_n: Vector, moment_nmm: Vector) -> PlacedLoad:
        """Return a force and moment about the centre-line point, as a load on the held band."""
        return PlacedLoad(self.side, self.at_mm, force_n, moment_nmm, self.band_mm)


def place_support(support: Support, bar: Bar, clamp: Clamp, rotation: Floats) -> PlacedSupport:
    """Return a support at its place on the bar, in bar axes.

    Args:
        support: As written.
        bar: The bar.
        clamp: The clamp, which no band may touch upon.
        rotation: (3, 3) from the axes of the case to bar axes.

    Raises:
        InputError: Every fault of the support.
    """
    if problems := tuple(support_problems(support, bar, clamp)):
        raise InputError(*problems)
    placed = place_load(_carrier(support), bar.line, clamp, rotation)
    along = np.array(rotated(rotation, support.direction))
    normal = along / np.linalg.norm(along)
    if problems := tuple(_misdirected(placed, support.kind, bar, normal)):
        raise InputError(*problems)
    points = tuple(_points(support, bar, placed, normal))
    return PlacedSupport(
        support.kind,
        placed.side,
        placed.at_mm,
        support.band_mm,
        _vector(normal),
        points,
        support.of_ram,
        support.radius_mm,
    )


def _misdirected(
    placed: PlacedLoad, kind: SupportKind, bar: Bar, normal: Floats
) -> Iterator[Problem]:
    """Yield why a roller or an end cannot be pressed along a direction."""
    along = float(locate(bar.line, np.array(placed.at_mm)).tangent @ normal)
    if kind == "roller" and abs(along) > np.cos(np.radians(FLATTEST_DEG)):
        angle = np.degrees(np.arccos(min(abs(along), 1.0)))
        sentence = f"lies at {angle:.0f} deg to the tube there, less than the {FLATTEST_DEG:g} deg "
        yield Problem("direction", sentence + "that a roller needs; give one more across the tube")
    outward = along if placed.side == "right" else -along
    if kind in ON_ENDS and outward > np.sin(np.radians(FLATTEST_DEG)):
        sentence = "points out of the tube's end; turn it over, to go from the support into the bar"
        yield Problem("direction", sentence)


def support_problems(support: Support, bar: Bar, clamp: Clamp) -> Iterator[Problem]:
    """Yield what is wrong with a support on a bar."""
    if support.kind not in KINDS:
        yield unknown_name("kind", "kind of support", support.kind, KINDS)
        return
    if len(support.direction) != 3 or not np.linalg.norm(support.direction) > 0:
        sentence = f"is {list(support.direction)}; give three numbers, [0, 0, 1] for upward"
        yield Problem("direction", sentence)
        return
    if support.kind in ON_ENDS and (support.from_end_mm is not None or support.at_mm is not None):
        where = "from_end_mm" if support.at_mm is None else "at_mm"
        sentence = f"stands beside kind = {support.kind!r}, the very end; give side alone"
        yield Problem(where, sentence)
        return
    if support.kind in ON_ENDS and support.side not in SIDES:
        yield Problem("side", f"is missing beside kind = {support.kind!r}; give 'left' or 'right'")
        return
    if support.kind in HOLDING and support.friction:
        shown = f"is {support.friction:g} beside kind = {support.kind!r}"
        yield Problem("friction", f"{shown}, which does not rub; drop it, or choose 'roller'")
    if support.kind == "pin" and support.direction != Support.direction:
        yield Problem("direction", "stands beside kind = 'pin', which holds every way; drop it")
    found = (*limit_problems(support, SUPPORT_LIMITS), *place_problems(*_place(support)))
    yield from found
    if not found:
        yield from band_problems(_carrier(support), bar.line, clamp, SUPPORT_BAND)


def _carrier(support: Support) -> Load:
    """Return a load on the held band, which lies where a load's may."""
    return Load((0.0, 0.0, 1.0), (0.0, 0.0, 0.0), support.band_mm, *_place(support))


def _place(support: Support) -> tuple[Side | None, float | None, float | None]:
    """Return side, distance from the end and place along the bar; a foot's band ends at the end."""
    if support.kind in ON_ENDS and support.side in SIDES:
        return support.side, support.band_mm / 2, None
    return support.side, support.from_end_mm, support.at_mm


def _points(
    support: Support, bar: Bar, placed: PlacedLoad, normal: Floats
) -> Iterator[ContactPoint]:
    """Yield where a support may touch."""
    if support.kind == "pin":
        yield from (ContactPoint((0.0, 0.0, 0.0), _vector(axis), pulls=True) for axis in np.eye(3))
        return
    if support.kind == "slider":
        yield ContactPoint((0.0, 0.0, 0.0), _vector(normal), pulls=True)
        return
    if support.kind == "roller":
        # it presses square to the tube, which may lie aslant
        tangent = locate(bar.line, np.array(placed.at_mm)).tangent
        across = normal - (normal @ tangent) * tangent
        across /= np.linalg.norm(across)
        radius = float(nominal_od_mm(bar, np.array(placed.at_mm))) / 2
        yield ContactPoint(_vector(-radius * across), _vector(across), support.friction)
        return
    for offset in _foot(support, bar, placed, normal):
        yield ContactPoint(_vector(offset), _vector(normal), support.friction)


def _foot(support: Support, bar: Bar, placed: PlacedLoad, normal: Floats) -> Floats:
    """Return (n, 3) from the centre-line point to the points of an end on a bed."""
    line, side = bar.line, placed.side
    sign = 1.0 if side == "right" else -1.0
    end = locate(line, np.array(sign * half_length_mm(line, side)))
    away = end.position_mm - locate(line, np.array(placed.at_mm)).position_mm
    if support.kind == "ball":
        return away[None]
    radius = float(nominal_od_mm(bar, np.array(from_end_to_s_mm(line, side, 0.0)))) / 2
    turn = np.linspace(0, 2 * np.pi, RING_POINTS, endpoint=False)[:, None]
    ring = radius * (np.cos(turn) * end.top + np.sin(turn) * end.front)
    height = ring @ normal
    edge: Floats = away + ring[height <= height.min() + TOUCHING_MM]
    return edge


def _vector(values: Floats) -> Vector:
    x, y, z = map(float, values)
    return x, y, z
