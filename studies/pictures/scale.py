"""How many times a deformation is drawn larger than it is."""

import numpy as np

DRAWN_SHARE = 0.08
"""Largest drawn displacement over the bar's length."""


def drawn_scale(largest_mm: float, length_mm: float) -> float:
    """Return the 1-2-5 factor that draws `largest_mm` as about 8 % of `length_mm`."""
    if not largest_mm > 0:
        return 1.0
    exact = DRAWN_SHARE * length_mm / largest_mm
    decade = 10.0 ** np.floor(np.log10(exact))
    return float(decade * max(step for step in (1, 2, 5) if step * decade <= exact * 1.0001))


def scale_words(scale: float) -> str:
    """Return a factor in words: `x 5`, `true to scale` for 1."""
    return "true to scale" if scale == 1 else f"x {scale:g}"
