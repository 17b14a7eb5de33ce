"""The mechanics of set-ups in a press, in bar axes; their numbers are in `cases/*.toml`.

The ram is the clamp, which holds the bar, comes down on a bed or on rollers, and does not turn; or
it is rollers on a bar that lies free.
"""

import math

from geometry.bar import Bar
from geometry.errors import refuse
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
    supports = tuple(_roller(given, _up(given), at_mm) for at_mm in (half_mm, -half_mm))
    return Built((), (MOVED,), supports, numbers["force_n"])


def three_point_ram(given: Given, bar: Bar) -> Built:
    """Return a roller at each end of the span, and one of the ram in the middle."""
    return _bent(given, (0.0,))


def four_point(given: Given, bar: Bar) -> Built:
    """Return a roller at each end of the span, and two of the ram between them.

    Raises:
        InputError: The rams are not within the span.
    """
    span_mm, apart_mm = given.numbers["span_mm"], given.numbers["inner_span_mm"]
    if apart_mm >= span_mm:
        sentence = f"is {apart_mm:g} mm but must be below span_mm, {span_mm:g} mm; "
        raise refuse("inner_span_mm", sentence + "give 0 for a third of it")
    half_mm = (apart_mm or span_mm / 3) / 2
    return _bent(given, (half_mm, -half_mm))


def _bent(given: Given, rams_mm: tuple[float, ...]) -> Built:
    """Return rollers under both ends of the span, and those of the ram above at places."""
    numbers, up = given.numbers, _up(given)
    down = (-up[0], -up[1], -up[2])
    half_mm = numbers["span_mm"] / 2
    rollers = [(at_mm, up, False) for at_mm in (half_mm, -half_mm)]
    rollers += [(at_mm, down, True) for at_mm in rams_mm]
    supports = tuple(_roller(given, way, at_mm, of_ram=of_ram) for at_mm, way, of_ram in rollers)
    return Built((), (), supports, numbers["force_n"])


def _roller(given: Given, direction: Vector, at_mm: float, *, of_ram: bool = False) -> Support:
    numbers = given.numbers
    friction, band_mm, radius_mm = (numbers[n] for n in ("friction", "band_mm", "radius_mm"))
    return Support("roller", direction, friction, band_mm, radius_mm, at_mm=at_mm, of_ram=of_ram)


def _up(given: Given) -> Vector:
    """Return the direction from the bed to the bar: against (0, sin a, -cos a) of the ram."""
    angle = math.radians(given.numbers["direction_deg"])
    return 0.0, -math.sin(angle), math.cos(angle)
