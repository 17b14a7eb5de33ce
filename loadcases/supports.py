"""Supports of a case beside the bar's clamp: feet on a bed, rollers, plates, saddles, fixtures.

A support holds a band of the tube that moves as a rigid ring, its mean motion; it touches at
points of that ring. A rigid ring has no dent, so a support's own indentation is not in a linear
answer, but for a platen, which holds a strip of the tube. A support presses at its points and does
not pull, but for a slider, a pin and a fixture.

Supports stand still. Those of a bed rise together against a ram: the clamp that holds the bar, or
supports that are the ram's and stand still. That is the same as a ram that comes down on a bed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm
from geometry.centreline import locate
from geometry.errors import InputError, Problem
from geometry.limits import Range, limit_problems, unknown_name
from geometry.source import Source
from loadcases.axes import Vector, rotated
from loadcases.clamp import Clamp
from loadcases.contact_points import KINDS, ContactPoint, SupportKind, as_vector, contact_points
from loadcases.load import (
    SIDES,
    SLACK_MM,
    BandTerms,
    Load,
    PlacedLoad,
    Side,
    band_problems,
    place_load,
    place_problems,
    place_s_mm,
)

ON_ENDS = ("foot", "ball")
"""Kinds that stand on the very end of a half."""

ACROSS = ("roller", "plate", "saddle", "platen")
"""Kinds that press on the tube's outer surface, square to it."""

HOLDING = ("slider", "pin", "fixture")
"""Kinds that pull too, and do not rub."""

EVERY_WAY = ("pin", "fixture")
"""Kinds without a direction."""

FRICTION = 0.2
FRICTION_SUPPORTS = Source("memory", "dry metal on metal, 0.1 to 0.4")
"""The catalogue's, under feet."""

BAND_MM, ROLLER_MM = 10.0, 15.0
NOTHING = (0.0, 0.0, 0.0)
SUPPORT_BAND = BandTerms("band_mm", "held band", "a shorter one", "the clamp", "both")
SUPPORT_LIMITS = {
    "band_mm": Range(2, 500, "mm", "give the length of the held band, 10 commonly"),
    "radius_mm": Range(
        1, 500, "mm", "give that of the roller, 10 to 25 commonly, or of the saddle"
    ),
    "friction": Range(0, 1, "", "give a coefficient of friction such as 0.2, 0 for a free roller"),
}
RAM_LIMITS = Range(0, 1e6, "N", "give the force of the ram in N", above=True)

FLATTEST_DEG = 30.0
"""Between the direction of a support across the tube and the tube, and by which a foot may push out
of its end."""


@dataclass(frozen=True)
class Support:
    """A support as it is written: its place as that of a load; a foot stands at the very end.

    Attributes:
        kind: `foot`: the end's edge on a flat bed, `ball`: the end's centre on a ball, `roller`:
            the tube's outer surface on a roller across it, `plate`: that surface on a flat plate
            as long as the band, `saddle`: that in a half-round trough along it, `platen`: a plate
            that flattens the tube, also in a linear answer, `slider`: the centre line along
            `direction`, either way, `pin`: the centre line, every way,
            `fixture`: the mean motion of the band, every way, turning too. One that is longer than
            some millimetres is two, one at either end.
        direction: From the support into the bar, in the axes of its case.
        friction: Coefficient of friction of a support that presses, 0 where it rolls.
        band_mm: Length of the held band, centred on the place; of plate, saddle or fixture.
        radius_mm: Of a roller, 15 by default, or of a saddle, by default the tube's; a linear
            answer does not depend on it.
        side: Half that is supported.
        from_end_mm: Arc length from the end of that half.
        at_mm: Signed arc length, negative on the left.
        of_ram: Whether it is the ram's, and stands still where a bed rises.
    """

    kind: SupportKind
    direction: Vector = (0.0, 0.0, 1.0)
    friction: float = 0.0
    band_mm: float = BAND_MM
    radius_mm: float | None = None
    side: Side | None = None
    from_end_mm: float | None = None
    at_mm: float | None = None
    of_ram: bool = False


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
        radius_mm: Of a roller or a saddle.
    """

    kind: SupportKind
    side: Side
    at_mm: float
    band_mm: float
    direction: Vector
    points: tuple[ContactPoint, ...]
    of_ram: bool = False
    radius_mm: float = ROLLER_MM

    @property
    def band(self) -> PlacedLoad:
        """Return the held band, as that of a load without a force."""
        return self.loaded(NOTHING, NOTHING)

    def loaded(self, force_n: Vector, moment_nmm: Vector) -> PlacedLoad:
        """Return a force and moment about the centre-line point, as a load on the held band."""
        toward = self.direction if self.kind == "platen" else None
        return PlacedLoad(self.side, self.at_mm, force_n, moment_nmm, self.band_mm, toward)


def only_platens(supports: Sequence[PlacedSupport]) -> bool:
    """Return whether platens alone press a bar: it is flattened, and not bent."""
    return all(one.kind == "platen" for one in supports)


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
    points = tuple(contact_points(support.kind, bar, placed, normal, support.friction))
    return PlacedSupport(
        support.kind,
        placed.side,
        placed.at_mm,
        support.band_mm,
        as_vector(normal),
        points,
        support.of_ram,
        support.radius_mm or _own_radius_mm(support.kind, bar, placed.at_mm),
    )


def _own_radius_mm(kind: SupportKind, bar: Bar, at_mm: float) -> float:
    return float(nominal_od_mm(bar, np.array(at_mm))) / 2 if kind == "saddle" else ROLLER_MM


def _misdirected(
    placed: PlacedLoad, kind: SupportKind, bar: Bar, normal: Floats
) -> Iterator[Problem]:
    """Yield why a tube or its end cannot be pressed along a direction."""
    along = float(locate(bar.line, np.array(placed.at_mm)).tangent @ normal)
    if kind in ACROSS and abs(along) > np.cos(np.radians(FLATTEST_DEG)):
        angle = np.degrees(np.arccos(min(abs(along), 1.0)))
        sentence = f"lies at {angle:.0f} deg to the tube there, less than the {FLATTEST_DEG:g} deg "
        yield Problem("direction", sentence + f"that a {kind} needs; give one more across the tube")
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
    if support.kind in EVERY_WAY and support.direction != Support.direction:
        shown = f"stands beside kind = {support.kind!r}, which holds every way; drop it"
        yield Problem("direction", shown)
    found = (*limit_problems(support, SUPPORT_LIMITS), *place_problems(*_place(support)))
    yield from found
    if not found:
        yield from band_problems(_carrier(support), bar.line, clamp, SUPPORT_BAND)
        yield from _too_narrow(support, bar)


def _too_narrow(support: Support, bar: Bar) -> Iterator[Problem]:
    """Yield why the tube does not go into a saddle."""
    at_mm = place_s_mm(bar.line, _carrier(support))
    least = float(nominal_od_mm(bar, np.array(at_mm))) / 2
    if support.kind == "saddle" and support.radius_mm and support.radius_mm < least - SLACK_MM:
        sentence = f"is {support.radius_mm:g} mm but the tube there has {least:.5g} mm; "
        yield Problem("radius_mm", sentence + "give that or more, or leave it out")


def _carrier(support: Support) -> Load:
    """Return a load on the held band, which lies where a load's may."""
    return Load((0.0, 0.0, 1.0), (0.0, 0.0, 0.0), support.band_mm, *_place(support))


def _place(support: Support) -> tuple[Side | None, float | None, float | None]:
    """Return side, distance from the end and place along the bar; a foot's band ends at the end."""
    if support.kind in ON_ENDS and support.side in SIDES:
        return support.side, support.band_mm / 2, None
    return support.side, support.from_end_mm, support.at_mm
