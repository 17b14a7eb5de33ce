"""A run's page within a notebook's: the bar in sight, its links its own, nothing else moved."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from studies.assessment.run import run_study
from studies.comparison.runs import comparison_of
from studies.notebook.showing import HEIGHT_PX, shown
from studies.study_file.study import read_study
from support.pages import short_bar

TOP = "document.getElementById('{}').getBoundingClientRect().top"


@pytest.fixture
def notebook(open_page: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return a page with what is shown of a run, and of a comparison, between other cells."""
    monkeypatch.setenv("BARWRIGHT_PICTURES", "plain")
    bars = [short_bar(tmp_path, name, wall) for name, wall in (("pier", 1.6), ("quay", 2.0))]
    runs = [run_study(read_study(bar)) for bar in bars]
    cells = (shown(runs[0]).html, shown(comparison_of(runs)).html)
    other = "<p style='height: 900px'>another cell</p>"
    path = tmp_path / "notebook.html"
    text = f"<!doctype html><html lang='en'><title>n</title>{other.join(('', *cells, ''))}</html>"
    path.write_text(text, encoding="utf-8")
    page = open_page(path, ready=False)
    for frame in page.frames[1:]:
        frame.wait_for_selector("html[data-ready]", state="attached")
    return page


def test_frames_open_at_the_bar_and_keep_their_links(notebook: Any) -> None:
    """The notebook itself stays where it is; a link of a page leads within its frame."""
    of_run, of_comparison = notebook.frames[1:]
    assert of_run.evaluate(TOP.format("bar")) < HEIGHT_PX / 2
    assert of_run.evaluate("scrollY") == 0
    # not by animation frames, of which one out of sight has few
    often = {"polling": 50}
    of_comparison.wait_for_function(f"Math.abs({TOP.format('bar')}) < {HEIGHT_PX / 4}", **often)
    assert notebook.evaluate("scrollY") == 0
    for frame in (of_run, of_comparison):
        frame.locator("nav a[href='#cautions']").click()
        frame.wait_for_function(f"{TOP.format('cautions')} < {HEIGHT_PX}", **often)
    assert [frame.url for frame in notebook.frames[1:]] == ["about:srcdoc#cautions"] * 2
    assert notebook.locator(".barwright-shown").first.locator("thead th").count() == 7
    frames = notebook.locator("iframe").all()
    assert all(frame.get_attribute("title") for frame in frames)
    for frame in frames:
        assert frame.bounding_box()["height"] == pytest.approx(HEIGHT_PX, abs=3)
