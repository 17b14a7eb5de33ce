"""The plan of a test is one sheet of paper, whatever is tested, and can be read on a phone."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from geometry.grading import LEVELS
from studies.bench.rig import Rig, bore_area_mm2
from studies.study_file.study import Study, read_study
from support.browser import accessibility_faults
from support.hostile import CASE, NAME, hostile_study
from support.plan_studies import crowded, free, long_named, riser, stood
from support.plans import plan_in
from support.preview_bars import CRUDE
from support.view_page import OpenPage

RIG = Rig(
    force_unit="bar",
    area_mm2=bore_area_mm2(40),
    gauge_class_percent=1.6,
    full_scale=60,
    resolution=1,
)
SCALE = Rig(force_unit="kN", full_scale=20, gauge_class_percent=0.5)

BENDING = "iso-4210-5.bar-bending"

# study, its case, the gauge, whether a path with a band is expected
PLANS: dict[str, tuple[Callable[[], Study], str, Rig | None, bool]] = {
    "path": (riser, BENDING, RIG, True),
    "rider": (riser, "rider.standing-sprint", SCALE, True),
    "cycles": (riser, "iso-4210-5.fatigue-in-phase", RIG, False),
    "stood": (stood, "press.stood-on-both-ends", RIG, False),
    "crowded": (crowded, "press.stood-on-both-ends", RIG, True),
    "four": (free, "press.four-point", None, False),
    "long": (long_named, "bending-at-the-hood", RIG, True),
}

LEAST_PX, LEAST_PT = 11.0, 7.5


@pytest.fixture(scope="module")
def pages(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Return a folder with all plans, each in a folder of its name."""
    folder = tmp_path_factory.mktemp("plans")
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(LEVELS, "coarse", CRUDE)
        for name, (study, case, rig, path) in PLANS.items():
            plan_in(folder / name, study(), case, rig, path=path)
        yield folder


@pytest.mark.parametrize("name", PLANS)
def test_it_is_one_sheet_of_paper(open_page: OpenPage, pages: Path, name: str) -> None:
    """On A4 and on US Letter."""
    page = open_page(pages / name / "plan.html", ready=False)
    for paper in ("A4", "Letter"):
        document = page.pdf(format=paper, print_background=True)
        assert len(re.findall(rb"/Type\s*/Page\b", document)) == 1, paper


@pytest.mark.parametrize("name", PLANS)
def test_nothing_leaves_the_paper_and_all_can_be_read(
    open_page: OpenPage, pages: Path, name: str
) -> None:
    """At the width of A4 without its margins; letters have 7.5 pt or more, in drawings too."""
    # 190 mm at 96 dots an inch
    page = open_page(pages / name / "plan.html", ready=False, width=718, height=1040)
    page.emulate_media(media="print")
    assert page.evaluate("document.documentElement.scrollWidth") <= 718
    assert smallest(page) * 72 / 96 >= LEAST_PT - 0.01
    assert not cut_off(page)


@pytest.mark.parametrize("name", ["path", "cycles", "stood"])
def test_a_phone_scrolls_within_tables_alone(open_page: OpenPage, pages: Path, name: str) -> None:
    """At 390 px; letters have 11 px or more, and axe finds no serious fault."""
    page = open_page(pages / name / "plan.html", ready=False, touch=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert smallest(page) >= LEAST_PX
    assert not accessibility_faults(page)


def test_a_desk_has_no_small_letters(open_page: OpenPage, pages: Path) -> None:
    """Neither does the page complain or ask for anything: the fixture sees that."""
    page = open_page(pages / "path" / "plan.html", ready=False)
    assert smallest(page) >= LEAST_PX
    assert not accessibility_faults(page)


def test_black_and_white_has_the_same_words(open_page: OpenPage, pages: Path) -> None:
    """What is not resolved stands in words, the band is outlined, marks have letters."""
    page = open_page(pages / "path" / "plan.html", ready=False)
    text = page.locator("main").inner_text()
    assert "not resolved" in text
    assert "band at 95 %" in text
    assert page.locator("path.band").count() == 1
    letters = page.locator("text.letter").all_text_contents()
    assert letters == sorted(letters)
    assert len(letters) >= 3


def test_hostile_names_are_words(open_page: OpenPage, tmp_path: Path) -> None:
    """No name of a study or case runs, closes an element or is filled in; it is still one sheet."""
    study = read_study(hostile_study(tmp_path))
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(LEVELS, "coarse", CRUDE)
        plan_in(tmp_path / "plan", study, "push")
    page = open_page(tmp_path / "plan" / "plan.html", ready=False)
    assert page.title().startswith("Test plan")
    text = page.locator("main").inner_text()
    assert CASE in text
    assert NAME in text
    document = page.pdf(format="Letter", print_background=True)
    assert len(re.findall(rb"/Type\s*/Page\b", document)) == 1


def smallest(page: Any) -> float:
    """Return the size of the smallest letters that are shown, in CSS px, scaled as drawings are."""
    return float(
        page.evaluate("""() => Math.min(...[...document.querySelectorAll("body *")]
        .filter(one => [...one.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()))
        .filter(one => !one.closest("title, desc") && one.getClientRects().length)
        .map(one => {
          const size = parseFloat(getComputedStyle(one).fontSize);
          const svg = one.closest("svg");
          return svg ? size * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : size;
        }))""")
    )


def cut_off(page: Any) -> list[str]:
    """Return words of a drawing that leave it."""
    found: list[str] = page.evaluate("""() => [...document.querySelectorAll("svg text")]
        .filter(one => {
          const own = one.getBoundingClientRect(), all = one.closest("svg").getBoundingClientRect();
          return own.left < all.left - 1 || own.right > all.right + 1
            || own.top < all.top - 2 || own.bottom > all.bottom + 2;
        }).map(one => one.textContent)""")
    return found
