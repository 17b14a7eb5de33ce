"""Zeros of many falling functions at once, each between two ends."""

from collections.abc import Callable

import numpy as np

from geometry.arrays import Floats

MAX_STEPS = 80
"""Twice what halves alone would take; about nine are usual."""

ERROR = 3e-11
"""Of a zero, absolute; no unit."""


def falling_zero(
    function: Callable[[Floats], Floats], ends: tuple[Floats, Floats], values: tuple[Floats, Floats]
) -> Floats:
    """Return (n,) the zeros of a function of (n,), each falling; numbers without unit.

    Args:
        function: Its values must be finite; they may jump.
        ends: Where to search, (n,) each.
        values: Of the function there; where both have one sign there is none, and the result
            is any number.

    Source: T. R. Chandrupatla, Adv. Eng. Softw. 28 (1997) 145-149: inverse quadratic steps where
    three points allow, halves elsewhere; from memory, unverified.
    """
    (b, a), (fb, fa) = ends, values
    sought = (fb > 0) & (fa < 0)
    part = np.full(len(a), 0.5)
    for _ in range(MAX_STEPS):
        new = a + part * (b - a)
        value = function(new)
        same = (value > 0) == (fa > 0)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        b, fb = np.where(same, b, a), np.where(same, fb, fa)
        a, fa = new, value
        width = np.abs(b - a)
        if np.all(width[sought] <= ERROR):
            break
        part = _next_part((a, b, c), (fa, fb, fc))
        least = np.minimum(ERROR / np.where(width > 0, width, 1.0) / 2, 0.5)
        part = np.clip(part, least, 1 - least)
    return np.where(np.abs(fa) < np.abs(fb), a, b)


def _next_part(points: tuple[Floats, ...], values: tuple[Floats, ...]) -> Floats:
    """Return (n,): where between a and b to go on, by the parabola through a, b, c or in halves."""
    (a, b, c), (fa, fb, fc) = points, values
    with np.errstate(divide="ignore", invalid="ignore"):
        place, share = (a - b) / (c - b), (fa - fb) / (fc - fb)
        fits = (share**2 < place) & ((1 - share) ** 2 < 1 - place)
        curved = fa / (fb - fa) * fc / (fb - fc)
        curved += (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    return np.where(fits & np.isfinite(curved), curved, 0.5)
