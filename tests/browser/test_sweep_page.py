"""The page of a sweep in a browser: pick, read, filter, choose axes, by mouse, key and finger."""

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from studies.sweeps.rows import DesignRow, Job, unfinished_row
from studies.sweeps.sweep import run_sweep, sweep_of
from support.browser import accessibility_faults
from support.sweeps import WALL, WIDTH, at_once, axis, made_row, plan, short_study, wall_of

OpenPage = Callable[..., Any]

WALLS_MM, WIDTHS_MM = (0.4, 0.45, 0.6, 0.8, 13.0), (36, 40)


def row(job: Job) -> DesignRow:
    """Return a row; thin walls have a limit before the load, thick ones no bore."""
    if wall_of(job) > 12:
        return unfinished_row(job, "invalid input", "a tube needs a bore")
    wall_mm, width_mm = wall_of(job), json.loads(job.table)["clamp"]["width_mm"]
    return made_row(job, governing_factor=2 * wall_mm * width_mm / 38)


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the results folder of a sweep of ten designs."""
    folder = tmp_path_factory.mktemp("swept")
    axes = [axis(WALL, values=list(WALLS_MM)), axis(WIDTH, values=list(WIDTHS_MM))]
    run_sweep(sweep_of(short_study(folder), axes, plan()), folder / "out", at_once(row))
    return folder / "out"


@pytest.fixture
def page(open_page: OpenPage, results: Path) -> Any:
    """Return the page, opened at a desk."""
    return open_page(results / "sweep.html")


def picked(page: Any) -> str:
    """Return what is told of the picked design."""
    text: str = page.locator("[data-part='picked']").inner_text()
    return text


def dot(page: Any, design: int) -> Any:
    """Return the dot of a design, counted from 1."""
    return page.locator(f".scatter-dot[data-design='{design - 1}']")


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
    page.locator("[data-pick='2']").first.click()
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


def test_without_scripts_the_tables_say_it(open_page: OpenPage, results: Path) -> None:
    """A sentence says why there are no plots."""
    page = open_page(results / "sweep.html", javascript=False)
    text = page.locator("body").inner_text()
    assert "no plots" in text
    assert "a tube needs a bore" in text
    assert page.locator(".plots").is_hidden()
