"""Words on a sheet before they are drawn: how wide they are, how they wrap, which box they take.

Lengths are in dots, sizes of type likewise. Nothing here draws.
"""

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import accumulate

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties

from studies.pictures.labels import Box

DOTS = 100
"""To an inch."""

ASCENT, DESCENT, LEADING = 0.8, 0.24, 1.26
"""Of a line above and below its base line, and from line to line, over the size of its type."""

UNIT = re.compile(r"(?<=\d) (?=(?:N·m|N|mm|MPa|deg|%)(?:\W|$))")
"""The space between a number and its unit, where no line ends."""

MORE = " …"
"""At the end of words that were cut."""


@dataclass(frozen=True)
class Lettering:
    """A line of words at a place: x of its left end and y of its base line."""

    x: float
    y: float
    words: str
    size: float
    colour: str
    bold: bool = False


def points(size: float) -> float:
    """Return a size of type in points."""
    return size * 72 / DOTS


def font(size: float, *, bold: bool = False) -> FontProperties:
    """Return the type of a size."""
    return FontProperties(size=points(size), weight="bold" if bold else "normal")


@lru_cache(maxsize=4096)
def width_of(words: str, size: float, *, bold: bool = False) -> float:
    """Return how wide a line of words is."""
    wide, _, _ = _renderer().get_text_width_height_descent(
        words, font(size, bold=bold), ismath=False
    )
    return float(wide)


@cache
def _renderer() -> RendererAgg:
    return FigureCanvasAgg(Figure(figsize=(0.1, 0.1), dpi=DOTS)).get_renderer()


def size_of(lines: list[str], size: float) -> tuple[float, float]:
    """Return width and height of lines under each other."""
    high = size * (ASCENT + DESCENT + LEADING * (len(lines) - 1))
    return max(width_of(line, size) for line in lines), high


def box_of(one: Lettering) -> Box:
    """Return the box that a line of words takes."""
    right = one.x + width_of(one.words, one.size, bold=one.bold)
    return Box(one.x, one.y - DESCENT * one.size, right, one.y + ASCENT * one.size)


def wrapped(
    words: str, size: float, wide: float, most: int = 99, *, bold: bool = False
) -> list[str]:
    """Return words as lines that are at most so wide, cut after `most` lines."""
    lines: list[str] = []
    for word in UNIT.sub("\u00a0", words).split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, size, bold=bold) <= wide:
            lines[-1] = longer
        else:
            lines += _broken(word, size, wide, bold=bold)
    if len(lines) <= most:
        return lines
    room = wide - width_of(MORE, size, bold=bold)
    return [*lines[: most - 1], _broken(lines[most - 1], size, room, bold=bold)[0] + MORE]


def _broken(word: str, size: float, wide: float, *, bold: bool) -> list[str]:
    """Return a word in pieces that fit."""
    if width_of(word, size, bold=bold) <= wide:
        return [word]
    ends = accumulate(width_of(sign, size, bold=bold) for sign in word)
    count = max(sum(1 for end in ends if end <= wide), 1)
    return [word[:count], *_broken(word[count:], size, wide, bold=bold)] if word[count:] else [word]


def lines_below(
    lines: list[str], top: float, size: float, colour: str, *, left: float, bold: bool = False
) -> list[Lettering]:
    """Return lines under each other, the first one's box just below a height."""
    first = top - ASCENT * size
    return [
        Lettering(left, first - LEADING * size * row, words, size, colour, bold)
        for row, words in enumerate(lines)
    ]


def number_words(value: float) -> str:
    """Return a number with three significant digits, whole from 100 on: `7.79`, `18.5`, `984`."""
    if value == 0 or abs(value) >= 99.95:
        return f"{value:.0f}"
    decimals = 2 - int(np.floor(np.log10(abs(value))))
    return f"{value:.{min(decimals, 4)}f}"
