"""A run's page in a browser as a whole: parts that follow each other, phones, keys and paper."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from support.browser import accessibility_faults
from support.view_page import CASE, VIEW, OpenPage, changed_text, number, part_text, to_view, unfold


def test_a_desk_sees_the_verdict_first_and_the_whole_view(
    open_page: OpenPage, results: Path
) -> None:
    """At 1440 x 900 the verdict stands in the first screen, and view and legend fit into one."""
    page = open_page(results / "report.html", width=1440, height=900)
    verdict = page.locator("header .verdict").bounding_box()
    assert verdict["y"] + verdict["height"] < 900
    to_view(page)
    legend, view = page.locator(".legend").bounding_box(), page.locator(".view").bounding_box()
    assert legend["y"] >= 0
    assert view["y"] + view["height"] <= 900


def test_a_case_is_chosen_everywhere_at_once(page: Any) -> None:
    """From the table or the list: the view, its loads and the case's part follow."""
    page.click("[data-choose='iso-4210-5.fatigue-in-phase']")
    assert page.locator("[data-part='case']").input_value() == "iso-4210-5.fatigue-in-phase"
    assert page.locator(".case:visible").get_attribute("data-case") == "iso-4210-5.fatigue-in-phase"
    page.wait_for_function("document.querySelectorAll('.word.load').length === 2")
    page.select_option("[data-part='case']", CASE)
    pressed = page.locator("[data-choose][aria-pressed='true']").all()
    assert {one.get_attribute("data-choose") for one in pressed} == {CASE}
    page.wait_for_function("document.querySelectorAll('.word.load').length === 1")
    assert page.locator(".word.load").inner_text() == "1000 N"


def test_one_scale_for_all_cases(page: Any) -> None:
    """With it a case of small stress shows the range of the largest."""
    first = part_text(page, "legend-ticks")
    page.click("[data-choose='iso-4210-5.fatigue-in-phase']")
    own = changed_text(page, "legend-ticks", first)
    page.check("[data-part='same-colours']")
    shared = changed_text(page, "legend-ticks", own)
    assert number(shared.split("\n")[-1]) > 1.5 * number(own.split("\n")[-1])


def test_charts_maps_and_view_show_one_place(page: Any) -> None:
    """The pointer on a chart moves the cursors of all, and a cross on the bar and its strip."""
    chart = page.locator(".case.shown svg.chart").first
    chart.scroll_into_view_if_needed()
    box = chart.bounding_box()
    page.mouse.move(box["x"] + 0.7 * box["width"], box["y"] + 0.5 * box["height"])
    place = page.evaluate(f"{VIEW}.store.state.hover")
    low, high = page.evaluate(f"{VIEW}.scene.ends_mm")
    assert place["s"] == pytest.approx(low + 0.7 * (high - low), abs=1.0)
    cursors = page.locator(".case.shown svg[data-along] .cursor")
    places = {cursors.nth(k).get_attribute("x1") for k in range(cursors.count())}
    assert len(places) == 1
    assert cursors.count() == 6
    assert page.locator(".word.cross").count() == 2
    said = page.locator(".case.shown .along-reading").inner_text()
    assert "vertical bending moment, N·m" in said
    assert "beam" in said
    map_ = page.locator(".case.shown svg.map image").first
    map_.scroll_into_view_if_needed()
    box = map_.bounding_box()
    page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.25 * box["height"])
    theta = page.evaluate(f"{VIEW}.store.state.hover.theta")
    # a dot of the map is four degrees
    assert np.degrees(theta) == pytest.approx(90, abs=5)


def test_fingers_turn_come_nearer_and_mark(open_page: OpenPage, results: Path) -> None:
    """On a phone: one finger turns, two come nearer, a tap marks; nothing is wider than it."""
    page = open_page(results / "report.html", width=390, height=844, touch=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    unfold(page)
    to_view(page)
    box = page.locator(".view canvas").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + 60
    client = page.context.new_cdp_session(page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        fingers = [{"x": a, "y": b, "id": k} for k, (a, b) in enumerate(points)]
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": fingers})

    camera = f"[{VIEW}.camera.turn, {VIEW}.camera.mmPerDot]"
    before = page.evaluate(camera)
    touch("touchStart", (x, y))
    touch("touchMove", (x + 60, y + 10))
    touch("touchEnd")
    after = page.evaluate(camera)
    assert after[0] != before[0]
    touch("touchStart", (x - 20, y), (x + 20, y))
    touch("touchMove", (x - 60, y), (x + 60, y))
    touch("touchEnd")
    assert page.evaluate(camera)[1] < 0.7 * after[1]
    page.locator("[data-part='whole']").tap()
    dot = page.evaluate(f"{VIEW}.probe(150, 0, 'outer')")
    to_view(page)
    box = page.locator(".view canvas").bounding_box()
    page.touchscreen.tap(box["x"] + dot["x"], box["y"] + dot["y"])
    page.wait_for_timeout(60)
    assert page.locator(".word.pinned").count() == 1


@pytest.mark.parametrize(("width", "touch"), [(1440, False), (390, True)])
def test_nobody_is_shut_out(open_page: OpenPage, results: Path, width: int, touch: bool) -> None:
    """Axe finds no serious fault, with every case's part open."""
    page = open_page(results / "report.html", width=width, touch=touch)
    for part in page.locator("details").all():
        part.evaluate("part => (part.open = true)")
    faults = accessibility_faults(page)
    assert not faults, "\n".join(faults)


def test_every_control_is_reached_by_the_tab_key(page: Any) -> None:
    """In the order in which they stand, the picture among them."""
    page.locator(".skip").focus()
    reached = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        reached.add(
            page.evaluate(
                "(at => at.dataset.part || at.dataset.preset || at.tagName)(document.activeElement)"
            )
        )
    wanted = {"case", "field", "surface", "stretch", "true-scale", "play", "cut", "cut-at", "whole"}
    wanted |= {"undeformed", "same-colours", "place-s", "place-theta", "rider", "front", "CANVAS"}
    assert wanted <= reached


def test_without_webgl_a_sentence_says_so(open_page: OpenPage, results: Path) -> None:
    """The rest of the page works, cases are chosen as before."""
    page = open_page(results / "report.html", webgl=False)
    assert page.get_attribute("html", "data-ready") == "pictures"
    assert page.locator(".instead").is_visible()
    assert "WebGL" in page.locator(".instead").inner_text()
    assert not page.locator(".view").is_visible()
    page.click("[data-choose='iso-4210-5.fatigue-in-phase']")
    assert page.locator(".case:visible").get_attribute("data-case") == "iso-4210-5.fatigue-in-phase"


def test_without_scripts_all_is_there_to_read(open_page: OpenPage, results: Path) -> None:
    """Every case is open, and the page says what is missing."""
    page = open_page(results / "report.html", javascript=False)
    assert page.locator(".case:visible").count() == 2
    assert page.locator("noscript").count() == 1


PARTS = {
    "desk": (".identity", ".sentence", ".case-strip", ".view", ".ladder", ".key-figures"),
    "phone": (".identity", ".sentence", ".case-strip", ".view"),
}


@pytest.mark.parametrize(("name", "width", "height"), [("desk", 1280, 900), ("phone", 390, 844)])
def test_the_first_screen_shows_before_it_tells(
    open_page: OpenPage, results: Path, name: str, width: int, height: int
) -> None:
    """Sentence, cases, bar, on a desk also limits and figures stand in it, the bar high up.

    The bar shows the governing case, seen from where its governing place faces, with a ring there.
    """
    page = open_page(results / "report.html", width=width, height=height, touch=name == "phone")
    for part in PARTS[name]:
        box = page.locator(part).first.bounding_box()
        assert box["y"] + box["height"] <= height, part
    assert page.locator(".view").bounding_box()["y"] < 410
    assert page.locator(".key-figures").bounding_box()["y"] < height
    governs = page.locator("[data-governs]")
    assert governs.get_attribute("aria-pressed") == "true"
    assert governs.get_attribute("data-field") == page.evaluate(f"{VIEW}.store.state.field")
    assert page.evaluate(f"{VIEW}.camera.height") < 0
    assert "utilisation 1.0" in page.locator(".word.ring").inner_text()
    edges = page.locator(".case-strip").bounding_box()
    seen = governs.bounding_box()
    assert seen["x"] >= edges["x"] - 1
    assert seen["x"] + seen["width"] <= edges["x"] + edges["width"] + 1
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_case_brings_the_field_of_its_limit_unless_a_stress_is_shown(
    open_page: OpenPage, results: Path
) -> None:
    """From fatigue to first yield; a stress that somebody chose stays."""
    page = open_page(results / "report.html")
    page.click(f".case-strip [data-choose='{CASE}']")
    assert page.evaluate(f"{VIEW}.store.state.field") == "utilisation_yield"
    page.evaluate(f"{VIEW}.store.set({{ field: 'utilisation_hoop_yield' }})")
    page.click("[data-governs]")
    assert page.evaluate(f"{VIEW}.store.state.field") == "utilisation_fatigue"
    page.click(f".case-strip [data-choose='{CASE}']")
    unfold(page)
    page.select_option("[data-part='field']", "hoop")
    page.click("[data-governs]")
    assert page.evaluate(f"{VIEW}.store.state.field") == "hoop"


def test_a_lost_picture_gives_way_to_stills(page: Any) -> None:
    """A device that takes the memory back leaves no empty frame; a returned one draws anew."""
    lose = (
        "document.querySelector('canvas').getContext('webgl2').getExtension('WEBGL_lose_context')"
    )
    page.evaluate(f"{{ window.kept = {lose}; window.kept.loseContext(); }}")
    page.wait_for_selector("html.no-view", state="attached")
    assert page.locator(".view").is_hidden()
    page.evaluate("window.kept.restoreContext()")
    page.wait_for_selector("html[data-ready='view']:not(.no-view)", state="attached")


def test_the_ladder_fits_a_phone(open_page: OpenPage, results: Path) -> None:
    """Name, factor, plot, place and weakest input of each limit without a sideways scroll."""
    page = open_page(results / "report.html", touch=True)
    frame = page.locator(".ladder-frame")
    assert frame.evaluate("part => part.scrollWidth <= part.clientWidth")
    for cell in page.locator(".first-figures .ladder tbody tr").first.locator("td, th").all():
        box = cell.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 390
