"""The mechanics of set-ups in a press, in bar axes; their numbers are in `cases/*.toml`.

The ram is the clamp, which holds the bar, comes down on a bed or on rollers, and does not turn; or
it is rollers, plates or saddles on a bar that lies free.
"""

import math
from dataclasses import replace

from geometry.bar import Bar
from geometry.errors import refuse
from loadcases.axes import Vector
from loadcases.load import SIDES, Load, place_s_mm
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
    """Return a roller at each end of the span, and one of the ram in the middle.

    Raises:
        InputError: The ram is longer than the span, or the rollers meet.
    """
    return _bent(given, (0.0,))


def four_point(given: Given, bar: Bar) -> Built:
    """Return a roller at each end of the span, and two of the ram between them.

    Raises:
        InputError: The rams are not within the span, or not beside each other.
    """
    span_mm, apart_mm = given.numbers["span_mm"], given.numbers["inner_span_mm"]
    if apart_mm >= span_mm:
        sentence = f"is {apart_mm:g} mm but must be below span_mm, {span_mm:g} mm; "
        raise refuse("inner_span_mm", sentence + "give 0 for a third of it")
    half_mm = (apart_mm or span_mm / 3) / 2
    length_mm = given.numbers["ram_mm"]
    if given.choices["ram"] != "roller" and length_mm > 2 * half_mm:
        sentence = f"is {length_mm:g} mm but the two of the ram are {2 * half_mm:g} mm apart; "
        raise refuse("ram_mm", sentence + "give less, or a longer inner_span_mm")
    return _bent(given, (half_mm, -half_mm))


def cantilever(given: Given, bar: Bar) -> Built:
    """Return rings at both ends of a fixture on a free bar, and the force on one of its halves.

    Raises:
        InputError: The force enters within the fixture.
    """
    numbers, up = given.numbers, _up(given)
    x, y, z = (-numbers["force_n"] * part for part in up)
    (side,) = (one for one in SIDES if one == given.choices["side"])
    load = Load(
        (x, y, z), band_mm=numbers["band_mm"], side=side, from_end_mm=numbers["from_end_mm"]
    )
    _refuse_load_in_fixture(given, bar, load)
    middle_mm, ring_mm = numbers["fixture_at_mm"], numbers["fixture_ring_mm"]
    half_mm = max(0.0, numbers["fixture_mm"] - ring_mm) / 2
    places = sorted({middle_mm - half_mm, middle_mm + half_mm})
    rings = (Support("fixture", band_mm=ring_mm, at_mm=at_mm) for at_mm in places)
    return Built((load,), (), tuple(rings))


def crush(given: Given, bar: Bar) -> Built:
    """Return a platen under a piece of the tube, and one of the ram above.

    Raises:
        InputError: The platens are longer than the bar.
    """
    numbers, up = given.numbers, _up(given)
    piece_mm = bar.line.right_end_mm - bar.line.left_end_mm
    if numbers["platen_mm"] > piece_mm:
        sentence = f"is {numbers['platen_mm']:g} mm but the bar is {piece_mm:g} mm long; give that "
        raise refuse("platen_mm", sentence + "at most, for platens that reach beyond it too")
    below = Support(
        "platen", up, numbers["friction"], numbers["platen_mm"], at_mm=numbers["platen_at_mm"]
    )
    down = (-up[0], -up[1], -up[2])
    supports = below, replace(below, direction=down, of_ram=True)
    return Built((), (), supports, numbers["force_n"])


def _bent(given: Given, rams_mm: tuple[float, ...]) -> Built:
    """Return rollers under both ends of the span, and those of the ram above at places."""
    numbers, up = given.numbers, _up(given)
    _refuse_what_meets(given, 2 * max(rams_mm))
    down = (-up[0], -up[1], -up[2])
    half_mm = numbers["span_mm"] / 2
    rollers = (_roller(given, up, at_mm) for at_mm in (half_mm, -half_mm))
    rams = (_ram(given, down, at_mm) for at_mm in rams_mm)
    return Built((), (), (*rollers, *rams), numbers["force_n"])


def _refuse_load_in_fixture(given: Given, bar: Bar, load: Load) -> None:
    middle_mm, half_mm = given.numbers["fixture_at_mm"], given.numbers["fixture_mm"] / 2
    load_mm = place_s_mm(bar.line, load)
    if abs(load_mm - middle_mm) < half_mm + load.band_mm / 2:
        sentence = f"is {load.from_end_mm:g} mm, so the force enters at {load_mm:g} mm along the "
        sentence += f"tube, over {load.band_mm:g} mm, but the fixture holds "
        sentence += f"{middle_mm - half_mm:g} to {middle_mm + half_mm:g} mm; keep them apart"
        raise refuse("from_end_mm", sentence)


def _refuse_what_meets(given: Given, apart_mm: float) -> None:
    """Raise an InputError where rams `apart_mm` apart reach past the bed, or two rollers meet.

    A plate over a roller would press the tube on it, and bend nothing.
    """
    numbers, rollers = given.numbers, given.choices["ram"] == "roller"
    length_mm, span_mm, radius_mm = (numbers[key] for key in ("ram_mm", "span_mm", "radius_mm"))
    if not rollers and apart_mm + length_mm >= span_mm:
        sentence = f"is {length_mm:g} mm and reaches to {apart_mm / 2 + length_mm / 2:g} mm from "
        sentence += f"the middle, but the bed's rollers stand at {span_mm / 2:g} mm; "
        raise refuse("ram_mm", sentence + "give less, or a longer span_mm")
    least_mm = min(span_mm, apart_mm) if rollers and apart_mm else span_mm
    if 2 * radius_mm > least_mm:
        sentence = f"is {radius_mm:g} mm but two rollers beside each other are {least_mm:g} mm "
        raise refuse("radius_mm", sentence + f"apart; give {least_mm / 2:g} mm or less")


def _roller(given: Given, direction: Vector, at_mm: float) -> Support:
    friction, band_mm, radius_mm = (
        given.numbers[name] for name in ("friction", "band_mm", "radius_mm")
    )
    return Support("roller", direction, friction, band_mm, radius_mm, at_mm=at_mm)


def _ram(given: Given, direction: Vector, at_mm: float) -> Support:
    """Return what the ram presses with: a roller as those of the bed, a plate or a saddle."""
    roller = replace(_roller(given, direction, at_mm), of_ram=True)
    kind, length_mm = given.choices["ram"], given.numbers["ram_mm"]
    if kind == "roller":
        return roller
    saddle = kind == "saddle"
    return replace(roller, kind="saddle" if saddle else "plate", radius_mm=None, band_mm=length_mm)


def _up(given: Given) -> Vector:
    """Return the direction from the bed to the bar: against (0, sin a, -cos a) of the ram."""
    angle = math.radians(given.numbers["direction_deg"])
    return 0.0, -math.sin(angle), math.cos(angle)
