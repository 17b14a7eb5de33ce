"""The page of `barwright live` in a browser: a new answer in the view as it was."""

from typing import Any

import pytest

from studies.assessment.run import run_study
from studies.live.board import Board
from studies.live.server import serving
from studies.page.live_page import live_html
from studies.results.record import results_record
from studies.study_file.study import read_study
from support.study_texts import cantilever

TWO = (
    """\
name = "two-cases"
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 25, wall_mm = 2.0 }]
"""
    + cantilever(90, 300).removeprefix("\n")
    + """
[[cases]]
id = "other"
title = "<b>other</b>"
loads = [{ side = "right", from_end_mm = 25, force_n = [0, 200, 0], band_mm = 20 }]
"""
)


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Return a rough page, then one of another wall, with a fault of the file."""
    folder = tmp_path_factory.mktemp("live")
    found, before = [], None
    for number, wall in enumerate(("2.0", "1.6"), start=1):
        path = folder / "two.toml"
        path.write_text(TWO.replace("wall_mm = 2.0", f"wall_mm = {wall}"), encoding="utf-8")
        run = run_study(read_study(path), "preview", parts=frozenset())
        record = results_record(run)
        problem = "" if number == 1 else "bar.stations[0].wall_mm: is <i>odd</i>"
        found.append(
            live_html(
                run, record, before, whole=False, version=number, state="rough", problem=problem
            )
        )
        before = record
    return found


def test_a_new_answer_is_shown_in_the_same_view(browser: Any, pages: list[str]) -> None:
    """Case, field and camera are kept; table and problem are new; nothing of a name is HTML."""
    board = Board()
    board.show(pages[0])
    with serving(board) as address:
        page = browser.new_context(viewport={"width": 1000, "height": 700}).new_page()
        errors: list[str] = []
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(address)
        page.wait_for_function("document.documentElement.dataset.ready === 'view'")
        page.click("[data-choose=other]")
        page.select_option("[data-part=field]", "axial")
        page.click("[data-preset=top]")
        turn = page.evaluate("document.querySelector('.view').barView.camera.turn")
        first = page.inner_text("tbody tr:nth-child(1) td")
        board.show(pages[1])
        page.wait_for_selector(".problem")
        page.wait_for_function("document.documentElement.dataset.ready === 'view'")
        assert "is <i>odd</i>" in page.inner_text(".problem")
        assert page.inner_text("tbody tr:nth-child(1) td") != first
        assert "+" in page.inner_text("tbody tr:nth-child(1) td")
        assert page.get_attribute("[data-choose=other]", "aria-pressed") == "true"
        assert page.inner_text("[data-choose=other]") == "<b>other</b>"
        assert page.input_value("[data-part=field]") == "axial"
        assert page.evaluate("document.querySelector('.view').barView.camera.turn") == turn
        assert not errors
        page.context.close()


def test_the_end_of_the_program_is_said(browser: Any, pages: list[str]) -> None:
    """The page stays as it is, and says that nobody answers."""
    board = Board()
    board.show(pages[0])
    with serving(board) as address:
        page = browser.new_context().new_page()
        page.goto(address)
        page.wait_for_function("document.documentElement.dataset.ready === 'view'")
        board.show(pages[1])
        page.wait_for_selector(".problem")
    page.wait_for_selector("html.ended", timeout=30000)
    page.context.close()
