"""Words of pictures: none stands on another, on a mark, on the scale, or beyond the sheet.

Judged on random bars without a solution: geometry is the bars' own, places and figures invented.
"""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from fea.solid.hot_spot import ON_SURFACE, Peak
from geometry.arrays import Floats
from geometry.bar import Bar, axes, nominal_od_mm, position_mm
from geometry.centreline import locate
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from studies.pictures import marks
from studies.pictures.colour_scale import Legend
from studies.pictures.figure_layout import Panel, Sheet
from studies.pictures.inset import inset_of, stations_mm
from studies.pictures.labels import Box, Label, overlaps, place_labels
from studies.pictures.palette import GHOST, PAPER
from studies.pictures.scene import Pane, in_dots
from studies.pictures.views import best_of, panes_towards, whole_pane
from studies.study_file.study import read_study
from support.layouts import faults
from support.random_bars import GEOMETRY, KINDS, setups

BARS = settings(GEOMETRY, max_examples=14, phases=[Phase.explicit, Phase.generate])
"""Of each kind: 42 bars. Not shrunk, which would take minutes."""

FEW = settings(BARS, max_examples=3)
"""Of each kind where all are tried among the slow tests."""

DROP = Path(__file__).parents[2] / "studies" / "examples" / "harbour-drop.toml"
"""Seen by the rider its drops are end-on."""


def _picture(bar: Bar, pane: Pane, caption: str = "") -> Panel:
    """Return a panel on which the bar is a row of discs."""
    found = Image.new("RGB", pane.size, PAPER)
    s = stations_mm(bar)[::4]
    x, y = (in_dots(pane, locate(bar.line, s).position_mm) - [pane.left, pane.bottom]).T
    radius = np.asarray(nominal_od_mm(bar, s)) / 2 * pane.dots_per_mm
    drawing = ImageDraw.Draw(found)
    for one in zip(x - radius, pane.size[1] - y - radius, 2 * radius, strict=True):
        left, top, wide = one
        drawing.ellipse((left, top, left + wide, top + wide), fill=GHOST)
    return Panel(np.asarray(found) / 255.0, pane.left, pane.bottom, caption)


def _outside_mm(bar: Bar) -> Floats:
    """Return places (n, 3) of the outer surface."""
    theta = np.linspace(0, 2 * np.pi, 12)
    places = position_mm(bar, stations_mm(bar)[::8, None], theta, np.array(1.0))
    return np.asarray(places.reshape(-1, 3))


def _case(loads: tuple[PlacedLoad, ...]) -> Any:
    """Return what marks read of a case that nothing supports."""
    own = SimpleNamespace(ram_force_n=0.0)
    return SimpleNamespace(placed=SimpleNamespace(loads=loads, case=own), supports=None)


def _words(loads: tuple[PlacedLoad, ...]) -> list[str]:
    return [marks.placed_words(SimpleNamespace(load=one)) for one in loads]  # type: ignore[arg-type]


def stress(bar: Bar, clamp: Clamp, loads: tuple[PlacedLoad, ...], peak: Peak) -> Sheet:
    """Return the sheet of a stress, as of a run."""
    outward = axes(bar, np.array(peak.s_mm), np.array(peak.theta_rad))[2]
    panes = panes_towards(outward, _outside_mm(bar))
    shown = [pane for pane, _ in panes]
    named, arrows = marks.in_two_panes(bar, clamp, _case(loads), _words(loads), shown)
    spot = marks.peak(bar, peak, best_of(panes, outward))
    return Sheet(
        "A bar of a random shape: stress",
        "random: von Mises stress on the outer surface of the undeformed bar; grey rings: clamps",
        tuple(_picture(bar, pane, caption) for pane, caption in panes),
        (spot, *named),
        tuple(arrows),
        Legend("von Mises stress, outer surface, MPa", peak.stress_mpa, open=True),
        ("Proof stress 455 MPa.",),
    )


def deformed(bar: Bar, clamp: Clamp, loads: tuple[PlacedLoad, ...], peak: Peak) -> Sheet:
    """Return the sheet of a deformation, with a close view's inset above it."""
    pane = whole_pane(_outside_mm(bar))
    words = [f"{marks.load_words(one)}\ndisplacement 12.3 mm" for one in loads]
    named, arrows = marks.loads(bar, _case(loads), pane, words, np.zeros((len(loads), 3)))
    ends = marks.ends(bar, pane, np.zeros((2, 3)))
    place = "right 171 mm, front towards top, inner surface"
    inset = inset_of(bar, clamp, pane.size[1], peak.s_mm, place)
    return Sheet(
        "A bar of a random shape: deformation",
        "random: deformation x 5",
        (_picture(bar, pane), inset.panel),
        (
            *named,
            marks.clamp(bar, clamp, pane),
            *ends,
            inset.mark,
        ),
        tuple(arrows),
        Legend("displacement, mm", 9.87),
    )


def peaks(bar: Bar) -> st.SearchStrategy[Peak]:
    """Return peaks anywhere on a bar."""
    line = bar.line
    return st.builds(
        Peak,
        stress_mpa=st.floats(3, 2000),
        s_mm=st.floats(line.left_end_mm + 1, line.right_end_mm - 1),
        theta_rad=st.floats(0, 6.28),
        surface=st.sampled_from(("outer", "inner")),
        rule=st.just(ON_SURFACE),
    )


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
@FEW
def test_no_words_collide_on_some_bars(kind: str, data: st.DataObject) -> None:
    """With three loads of force and moment and any peak: no fault."""
    _draw(kind, data)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
@BARS
def test_no_words_collide_on_random_bars(kind: str, data: st.DataObject) -> None:
    """Forty bars in all: no fault."""
    _draw(kind, data)


def _draw(kind: str, data: st.DataObject) -> None:
    setup = data.draw(setups(kind))
    peak = data.draw(peaks(setup.bar))
    for sheet_of in (stress, deformed):
        assert faults(sheet_of(setup.bar, setup.clamp, setup.loads, peak)) == []


@pytest.mark.parametrize("sheet_of", [stress, deformed])
@given(data=st.data())
@BARS
def test_no_words_collide_on_drops_seen_end_on(sheet_of: Any, data: st.DataObject) -> None:
    """Loads and peaks that lie behind each other as the rider sees them: no fault."""
    study = read_study(DROP)
    line = study.bar.line
    load = study.cases[0].loads[0]
    places = data.draw(st.lists(st.floats(90, line.right_end_mm - 30), min_size=1, max_size=4))
    ways = data.draw(st.lists(st.sampled_from((-1, 1)), min_size=4, max_size=4))
    forces = st.tuples(*[st.floats(-900, 900)] * 3).filter(lambda f: max(map(abs, f)) > 1)
    loads = tuple(
        replace(load, at_mm=way * at, force_n=data.draw(forces))
        for at, way in zip(places, ways, strict=False)
    )
    assert faults(sheet_of(study.bar, study.clamp, loads, data.draw(peaks(study.bar)))) == []


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.floats(200, 1400), st.floats(100, 800)), min_size=1, max_size=9))
def test_words_stand_apart_and_inside(places: list[tuple[float, float]]) -> None:
    """No two words overlap, none leave their bounds, whatever they name, and none cover a line."""
    drawn = np.zeros((900, 1600), dtype=bool)
    bounds = Box(0, 0, 1600, 900)
    labels = [Label(at, (180.0, 50.0), (0.0, 1.0), bounds) for at in places]
    kept = np.array([[x - 10, y - 10, x + 10, y + 10] for x, y in places])
    boxes = np.array(place_labels(labels, kept, drawn, bounds))
    assert np.triu(overlaps(boxes, boxes), 1).max() == 0
    assert overlaps(boxes, kept).max() == 0
    assert (boxes.min(axis=0)[:2] >= 0).all()
    assert (boxes.max(axis=0)[2:] <= [1600, 900]).all()


def test_words_keep_off_what_is_drawn() -> None:
    """Words that name a place on a drawn band stand beside the band."""
    drawn = np.zeros((900, 1600), dtype=bool)
    drawn[400:500] = True
    label = Label((800.0, 450.0), (200.0, 40.0), None, Box(0, 0, 1600, 900))
    (box,) = place_labels([label], np.empty((0, 4)), drawn, label.bounds)
    assert box[3] <= 400 or box[1] >= 500
