"""A chart of one figure against another: curves with their points, labelled marks, levels."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from studies.page.chart import (
    LEFT,
    MOST_PLACES,
    RIGHT,
    TOP,
    WIDTH,
    Path,
    Tick,
    ValueAxis,
    broken_line,
)

FOOT = 40.0
"""Below a graph, for the values and the name of its axis."""

ROOM, LEVEL_ROOM = 0.05, 0.16
"""Share of the span kept free beyond the largest value, and beyond a level and its words."""

LETTER, LINE = 6.6, 13.0
"""Width of a letter and height of a line of a label, in chart units."""

ASIDE = (9.0, -9.0)
DOWN = (4.0, 19.0, -11.0, 34.0, -26.0, 49.0, 64.0, 79.0, 94.0)
"""Where a label may begin, from its mark: to its right or left, and how far below it."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Curve:
    """A curve.

    Attributes:
        name: In words, as the key shows it.
        style: Class of the page's style.
        x: (n,) in the graph's unit to the right.
        y: (n,) in its unit upwards; not finite where the curve is broken.
    """

    name: str
    style: str
    x: Floats
    y: Floats


@dataclass(frozen=True)
class Mark:
    """A place that a graph names, in its units."""

    x: float
    y: float
    words: str
    kind: str


@dataclass(frozen=True)
class Label:
    """A mark as the template draws it, in chart units.

    Attributes:
        x: Of the mark.
        y: Of the mark.
        words: What it is.
        kind: Class of the page's style.
        text_x: Where its words begin or end.
        text_y: Their line.
        anchor: start or end.
    """

    x: float
    y: float
    words: str
    kind: str
    text_x: float
    text_y: float
    anchor: str


@dataclass(frozen=True)
class Dot:
    """A point of a curve in chart units, and its number in the view, if it has one."""

    x: float
    y: float
    step: int | None


@dataclass(frozen=True)
class Level:
    """A height that matters, in chart units, what it is, and the line of its words."""

    at: float
    words: str
    text_y: float


@dataclass(frozen=True)
class Graph:
    """A graph ready to draw.

    Attributes:
        name: Short, file-name safe.
        title: Of what is drawn upwards, with the unit.
        across: Of what is drawn to the right, with the unit.
        words: Its text alternative.
        height: In chart units.
        paths: Its curves.
        dots: Its points.
        labels: Its marks.
        levels: Heights that matter, and what they are.
        x_ticks: To the right.
        y_ticks: Upwards.
    """

    name: str
    title: str
    across: str
    words: str
    height: float
    paths: tuple[Path, ...]
    dots: tuple[Dot, ...]
    labels: tuple[Label, ...]
    levels: tuple[Level, ...]
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]


@dataclass(frozen=True, eq=False)
class Drawing:
    """What a graph is drawn from.

    Attributes:
        name: Short, file-name safe.
        title: Of what is drawn upwards, with the unit.
        across: Of what is drawn to the right, with the unit.
        words: Its text alternative.
        height: In chart units.
        curves: The curves.
        points: (n, 2) points of them.
        steps: Number in the view of each point, None where it has none.
        marks: Places that are named.
        levels: Values that matter, and what they are; the graph reaches up to them.
    """

    name: str
    title: str
    across: str
    words: str
    height: float
    curves: Sequence[Curve]
    points: Floats
    steps: Sequence[int | None]
    marks: Sequence[Mark] = ()
    levels: Sequence[tuple[float, str]] = ()


def graph(drawing: Drawing, least_x: float, most_x: float) -> Graph:
    """Return a graph that reaches from `least_x` to `most_x`, so that several can share it."""
    across = ValueAxis(least_x, most_x, LEFT, WIDTH - RIGHT, MOST_PLACES)
    up = _upwards(drawing)
    drawn = [(across.places(one.x), up.places(one.y)) for one in drawing.curves]
    dots = [(across.place(float(x)), up.place(float(y))) for x, y in drawing.points]
    places = [(across.place(mark.x), up.place(mark.y)) for mark in drawing.marks]
    levels = tuple(_levels(drawing, up))
    return Graph(
        drawing.name,
        drawing.title,
        drawing.across,
        drawing.words,
        drawing.height,
        tuple(
            Path(one.name, one.style, broken_line(x, y), "", 0.0, 0.0)
            for one, (x, y) in zip(drawing.curves, drawn, strict=True)
        ),
        tuple(Dot(x, y, step) for (x, y), step in zip(dots, drawing.steps, strict=True)),
        tuple(_labels(drawing, places, [*drawn, *_strokes(levels)])),
        levels,
        across.ticks,
        up.ticks,
    )


def _upwards(drawing: Drawing) -> ValueAxis:
    values = [one.y[np.isfinite(one.y)] for one in drawing.curves]
    most = max([0.0, *(float(some.max()) for some in values)])
    least = min([0.0, *(float(some.min()) for some in values)])
    most = max([most, *(value for value, _ in drawing.levels)]) or 1.0
    span, above = most - least, LEVEL_ROOM if drawing.levels else ROOM
    low = least - (ROOM * span if least < 0 else 0)
    return ValueAxis(low, most + above * span, drawing.height - FOOT, TOP)


def _levels(drawing: Drawing, up: ValueAxis) -> Iterator[Level]:
    """Yield the levels, their words above them unless the next line is too close there."""
    places = [up.place(value) for value, _ in drawing.levels]
    for at, (_, words) in zip(places, drawing.levels, strict=True):
        crowded = any(0 < at - other < LINE + 4 for other in places)
        yield Level(at, words, at + LINE if crowded else at - 4)


def _strokes(levels: Sequence[Level]) -> list[tuple[Floats, Floats]]:
    ends = np.array([LEFT, WIDTH - RIGHT])
    return [(ends, np.full(2, level.at)) for level in levels]


def _labels(
    drawing: Drawing, places: Sequence[tuple[float, float]], drawn: Sequence[tuple[Floats, Floats]]
) -> Iterator[Label]:
    """Yield the marks with their words where they hide neither each other nor a curve."""
    taken: list[Box] = [(x - 5, y - 5, x + 5, y + 5) for x, y in places]
    ink = np.concatenate([_ink(x, y) for x, y in drawn])
    for mark, (x, y) in zip(drawing.marks, places, strict=True):
        choices = [(x + aside, y + down, aside > 0) for down in DOWN for aside in ASIDE]
        boxes = [_box(*choice, mark.words) for choice in choices]
        best = min(range(len(boxes)), key=lambda k: _hidden(boxes[k], taken, ink, drawing.height))
        taken.append(boxes[best])
        text_x, text_y, right = choices[best]
        yield Label(x, y, mark.words, mark.kind, text_x, text_y, "start" if right else "end")


def _box(x: float, y: float, right: bool, words: str) -> Box:
    wide = LETTER * len(words)
    return (x if right else x - wide), y - LINE + 3, (x + wide if right else x), y + 3


def _hidden(box: Box, taken: Sequence[Box], ink: Floats, height: float) -> float:
    """Return how much a label in a box would cover, far more for what leaves the frame."""
    left, top, right, bottom = box
    beyond = left < LEFT or right > WIDTH - RIGHT or top < TOP or bottom > height - FOOT
    others = sum(left < o[2] and right > o[0] and top < o[3] and bottom > o[1] for o in taken)
    x, y = ink.T
    covered = np.count_nonzero((x > left) & (x < right) & (y > top) & (y < bottom))
    return 1000.0 * beyond + 100.0 * others + float(covered)


def _ink(x: Floats, y: Floats) -> Floats:
    """Return places (m, 2) along a curve, close enough to find what lies on it."""
    share = np.linspace(0, 1, 40)
    starts, ends = (np.stack([x, y], axis=-1)[part] for part in (slice(-1), slice(1, None)))
    every = (starts[:, None] + share[:, None] * (ends - starts)[:, None]).reshape(-1, 2)
    result: Floats = every[np.isfinite(every).all(axis=1)]
    return result
