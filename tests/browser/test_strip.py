"""The unrolled wall under the view: which place of the bar a dot of it is."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from studies.assessment.run import run_study
from studies.results.writing import write_results
from studies.study_file.study import read_study
from support.pages import short_bar
from support.view_page import to_stress

OpenPage = Callable[..., Any]

VIEW = "document.querySelector('.view').barView"

HIGH, BELOW, LEFT, RIGHT = 48, 66, 54, 44
"""Height of the strip and its distance from the edges of the canvas, in dots."""

END_MM, ALONG = 120.0, 0.8


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the results of a short straight bar."""
    folder = tmp_path_factory.mktemp("strip")
    write_results(run_study(read_study(short_bar(folder, "pier", 1.5))), folder / "pier")
    return folder / "pier"


@pytest.mark.parametrize(
    ("share", "theta_deg", "facing"),
    [(0.02, 187.2, "underside"), (0.25, 270, "rear"), (0.5, 0, "top"), (0.75, 90, "front")],
)
def test_the_strip_is_the_wall_unrolled_from_below(
    open_page: OpenPage, results: Path, share: float, theta_deg: float, facing: str
) -> None:
    """From its lower edge up: underside, rear, top, front; labels and cross stand there too."""
    page = open_page(results / "report.html")
    to_stress(page)
    page.locator("#bar").evaluate("part => part.scrollIntoView()")
    page.wait_for_timeout(50)
    canvas = page.locator(".view canvas").bounding_box()
    x = canvas["x"] + LEFT + ALONG * (canvas["width"] - LEFT - RIGHT)
    y = canvas["y"] + canvas["height"] - BELOW - share * HIGH
    page.mouse.move(x, y)
    place = page.evaluate(f"{VIEW}.store.state.hover")
    assert place["s"] == pytest.approx(END_MM * (2 * ALONG - 1), abs=1.0)
    # a dot is 4 degrees
    assert abs((np.degrees(place["theta"]) - theta_deg + 180) % 360 - 180) < 4
    assert facing in page.locator("[data-part='reading']").inner_text()
    assert _middle(page.locator(".word.cross").last) == pytest.approx(y, abs=3)
    if facing != "underside":
        assert _middle(page.locator(".word.side").get_by_text(facing)) == pytest.approx(y, abs=3)


def _middle(word: Any) -> float:
    box = word.bounding_box()
    return float(box["y"] + box["height"] / 2)
