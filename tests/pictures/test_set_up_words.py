"""Words of set-up drawings: none stands on another, on the bar and its supports, or off the sheet.

Judged on random bars in every press of the catalogue; what supports bear is invented.
"""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

from geometry.bar import Bar
from geometry.errors import InputError
from loadcases.case import PlacedCase, place_case
from loadcases.catalogue import build_case
from loadcases.clamp import FREE, Clamp
from studies.pictures.bench_drawing import Tag, bench_drawing
from studies.pictures.figure_layout import WIDTH, WORDS
from studies.pictures.free_words import drawn_mask, with_free_words, words_box
from studies.pictures.labels import drawn_share, overlaps, summed
from studies.pictures.line_drawing import LineDrawing, Stroke, Words
from studies.pictures.set_up import set_up_drawing
from studies.pictures.set_up_sheet import frame_of, set_up_sheet
from studies.pictures.set_up_view import SHEET
from support.layouts import faults as faults_on_sheet
from support.random_bars import GEOMETRY, KINDS, between, setups

BARS = settings(GEOMETRY, max_examples=14, phases=[Phase.explicit, Phase.generate])
"""Of each kind: 42 bars. Not shrunk, which would take minutes."""

BENCH_SIZE = 14.4
"""Of type beside a curve, in the drawing's units."""

ON_LINES = 0.03
"""Share of words that thin lines may cross."""


def _answered(placed: PlacedCase) -> Any:
    """Return what drawings read of a case, its supports bearing something."""
    pushes = np.array([[*(1234.5 * np.array(one.direction)), 0, 0, 0] for one in placed.supports])
    reactions = SimpleNamespace(wrenches=pushes + np.array([100.0, 0, 0, 0, 0, 0]), pushes=pushes)
    return SimpleNamespace(placed=placed, supports=SimpleNamespace(reactions=reactions, pushes=()))


@st.composite
def pressed(draw: st.DrawFn, kind: str) -> tuple[Any, Any]:
    """Return a run and a case of a random bar in a press."""
    setup = draw(setups(kind))
    name = draw(st.sampled_from(("three-point", "three-point-ram", "four-point", "cantilever")))
    clamp = setup.clamp if name == "three-point" else FREE
    given = {"direction_deg": draw(st.sampled_from((0, 90, 180, 37)))}
    if name != "cantilever":
        given["span_mm"] = draw(between(130, 260, 0))
    placed = _placed(f"press.{name}", given, setup.bar, clamp)
    assume(placed is not None)
    run = SimpleNamespace(study=SimpleNamespace(bar=setup.bar, clamp=clamp))
    return run, _answered(placed)  # type: ignore[arg-type]


def _placed(case: str, given: dict[str, object], bar: Bar, clamp: Clamp) -> PlacedCase | None:
    try:
        return place_case(build_case(case, given, bar, clamp), bar, clamp)
    except InputError:
        return None


def faults(drawing: LineDrawing, size: float) -> list[str]:
    """Return what collides on a drawing, and what leaves it."""
    words = [one for one in drawing.parts if isinstance(one, Words)]
    boxes = np.array([words_box(one, size) for one in words])
    shared = np.triu(overlaps(boxes, boxes), 1)
    found = [f"{words[a].text!r} and {words[b].text!r}" for a, b in np.argwhere(shared > 0.5)]
    outside = (boxes[:, :2] < 0).any(axis=1) | (boxes[:, 2:] > (drawing.width, drawing.height)).any(
        axis=1
    )
    covered = drawn_share(boxes, summed(drawn_mask(drawing))) > ON_LINES
    for one, out, on in zip(words, outside, covered, strict=True):
        if out or (on and not one.fixed):
            found.append(
                f"{one.text!r} leaves the sheet" if out else f"{one.text!r} on the drawing"
            )
    return found


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
@settings(BARS, max_examples=3)
def test_no_words_collide_on_some_set_ups(kind: str, data: st.DataObject) -> None:
    """On the sheet, on a page, and on the sheet of a plan with tags of gauges."""
    _draw(kind, data)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
@BARS
def test_no_words_collide_on_set_ups(kind: str, data: st.DataObject) -> None:
    """The same on 42 bars."""
    _draw(kind, data)


def _draw(kind: str, data: st.DataObject) -> None:
    run, case = data.draw(pressed(kind))
    frame = frame_of(case)
    drawing = set_up_drawing(run, case, frame)
    assert drawing is not None
    assert faults(drawing, frame.size) == []
    assert faults_on_sheet(set_up_sheet(run, case, drawing)) == []
    on_page = set_up_drawing(run, case)
    assert on_page is not None
    assert faults(on_page, SHEET.size) == []
    line = run.study.bar.line
    tags = [
        Tag(f"G{n}", share * line.right_end_mm, 0.0) for n, share in enumerate((-0.3, 0.1, 0.12))
    ]
    assert faults(bench_drawing(run, case, tags), BENCH_SIZE) == []


def test_words_on_a_sheet_are_as_large_as_all_others() -> None:
    """In the drawing's units they are the sheet's type."""
    placed: Any = SimpleNamespace(supports=(1, 2))
    case: Any = SimpleNamespace(placed=placed)
    frame = frame_of(case)
    assert frame.size * WIDTH / frame.width == pytest.approx(WORDS)


def test_what_moves_far_is_led_to_and_what_is_free_stays() -> None:
    """Two words at one place part; the line begins where the second was put."""
    words = [
        Words(100, 50, "first word", style="reaction"),
        Words(100, 49.5, "other", style="load"),
    ]
    drawing = LineDrawing(200, 100, (Stroke(np.array([[0, 5], [200, 5]]), "ground"), *words))
    found = with_free_words(drawing, 12.0)
    first, second = (one for one in found.parts if isinstance(one, Words))
    assert (first.x, first.y) == (100, 50)
    assert second.y != 49.5
    assert faults(found, 12.0) == []
    crowd = [Words(100, 50, "word", style="load", fixed=True)]
    crowd += [Words(100, 50 + n, "w" * 24, style="load", fixed=True) for n in (-30, -15, 15, 30)]
    led = with_free_words(LineDrawing(400, 100, (*crowd, Words(100, 50, "x" * 20))), 12.0)
    (line,) = (one for one in led.parts if isinstance(one, Stroke))
    assert line.places[0] == pytest.approx((100, 50))
