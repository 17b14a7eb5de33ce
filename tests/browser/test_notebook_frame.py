"""A run's page within a notebook's: it opens at the bar, keeps its links, moves nothing else."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from studies.assessment.run import run_study
from studies.notebook.showing import HEIGHT_PX, shown
from studies.study_file.study import read_study
from support.pages import short_bar

TOP = "document.getElementById('{}').getBoundingClientRect().top"


@pytest.fixture
def notebook(open_page: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return a page with what is shown of a run between other cells."""
    monkeypatch.setenv("BARWRIGHT_PICTURES", "plain")
    html = shown(run_study(read_study(short_bar(tmp_path, "pier", 1.6)))).html
    path = tmp_path / "notebook.html"
    cell = "<p style='height: 900px'>another cell</p>"
    text = f"<!doctype html><html lang='en'><title>n</title><body>{cell}{html}{cell}</body></html>"
    path.write_text(text, encoding="utf-8")
    page = open_page(path, ready=False)
    page.frames[1].wait_for_selector("html[data-ready]", state="attached")
    return page


def test_the_frame_opens_at_the_bar_and_keeps_its_links(notebook: Any) -> None:
    """The notebook itself stays where it is; a link of the page leads within the frame.

    Beside it stands a table of seven columns, a row a case.
    """
    frame = notebook.frames[1]
    frame.wait_for_function(f"Math.abs({TOP.format('bar')}) < {HEIGHT_PX / 4}")
    assert notebook.evaluate("scrollY") == 0
    frame.locator("nav a[href='#cautions']").click()
    frame.wait_for_function(f"{TOP.format('cautions')} < {HEIGHT_PX}")
    assert notebook.frames[1].url == "about:srcdoc#cautions"

    assert notebook.locator(".barwright-shown thead th").count() == 7
    assert notebook.locator(".barwright-shown tbody tr").count() == 2
    assert notebook.locator("iframe").get_attribute("title")
    assert notebook.locator("iframe").bounding_box()["height"] == pytest.approx(HEIGHT_PX, abs=3)
