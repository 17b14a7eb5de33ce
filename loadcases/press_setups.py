"""The mechanics of set-ups in a press, in bar axes; their numbers are in `cases/*.toml`.

The clamp is the ram: it holds the bar and comes down on a bed or on rollers, and does not turn.
"""

import math

from geometry.bar import Bar
from loadcases.axes import Vector
from loadcases.load import SIDES
from loadcases.supports import Support
from loadcases.template import Built, Given

MOVED = "The clamp holds the bar and is the ram; it moves along its line and does not turn."


def stood_on_both_ends(given: Given, bar: Bar) -> Built:
    """Return both ends on a flat bed."""
    numbers = given.numbers
    supports = tuple(
        Support(
            "foot" if given.choices["feet"] == "open" else "ball",
            _up(given),
            numbers["friction"],
            numbers["band_mm"],
            side=side,
        )
        for side in SIDES
    )
    return Built((), (MOVED,), supports, numbers["force_n"])


def three_point(given: Given, bar: Bar) -> Built:
    """Return a roller on each side, at half the span from the clamp centre along the tube."""
    numbers = given.numbers
    half_mm = numbers["span_mm"] / 2
    supports = tuple(
        Support("roller", _up(given), numbers["friction"], numbers["band_mm"], at_mm=at_mm)
        for at_mm in (half_mm, -half_mm)
    )
    return Built((), (MOVED,), supports, numbers["force_n"])


def _up(given: Given) -> Vector:
    """Return the direction from the bed to the bar: against (0, sin a, -cos a) of the ram."""
    angle = math.radians(given.numbers["direction_deg"])
    return 0.0, -math.sin(angle), math.cos(angle)
