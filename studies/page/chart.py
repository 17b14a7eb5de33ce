"""Charts along the bar as plain numbers that the template draws: lines, ticks, marks.

All charts of a page share one axis along the bar, so that a place lies below itself.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import floor, log10

import numpy as np

from geometry.arrays import Floats
from studies.records.places import on_ruler

WIDTH, LEFT, RIGHT, TOP, BOTTOM = 1000.0, 64.0, 16.0, 22.0, 24.0
"""Of a chart in its own units; the page scales it."""

HEIGHT = 232.0
MOST_TICKS, MOST_PLACES = 6, 12
ROOM = 0.06
"""Share of the span kept free above and below the lines."""
LEAST_SPAN = 1e-6
"""Of a chart, in N m, MPa, mm or shares: what varies by less is round-off, and a straight line."""


@dataclass(frozen=True, eq=False)
class Line:
    """A curve.

    Attributes:
        name: In words, as the key shows it.
        style: Class of the page's style, which gives colour and dashes.
        s_mm: (n,) places along the bar.
        values: (n,) in the chart's unit; not finite where there is none.
        letter: Drawn on the line, so that colour is not its only mark.
    """

    name: str
    style: str
    s_mm: Floats
    values: Floats
    letter: str = ""


@dataclass(frozen=True)
class Tick:
    """A labelled place on an axis, in chart units."""

    at: float
    words: str


@dataclass(frozen=True)
class Path:
    """A curve as the template draws it."""

    name: str
    style: str
    d: str
    letter: str
    letter_x: float
    letter_y: float


@dataclass(frozen=True)
class Chart:
    """A chart ready to draw.

    Attributes:
        name: Short, file-name safe.
        title: With the unit.
        words: Its text alternative.
        paths: Its curves.
        y_ticks: Upwards.
        zero: Height of zero, None where it is not on the chart.
        level: Height of a value that matters, such as 1 of a utilisation, None without one.
        level_words: What that value is.
    """

    name: str
    title: str
    words: str
    paths: tuple[Path, ...]
    y_ticks: tuple[Tick, ...]
    zero: float | None
    level: float | None = None
    level_words: str = ""


@dataclass(frozen=True)
class Axis:
    """The axis along the bar that all charts share."""

    low_mm: float
    high_mm: float

    def x(self, s_mm: Floats | float) -> Floats:
        """Return places along the bar in chart units, shape of `s_mm`."""
        share = (np.asarray(s_mm, dtype=float) - self.low_mm) / (self.high_mm - self.low_mm)
        result: Floats = LEFT + share * (WIDTH - LEFT - RIGHT)
        return result

    @property
    def ticks(self) -> tuple[Tick, ...]:
        """Return its labelled places."""
        return tuple(
            Tick(float(self.x(value)), words)
            for value, words in _ticks(self.low_mm, self.high_mm, MOST_PLACES)
        )


def chart(
    axis: Axis,
    name: str,
    title: str,
    lines: Sequence[Line],
    level: tuple[float, str] | None = None,
) -> Chart:
    """Return a chart of some lines.

    Args:
        axis: Along the bar.
        name: Short, file-name safe.
        title: With the unit.
        lines: At least one.
        level: A value that matters and what it is; the chart reaches up to it.
    """
    low, high = _span([line.values for line in lines], level[0] if level else None)

    def y(value: Floats | float) -> Floats:
        share = (np.asarray(value, dtype=float) - low) / (high - low)
        result: Floats = HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM)
        return result

    paths = []
    for number, line in enumerate(lines):
        x, up = axis.x(line.s_mm), y(line.values)
        at = _letter_place(line, number, len(lines))
        paths.append(
            Path(
                line.name, line.style, broken_line(x, up), line.letter, float(x[at]), float(up[at])
            )
        )
    return Chart(
        name=name,
        title=title,
        words=_words(lines),
        paths=tuple(paths),
        y_ticks=tuple(Tick(float(y(value)), words) for value, words in _ticks(low, high)),
        zero=float(y(0.0)) if low <= 0 <= high else None,
        level=float(y(level[0])) if level else None,
        level_words=level[1] if level else "",
    )


@dataclass(frozen=True)
class ValueAxis:
    """An axis of values: from `low` at one place of a drawing to `high` at another."""

    low: float
    high: float
    from_: float
    to: float
    most_ticks: int = MOST_TICKS

    def place(self, value: float) -> float:
        """Return where a value stands."""
        return self.from_ + (value - self.low) / (self.high - self.low) * (self.to - self.from_)

    def places(self, values: Sequence[float] | Floats) -> Floats:
        """Return where values (n,) stand."""
        return np.array([self.place(float(value)) for value in values])

    @property
    def ticks(self) -> tuple[Tick, ...]:
        """Return its labelled places."""
        found = _ticks(self.low, self.high, self.most_ticks)
        return tuple(Tick(self.place(value), words) for value, words in found)


def value_axis(values: Sequence[float], from_: float, to: float) -> ValueAxis:
    """Return an axis on which some values stand apart, with room at both ends."""
    low, high = min(values), max(values)
    room = max(0.18 * (high - low), 0.02 * abs(high), 1e-9)
    return ValueAxis(low - room, high + room, from_, to)


def significant(value: float, digits: int = 4) -> str:
    """Return a number with so many significant digits, as people write it."""
    if value == 0 or not np.isfinite(value):
        return "0" if value == 0 else "-"
    decimals = max(0, digits - 1 - floor(log10(abs(value))))
    text = f"{value:.{min(decimals, 6)}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text).replace("-", "\u2212")


def _span(values: Iterable[Floats], level: float | None) -> tuple[float, float]:
    every = np.concatenate([line[np.isfinite(line)] for line in values])
    low, high = min(0.0, float(every.min(initial=0.0))), max(0.0, float(every.max(initial=0.0)))
    high = max(high, level) if level is not None else high
    if high - low < LEAST_SPAN:
        high = low + 1.0
    room = ROOM * (high - low)
    return (low - room if low < 0 else low), high + room


def _ticks(low: float, high: float, most: int = MOST_TICKS) -> list[tuple[float, str]]:
    """Return round values between two limits and their words."""
    rough = (high - low) / most
    decade = 10.0 ** floor(log10(rough))
    step = next(k * decade for k in (1, 2, 5, 10) if k * decade >= rough * 0.999)
    first, last = int(np.ceil(low / step - 1e-9)), int(np.floor(high / step + 1e-9))
    decimals = max(0, -floor(log10(step) + 1e-9))
    values = [number * step for number in range(first, last + 1)]
    return [(value, f"{value + 0.0:.{decimals}f}".replace("-", "\u2212")) for value in values]


def broken_line(x: Floats, y: Floats) -> str:
    """Return the path of a curve, broken where a value is missing."""
    parts, pen = [], "M"
    for across, up in zip(x, y, strict=True):
        if not np.isfinite(up):
            pen = "M"
            continue
        parts.append(f"{pen}{across:.1f} {up:.1f}")
        pen = "L"
    return "".join(parts)


def _letter_place(line: Line, number: int, count: int) -> int:
    """Return where along a curve its letter stands: spread out, so that they do not meet."""
    share = 0.60 + 0.25 * (number + 0.5) / count
    return int(share * (len(line.s_mm) - 1))


def _words(lines: Sequence[Line]) -> str:
    """Return the largest value of each curve and where it is."""
    found = []
    for line in lines:
        values = np.where(np.isfinite(line.values), line.values, 0.0)
        at = int(np.argmax(np.abs(values)))
        largest = significant(float(values[at]), 3)
        found.append(f"{line.name}: largest {largest} at {on_ruler(line.s_mm[at])}")
    return "; ".join(found) + "."
