"""A drawing of lines, areas and words that a sheet and a page show alike.

Its units are those of the page's charts; x runs to the right and y upwards.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from studies.pictures.palette import FAINT, INK, LOAD, PAPER, REACTION

Style = Literal[
    "tube", "clamp", "part", "ground", "hatch", "load", "reaction", "faint", "words", "paper"
]
Anchor = Literal["start", "middle", "end"]

FROM_OUTSIDE = 22.0
"""Length of an arrow that points at a short dimension."""

LETTER, LINE = 6.6, 15.0
"""Width of a letter and height of a line of words."""

HEAD = 11.0
"""Length of an arrow's head."""

HATCH = 8.0
"""Distance and depth of the strokes below a ground."""


@dataclass(frozen=True)
class Look:
    """Colours and width of a style's lines; `fill` of its areas."""

    line: str
    width: float
    fill: str


LOOKS: dict[Style, Look] = {
    "tube": Look(INK, 1.2, "#cdd5dc"),
    "clamp": Look(INK, 1.2, "#d9d6cd"),
    "part": Look(INK, 1.2, PAPER),
    "ground": Look(INK, 1.6, INK),
    "hatch": Look(FAINT, 0.8, FAINT),
    "load": Look(LOAD, 2.0, LOAD),
    "reaction": Look(REACTION, 2.0, REACTION),
    "faint": Look(FAINT, 0.9, FAINT),
    "words": Look(INK, 1.0, INK),
    "paper": Look(PAPER, 0.0, PAPER),
}


@dataclass(frozen=True, eq=False)
class Area:
    """Closed outlines (n, 2), each counter-clockwise, drawn as one without lines between."""

    outlines: tuple[Floats, ...]
    style: Style


@dataclass(frozen=True, eq=False)
class Stroke:
    """A line through places (n, 2)."""

    places: Floats
    style: Style


@dataclass(frozen=True)
class Words:
    """A line of words: where it begins, has its middle or ends, and its base line.

    What is `fixed` belongs to a line or circle that it stands on.
    """

    x: float
    y: float
    text: str
    anchor: Anchor = "middle"
    style: Style = "words"
    fixed: bool = False


Part = Area | Stroke | Words


@dataclass(frozen=True, eq=False)
class LineDrawing:
    """Parts in the order in which they are drawn, and the drawing's size."""

    width: float
    height: float
    parts: tuple[Part, ...]


def area(outline: Floats | Sequence[Sequence[float]], style: Style) -> Area:
    """Return one closed outline."""
    return Area((np.asarray(outline, dtype=float),), style)


def circle(centre: Floats, radius: float, style: Style) -> Area:
    """Return a circle."""
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    return area(centre + radius * np.column_stack([np.cos(turn), np.sin(turn)]), style)


def box(low: Floats, high: Floats, style: Style) -> Area:
    """Return an upright rectangle between two corners."""
    (x0, y0), (x1, y1) = low, high
    return area([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], style)


def arrow(tail: Floats, tip: Floats, style: Style) -> list[Part]:
    """Return an arrow."""
    along = (tip - tail) / np.linalg.norm(tip - tail)
    side, neck = np.array([-along[1], along[0]]), tip - HEAD * along
    head = area(np.stack([tip, neck + 0.38 * HEAD * side, neck - 0.38 * HEAD * side]), style)
    return [Stroke(np.stack([tail, neck]), style), head]


def ground(start: Floats, end: Floats) -> list[Part]:
    """Return a line from start to end and strokes on its right: what stands still."""
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length
    down = np.array([along[1], -along[0]])
    places = np.arange(0.5 * HATCH, length, HATCH)
    feet = [start + place * along for place in places]
    strokes = [Stroke(np.stack([at, at + HATCH * (down - along)]), "hatch") for at in feet]
    return [*strokes, Stroke(np.stack([start, end]), "ground")]


def dimension(
    left: float, right: float, y: float, top: float, text: str, letter: float = LETTER
) -> list[Part]:
    """Return a dimension at height `y`, with lines up to `top`, and its words in the middle.

    A short one is pointed at from outside, and its words stand beside it.
    """
    ends = [np.array([x, y]) for x in (left, right)]
    middle = (ends[0] + ends[1]) / 2
    lines = [Stroke(np.array([[x, top], [x, y - 4]]), "faint") for x in (left, right)]
    if right - left < letter * len(text) + 2 * FROM_OUTSIDE:
        tails = [
            end + np.array([way * FROM_OUTSIDE, 0]) for end, way in zip(ends, (-1, 1), strict=True)
        ]
        beside = Words(right + FROM_OUTSIDE + 4, y - 4, text, "start", fixed=True)
        words: list[Part] = [beside]
    else:
        tails, words = [middle, middle], on_paper(Words(float(middle[0]), y - 4, text), letter)
    heads = [part for pair in zip(tails, ends, strict=True) for part in arrow(*pair, "faint")]
    return [*lines, *heads, *words]


def on_paper(words: Words, letter: float = LETTER) -> list[Part]:
    """Return words on a patch of paper that hides what is below."""
    half = 0.5 * letter * len(words.text) + 4
    words = replace(words, fixed=True)
    low = np.array([words.x - half, words.y - 3])
    return [box(low, low + np.array([2 * half, LINE]), "paper"), words]
