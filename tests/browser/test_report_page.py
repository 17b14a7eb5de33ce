"""A run's page in a browser: every control driven, and what changed looked at."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import meshio
import numpy as np
import pytest

from support.browser import accessibility_faults
from support.pages import riser_results

OpenPage = Callable[..., Any]

VIEW = "document.querySelector('.view').barView"
CASE = "iso-4210-5.bar-bending"


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the results of the riser example."""
    return riser_results(tmp_path_factory.mktemp("riser"))


@pytest.fixture
def page(open_page: OpenPage, results: Path) -> Any:
    """Return its page, opened at a desk, the view in sight."""
    opened = open_page(results / "report.html")
    _to_view(opened)
    return opened


def test_a_desk_sees_the_verdict_first_and_the_whole_view(
    open_page: OpenPage, results: Path
) -> None:
    """At 1440 x 900 the verdict stands in the first screen, and view and legend fit into one."""
    page = open_page(results / "report.html", width=1440, height=900)
    verdict = page.locator("header .verdict").bounding_box()
    assert verdict["y"] + verdict["height"] < 900
    _to_view(page)
    legend, view = page.locator(".legend").bounding_box(), page.locator(".view").bounding_box()
    assert legend["y"] >= 0
    assert view["y"] + view["height"] <= 900


def _to_view(page: Any) -> None:
    page.locator("#bar").evaluate("part => part.scrollIntoView()")
    page.wait_for_timeout(50)


def _number(text: str) -> float:
    found = re.search(r"[-\u2212]?\d+(\.\d+)?", text)
    assert found, text
    return float(found[0].replace("\u2212", "-"))


def _text(page: Any, part: str) -> str:
    return str(page.locator(f"[data-part='{part}']").inner_text())


def _changed(page: Any, part: str, before: str) -> str:
    """Return a part's text once it is another: a case's fields are unpacked when it is chosen."""
    asked = f"before => document.querySelector(\"[data-part='{part}']\").innerText !== before"
    page.wait_for_function(asked, arg=before)
    return _text(page, part)


def _picture(page: Any) -> str:
    return str(page.evaluate(f"{VIEW}.canvas.toDataURL()"))


def _nodes(results: Path, count: int) -> tuple[np.ndarray, Any]:
    """Return numbers of outer nodes well outside clamp and loads that face the rider, and all."""
    fields = meshio.read(results / "fields" / f"{CASE}.vtu")
    s, theta, zeta = (fields.point_data[name] for name in ("s_mm", "theta_deg", "zeta"))
    good = (zeta == 1) & (np.abs(s) > 60) & (np.abs(s) < 280) & ((theta < 20) | (theta > 320))
    chosen = np.flatnonzero(good)
    return chosen[np.linspace(0, len(chosen) - 1, count).astype(int)], fields


@pytest.mark.parametrize(
    ("field", "name"), [("von_mises", "von_mises_mpa"), ("axial", "axial_mpa")]
)
def test_the_value_under_the_pointer_is_that_of_the_fields_file(
    page: Any, results: Path, field: str, name: str
) -> None:
    """At nodes of the mesh, with the mouse on them, to the 16 bits of the page and 4 digits."""
    page.select_option("[data-part='field']", field)
    nodes, fields = _nodes(results, 6)
    values = fields.point_data[name]
    for node in nodes:
        s = float(fields.point_data["s_mm"][node])
        theta = float(np.radians(fields.point_data["theta_deg"][node]))
        _aim(page, s, theta)
        # quantised to 2^-16 of the span, read to four digits, a dot is 0.02 mm wide
        allowed = np.ptp(values) / 65535 + 2e-4 * abs(values[node]) + 0.05
        assert _number(_text(page, "reading")) == pytest.approx(float(values[node]), abs=allowed)


def _aim(page: Any, s: float, theta: float) -> None:
    """Put a place into the middle of the picture, large, and the mouse on it."""
    page.evaluate(
        f"""([s, theta]) => {{
            const view = {VIEW};
            const centre = view.probe(s, theta, "outer").point;
            Object.assign(view.camera, {{ centre, mmPerDot: 0.02 }});
            view.store.set({{ hover: null }});
        }}""",
        [s, theta],
    )
    dot = page.evaluate(f"([s, theta]) => {VIEW}.probe(s, theta, 'outer')", [s, theta])
    frame = page.locator(".view canvas").bounding_box()
    page.mouse.move(frame["x"] + dot["x"] + 3, frame["y"] + dot["y"])
    page.mouse.move(frame["x"] + dot["x"], frame["y"] + dot["y"])


def test_the_slider_moves_the_bar_by_the_stated_scale(page: Any, results: Path) -> None:
    """The drawn place of a node is its own place and so many times its displacement."""
    nodes, fields = _nodes(results, 4)
    moved = fields.point_data["displacement_mm"]
    slider = page.locator("[data-part='stretch']")
    slider.focus()
    for key, least in (("Home", 0), ("End", 1), ("ArrowLeft", 1)):
        page.keyboard.press(key)
        times = _number(_text(page, "scale-words"))
        assert times >= least
        for node in nodes:
            place = (
                fields.point_data["s_mm"][node],
                np.radians(fields.point_data["theta_deg"][node]),
            )
            dot = page.evaluate(
                f"([s, theta]) => {VIEW}.probe(s, theta, 'outer').point", [float(x) for x in place]
            )
            wanted = fields.points[node] + times * moved[node]
            assert dot == pytest.approx(wanted.tolist(), abs=0.02 + 1e-3 * times)
    page.click("[data-part='true-scale']")
    assert _text(page, "scale-words") == "deformation x 1"


def test_a_field_changes_legend_and_picture(page: Any) -> None:
    """Title, unit, range and colours follow the field, and the stress may be pressed or pulled."""
    seen = set()
    before = _picture(page)
    for option in page.locator("[data-part='field'] option").all():
        page.select_option("[data-part='field']", option.get_attribute("value"))
        page.wait_for_timeout(60)
        seen.add(_text(page, "legend-title"))
        after = _picture(page)
        ticks = _text(page, "legend-ticks").split("\n")
        assert len(ticks) == 5
        name = str(option.get_attribute("value"))
        field = page.evaluate(f"{VIEW}.now.packed.fields.find(({{ id }}) => id === '{name}')")
        ends = [_number(ticks[0]), _number(ticks[-1])]
        assert ends == pytest.approx(field["range"], rel=5e-3)
        assert ends[0] < ends[1]
        if name in ("axial", "hoop"):
            assert ends[0] == -ends[1]
        elif name.startswith(("von_mises", "utilisation_", "displacement")):
            assert ticks[0] == "0"
        if name != "von_mises":
            assert after != before
    assert len(seen) == page.locator("[data-part='field'] option").count() >= 8


def test_the_undeformed_bar_can_be_left_out(page: Any) -> None:
    """Its grey shape goes and comes back."""
    with_it = _picture(page)
    page.uncheck("[data-part='undeformed']")
    page.wait_for_timeout(60)
    assert _picture(page) != with_it
    page.check("[data-part='undeformed']")
    page.wait_for_timeout(60)
    assert _picture(page) == with_it


def test_outer_and_inner_surface(page: Any) -> None:
    """The inner surface has values of its own, and the legend says which is meant."""
    _aim(page, 142.0, 0.1)
    outer = _text(page, "reading")
    page.select_option("[data-part='surface']", "inner")
    page.fill("[data-part='place-s']", "142")
    page.fill("[data-part='place-theta']", f"{np.degrees(0.1):.3f}")
    page.keyboard.press("Tab")
    page.mouse.move(5, 5)
    assert "inner" in _text(page, "legend-title")
    assert "inner surface" in _text(page, "reading")
    assert _number(_text(page, "reading")) != _number(outer)


def test_a_case_is_chosen_everywhere_at_once(page: Any) -> None:
    """From the table or the list: the view, its loads and the case's part follow."""
    page.click("[data-choose='iso-4210-5.fatigue-in-phase']")
    assert page.locator("[data-part='case']").input_value() == "iso-4210-5.fatigue-in-phase"
    assert page.locator(".case:visible").get_attribute("data-case") == "iso-4210-5.fatigue-in-phase"
    page.wait_for_function("document.querySelectorAll('.word.load').length === 2")
    page.select_option("[data-part='case']", CASE)
    pressed = page.locator("[data-choose][aria-pressed='true']")
    assert pressed.get_attribute("data-choose") == CASE
    page.wait_for_function("document.querySelectorAll('.word.load').length === 1")
    assert page.locator(".word.load").inner_text() == "1000 N"


def test_one_scale_for_all_cases(page: Any) -> None:
    """With it a case of small stress shows the range of the largest."""
    first = _text(page, "legend-ticks")
    page.click("[data-choose='iso-4210-5.fatigue-in-phase']")
    own = _changed(page, "legend-ticks", first)
    page.check("[data-part='same-colours']")
    shared = _changed(page, "legend-ticks", own)
    assert _number(shared.split("\n")[-1]) > 1.5 * _number(own.split("\n")[-1])


def test_presets_mouse_wheel_and_keys_move_the_eye(page: Any) -> None:
    """Buttons and keys 1 to 4 give the same views; drag turns, shift drags, the wheel zooms."""
    camera = f"[{VIEW}.camera].map(c => [c.turn, c.height, c.mmPerDot, ...c.centre])[0]"
    by_button = {}
    for name in ("front", "top", "side", "rider"):
        page.click(f"[data-preset='{name}']")
        by_button[name] = page.evaluate(camera)
    assert len({tuple(place) for place in by_button.values()}) == 4
    canvas = page.locator(".view canvas")
    canvas.focus()
    for key, name in (("2", "front"), ("3", "top"), ("4", "side"), ("1", "rider")):
        page.keyboard.press(key)
        assert page.evaluate(camera) == pytest.approx(by_button[name])
    for keys, changed in (("ArrowLeft", 0), ("ArrowUp", 1), ("+", 2), ("Shift+ArrowLeft", 3)):
        before = page.evaluate(camera)
        page.keyboard.press(keys)
        assert page.evaluate(camera)[changed] != before[changed]
    box = canvas.bounding_box()
    middle = box["x"] + box["width"] / 2, box["y"] + 100
    for shift, changed in ((False, 0), (True, 3)):
        before = page.evaluate(camera)
        page.mouse.move(*middle)
        page.mouse.down()
        if shift:
            page.keyboard.down("Shift")
        page.mouse.move(middle[0] + 80, middle[1] + 30, steps=4)
        page.mouse.up()
        page.keyboard.up("Shift")
        assert page.evaluate(camera)[changed] != before[changed]
    before = page.evaluate(camera)
    page.mouse.wheel(0, -300)
    page.wait_for_timeout(60)
    assert page.evaluate(camera)[2] < before[2]
    page.click("[data-part='whole']")
    assert page.evaluate(camera)[2] > 0.3


def test_the_wheel_scrolls_past_a_view_that_nobody_uses(page: Any) -> None:
    """A page that is read must not stop at the picture."""
    box = page.locator(".view canvas").bounding_box()
    page.mouse.move(box["x"] + 300, box["y"] + 200)
    before = page.evaluate("scrollY")
    page.mouse.wheel(0, 200)
    page.wait_for_timeout(200)
    assert page.evaluate("scrollY") > before


def test_a_cut_across_the_bar(page: Any) -> None:
    """It hides what is outboard, says what the section measures, and escape takes it away."""
    whole = _picture(page)
    page.check("[data-part='cut']")
    slider = page.locator("[data-part='cut-at']")
    slider.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(60)
    assert _text(page, "cut-words") == "cut at right 101 mm"
    words = _text(page, "section-words")
    assert re.match(r"Outer diameter 2\d\.\d to 2\d\.\d mm, wall \d\.\d\d to \d\.\d\d mm", words)
    assert _picture(page) != whole
    dot = page.evaluate(f"{VIEW}.probe(200, 0, 'outer')")
    box = page.locator(".view canvas").bounding_box()
    page.mouse.move(box["x"] + dot["x"], box["y"] + dot["y"])
    assert page.evaluate(f"{VIEW}.store.state.hover") is None
    page.locator(".view canvas").focus()
    page.keyboard.press("Escape")
    assert not page.is_checked("[data-part='cut']")


def test_the_section_measures_what_was_drawn(page: Any) -> None:
    """At the clamp the study file says 31.8 and 2.2 mm."""
    page.check("[data-part='cut']")
    page.locator("[data-part='cut-at']").fill("10")
    page.wait_for_timeout(60)
    assert _text(page, "section-words").startswith("Outer diameter 31.8 mm, wall 2.20 mm;")


def test_the_bar_moves_and_stops(page: Any) -> None:
    """While it moves pictures differ; it comes to rest where it stood."""
    still, times = _picture(page), page.evaluate(f"{VIEW}.times")
    page.click("[data-part='play']")
    assert page.get_attribute("[data-part='play']", "aria-pressed") == "true"
    page.wait_for_timeout(400)
    swings = {page.evaluate(f"{VIEW}.store.state.swing") for _ in range(3)}
    assert swings != {1}
    page.click("[data-part='play']")
    page.mouse.move(5, 5)
    page.wait_for_function(f"{VIEW}.store.state.swing === 1 && {VIEW}.times === {times}")
    page.wait_for_timeout(100)
    assert _picture(page) == still


def test_charts_maps_and_view_show_one_place(page: Any) -> None:
    """The pointer on a chart moves the cursors of all, and a cross on the bar and its strip."""
    chart = page.locator(".case.shown svg.chart").first
    chart.scroll_into_view_if_needed()
    box = chart.bounding_box()
    page.mouse.move(box["x"] + 0.7 * box["width"], box["y"] + 0.5 * box["height"])
    place = page.evaluate(f"{VIEW}.store.state.hover")
    share = (0.7 * 1000 - 64) / (1000 - 64 - 16)
    low, high = page.evaluate(f"{VIEW}.scene.ends_mm")
    assert place["s"] == pytest.approx(low + share * (high - low), abs=1.0)
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
    assert np.degrees(theta) == pytest.approx(90, abs=3)


def test_the_strip_reads_like_the_bar(page: Any) -> None:
    """The pointer on the unrolled wall reads the same value as a place typed in."""
    box = page.locator(".view canvas").bounding_box()
    page.mouse.move(box["x"] + 0.7 * box["width"], box["y"] + box["height"] - 62)
    place = page.evaluate(f"{VIEW}.store.state.hover")
    assert place is not None
    first = _number(_text(page, "reading"))
    page.mouse.move(5, 5)
    page.fill("[data-part='place-s']", str(place["s"]))
    page.fill("[data-part='place-theta']", str(np.degrees(place["theta"])))
    page.keyboard.press("Tab")
    assert _number(_text(page, "reading")) == pytest.approx(first, rel=1e-3)


def test_a_place_off_the_bar_is_refused_in_words(page: Any) -> None:
    """A sentence says how far the bar reaches."""
    page.fill("[data-part='place-s']", "900")
    page.keyboard.press("Tab")
    assert "the bar spans left 387 mm to right 387 mm" in _text(page, "reading")


def test_a_click_marks_a_place_and_a_click_aside_takes_it_away(page: Any) -> None:
    """The mark stays when the pointer goes."""
    dot = page.evaluate(f"{VIEW}.probe(150, 0, 'outer')")
    canvas = page.locator(".view canvas")
    canvas.click(position={"x": dot["x"], "y": dot["y"]})
    page.mouse.move(5, 5)
    assert page.locator(".word.pinned").count() == 1
    assert _number(_text(page, "reading")) > 10
    canvas.click(position={"x": 20, "y": 20})
    assert page.locator(".word.pinned").count() == 0


def test_fingers_turn_come_nearer_and_mark(open_page: OpenPage, results: Path) -> None:
    """On a phone: one finger turns, two come nearer, a tap marks; nothing is wider than it."""
    page = open_page(results / "report.html", width=390, height=844, touch=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    _to_view(page)
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
    _to_view(page)
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
    page.locator("nav a").first.focus()
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


def test_paper_has_everything_and_no_controls(open_page: OpenPage, results: Path) -> None:
    """All cases, what was folded away, no buttons; and a document comes of it."""
    page = open_page(results / "report.html")
    document = page.pdf(format="A4", print_background=True)
    assert document.startswith(b"%PDF")
    assert 5 < len(re.findall(rb"/Type\s*/Page\b", document)) < 45
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.locator(".case:visible").count() == 2
    assert page.locator("details[open]").count() == page.locator("details").count()
    assert not page.locator(".controls").is_visible()
    assert not page.locator("nav").is_visible()
    # nothing runs over the edge of the paper
    page.set_viewport_size({"width": 700, "height": 990})
    assert page.evaluate("document.documentElement.scrollWidth") <= 700
    faults = [fault for fault in accessibility_faults(page) if fault.startswith("color-contrast")]
    assert not faults, "\n".join(faults)


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
