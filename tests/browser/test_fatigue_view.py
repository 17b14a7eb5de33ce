"""Fatigue utilisation in the view: only for repeated cases, blank in clamps, edges as rings."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from support.view_page import VIEW, part_text, picture

ONCE, REPEATED = "iso-4210-5.bar-bending", "iso-4210-5.fatigue-in-phase"
FIELD = "utilisation_fatigue"


def fields(page: Any) -> list[str]:
    """Return the fields on offer for the chosen case."""
    options = page.locator("[data-part='field'] option").all()
    return [str(option.get_attribute("value")) for option in options]


def show(page: Any) -> None:
    """Choose the repeated case and its fatigue, and wait for both."""
    page.select_option("[data-part='case']", REPEATED)
    page.wait_for_function(f"{VIEW}.now?.packed.id === '{REPEATED}'")
    page.select_option("[data-part='field']", FIELD)
    page.wait_for_function(f"{VIEW}.field.id === '{FIELD}' && {VIEW}.now.values['{FIELD}']")


def life(results: Path) -> dict[str, Any]:
    """Return what results.json holds of the repeated case's fatigue."""
    record = json.loads((results / "results.json").read_text("utf-8"))
    (case,) = [one for one in record["cases"] if one["id"] == REPEATED]
    found: dict[str, Any] = case["fatigue"]
    return found


def value(page: Any, s: float, theta: float, surface: str) -> float:
    """Return what the view reads at a place, NaN where nothing is judged."""
    asked = f"([s, theta, face]) => String({VIEW}.probe(s, theta, face).value)"
    return float(page.evaluate(asked, [s, theta, surface]))


def test_only_repeated_cases_have_the_field(page: Any) -> None:
    """It is on offer for them, and a case that comes once falls back to its first field."""
    assert FIELD not in fields(page)
    show(page)
    assert FIELD in fields(page)
    page.select_option("[data-part='case']", ONCE)
    page.wait_for_function(f"{VIEW}.now?.packed.id === '{ONCE}' && {VIEW}.field.id !== '{FIELD}'")
    assert FIELD not in fields(page)
    assert page.locator("[data-part='field']").input_value() == "von_mises"


def test_the_largest_of_field_and_rings_is_the_records(page: Any, results: Path) -> None:
    """One over the low factor, and a ring at each edge of the stem's and of the lever's clamp."""
    show(page)
    rings = page.evaluate(f"{VIEW}.field.rings")
    faces = page.evaluate(f"{VIEW}.now.values['{FIELD}'].map((face) => [...face].map(String))")
    largest = np.nanmax([float(value) for face in faces for value in face])
    found = life(results)
    most = max(largest, *(ring["value"] for ring in rings))
    assert most == pytest.approx(1 / found["factor_range"][0], rel=1e-3)
    edge = found["clamp_edge"]
    assert max(ring["value"] for ring in rings) == pytest.approx(
        1 / edge["factor_range"][0], rel=1e-6
    )
    # the stem's clamp is 46 mm wide; the lever's edges lie on the right
    places = [ring["s_mm"] for ring in rings]
    assert places[:2] == [-23, 23]
    assert len(places) == 4
    assert places[3] - places[2] == pytest.approx(14)
    # its last tick says so where values lie beyond the scale, and only there
    assert part_text(page, "legend-ticks").endswith(" or more") == (most > 1.2)
    counts = page.evaluate(f"['rings', 'flat-rings'].map((name) => {VIEW}.shapes[name].count)")
    assert counts[0] > 4 * 60
    assert counts[1] == 4 * 6


def test_clamps_are_not_judged_and_say_so(page: Any, results: Path) -> None:
    """NaN in the clamp and where the load acts, a number at the worst place, rings in the note."""
    show(page)
    load = page.evaluate(f"{VIEW}.now.packed.loads[0].s_mm")
    for s in (0.0, 20.0, -23.0, load):
        assert np.isnan(value(page, s, 0.3, "outer"))
    at = life(results)["at"]
    here = value(page, at["s_mm"], float(np.radians(at["theta_deg"])), at["surface"])
    assert here == pytest.approx(1 / life(results)["factor_range"][0], rel=0.01)
    page.fill("[data-part='place-s']", "0")
    page.fill("[data-part='place-theta']", "10")
    page.keyboard.press("Tab")
    assert part_text(page, "reading").startswith("Not judged at ")
    assert "grey: not judged" in part_text(page, "legend-note")


def test_blank_and_rings_are_drawn(page: Any) -> None:
    """Rings and grey change the picture, and the next field has neither."""
    show(page)
    page.wait_for_timeout(100)
    with_rings = picture(page)
    page.evaluate(f"{VIEW}.field.rings.forEach((ring) => (ring.value = 0))")
    page.select_option("[data-part='surface']", "inner")
    page.select_option("[data-part='surface']", "outer")
    page.wait_for_timeout(200)
    assert picture(page) != with_rings
    page.select_option("[data-part='field']", "von_mises")
    page.wait_for_function(f"{VIEW}.field.id === 'von_mises'")
    page.wait_for_timeout(100)
    assert page.evaluate(f"['rings', 'flat-rings'].map((n) => {VIEW}.shapes[n].count)") == [0, 0]


def test_a_cut_through_a_clamp_has_no_number(page: Any) -> None:
    """The section's words say so; beyond the clamp they hold a range."""
    show(page)
    page.evaluate(f"{VIEW}.store.set({{ cut: 0 }})")
    page.wait_for_function("document.querySelector(\"[data-part='section-words']\").innerText")
    assert "not judged" in part_text(page, "section-words")
    page.evaluate(f"{VIEW}.store.set({{ cut: 120 }})")
    page.wait_for_timeout(200)
    assert " to 0." in part_text(page, "section-words")
