"""A run's page below its first screen: paper, folded parts, navigation, phones."""

import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from support.browser import accessibility_faults
from support.view_page import OpenPage, unfold

pytestmark = pytest.mark.slow


def sheets(page: Any, paper: str = "A4") -> int:
    """Return how many sheets of paper a page prints on."""
    document = page.pdf(format=paper, print_background=True)
    return len(re.findall(rb"/Type\s*/Page\b", document))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper_is_one_sheet_unless_all_is_asked_for(
    open_page: OpenPage, results: Path, paper: str
) -> None:
    """One by default; with everything two more for each case at most, and three for the rest."""
    page = open_page(results / "report.html")
    assert sheets(page, paper) == 1
    page.evaluate("location.hash = '#print-all'")
    page.wait_for_selector("html.print-all")
    assert 3 < sheets(page, paper) <= 1 + 2 * 2 + 3
    page.evaluate("location.hash = ''")
    page.wait_for_selector("html:not(.print-all)")
    assert sheets(page, paper) == 1


TWICE = """
const rows = document.querySelector('.sheet-cases tbody');
for (const row of [...rows.children]) rows.append(row.cloneNode(true));
"""


def test_the_sheet_has_room_for_four_cases(open_page: OpenPage, results: Path) -> None:
    """On the shorter paper; the riser of these tests has two of its four."""
    page = open_page(results / "report.html")
    page.evaluate(f"(() => {{{TWICE}}})()")
    assert sheets(page, "Letter") == 1


def test_buttons_print_one_sheet_or_everything(page: Any) -> None:
    """Each asks for its own form, and the next print by the browser's menu is the sheet again."""
    page.evaluate("window.print = () => (window.asked = document.documentElement.className)")
    page.click("[data-print='all']")
    assert "print-all" in page.evaluate("asked")
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert "print-all" not in page.get_attribute("html", "class")
    page.click("[data-print='summary']")
    assert "print-all" not in page.evaluate("asked")


def test_without_scripts_everything_is_printed(open_page: OpenPage, results: Path) -> None:
    """Nobody could ask for it there."""
    assert sheets(open_page(results / "report.html", javascript=False)) > 3


def on_paper(page: Any) -> None:
    """Show a page as paper does."""
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.set_viewport_size({"width": 700, "height": 990})


def test_the_sheet_has_cases_inspection_and_model(open_page: OpenPage, results: Path) -> None:
    """Below the first screen's own parts; it says how to print the rest; no control."""
    page = open_page(results / "report.html")
    on_paper(page)
    assert page.locator(".sheet-cases tbody tr").count() == 2
    said = page.locator("main").inner_text()
    for part in ("Inspect after the test", "Model", "Not in the model", "SHA-256", "Print all"):
        assert part in said
    for part in (".below-first", ".controls", "nav", ".case-strip"):
        assert not page.locator(part).first.is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 700
    faults = [fault for fault in accessibility_faults(page) if fault.startswith("color-contrast")]
    assert not faults, "\n".join(faults)


COPY = """
const copy = document.querySelector('.view canvas.printed');
const { data } = copy.getContext('2d').getImageData(0, 0, copy.width, copy.height);
const colours = new Set();
for (let at = 0; at < data.length; at += 4) {
  colours.add(`${data[at]} ${data[at + 1]} ${data[at + 2]}`);
}
return [copy.clientWidth, copy.width, colours.size];
"""


def test_the_bar_on_paper_is_drawn_at_its_size_there(open_page: OpenPage, results: Path) -> None:
    """As a copy, since a browser may print what the view's own canvas held before."""
    page = open_page(results / "report.html", width=1280, height=900)
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    shown, dots, colours = page.evaluate(f"(() => {{{COPY}}})()")
    assert shown == dots == 688
    assert colours > 100
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.locator(".printed").count() == 0


def test_all_of_it_on_paper_has_everything_and_no_controls(
    open_page: OpenPage, results: Path
) -> None:
    """All cases, what was folded away, no buttons, nothing over the edge."""
    page = open_page(results / "report.html")
    page.evaluate("location.hash = '#print-all'")
    on_paper(page)
    assert page.locator(".case:visible").count() == 2
    assert page.locator("details[open]").count() == page.locator("details").count()
    assert not page.locator(".controls").is_visible()
    assert not page.locator("nav").is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 700
    faults = [fault for fault in accessibility_faults(page) if fault.startswith("color-contrast")]
    assert not faults, "\n".join(faults)


def test_a_link_into_a_folded_part_opens_it(open_page: OpenPage, results: Path) -> None:
    """Also from the address, and keys open it as well."""
    page = open_page(results / "report.html")
    study = page.locator("#study")
    assert study.get_attribute("open") is None
    page.click("nav a[href='#study']")
    assert study.get_attribute("open") is not None
    page.evaluate("location.hash = '#assumed'")
    page.wait_for_selector("#answers[open]")
    page.locator("#how summary").focus()
    page.keyboard.press("Enter")
    assert page.locator("#how").get_attribute("open") is not None


def test_links_lead_to_the_case_that_is_shown(page: Any) -> None:
    """Curves and zones are parts of a case."""
    link = page.locator("nav a[data-within='curves']")
    assert link.get_attribute("href") == "#curves-1"
    page.click(".case-strip [data-choose='iso-4210-5.fatigue-in-phase']")
    assert link.get_attribute("href") == "#curves-2"
    assert page.locator("#curves-2").is_visible()


def test_headings_skip_no_level(open_page: OpenPage, results: Path) -> None:
    """One of the first level, and each at most one below that before it."""
    page = open_page(results / "report.html")
    levels = page.evaluate(
        "[...document.querySelectorAll('h1, h2, h3, h4, h5, h6')].map(one => +one.tagName[1])"
    )
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


@pytest.mark.parametrize("width", [320, 390, 640, 701, 901, 1280, 1600])
def test_nothing_makes_the_page_wider_than_the_screen(
    open_page: OpenPage, results: Path, width: int
) -> None:
    """Folded or not; 640 is a desk of 1280 at 200 %."""
    page = open_page(results / "report.html", width=width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    unfold(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_folded_the_page_is_short(open_page: OpenPage, results: Path) -> None:
    """Half of what it was before anything was folded: 14 000 and 23 000 px."""
    for width, most in ((1280, 7000), (390, 11500)):
        page = open_page(results / "report.html", width=width, touch=width < 700)
        assert page.evaluate("document.documentElement.scrollHeight") < most


SMALL = """
[...document.querySelectorAll('.below-first, .page-nav')].flatMap(part => [
  ...part.querySelectorAll('button, summary, nav a, .jumps a, select, input')])
  .filter(one => one.checkVisibility())
  .map(one => [one.textContent.trim(), one.getBoundingClientRect()])
  .filter(([, box]) => box.height < 44 || box.width < 44)
  .map(([text, box]) => `${text}: ${box.width} x ${box.height}`)
"""


def test_a_phone_has_targets_for_fingers_and_the_navigation_in_reach(
    open_page: OpenPage, results: Path
) -> None:
    """44 px each; the line stands at the bottom, scrolls, and shows that it does."""
    page = open_page(results / "report.html", touch=True)
    assert page.evaluate(SMALL) == []
    nav = page.locator(".page-nav").bounding_box()
    assert nav["y"] + nav["height"] == pytest.approx(844, abs=1)
    beyond = page.locator(".jumps").evaluate("one => one.scrollWidth - one.clientWidth")
    assert beyond > 44
    hint = "getComputedStyle(document.querySelector('.page-nav'), '::after').content"
    assert page.evaluate(hint) == '"\u203a"'


def test_a_phone_draws_charts_anew_and_tables_say_that_they_scroll(
    open_page: OpenPage, results: Path
) -> None:
    """Charts fit as they are, with letters of 11 px at least; a table's first column stays."""
    page = open_page(results / "report.html", touch=True)
    for chart in page.locator(".case.shown .plot > svg, .halves .plot > svg").all():
        box = chart.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 390
        sizes = chart.locator("text").evaluate_all("all => all.map(one => one.getBBox().height)")
        assert all(size > 11 for size in sizes)
    table = page.locator(".scroll.wide", has=page.locator(".bounds")).locator("visible=true").first
    assert table.evaluate("one => one.scrollWidth > one.clientWidth")
    assert "Scrolls" in table.evaluate("one => getComputedStyle(one, '::before').content")
    head = table.locator("tbody th").first
    before = head.bounding_box()["x"]
    table.evaluate("one => (one.scrollLeft = 120)")
    assert head.bounding_box()["x"] == pytest.approx(before, abs=1)
    assert table.locator("thead th").nth(1).bounding_box()["x"] < before + 120
