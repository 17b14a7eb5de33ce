"""Specimens over each other: names of any length neither widen the page nor hide a figure."""

from pathlib import Path

import pytest

from studies.bench.readings import read_readings
from studies.bench.record import Told, press_record
from studies.bench.reduction import reduce_record
from studies.bench.rig import Rig, bore_area_mm2
from studies.bench.specimens import specimens_record
from studies.page.specimens_page import specimens_html
from support.code_rules import ROOT
from support.view_page import OpenPage

BY_HAND = ROOT / "studies" / "examples" / "press-by-hand.csv"


@pytest.mark.parametrize("width", [1280, 390])
def test_long_names_fit(open_page: OpenPage, tmp_path: Path, width: int) -> None:
    """Names of 200 signs without a space wrap, and the first figure stands in sight."""
    rig = Rig(area_mm2=bore_area_mm2(40), gauge_class_percent=1, full_scale=60)
    found = reduce_record(read_readings(BY_HAND, rig), rig)
    records = [press_record(found, Told("0", letter * 200, 280.0)) for letter in "xy"]
    path = tmp_path / "specimens.html"
    path.write_text(specimens_html(specimens_record(records, "0"), records), encoding="utf-8")
    page = open_page(path, width=width, height=900, ready=False)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.locator("tbody td").first.bounding_box()["x"] < width
