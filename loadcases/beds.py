"""Whether one flat bed can carry a bar on its supports alone."""

from collections.abc import Iterator

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm, nominal_wall_mm
from geometry.centreline import locate
from geometry.errors import Problem
from loadcases.clamp import Clamp
from loadcases.contact_points import TOUCHING_MM, SupportKind
from loadcases.supports import ON_ENDS, PlacedSupport

MOST_UNEVEN_MM = 2.0
"""Difference in height of the two feet that a shim makes good."""


def bed_problems(supports: tuple[PlacedSupport, ...], bar: Bar) -> Iterator[Problem]:
    """Yield why one bed, across the supports' direction, cannot carry the bar on these alone."""
    normal = np.array(supports[0].direction)
    heights = [_height(one, bar, normal) for one in supports]
    if max(heights) - min(heights) > MOST_UNEVEN_MM:
        sentence = (
            f"has one support {max(heights) - min(heights):.1f} mm higher than the other, more "
            f"than the {MOST_UNEVEN_MM:g} mm that a shim makes good; give another direction_deg, "
            "or write its loads as a case of your own"
        )
        yield Problem("", sentence)
    if supports[0].kind in ON_ENDS:
        yield from _below_the_ends(bar, normal, min(heights), supports[0].kind)


def _below_the_ends(
    bar: Bar, normal: Floats, ends_mm: float, kind: SupportKind
) -> Iterator[Problem]:
    """Yield what of the bar would touch the bed before its ends, or with them."""
    ends = np.array([bar.line.left_end_mm, bar.line.right_end_mm])
    # a ball stands out of its plug, as far as an end that leans needs
    left, right = ends + (nominal_od_mm(bar, ends) * [1, -1] if kind == "ball" else 0.0)
    s_mm = np.append(np.linspace(left, right, 400), 0.0)
    frame, radius = locate(bar.line, s_mm), nominal_od_mm(bar, s_mm) / 2
    lowest = frame.position_mm @ normal - radius * np.sqrt(1 - (frame.tangent @ normal) ** 2)
    under = ends_mm - lowest
    if under.max() > TOUCHING_MM:
        at = float(s_mm[under.argmax()])
        sentence = (
            f"does not stand on its ends: at {abs(at):.0f} mm on the "
            f"{'right' if at > 0 else 'left'} it reaches {under.max():.1f} mm below them; turn "
            "the bar over, 180 deg further, give another direction, or use press.three-point"
        )
        yield Problem("direction_deg", sentence)
    elif under[-1] > -TOUCHING_MM:
        sentence = "does not stand on its ends: it lies on them and on its middle alike; give "
        yield Problem("direction_deg", sentence + "another direction, or use press.three-point")


def room_mm(supports: tuple[PlacedSupport, ...], bar: Bar, clamp: Clamp) -> float:
    """Return the travel after which a ram meets its bed, infinite where it passes beside it.

    A clamp on feet meets their plane; what presses a tube from two sides ends where its walls meet.
    """
    below, above = ([one for one in supports if one.of_ram is of_ram] for of_ram in (False, True))
    if clamp.holds and below and below[0].kind in ON_ENDS:
        heights = (_height(one, bar, np.array(one.direction)) for one in below)
        return -min(heights) - float(nominal_od_mm(bar, np.array(0.0))) / 2
    rooms = (
        float(nominal_od_mm(bar, at_mm) - 2 * nominal_wall_mm(bar, at_mm))
        for one in below
        for other in above
        if abs(one.at_mm - other.at_mm) < (one.band_mm + other.band_mm) / 2
        for at_mm in [np.array(one.at_mm)]
    )
    return min(rooms, default=np.inf)


def _height(support: PlacedSupport, bar: Bar, normal: Floats) -> float:
    centre = locate(bar.line, np.array(support.at_mm)).position_mm
    return min(float(normal @ (centre + one.offset_mm)) for one in support.points)
