"""Places on a bar, large numbers and shares in words that a workshop understands."""

from typing import Literal

import numpy as np

from geometry.bar import Bar, axes

SIDE_SHARE = 0.38
"""A direction names a second side where it leans there by more than sin 22.5 deg."""


def side_of(s_mm: float) -> Literal["left", "right"]:
    """Return which half of the bar a place lies on; the clamp centre counts as right."""
    return "left" if s_mm < 0 else "right"


def facing_in_words(bar: Bar, s_mm: float, theta_rad: float) -> str:
    """Return where the outer surface faces at (s, theta), by its normal in the bar's own axes.

    After bends theta alone does not determine the facing; the normal does. Inboard is towards the
    clamp.
    """
    x, y, z = axes(bar, np.array(s_mm), np.array(theta_rad))[2]
    outboard = x if s_mm >= 0 else -x
    leanings = {
        "top": z,
        "underside": -z,
        "front": y,
        "rear": -y,
        "outboard": outboard,
        "inboard": -outboard,
    }
    first, second = sorted(leanings, key=lambda name: -leanings[name])[:2]
    return f"{first} towards {second}" if leanings[second] > SIDE_SHARE else first


def place_in_words(bar: Bar, s_mm: float, theta_rad: float, surface: str = "outer") -> str:
    """Return a place: side, mm along the tube from the clamp centre, facing, inner surface."""
    facing = facing_in_words(bar, s_mm, theta_rad)
    inside = ", inner surface" if surface == "inner" else ""
    return f"{on_ruler(s_mm)}, {facing}{inside}"


def on_ruler(s_mm: float, decimals: int = 0) -> str:
    """Return a place on the one ruler that every output has: `right 142 mm`."""
    return f"{side_of(s_mm)} {abs(s_mm):.{decimals}f} mm"


def reach_in_words(from_mm: float, to_mm: float) -> str:
    """Return a length of the bar on the same ruler: `right 93 to 222 mm`."""
    low, high = sorted((from_mm, to_mm), key=abs)
    if from_mm < 0 < to_mm:
        return f"{on_ruler(from_mm)} to {on_ruler(to_mm)}"
    if round(abs(high)) == round(abs(low)):
        return on_ruler(high)
    return f"{side_of(high)} {abs(low):.0f} to {abs(high):.0f} mm"


def grouped(number: float) -> str:
    """Return a whole number with its thousands apart: `100 000`."""
    return f"{number:,.0f}".replace(",", " ")


def rounded_cycles(cycles: float) -> str:
    """Return a number of cycles with two significant digits, thousands apart."""
    return grouped(float(f"{cycles:.2g}"))


MOST_UTILISATION = 10.0
"""Utilisation above which its figure says no more than that it is far beyond its range."""


def utilisation_in_words(utilisation: float) -> str:
    """Return a utilisation with two decimals, `over 10` where a figure would mean nothing."""
    if utilisation > MOST_UTILISATION:
        return f"over {MOST_UTILISATION:g}"
    return f"{utilisation:.2f}"


def percent(value: float) -> str:
    """Return a share in percent with two significant digits; below 0.1 only that it is."""
    return "< 0.1 %" if value < 0.1 else f"{value:.2g} %"


def capitalised(text: str) -> str:
    """Return text as it stands at the beginning of a sentence; names in it stay as they are."""
    return text[:1].upper() + text[1:]


def short(text: str, signs: int) -> str:
    """Return a text of at most so many signs, with dots where it was cut."""
    return text if len(text) <= signs else f"{text[: signs - 2].rstrip()} …"
