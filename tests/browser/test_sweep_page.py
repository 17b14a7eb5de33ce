"""The page of a sweep in a browser: pick, read, filter, choose axes, by mouse, key and finger."""

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from support.browser import accessibility_faults
from support.sweeps import WALL, WIDTH
from support.swept_page import dot, picked, swept_results

OpenPage = Callable[..., Any]


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the results folder of a sweep of ten designs."""
    return swept_results(tmp_path_factory.mktemp("swept"))


@pytest.fixture
def page(open_page: OpenPage, results: Path) -> Any:
    """Return the page, opened at a desk."""
    return open_page(results / "sweep.html")


def test_a_click_on_a_dot_shows_its_row(page: Any, results: Path) -> None:
    """Every figure of designs.csv, the command that runs it alone, its row in the tables."""
    dot(page, 5).click()
    told = picked(page)
    with (results / "designs.csv").open(encoding="utf-8") as file:
        row_ = list(csv.DictReader(file))[4]
    assert "Design 5" in told
    assert row_[WALL] in told
    assert f"{float(row_['push/deflection_mm']):.3f}" in told
    command = "barwright run pier.toml --set 'bar.stations.*.wall_mm=0.6' --set clamp.width_mm=36"
    assert command in told
    assert page.locator("tr.picked").count() >= 1
    assert page.locator("[data-part='number']").input_value() == "5"


def test_dots_tell_what_they_are(page: Any) -> None:
    """A cross where a limit comes before the load; a design without figures has none."""
    assert page.locator(".scatter-dot").count() == 8
    assert page.locator("path.scatter-dot.before").count() == 4
    assert dot(page, 9).count() == 0


def test_dots_on_one_place_take_turns(page: Any) -> None:
    """Where two designs coincide each click picks the other one."""
    page.select_option("[data-part='y']", WALL)
    dot(page, 6).scroll_into_view_if_needed()
    place = dot(page, 6).bounding_box()
    told = []
    for _ in range(3):
        page.mouse.click(place["x"] + place["width"] / 2, place["y"] + place["height"] / 2)
        told.append(page.locator("[data-part='number']").input_value())
    assert told == ["5", "6", "5"]


def test_keys_go_from_dot_to_dot(page: Any) -> None:
    """Arrow keys step through the designs from left to right."""
    page.locator("[data-part='scatter']").focus()
    page.keyboard.press("ArrowRight")
    assert "Design 1" in picked(page)
    for _ in range(20):
        page.keyboard.press("ArrowRight")
    assert "Design 8" in picked(page)
    page.keyboard.press("ArrowLeft")
    assert "Design 7" in picked(page)


def test_a_design_can_be_named(page: Any) -> None:
    """By number, by its button in a table; a number that is none drops the pick."""
    page.fill("[data-part='number']", "9")
    page.keyboard.press("Tab")
    assert "a tube needs a bore" in picked(page)
    page.click("summary:has-text('Table of the designs')")
    page.locator("#designs [data-pick='2']").click()
    assert "Design 3" in picked(page)
    assert page.locator("[data-pick='2']").first.get_attribute("aria-pressed") == "true"
    page.fill("[data-part='number']", "99")
    page.keyboard.press("Tab")
    assert "No design is picked" in picked(page)


def test_the_plot_follows_the_chosen_columns(page: Any) -> None:
    """Another column moves the dots; words stand as words."""
    before = dot(page, 1).get_attribute("d")
    page.select_option("[data-part='x']", WIDTH)
    assert dot(page, 1).get_attribute("d") != before
    page.select_option("[data-part='y']", "governing_limit")
    assert "first yield" in page.locator("[data-part='scatter']").text_content()


def test_a_range_keeps_some(page: Any) -> None:
    """Typed or dragged, what lies outside fades in both plots, and all can come back."""
    page.select_option("[data-part='range-axis']", WALL)
    page.fill("[data-part='range-from']", "0.5")
    page.keyboard.press("Tab")
    assert page.locator("[data-part='range-words']").inner_text() == "6 of 10 designs kept"
    assert page.locator(".scatter-dot.faded").count() == 4
    page.click("[data-part='range-clear']")
    assert page.locator(".scatter-dot.faded").count() == 0
    page.select_option("[data-part='range-axis']", "mass_g")
    page.locator("[data-part='parallel-axes']").scroll_into_view_if_needed()
    handle = page.locator(".axis-handle[data-axis='mass_g']").bounding_box()
    x = handle["x"] + handle["width"] / 2
    page.mouse.move(x, handle["y"] + 1)
    page.mouse.down()
    page.mouse.move(x, handle["y"] + handle["height"] * 0.6, steps=6)
    page.mouse.up()
    faded = page.locator(".scatter-dot.faded").count()
    assert 0 < faded < 8
    assert page.locator(".axis-range").count() == 1
    # a mere click on the axis lets all through again
    page.mouse.click(x, handle["y"] + 5)
    assert page.locator(".scatter-dot.faded").count() == 0


def test_axes_can_be_chosen(page: Any) -> None:
    """One that is unticked goes, and comes back in its place."""
    page.click("text=Axes shown")
    axes = page.locator(".axis-line").count()
    label = page.locator("[data-part='axes'] label", has_text="clamped length of the bar")
    box = label.locator("input")
    box.uncheck()
    assert page.locator(".axis-line").count() == axes - 1
    box.check()
    assert page.locator(".axis-line").count() == axes


def test_a_line_can_be_picked(page: Any) -> None:
    """What is picked stands out in both plots."""
    page.locator(".design-line[data-design='4']").dispatch_event("click")
    assert "Design 5" in picked(page)
    assert page.locator(".design-line.picked").count() == 1
    assert page.locator(".scatter-dot.picked").count() == 1


def test_no_serious_fault_of_access(page: Any) -> None:
    """As axe-core sees it, with a design picked."""
    dot(page, 5).click()
    assert not accessibility_faults(page)


def test_on_a_phone(open_page: OpenPage, results: Path) -> None:
    """Nothing is wider than the screen but what scrolls by itself; a tap picks."""
    page = open_page(results / "sweep.html", touch=True)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    dot(page, 1).tap()
    assert "Design 1" in picked(page)
    assert not accessibility_faults(page)
    for target in page.locator("main :is(button, select, input, summary), nav a").all():
        if box := target.bounding_box():
            label = target.locator("xpath=ancestor::label")
            held = label.bounding_box() if label.count() else box
            assert max(box["height"], held["height"]) >= 44, target.inner_text()


def test_without_scripts_the_tables_say_it(open_page: OpenPage, results: Path) -> None:
    """A sentence says why there are no plots."""
    page = open_page(results / "sweep.html", javascript=False)
    text = page.locator("body").inner_text()
    assert "no plots" in text
    assert "a tube needs a bore" in text
    assert page.locator(".plots:visible").count() == 0
