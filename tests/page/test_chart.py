"""Charts as numbers: places, ticks, broken lines, words."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from studies.page.chart import (
    BOTTOM,
    HEIGHT,
    LEFT,
    RIGHT,
    TOP,
    WIDTH,
    Axis,
    Line,
    chart,
    significant,
    value_axis,
)

AXIS = Axis(-100.0, 300.0)


def _line(values: list[float], letter: str = "A") -> Line:
    return Line("some line", "plain", np.linspace(-100, 300, len(values)), np.array(values), letter)


@given(st.lists(st.floats(-1e7, 1e7, allow_nan=False), min_size=2, max_size=30))
@example([0.0, 5e-324])
def test_every_line_stays_inside(values: list[float]) -> None:
    """No value is drawn outside the frame, and zero is always on the chart."""
    made = chart(AXIS, "c", "C", [_line(values)])
    corners = [part.split(" ") for part in made.paths[0].d.replace("M", "L").split("L") if part]
    for x, y in corners:
        assert LEFT - 0.1 <= float(x) <= WIDTH - RIGHT + 0.1
        assert TOP - 0.1 <= float(y) <= HEIGHT - BOTTOM + 0.1
    assert made.zero is not None


def test_places_and_ticks_are_where_they_belong() -> None:
    """The axis's ends are the frame's, and a tick stands at its value."""
    assert float(AXIS.x(-100.0)) == pytest.approx(LEFT)
    assert float(AXIS.x(300.0)) == pytest.approx(WIDTH - RIGHT)
    ticks = {tick.words: tick.at for tick in AXIS.ticks}
    assert ticks["\u2212100"] == pytest.approx(LEFT)
    assert ticks["100"] == pytest.approx((LEFT + WIDTH - RIGHT) / 2)


def test_a_gap_breaks_the_line() -> None:
    """Where a value is missing nothing is drawn."""
    assert chart(AXIS, "c", "C", [_line([1, 2, np.nan, 3, 4])]).paths[0].d.count("M") == 2


def test_the_words_name_the_largest_value_and_its_place() -> None:
    """Whoever does not see the chart is told its main figure."""
    words = chart(AXIS, "c", "C", [_line([0, -5, 2, 0, 1])]).words
    assert words == "some line: largest \u22125 at right 0 mm."


def test_a_chart_reaches_up_to_its_level() -> None:
    """A level far above the line is still on the chart."""
    made = chart(AXIS, "c", "C", [_line([0, 0.1, 0])], (1.0, "fully used"))
    assert made.level is not None
    assert made.level >= TOP


@pytest.mark.parametrize(
    ("value", "digits", "words"),
    [
        (0.0, 4, "0"),
        (46.0, 4, "46"),
        (1234.5, 3, "1234"),
        (0.00123456, 3, "0.00123"),
        (-2.50, 3, "\u22122.5"),
    ],
)
def test_numbers_as_people_write_them(value: float, digits: int, words: str) -> None:
    """Significant digits without zeros that mean nothing, and a true minus."""
    assert significant(value, digits) == words


def test_an_axis_of_equal_values_has_room() -> None:
    """Designs of one mass still get an axis."""
    axis = value_axis([300.0, 300.0], 0.0, 100.0)
    assert axis.place(300.0) == pytest.approx(50.0)
    assert len(axis.ticks) >= 2
