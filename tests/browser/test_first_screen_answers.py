"""Ten questions of a reviewer, each answered on the first screen, at a stated place of it."""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

OpenPage = Callable[..., Any]

HEIGHT = 900


def _answers(record: dict[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Yield question, place on the page, and the record's own answer, all as written there."""
    case = min(record["cases"], key=lambda one: one["governing_factor"])
    limit, first = case["limits"][0], record["cases"][0]
    low, _, high = limit["factor_range"]
    weak = limit["weak_inputs"][0]
    yield "what ends it", ".headline .sentence", "Fatigue governs"
    yield "where", ".headline .sentence", limit["place"]
    yield "how near", ".headline .sentence b", f"{low:.2f} to {high:.2f} × the load"
    yield "in which case", ".case-strip [data-governs]", case["title"]
    yield "how sure", ".headline .sentence", "not decided by this model"
    yield "on which weakest input", ".headline .rests", f"{weak['input']}, {weak['evidence']}"
    yield "how stiff", ".key-figures", f"{first['stiffness_n_per_mm']:.3g} N/mm"
    yield "how heavy", ".key-figures", f"{record['bar']['mass_g']:.0f} g"
    yield "what to measure first", ".evidence .measure", f"verify first: {weak['input']}"
    yield "what to do next", ".evidence .measure", f"inspect {limit['place']}"


def test_ten_questions_are_answered_without_scrolling(open_page: OpenPage, results: Path) -> None:
    """Each answer stands within 1280 x 900, and is the record's."""
    record = json.loads((results / "results.json").read_text(encoding="utf-8"))
    asked = list(_answers(record))
    assert len({question for question, _, _ in asked}) == 10
    page = open_page(results / "report.html", width=1280, height=HEIGHT)
    for question, place, answer in asked:
        part = page.locator(place).first
        assert answer in re.sub(r"\s+", " ", part.inner_text()), question
        box = part.bounding_box()
        assert box["y"] + box["height"] <= HEIGHT, question


def test_nothing_of_the_first_screen_leaves_it(open_page: OpenPage, results: Path) -> None:
    """Bar, limits, figures and evidence stand whole on a desk's screen."""
    page = open_page(results / "report.html", width=1280, height=HEIGHT)
    for name in ("case-strip", "view", "ladder", "key-figures", "evidence"):
        box = page.locator(f".{name}").first.bounding_box()
        assert box["y"] + box["height"] <= HEIGHT, name
