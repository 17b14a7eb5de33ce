"""How many times a deformation is drawn larger than it is."""

import numpy as np

DRAWN_SHARE = 0.08
"""Largest drawn displacement over the bar's length."""


def drawn_scale(largest_mm: float, length_mm: float) -> float:
    """Return the 1-2-5 factor that draws `largest_mm` as about 8 % of `length_mm`."""
    if not largest_mm > 0:
        return 1.0
    wanted = DRAWN_SHARE * length_mm / largest_mm
    decade = 10.0 ** np.floor(np.log10(wanted))
    return float(decade * max(step for step in (1, 2, 5) if step * decade <= wanted * 1.0001))


def scale_words(scale: float) -> str:
    """Return a factor in words: `5 times`, `true to scale` for 1."""
    return "true to scale" if scale == 1 else f"{scale:g} times"
