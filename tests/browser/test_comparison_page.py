"""The comparison's page in a browser: one camera, one scale, one place for both views."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fea.stability.criteria import LOCAL
from studies.commands.main import main
from support.browser import accessibility_faults
from support.pages import short_bar

OpenPage = Callable[..., Any]

pytestmark = pytest.mark.slow

WALLS_MM = {"pier-thick": 2.0, "pier-thin": 1.6}
LIFT = """
[[cases]]
id = "lift"
title = "Lift on the left"
loads = [{ side = "left", from_end_mm = 30, force_n = [0, 0, 200], band_mm = 20 }]
"""
VIEWS = "[...document.querySelectorAll('.view')].map(root => root.barView)"


@pytest.fixture(scope="module")
def compared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the page that compares a bar with a thinner one and one that has a case more."""
    folder = tmp_path_factory.mktemp("compared")
    files = [short_bar(folder, name, wall_mm) for name, wall_mm in WALLS_MM.items()]
    files.append(short_bar(folder, "pier-lifted", 1.8, LIFT))
    options = ["--no-figures", "--out", str(folder / "page")]
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        assert main(["compare", *map(str, files), *options]) == 0
    return folder / "page" / "comparison.html"


@pytest.fixture
def page(open_page: OpenPage, compared: Path) -> Any:
    """Return the page, opened at a desk, the views in sight."""
    opened = open_page(compared)
    opened.click("summary:has-text('Controls of the views')")
    opened.locator("#bar").evaluate("part => part.scrollIntoView()")
    opened.wait_for_timeout(50)
    return opened


def test_both_views_have_one_scale_and_one_camera(page: Any) -> None:
    """Colours span the larger range, deformation is drawn alike, and turning turns both."""
    ranges = page.evaluate(f"{VIEWS}.map(view => view.range)")
    assert ranges[0] == ranges[1]
    times = page.evaluate(f"{VIEWS}.map(view => view.times)")
    assert times[0] == times[1]
    assert page.evaluate(f"{VIEWS}.map(view => view.scene.name)") != [page.title()] * 2
    pictures = [bytes(page.locator("canvas").nth(k).screenshot()) for k in (0, 1)]
    page.locator("canvas").first.focus()
    page.keyboard.press("ArrowLeft")
    page.wait_for_timeout(60)
    for k in (0, 1):
        assert bytes(page.locator("canvas").nth(k).screenshot()) != pictures[k]


def test_a_place_is_read_in_both(page: Any) -> None:
    """Typed in once, told for each design by name, and marked in both."""
    page.fill("[data-part='place-s']", "60")
    page.fill("[data-part='place-theta']", "180")
    page.keyboard.press("Tab")
    lines = page.locator("[data-part='reading']").inner_text().split("\n")
    assert len(lines) == 2
    values = [float(re.findall(r"\d+\.\d+|\d+", line.split(": ", 1)[1])[0]) for line in lines]
    assert values[0] != values[1]
    assert page.locator(".word.pinned").count() == 2


def test_a_view_can_show_another_design(page: Any) -> None:
    """The same design in both views gives the same picture."""
    page.select_option("[data-pane='1'] select", "0")
    page.wait_for_function(f"new Set({VIEWS}.map(view => view.scene)).size === 1")
    page.wait_for_timeout(150)
    first, second = page.evaluate(f"{VIEWS}.map(view => view.canvas.toDataURL())")
    assert first == second


def test_a_case_of_a_design_that_no_view_shows_can_be_chosen(page: Any) -> None:
    """Folded at the end; views say that they have none, and draw it once one shows the design."""
    assert not page.locator("[data-choose='lift']").is_visible()
    page.click("summary:has-text('Cases that not all designs have (1)')")
    page.click("[data-choose='lift']")
    assert page.locator("[data-part='case']").input_value() == "lift"
    assert page.locator(".no-case:visible").count() == 2
    page.select_option("[data-pane='1'] select", "2")
    page.wait_for_function("document.querySelectorAll('.word.load').length === 1")
    assert page.locator(".no-case:visible").count() == 1


def test_better_and_worse_are_told_in_words(page: Any) -> None:
    """Not by colour alone: a sign and a word stand beside each percentage."""
    better = page.locator(".judged.better").all_inner_texts()
    worse = page.locator(".judged.worse").all_inner_texts()
    assert better
    assert worse
    assert all("\u25b2 better" in text and "%" in text for text in better)
    assert all("\u25bc worse" in text and "%" in text for text in worse)
    mass = page.locator("table.compared tr", has_text="mass, g").inner_text()
    assert "\u2212" in mass
    assert "better" in mass


def test_curves_and_chart_follow_the_case(page: Any) -> None:
    """The chosen case's part is shown, each design is a line and a dot with its letter."""
    page.select_option("[data-part='case']", "pull")
    shown = page.locator(".case:visible")
    assert shown.get_attribute("data-case") == "pull"
    assert shown.locator(".dots .dot").all_inner_texts() == ["A", "B", "C"]
    assert shown.locator("svg.chart").count() == 2 + len(LOCAL)
    first = shown.locator("svg.chart").first
    assert first.locator(".letter").all_text_contents() == ["A", "B", "C"]
    first.scroll_into_view_if_needed()
    box = first.bounding_box()
    page.mouse.move(box["x"] + 0.7 * box["width"], box["y"] + 0.5 * box["height"])
    said = shown.locator(".along-reading").inner_text()
    assert "A largest von Mises, MPa" in said
    assert "B largest von Mises, MPa" in said


@pytest.mark.parametrize(("width", "touch"), [(1440, False), (390, True)])
def test_nobody_is_shut_out(open_page: OpenPage, compared: Path, width: int, touch: bool) -> None:
    """Axe finds no serious fault, nothing is wider than the screen, and fingers find a button."""
    page = open_page(compared, width=width, touch=touch)
    faults = accessibility_faults(page)
    assert not faults, "\n".join(faults)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    buttons = "[...document.querySelectorAll('main button, nav a')].filter(b => b.offsetHeight)"
    least = page.evaluate(f"Math.min(...{buttons}.map(b => b.getBoundingClientRect().height))")
    assert not touch or least >= 44


@pytest.mark.parametrize("width", [320, 700, 901, 1600])
def test_the_page_never_scrolls_sideways(open_page: OpenPage, compared: Path, width: int) -> None:
    """Whatever is wider scrolls in a part of its own."""
    page = open_page(compared, width=width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("width", [1280, 390])
def test_a_ring_stands_over_its_place_on_the_ruler(
    open_page: OpenPage, compared: Path, width: int
) -> None:
    """Of every design, on a desk and on a phone; the page says where each is."""
    page = open_page(compared, width=width)
    middle = "part => { const b = part.getBoundingClientRect(); return b.left + b.width / 2; }"
    figures = page.locator(".common-ruler .on-ruler span")
    assert figures.all_inner_texts() == ["100", "0", "100"]
    zero, hundred = (figures.nth(k).evaluate(middle) for k in (1, 2))
    for design in page.locator(".design").all():
        side, mm = re.findall(r": (right|left) (\d+) mm", design.inner_text())[0]
        s_mm = float(mm) * (1 if side == "right" else -1)
        ring = design.locator(".wall-drawn .place").evaluate(middle)
        assert ring == pytest.approx(zero + (hundred - zero) * s_mm / 100, abs=2)


def test_what_is_chosen_stands_in_the_address(open_page: OpenPage, compared: Path) -> None:
    """A case and two views are shown again where their address is opened or typed."""
    page = open_page(compared)
    page.click(".case-strip [data-choose='pull']")
    page.select_option("[data-pane='1'] select", "2")
    page.wait_for_function("location.hash.includes('right=C')")
    shared = page.evaluate("location.hash")
    assert shared == "#case=pull&left=A&right=C"
    again = open_page(compared)
    again.evaluate("location.hash = 'case=lift&left=B&right=B'")
    again.wait_for_function("document.querySelector('[data-pane=\"0\"] select').value === '1'")
    again.wait_for_selector(".case.shown[data-case='lift']")
    again.goto(compared.resolve().as_uri() + shared)
    again.reload()
    again.wait_for_selector("html[data-ready]", state="attached")
    assert again.locator(".case:visible").get_attribute("data-case") == "pull"
    assert again.locator("[data-pane='1'] select").input_value() == "2"


@pytest.mark.parametrize(
    "said",
    [
        "case=<img src=x onerror=alert(1)>&left=Z&right=%",
        "case=nowhere&left=AB&right=",
        "left=H&right=__proto__&case=constructor",
        "case=" + 3000 * "push",
    ],
)
def test_a_hostile_address_changes_nothing(open_page: OpenPage, compared: Path, said: str) -> None:
    """What names no case and no design is passed over, and the page starts as ever."""
    page = open_page(compared)
    usual = page.locator(".case:visible").get_attribute("data-case")
    page.evaluate("said => { location.hash = said; }", said)
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    assert page.locator(".case:visible").get_attribute("data-case") == usual
    values = [page.locator(f"[data-pane='{k}'] select").input_value() for k in (0, 1)]
    assert values == ["0", "1"]


def test_without_webgl_the_table_stands(open_page: OpenPage, compared: Path) -> None:
    """A sentence says what is missing."""
    page = open_page(compared, webgl=False)
    assert page.locator(".instead").is_visible()
    assert page.locator("table.compared").first.is_visible()
