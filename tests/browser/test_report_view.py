"""The view on a run's page: its values, colours, eye and cut, each control driven."""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from support.view_page import VIEW, aim, number, outer_nodes, part_text, picture


@pytest.mark.parametrize(
    ("field", "name"), [("von_mises", "von_mises_mpa"), ("axial", "axial_mpa")]
)
def test_the_value_under_the_pointer_is_that_of_the_fields_file(
    page: Any, results: Path, field: str, name: str
) -> None:
    """At nodes of the mesh, with the mouse on them, to the 16 bits of the page and 4 digits."""
    page.select_option("[data-part='field']", field)
    nodes, fields = outer_nodes(results, 6)
    values = fields.point_data[name]
    for node in nodes:
        s = float(fields.point_data["s_mm"][node])
        theta = float(np.radians(fields.point_data["theta_deg"][node]))
        aim(page, s, theta)
        # quantised to 2^-16 of the span, read to four digits, a dot is 0.02 mm wide
        allowed = np.ptp(values) / 65535 + 2e-4 * abs(values[node]) + 0.05
        assert number(part_text(page, "reading")) == pytest.approx(float(values[node]), abs=allowed)


def test_the_slider_moves_the_bar_by_the_stated_scale(page: Any, results: Path) -> None:
    """The drawn place of a node is its own place and so many times its displacement."""
    nodes, fields = outer_nodes(results, 4)
    moved = fields.point_data["displacement_mm"]
    slider = page.locator("[data-part='stretch']")
    slider.focus()
    for key, least in (("Home", 0), ("End", 1), ("ArrowLeft", 1)):
        page.keyboard.press(key)
        times = number(part_text(page, "scale-words"))
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
    assert part_text(page, "scale-words") == "deformation x 1"


def test_a_field_changes_legend_and_picture(page: Any) -> None:
    """Title, unit, range and colours follow the field, and the stress may be pressed or pulled."""
    seen = set()
    before = picture(page)
    for option in page.locator("[data-part='field'] option").all():
        page.select_option("[data-part='field']", option.get_attribute("value"))
        page.wait_for_timeout(60)
        seen.add(part_text(page, "legend-title"))
        after = picture(page)
        ticks = part_text(page, "legend-ticks").split("\n")
        name = str(option.get_attribute("value"))
        # of a limit its own value, 1, is among them
        assert "1" in ticks if name.startswith("utilisation_") else len(ticks) == 5
        field = page.evaluate(f"{VIEW}.now.packed.fields.find(({{ id }}) => id === '{name}')")
        ends = [number(ticks[0]), number(ticks[-1])]
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
    with_it = picture(page)
    page.uncheck("[data-part='undeformed']")
    page.wait_for_timeout(60)
    assert picture(page) != with_it
    page.check("[data-part='undeformed']")
    page.wait_for_timeout(60)
    assert picture(page) == with_it


def test_outer_and_inner_surface(page: Any) -> None:
    """The inner surface has values of its own, and the legend says which is meant."""
    aim(page, 142.0, 0.1)
    outer = part_text(page, "reading")
    page.select_option("[data-part='surface']", "inner")
    page.fill("[data-part='place-s']", "142")
    page.fill("[data-part='place-theta']", f"{np.degrees(0.1):.3f}")
    page.keyboard.press("Tab")
    page.mouse.move(5, 5)
    assert "inner" in part_text(page, "legend-title")
    assert "inner surface" in part_text(page, "reading")
    assert number(part_text(page, "reading")) != number(outer)


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
    whole = picture(page)
    page.check("[data-part='cut']")
    slider = page.locator("[data-part='cut-at']")
    slider.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(60)
    assert part_text(page, "cut-words") == "cut at right 101 mm"
    words = part_text(page, "section-words")
    assert re.match(r"Outer diameter 2\d\.\d to 2\d\.\d mm, wall \d\.\d\d to \d\.\d\d mm", words)
    assert picture(page) != whole
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
    assert part_text(page, "section-words").startswith("Outer diameter 31.8 mm, wall 2.20 mm;")


def test_the_bar_moves_and_stops(page: Any) -> None:
    """While it moves pictures differ; it comes to rest where it stood."""
    still, times = picture(page), page.evaluate(f"{VIEW}.times")
    page.click("[data-part='play']")
    assert page.get_attribute("[data-part='play']", "aria-pressed") == "true"
    page.wait_for_timeout(400)
    swings = {page.evaluate(f"{VIEW}.store.state.swing") for _ in range(3)}
    assert swings != {1}
    page.click("[data-part='play']")
    page.mouse.move(5, 5)
    page.wait_for_function(f"{VIEW}.store.state.swing === 1 && {VIEW}.times === {times}")
    page.wait_for_timeout(100)
    assert picture(page) == still


def test_the_strip_reads_like_the_bar(page: Any) -> None:
    """The pointer on the unrolled wall reads the same value as a place typed in."""
    box = page.locator(".view canvas").bounding_box()
    page.mouse.move(box["x"] + 0.7 * box["width"], box["y"] + box["height"] - 90)
    place = page.evaluate(f"{VIEW}.store.state.hover")
    assert place is not None
    first = number(part_text(page, "reading"))
    page.mouse.move(5, 5)
    page.fill("[data-part='place-s']", str(place["s"]))
    page.fill("[data-part='place-theta']", str(np.degrees(place["theta"])))
    page.keyboard.press("Tab")
    assert number(part_text(page, "reading")) == pytest.approx(first, rel=1e-3)


def test_a_place_off_the_bar_is_refused_in_words(page: Any) -> None:
    """A sentence says how far the bar reaches."""
    page.fill("[data-part='place-s']", "900")
    page.keyboard.press("Tab")
    assert "the bar spans left 387 mm to right 387 mm" in part_text(page, "reading")


def test_a_click_marks_a_place_and_a_click_aside_takes_it_away(page: Any) -> None:
    """The mark stays when the pointer goes."""
    dot = page.evaluate(f"{VIEW}.probe(150, 0, 'outer')")
    canvas = page.locator(".view canvas")
    canvas.click(position={"x": dot["x"], "y": dot["y"]})
    page.mouse.move(5, 5)
    assert page.locator(".word.pinned").count() == 1
    assert number(part_text(page, "reading")) > 10
    canvas.click(position={"x": 20, "y": 20})
    assert page.locator(".word.pinned").count() == 0
