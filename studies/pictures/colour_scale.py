"""The colour scale below a picture: its numbers, and the words at its end."""

from dataclasses import dataclass

import numpy as np
from matplotlib.ticker import MaxNLocator

from geometry.arrays import Floats
from studies.pictures.labels import Box
from studies.pictures.lettering import (
    ASCENT,
    DESCENT,
    Lettering,
    box_of,
    number_words,
    width_of,
)
from studies.pictures.palette import INK

HIGH, TICK = 24, 8
"""Dots of the scale, and of the strokes to its numbers."""

APART = 36
"""Least distance of two numbers, in dots."""

ROOT_TICKS = (0.0, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
"""Numbers of a scale by the root."""

BEYOND = " or more"


@dataclass(frozen=True)
class Legend:
    """The colour scale from 0 to `end`; values in `ticked` get a mark across it.

    Where it goes `by_root` small values have more of it; where it is `open` it ends before they do.
    """

    title: str
    end: float
    ticked: tuple[float, ...] = ()
    by_root: bool = False
    open: bool = False

    def share(self, value: Floats) -> Floats:
        """Return where values (...,) stand on the ramp, 0 to 1."""
        share: Floats = np.clip(np.asarray(value, dtype=float) / self.end, 0.0, 1.0)
        return np.sqrt(share) if self.by_root else share


def end_words(end: float, *, beyond: bool) -> str:
    """Return the number at the end of a scale, and that values beyond it have its colour."""
    exact, rounded = f"{end:g}", number_words(end)
    return min(exact, rounded, key=len) + (BEYOND if beyond else "")


def ticks(legend: Legend) -> list[float]:
    """Return the values below the end that may have a number, ascending."""
    if legend.by_root:
        return [one for one in ROOT_TICKS if one < legend.end]
    steps = MaxNLocator(5).tick_values(0, legend.end)
    return [float(one) for one in steps if 0 <= one < legend.end]


def scale_box(left: float, top: float, wide: float, size: float) -> Box:
    """Return the box of a scale whose title, of a size of type, begins below a height."""
    high = top - size * (ASCENT + DESCENT) - 6
    return Box(left, high - HIGH, left + wide, high)


def numbers(legend: Legend, box: Box, size: float) -> list[Lettering]:
    """Return the numbers below a scale, the end's first; those that have no room are left out."""
    return [words for _, words in _numbered(legend, box, size)]


def marked_shares(legend: Legend, box: Box, size: float) -> list[float]:
    """Return where on the scale its numbers have a stroke."""
    return [share for share, _ in _numbered(legend, box, size)]


def _numbered(legend: Legend, box: Box, size: float) -> list[tuple[float, Lettering]]:
    last = end_words(legend.end, beyond=legend.open)
    found = [(1.0, _number(last, 1.0, box, size))]
    for value in ticks(legend):
        share = float(legend.share(np.array(value)))
        one = _number(f"{value:g}", share, box, size)
        if all(_is_apart(one, other) for _, other in found):
            found.append((share, one))
    return found


def _number(words: str, share: float, box: Box, size: float) -> Lettering:
    """Return a number centred under its place, within the scale's ends."""
    wide = width_of(words, size)
    x = box.left + share * (box.right - box.left) - wide / 2
    low = box.bottom - TICK - 3 - ASCENT * size
    return Lettering(float(np.clip(x, box.left, box.right - wide)), low, words, size, INK)


def _is_apart(one: Lettering, other: Lettering) -> bool:
    first, second = box_of(one), box_of(other)
    return first.right + APART <= second.left or second.right + APART <= first.left
