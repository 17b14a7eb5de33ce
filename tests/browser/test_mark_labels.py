"""The labels of marked places in the 3D view: beside their marks, and over no other label."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from studies.assessment.run import run_study
from studies.results.writing import write_results
from studies.study_file.study import read_study
from support.pages import short_bar
from support.view_page import meet, to_stress

OpenPage = Callable[..., Any]

VIEW = "document.querySelector('.view').barView"

BOXES = """() => [...document.querySelectorAll('.word')]
    .filter((word) => word.textContent)
    .map((word) => {
        const { left, top, right, bottom } = word.querySelector('span').getBoundingClientRect();
        const mark = word.getBoundingClientRect();
        return { text: word.textContent, ring: word.classList.contains('ring'),
                 box: [left, top, right, bottom], mark: [mark.left, mark.top] };
    })"""

FARTHEST_DOTS = 80
"""From a mark to the nearest corner of its label."""


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the page of a short bar."""
    folder = tmp_path_factory.mktemp("short")
    write_results(run_study(read_study(short_bar(folder, "short", 1.2))), folder / "out")
    return folder / "out" / "report.html"


@pytest.mark.parametrize(("width", "touch"), [(1000, False), (390, True)])
def test_a_pinned_place_at_the_peak_hides_no_label(
    open_page: OpenPage, report: Path, width: int, touch: bool
) -> None:
    """At the peak, a little beside it and at the other end of the bar, from all four sides."""
    page = open_page(report, width=width, touch=touch)
    to_stress(page)
    for name in ("rider", "front", "top", "side"):
        page.click(f"[data-preset='{name}']")
        for shift_mm in (0.0, 3.0, -6.0, 12.0):
            _pin_beside_peak(page, shift_mm)
            labels = page.evaluate(BOXES)
            rings = [label for label in labels if label["ring"]]
            assert len(rings) == 2
            for ring in rings:
                others = [one for one in labels if one is not ring]
                assert not [one["text"] for one in others if meet(ring["box"], one["box"])]
                assert _away(ring) < FARTHEST_DOTS


def _pin_beside_peak(page: Any, shift_mm: float) -> None:
    page.evaluate(
        f"""(shift) => {{
            const {{ s_mm: s, theta_rad: theta, surface }} = {VIEW}.field.peak;
            {VIEW}.store.set({{ pin: {{ s: s - Math.sign(s) * shift, theta, surface }} }});
        }}""",
        shift_mm,
    )


def _away(label: dict[str, Any]) -> float:
    (x, y), (left, top, right, bottom) = label["mark"], label["box"]
    across = max(left - x, x - right, 0.0)
    down = max(top - y, y - bottom, 0.0)
    return float((across**2 + down**2) ** 0.5)
