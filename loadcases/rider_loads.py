"""The mechanics of the rider's loads, in gravity axes; their numbers are in `cases/*.toml`.

No peak force of a hand could be read anywhere: all of these are estimates, and
their sources say so.
"""

import math

import numpy as np

from geometry.bar import Bar
from geometry.centreline import locate
from geometry.errors import refuse
from loadcases.axes import Vector
from loadcases.load import SIDES, Load, Side, from_end_to_s_mm
from loadcases.template import Built, Given

G_M_S2 = 9.80665
"""Standard gravity, exact by definition (3rd CGPM, 1901)."""


def standing_sprint(given: Given, bar: Bar) -> Built:
    """Return a pull on the side of the pushing foot and a push on the other.

    The couple of the pedal force about the mid-plane, F_pedal a, is reacted by the
    hands at their spacing s: F = F_pedal a / s. Derived, textbook statics.
    """
    numbers = given.numbers
    pedal_n = numbers["pedal_body_weights"] * numbers["rider_kg"] * G_M_S2
    spacing_mm = _grip_spacing_mm(given, bar)
    hand_n = pedal_n * numbers["foot_arm_mm"] / spacing_mm
    pulling, pushing = _sides(given)
    note = (
        f"Grip spacing {spacing_mm:.0f} mm: the {pulling} hand pulls up and the {pushing} hand "
        f"pushes down with {hand_n:.0f} N."
    )
    up, down = (0.0, 0.0, hand_n), (0.0, 0.0, -hand_n)
    return Built((_hand(pulling, given, up), _hand(pushing, given, down)), (note,))


def seated_climb_pull(given: Given, bar: Bar) -> Built:
    """Return the same rearward pull on both grips."""
    return _both(given, (0.0, -given.numbers["pull_n"], 0.0))


def hard_braking(given: Given, bar: Bar) -> Built:
    """Return forward and downward push on both grips.

    Forward per hand: F = share m a / 2. Derived, textbook statics.
    """
    numbers = given.numbers
    deceleration = numbers["deceleration_g"] * G_M_S2
    forward_n = numbers["hands_share"] * numbers["rider_kg"] * deceleration / 2
    return _both(given, (0.0, forward_n, -numbers["down_n"]))


def drop_landing(given: Given, bar: Bar) -> Built:
    """Return a push down and forward on both grips.

    Per hand: F = body weights at the front wheel x share through the arms / 2. Derived.
    """
    numbers = given.numbers
    wheel_n = numbers["wheel_body_weights"] * numbers["rider_kg"] * G_M_S2
    hand_n, angle = wheel_n * numbers["arms_share"] / 2, math.radians(numbers["forward_deg"])
    return _both(given, (0.0, hand_n * math.sin(angle), -hand_n * math.cos(angle)))


def lift_one_end(given: Given, bar: Bar) -> Built:
    """Return an upward force on one grip."""
    return Built((_hand(_sides(given)[0], given, (0.0, 0.0, given.numbers["up_n"])),))


def _both(given: Given, force_n: Vector) -> Built:
    return Built(tuple(_hand(side, given, force_n) for side in SIDES))


def _hand(side: Side, given: Given, force_n: Vector) -> Load:
    numbers = given.numbers
    return Load(
        force_n=force_n,
        band_mm=numbers["band_mm"],
        side=side,
        from_end_mm=numbers["grip_from_end_mm"],
    )


def _sides(given: Given) -> tuple[Side, Side]:
    """Return the chosen side and the other one."""
    return ("left", "right") if given.choices["side"] == "left" else ("right", "left")


def _grip_spacing_mm(given: Given, bar: Bar) -> float:
    """Return the distance in x between the two grip places."""
    from_end_mm = given.numbers["grip_from_end_mm"]
    at_mm = [from_end_to_s_mm(bar.line, side, from_end_mm) for side in SIDES]
    x_mm = locate(bar.line, np.array(at_mm)).position_mm[:, 0]
    spacing_mm = float(x_mm[1] - x_mm[0])
    if spacing_mm <= 0:
        raise refuse(
            "grip_from_end_mm",
            f"is {from_end_mm:g} mm, where the right hand would be left of the left one; "
            "give a place on the grip",
        )
    return spacing_mm
