"""What a sweep's page draws beside its dots, and what its address holds, in a browser."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from studies.sweeps.sweep import run_sweep
from support.sweeps import WALL, WIDTH, at_once, made_row, short_study, wall_sweep
from support.swept_page import dot, picked, swept_results

OpenPage = Callable[..., Any]

PARTS = ("x", "y", "colour", "number")


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the results folder of a sweep of ten designs."""
    return swept_results(tmp_path_factory.mktemp("swept"))


@pytest.fixture
def page(open_page: OpenPage, results: Path) -> Any:
    """Return the page, opened at a desk."""
    return open_page(results / "sweep.html")


def marks(page: Any) -> list[float]:
    """Return where the marks of the ladder's first row stand, percent of its axis."""
    where = "part => parseFloat(part.style.left)"
    return [
        one.evaluate(where) for one in page.locator(".pair tbody tr").first.locator(".at").all()
    ]


def test_a_picked_design_has_its_ladder_beside_the_baseline(page: Any) -> None:
    """Of 0.8 mm and 40 mm: 1.6 x 40/38; the study file's 1.6 mm lies outside, so its nearest."""
    head = page.locator(".pair caption")
    assert head.inner_text() == "Limits of design 8, the nearest to the study file"
    assert len(marks(page)) == 1
    dot(page, 5).click()
    assert head.inner_text() == "Limits of design 5 beside design 8, the nearest to the study file"
    numbers = page.locator(".pair tbody tr").first.locator("td b").all_inner_texts()
    assert numbers == ["1.20", "1.60"]
    base, chosen = marks(page)
    # logarithmic, from 0.5 to 30, where no design lies beyond
    wanted = 100 * math.log(1.6 / 1.2) / math.log(30 / 0.5)
    assert base - chosen == pytest.approx(wanted, abs=0.05)
    dot(page, 1).click()
    assert page.locator(".pair td.below").count() == 1


def test_the_load_and_the_front_are_lines(page: Any) -> None:
    """The line at 1 parts crosses from dots; the front joins lighter with stronger."""
    load = page.locator(".scatter .load-line").bounding_box()
    tops = [one.bounding_box()["y"] for one in page.locator("path.scatter-dot.before").all()]
    others = [one.bounding_box() for one in page.locator("circle.scatter-dot").all()]
    assert min(tops) > load["y"] - 6
    assert all(one["y"] + one["height"] / 2 < load["y"] + 1 for one in others)
    # of equal walls the broader clamp has the higher factor at the same mass
    assert page.locator(".scatter .front-line").get_attribute("d").count("L") == 3
    # neither a wall nor a deflection is better by being less or more
    for part, other, usual in (
        ("x", WALL, "mass_g"),
        ("y", "push/deflection_mm", "governing_factor"),
    ):
        page.select_option(f"[data-part='{part}']", other)
        assert page.locator(".scatter .front-line").count() == 0
        page.select_option(f"[data-part='{part}']", usual)
    assert page.locator(".scatter .front-line").count() == 1


def test_a_load_far_below_has_words_and_no_line(open_page: OpenPage, tmp_path: Path) -> None:
    """An axis that reached down to it would press the designs together."""
    sweep = wall_sweep(short_study(tmp_path), 2.4, 2.5, 2.6)
    run_sweep(sweep, tmp_path / "out", at_once(made_row))
    page = open_page(tmp_path / "out" / "sweep.html")
    assert page.locator(".load-line").count() == 0
    assert page.locator(".load-word").text_content() == "1 \u00d7 load: below this axis"
    tops = [dot(page, k).bounding_box()["y"] for k in (1, 3)]
    assert tops[0] - tops[1] > 200


def test_a_column_can_colour_the_dots(page: Any) -> None:
    """Pale to dark by its value, with a key; crosses keep their shape."""
    page.select_option("[data-part='colour']", WIDTH)
    fills = {dot(page, k).evaluate("one => one.style.fill") for k in (5, 7)}
    other = {dot(page, k).evaluate("one => one.style.fill") for k in (6, 8)}
    assert len(fills) == len(other) == 1
    assert fills != other
    key = page.locator("[data-part='colour-key']")
    assert " ".join(key.inner_text().split()) == "Colour: clamped length of the bar, mm: 36 40"
    page.select_option("[data-part='colour']", "")
    assert key.is_hidden()
    assert dot(page, 5).evaluate("one => one.style.fill") == ""


def test_each_axis_has_a_small_plot(page: Any) -> None:
    """Of the figure upwards in the large one, with the line at the load and the picked design."""
    plots = page.locator(".multiple")
    labels = [one.get_attribute("aria-label") for one in plots.all()]
    assert labels == [
        "governing factor against wall thickness, mm",
        "governing factor against clamped length of the bar, mm",
    ]
    assert page.locator(".multiple .load-line").count() == 2
    assert page.locator(".small-dots.picked").count() == 0
    dot(page, 5).click()
    assert page.locator(".small-dots.picked").count() == 2
    page.select_option("[data-part='y']", "mass_g")
    assert plots.first.get_attribute("aria-label") == "mass, g against wall thickness, mm"
    assert page.locator(".multiple .load-line").count() == 0


def test_what_is_chosen_stands_in_the_address(page: Any) -> None:
    """Axes, colour, pick and kept ranges are there again where the address is opened."""
    assert page.evaluate("location.hash") == ""
    page.select_option("[data-part='x']", WALL)
    page.select_option("[data-part='colour']", WIDTH)
    dot(page, 7).click()
    page.select_option("[data-part='range-axis']", "mass_g")
    page.fill("[data-part='range-from']", "25")
    page.keyboard.press("Tab")
    kept = page.locator("[data-part='range-words']").inner_text()
    page.wait_for_function("location.hash.includes('keep=')")
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    values = {name: page.locator(f"[data-part='{name}']").input_value() for name in PARTS}
    assert values == {"x": WALL, "y": "governing_factor", "colour": WIDTH, "number": "7"}
    assert "Design 7" in picked(page)
    assert page.locator("[data-part='range-words']").inner_text() == kept == "4 of 10 designs kept"
    page.evaluate("location.hash = 'design=3'")
    page.wait_for_function("document.querySelector(\"[data-part='number']\").value === '3'")
    assert page.locator("[data-part='x']").input_value() == "mass_g"


@pytest.mark.parametrize(
    "said",
    [
        "x=<img src=x onerror=alert(1)>&design=1e3&keep=mass_g:NaN:2",
        "x=__proto__&y=constructor&colour=toString&design=-1&axis=valueOf&keep=::",
        "design=0.5&keep=mass_g:9:1&keep=nothing:1:2&x=",
        "design=3&y=" + "9" * 3000,
    ],
)
def test_a_hostile_address_changes_nothing(page: Any, said: str) -> None:
    """What names no column and no design is passed over, and the page starts as ever."""
    axes = page.locator(".axis-line").count()
    page.evaluate("said => { location.hash = said; }", said)
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    values = {name: page.locator(f"[data-part='{name}']").input_value() for name in PARTS}
    assert values == {"x": "mass_g", "y": "governing_factor", "colour": "", "number": ""}
    assert page.locator(".axis-line").count() == axes
    assert page.locator(".scatter-dot.faded").count() == 0


@pytest.mark.parametrize("width", [320, 700, 901, 1600])
def test_the_page_never_scrolls_sideways(open_page: OpenPage, results: Path, width: int) -> None:
    """Plots are drawn anew at the width they have; what is wider scrolls in a part of its own."""
    page = open_page(results / "sweep.html", width=width)
    dot(page, 5).click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    svg = page.locator("[data-part='scatter']")
    drawn = "one => one.viewBox.baseVal.width"
    assert svg.bounding_box()["width"] == pytest.approx(svg.evaluate(drawn), abs=1)
    page.set_viewport_size({"width": 500, "height": 640})
    page.wait_for_timeout(100)
    assert svg.bounding_box()["width"] == pytest.approx(svg.evaluate(drawn), abs=1)
