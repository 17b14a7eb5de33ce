"""Charts of press records: force over travel, drawn for a desk and anew for a phone."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np

from geometry.arrays import Floats
from studies.page.chart import Tick, ValueAxis, broken_line

ROOM = 1.06
"""How much further than its curves a chart reaches."""


@dataclass(frozen=True)
class Size:
    """A chart's own units, in which letters are 13 high, and how many ticks have room."""

    name: str
    width: float
    height: float
    left: float
    foot: float
    ticks: int


WIDE = Size("wide", 940.0, 400.0, 62.0, 46.0, 10)
NARROW = Size("narrow", 360.0, 300.0, 50.0, 44.0, 5)
TOP, RIGHT = 14.0, 12.0

LETTER = 20.0
"""Least distance of two letters."""


@dataclass(frozen=True, eq=False)
class Curve:
    """Places (n,) to the right and upwards, with name, class of the style, and a letter."""

    name: str
    style: str
    x: Floats
    y: Floats
    letter: str = ""


@dataclass(frozen=True, eq=False)
class Area:
    """What lies between two heights (n,) over places (n,)."""

    name: str
    x: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, eq=False)
class Spot:
    """A place with its mark."""

    words: str
    x: float
    y: float


@dataclass(frozen=True, eq=False)
class Content:
    """What a chart shows: titles with units, curves, areas below them, marked places."""

    title: str
    across: str
    curves: tuple[Curve, ...]
    areas: tuple[Area, ...] = ()
    spots: tuple[Spot, ...] = ()


@dataclass(frozen=True)
class Stroke:
    """A curve as the template draws it; its letter stands at the end."""

    name: str
    style: str
    d: str
    letter: str
    x: float
    y: float


@dataclass(frozen=True)
class BenchChart:
    """A chart ready to draw."""

    size: Size
    title: str
    across: str
    bottom: float
    right: float
    strokes: tuple[Stroke, ...]
    areas: tuple[Stroke, ...]
    spots: tuple[tuple[str, float, float], ...]
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]


def charts(content: Content) -> tuple[BenchChart, BenchChart]:
    """Return a chart for a desk and one for a phone."""
    return _chart(content, WIDE), _chart(content, NARROW)


def _chart(content: Content, size: Size) -> BenchChart:
    bottom, right = size.height - size.foot, size.width - RIGHT
    least = min(0.0, *(float(one.x.min()) for one in content.curves))
    most = ROOM * max(float(one.x.max()) for one in content.curves)
    highest = ROOM * max(_heights(content))
    across = ValueAxis(least, most, size.left, right, size.ticks)
    up = ValueAxis(0.0, highest, bottom, TOP)
    return BenchChart(
        size,
        content.title,
        content.across,
        bottom,
        right,
        tuple(_strokes(content.curves, across, up)),
        tuple(_areas(content.areas, across, up)),
        tuple((one.words, across.place(one.x), up.place(one.y)) for one in content.spots),
        across.ticks,
        up.ticks,
    )


def _heights(content: Content) -> Iterator[float]:
    yield from (float(one.y.max()) for one in content.curves)
    yield from (float(one.high.max()) for one in content.areas)


def _strokes(curves: Sequence[Curve], across: ValueAxis, up: ValueAxis) -> Iterator[Stroke]:
    """Yield the curves; a letter stands at its curve's top, beside those of curves like it."""
    taken: list[tuple[float, float]] = []
    for one in curves:
        x, y = across.places(one.x), up.places(one.y)
        top = int(np.argmin(y))
        at = float(x[top])
        while any(hypot(at - a, y[top] - b) < LETTER for a, b in taken):
            at -= LETTER
        if one.letter:
            taken.append((at, float(y[top])))
        yield Stroke(one.name, one.style, broken_line(x, y), one.letter, at, float(y[top]))


def _areas(areas: Sequence[Area], across: ValueAxis, up: ValueAxis) -> Iterator[Stroke]:
    for one in areas:
        x = across.places(np.concatenate([one.x, one.x[::-1]]))
        y = up.places(np.concatenate([one.high, one.low[::-1]]))
        yield Stroke(one.name, "band", broken_line(x, y) + "Z", "", x[0], y[0])
