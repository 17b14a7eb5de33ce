"""Rings, numbers and ruler of limits: nothing overlaps and nothing leaves the picture."""

from collections.abc import Callable
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from support.drawn_views import with_bar
from support.random_bars import GEOMETRY, KINDS, PLANES, Setup, setups
from support.view_page import VIEW, meet

OpenPage = Callable[..., Any]

WORDS = """() => {
    const frame = document.querySelector('.view').getBoundingClientRect();
    const spans = [...document.querySelectorAll('.word span, .numbers button')];
    return spans.filter((span) => span.textContent).map((span) => {
        const { left, top, right, bottom } = span.getBoundingClientRect();
        const aside = left < frame.left || right > frame.right;
        const out = aside || top < frame.top || bottom > frame.bottom;
        return { text: span.textContent, box: [left, top, right, bottom], out };
    });
}"""

TURNS = ((0, -35), (-40, 20), (90, 0), (160, 60))
"""Where the eye stands, azimuth and height; the third sees every bar end-on."""


def test_no_words_overlap_on_a_random_bar(
    open_page: OpenPage, results: Path, tmp_path: Path
) -> None:
    """Limits anywhere, half of them close together, on a desk and on a phone, from four sides."""
    assert not _faults_of(open_page, results, tmp_path, PLANES, count=1)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_no_words_overlap_on_forty_random_bars(
    open_page: OpenPage, results: Path, tmp_path: Path, kind: str
) -> None:
    """Fourteen of each kind: overlaps and words outside the picture are counted, and are none."""
    assert not _faults_of(open_page, results, tmp_path, kind, count=14)


def _faults_of(
    open_page: OpenPage, results: Path, folder: Path, kind: str, count: int
) -> list[str]:
    chance = np.random.default_rng(18)
    pages = [open_page(results / "report.html", touch=touch) for touch in (False, True)]
    faults: list[str] = []

    @settings(GEOMETRY, max_examples=count, suppress_health_check=list(HealthCheck))
    @given(setups(kind))
    def see(setup: Setup) -> None:
        path = folder / "bar.html"
        with_bar(results / "report.html", setup, chance, path)
        for page in pages:
            page.goto(path.as_uri())
            page.wait_for_selector("html[data-ready='view']", state="attached")
            faults.extend(fault for turn in TURNS for fault in _faults(page, turn))

    see()
    return faults


def _faults(page: Any, eye: tuple[int, int]) -> list[str]:
    turn, height = eye
    page.evaluate(
        f"""([turn, height]) => {{
            Object.assign({VIEW}.camera, {{ turn, height }});
            {VIEW}.store.set({{ preset: {{ fit: true }} }});
        }}""",
        [turn, height],
    )
    words = page.evaluate(WORDS)
    assert len(words) >= 4 + 4 + 3
    outside = [f"{one['text']} is outside" for one in words if one["out"]]
    return outside + [
        f"{one['text']} on {other['text']}"
        for one, other in combinations(words, 2)
        if meet(one["box"], other["box"])
    ]


def test_a_number_shows_its_limit(page: Any) -> None:
    """In the order of the places; a press shows that limit's field, on the ladder as well."""
    buttons = page.locator(".numbers button")
    places = [one.bounding_box()["x"] for one in buttons.all()]
    assert places == sorted(places)
    named = {one.get_attribute("aria-label") for one in buttons.all()}
    assert any(name.startswith("3, hoop yield, right ") for name in named)
    page.locator(".numbers button", has_text="3").click()
    assert page.evaluate(f"{VIEW}.store.state.field") == "utilisation_hoop_yield"
    page.wait_for_function(f"{VIEW}.field.id === 'utilisation_hoop_yield'")
    assert page.locator(".word.governing:not(.flat) .circle").inner_text() == "3"
    page.locator(".ladder button.circle", has_text="1").click()
    assert page.evaluate(f"{VIEW}.store.state.field") == "utilisation_fatigue"


def test_a_tick_stands_under_its_place(page: Any) -> None:
    """The figure 100 right of the middle stands where the strip has 100 mm."""
    figures = page.locator(".along-tube text")
    texts = figures.all_text_contents()
    right = figures.nth(len(texts) - 1 - texts[::-1].index("100"))
    box, view = right.bounding_box(), page.locator(".view").bounding_box()
    low, high = page.evaluate(f"{VIEW}.scene.ends_mm")
    strip = page.evaluate(
        """() => {
            const path = document.querySelector('.along-tube path[d*="H"]');
            const { left, width } = path.getBoundingClientRect();
            return [left, width];
        }"""
    )
    expected = strip[0] + (100 - low) / (high - low) * strip[1]
    assert box["x"] + box["width"] / 2 == pytest.approx(expected, abs=1.5)
    assert view["x"] < strip[0]
