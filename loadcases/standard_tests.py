"""The mechanics of the standard's tests, in steerer axes; their numbers are in `cases/*.toml`."""

import math

import numpy as np

from geometry.bar import Bar
from geometry.centreline import locate
from loadcases.axes import Vector, rotation_about_x
from loadcases.load import SIDES, Load, Side, from_end_to_s_mm
from loadcases.template import Built, Given

STRESS_ONLY = "Slip in the stem is assessed where the study gives the clamp's bolts."


def bar_bending(given: Given, bar: Bar) -> Built:
    """Return one force on one side."""
    side: Side = "left" if given.choices["side"] == "left" else "right"
    return Built((_force_on(side, given, _tilted_down(given)),))


def fatigue_out_of_phase(given: Given, bar: Bar) -> Built:
    """Return the force on the right and its opposite on the left."""
    x, y, z = _tilted_down(given)
    return Built((_force_on("right", given, (x, y, z)), _force_on("left", given, (-x, -y, -z))))


def fatigue_in_phase(given: Given, bar: Bar) -> Built:
    """Return the same force on both sides."""
    force = _tilted_down(given)
    return Built(tuple(_force_on(side, given, force) for side in ("right", "left")))


def torsional_security(given: Given, bar: Bar) -> Built:
    """Return the torque about the clamp's axis, half of it from each side.

    By vertical forces where both places lie far enough off the axis in y and on one
    side of it, else by a moment about x at each band.
    """
    arms = {side: _arm_mm(side, given, bar) for side in SIDES}
    right, left = arms["right"], arms["left"]
    half_nmm = _sense(given, right + left) * given.numbers["torque_nm"] * 1000 / 2
    if min(abs(right), abs(left)) < given.numbers["least_arm_mm"] or right * left < 0:
        return _by_moments(given, half_nmm, arms)
    return _by_forces(given, half_nmm, arms)


def _tilted_down(given: Given) -> Vector:
    """Return force (0, sin a, -cos a): down the steerer, turned forward by a."""
    angle, force = math.radians(given.numbers["direction_deg"]), given.numbers["force_n"]
    return 0.0, force * math.sin(angle), -force * math.cos(angle)


def _force_on(side: Side, given: Given, force_n: Vector) -> Load:
    numbers = given.numbers
    return Load(
        force_n=force_n,
        band_mm=numbers["band_mm"],
        side=side,
        from_end_mm=numbers["from_end_mm"],
    )


def _arm_mm(side: Side, given: Given, bar: Bar) -> float:
    """Return y of the load's place in steerer axes: its arm about the clamp's axis."""
    at_mm = from_end_to_s_mm(bar.line, side, given.numbers["from_end_mm"])
    turn = rotation_about_x(math.radians(bar.spec.roll_deg))
    place_mm = turn @ locate(bar.line, np.array(at_mm)).position_mm
    return float(place_mm[1])


def _sense(given: Given, arms_mm: float) -> int:
    """Return the sign of the torque about x: +1 turns the top of the bar rearward.

    Downward forces turn a bar whose grips lie behind the axis that way.
    """
    sense = given.choices["sense"]
    if sense == "downward":
        return -1 if arms_mm > 0 else 1
    return 1 if sense == "rearward" else -1


def _by_forces(given: Given, half_nmm: float, arms: dict[Side, float]) -> Built:
    # the moment about x of a force along z at arm y is y Fz
    vertical = {side: half_nmm / arm for side, arm in arms.items()}
    way = "downward" if max(vertical.values()) < 0 else "upward"
    arms_text = ", ".join(
        f"{side} {abs(vertical[side]):.0f} N at {arms[side]:.0f} mm" for side in SIDES
    )
    note = f"The torque is applied by {way} forces, half on each side: {arms_text} off the axis."
    return Built(
        tuple(_force_on(side, given, (0.0, 0.0, vertical[side])) for side in SIDES),
        (note, _turns(half_nmm), STRESS_ONLY),
    )


def _by_moments(given: Given, half_nmm: float, arms: dict[Side, float]) -> Built:
    numbers = given.numbers
    arms_text = " and ".join(f"{side} {arms[side]:.0f} mm" for side in SIDES)
    note = (
        f"The torque is applied as {abs(half_nmm) / 1000:g} N m about x on each side: the arms "
        f"about the clamp's axis are {arms_text}, and downward forces need "
        f"{numbers['least_arm_mm']:g} mm on the same side of it."
    )
    loads = tuple(
        Load(
            moment_nmm=(half_nmm, 0.0, 0.0),
            band_mm=numbers["band_mm"],
            side=side,
            from_end_mm=numbers["from_end_mm"],
        )
        for side in SIDES
    )
    return Built(loads, (note, _turns(half_nmm), STRESS_ONLY))


def _turns(half_nmm: float) -> str:
    way = "rearward" if half_nmm > 0 else "forward"
    return f"It rotates the top of the bar {way}; the test requires either sense."
