"""The expected curve of a test as its page draws it: band, line, steps and lettered marks."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from studies.bench.plan_record import ExpectedRecord, StepRecord
from studies.page.chart import Tick, ValueAxis, broken_line

WIDTH, HEIGHT = 400.0, 252.0
LEFT, RIGHT, TOP, FOOT = 62.0, 14.0, 34.0, 50.0
"""Of the chart in its own units, which are those of the drawing beside it."""

ROOM = 1.08
"""How much farther axes reach than what they show."""

APART, ASIDE = 24.0, 17.0
"""Least distance of two letters, and how far one stands from its point."""


@dataclass(frozen=True)
class LetteredMark:
    """A mark: its point, and where its letter stands."""

    x: float
    y: float
    letter: str
    letter_x: float
    letter_y: float


@dataclass(frozen=True)
class PlanChart:
    """A chart ready to draw.

    Attributes:
        width: In its units.
        height: Likewise.
        left: Where the axes begin.
        right: Where they end.
        foot: Height of the axis of travel.
        top: End of the axis of load.
        titles: Of travel and of load.
        x_ticks: Of travel.
        y_ticks: Of load.
        band: Outline of the band, empty without one.
        line: The curve.
        dots: Its steps.
        marks: Named points.
        words: Its text alternative.
    """

    width: float
    height: float
    left: float
    right: float
    foot: float
    top: float
    titles: tuple[str, str]
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    band: str
    line: str
    dots: tuple[tuple[float, float], ...]
    marks: tuple[LetteredMark, ...]
    words: str


def plan_chart(expected: ExpectedRecord, steps: Sequence[StepRecord]) -> PlanChart:
    """Return the chart of an expected curve, with the steps that lie on it."""
    x, y = _axes(expected)
    marks = tuple(_marks(expected, x, y))
    points = [(one.travel, one.load) for one in steps if one.travel is not None]
    return PlanChart(
        WIDTH,
        HEIGHT,
        LEFT,
        WIDTH - RIGHT,
        HEIGHT - FOOT,
        TOP,
        (
            f"{expected.travel_name}, {expected.travel_unit}",
            f"load, {expected.load_unit}",
        ),
        x.ticks,
        y.ticks,
        _band(expected, x, y),
        broken_line(x.places(expected.travel), y.places(expected.load)),
        tuple((x.place(travel), y.place(load)) for travel, load in points),
        marks,
        _words(expected),
    )


def _axes(expected: ExpectedRecord) -> tuple[ValueAxis, ValueAxis]:
    loads = [*expected.load, *(expected.band_high or []), *(one.load for one in expected.marks)]
    travels = [*expected.travel, *(one.travel for one in expected.marks)]
    return (
        ValueAxis(0.0, ROOM * max(travels), LEFT, WIDTH - RIGHT, 6),
        ValueAxis(0.0, ROOM * max(loads), HEIGHT - FOOT, TOP, 7),
    )


def _band(expected: ExpectedRecord, x: ValueAxis, y: ValueAxis) -> str:
    if not expected.band_travel or expected.band_low is None or expected.band_high is None:
        return ""
    travels = [*expected.band_travel, *reversed(expected.band_travel)]
    loads = [*expected.band_high, *reversed(expected.band_low)]
    return broken_line(x.places(travels), y.places(loads)) + "Z"


def _marks(expected: ExpectedRecord, x: ValueAxis, y: ValueAxis) -> Iterator[LetteredMark]:
    """Yield marks with their letters above the curve, kept apart along it."""
    places = [(x.place(one.travel), y.place(one.load)) for one in expected.marks]
    across = _apart([at - 0.5 * ASIDE for at, _ in places])
    for one, (at, up), letter_x in zip(expected.marks, places, across, strict=True):
        yield LetteredMark(at, up, one.letter, letter_x, max(up - ASIDE, TOP))


def _apart(across: list[float]) -> list[float]:
    """Return places along the chart moved to the right until no two letters meet, and within it."""
    low, high = LEFT + 12.0, WIDTH - RIGHT - 10.0
    moved = list[float]()
    for at in across:
        moved.append(max(at, moved[-1] + APART if moved else low, low))
    # those that would leave it on the right go back
    for index in range(len(moved) - 1, -1, -1):
        most = high if index == len(moved) - 1 else moved[index + 1] - APART
        moved[index] = min(moved[index], most)
    return moved


def _words(expected: ExpectedRecord) -> str:
    unit, way = expected.load_unit, expected.travel_unit
    return "; ".join(
        f"{one.letter} {one.name}: {one.load:.0f} {unit} at {one.travel:.1f} {way}"
        for one in expected.marks
    )
