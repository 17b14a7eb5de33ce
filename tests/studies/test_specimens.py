"""Press records of several specimens over each other, also by mass."""

import json
from dataclasses import replace
from itertools import combinations
from math import hypot
from pathlib import Path

import numpy as np
import pytest

from studies.bench.readings import read_readings
from studies.bench.record import PressRecord, Told, press_record
from studies.bench.reduction import Reduction, reduce_record
from studies.bench.rig import Rig, bore_area_mm2
from studies.bench.specimens import SpecimenValueRecord, specimens_record
from studies.commands.main import main
from studies.page.bench_chart import Content, Curve, charts
from studies.page.press_page import press_html
from studies.page.specimens_page import cell_of, specimens_html
from support.code_rules import ROOT

BY_HAND = ROOT / "studies" / "examples" / "press-by-hand.csv"
RIG = Rig(area_mm2=bore_area_mm2(40), gauge_class_percent=1, full_scale=60, friction_percent=(1, 3))


@pytest.fixture(scope="module")
def found() -> Reduction:
    """Return the reduced example."""
    return reduce_record(read_readings(BY_HAND, RIG), RIG)


def named(found: Reduction, name: str, mass_g: float | None) -> PressRecord:
    """Return its record as that of a specimen."""
    return press_record(found, Told("0", name, mass_g))


def stronger(found: Reduction, times: float) -> Reduction:
    """Return a record all of whose forces are multiplied."""
    ready = found.ready
    readings = replace(ready.readings, force_n=times * ready.readings.force_n)
    return reduce_record(readings, replace(RIG, area_mm2=times * (RIG.area_mm2 or 0)))


def test_figures_beside_each_other_and_over_the_mass(found: Reduction) -> None:
    """Twice the force of twice the mass: all forces apart by 100 %, over the mass the same."""
    both = [named(found, "one", 250.0), named(stronger(found, 2.0), "two", 500.0)]
    made = specimens_record(both, "0")
    assert [(one.letter, one.id, one.mass_g) for one in made.specimens] == [
        ("A", "one", 250.0),
        ("B", "two", 500.0),
    ]
    by_name = {one.name: one.values for one in made.figures}
    for name in ("Stiffness", "Offset load, 1 mm", "Largest load"):
        first, second = by_name[name]
        assert first
        assert second
        assert second.value == pytest.approx(2 * first.value, rel=1e-3)
        assert second.per_gram == pytest.approx(first.per_gram, rel=1e-3)
        assert (first.percent, first.deviations) == (None, None)
        assert second.percent == pytest.approx(100, rel=2e-3)
        apart = 2 * (second.value - first.value) / hypot(first.half_width, second.half_width)
        assert second.deviations == pytest.approx(apart)
    left = by_name["Permanent set of unloading 1"]
    assert all(one and one.per_gram is None for one in left)
    # they were unloaded from twice the load, so their sets tell nothing of each other
    assert all(one and one.percent is one.deviations is None for one in left)


def test_sets_from_about_the_same_load_are_compared(found: Reduction) -> None:
    """A load apart by 2 % is the same by the rule of `press --against`, by 5 % it is not."""
    for times, compared in ((1.02, True), (1.05, False)):
        both = [named(found, "one", 250.0), named(stronger(found, times), "two", 250.0)]
        rows = {one.name: one.values for one in specimens_record(both, "0").figures}
        second = rows["Permanent set of unloading 1"][1]
        assert second
        assert (second.percent is not None) == compared


def test_a_bar_without_mass_has_no_curve_over_it(found: Reduction) -> None:
    """The other figures stand; an id without a name is the file's."""
    both = [named(found, "one", 250.0), press_record(found, Told("0"))]
    made = specimens_record(both, "0")
    assert made.specimens[1].id == "press-by-hand.csv"
    page = specimens_html(made, both)
    assert "Force over mass" not in page
    assert "not weighed" in page
    weighed = [named(found, "one", 250.0), named(found, "two", 200.0)]
    assert "Force over mass" in specimens_html(specimens_record(weighed, "0"), weighed)


def test_pages_stand_alone(found: Reduction) -> None:
    """No script, nothing from elsewhere, names escaped, and never a promise."""
    record = named(found, "<b>x</b>", 250.0)
    pages = press_html(record), specimens_html(specimens_record([record] * 2, "0"), [record] * 2)
    for page in pages:
        assert "<script" not in page
        assert "http" not in page
        assert "&lt;b&gt;x" in page
        assert "<b>x</b>" not in page
        assert " safe" not in page
        assert "A bar that breaks hurts someone" in page


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From two records to a table, a page and JSON; folders without a record are refused."""
    options = ["--bore-mm", "40", "--gauge-class", "1", "--full-scale", "60"]
    folders = [str(tmp_path / name) for name in ("a", "b")]
    for folder, mass in zip(folders, ("250", "200"), strict=True):
        given = ["--specimen", f"S-{mass}", "--mass-g", mass, "--out", folder]
        assert main(["press", str(BY_HAND), *options, *given]) == 0
    capsys.readouterr()
    out = tmp_path / "both"
    assert main(["specimens", *folders, "--out", str(out)]) == 0
    told = capsys.readouterr().out
    assert "A S-250" in told
    assert "over the mass" in told
    assert max(map(len, told.splitlines())) <= 100
    made = json.loads((out / "specimens.json").read_text(encoding="utf-8"))
    assert [one["mass_g"] for one in made["specimens"]] == [250, 200]
    assert (out / "specimens.html").is_file()
    assert main(["specimens", folders[0], str(tmp_path / "none"), "--out", str(out)]) == 2
    assert "holds no press.json that can be read" in capsys.readouterr().err
    assert main(["specimens", folders[0], "--out", str(out)]) == 2
    assert "1 folders are given; give 2 to 8" in capsys.readouterr().err


def test_eight_specimens_are_printed_whole(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No figure is cut, however many stand beside each other; only a long name is."""
    options = ["--bore-mm", "40", "--gauge-class", "1", "--full-scale", "60"]
    folders = [str(tmp_path / f"{number}") for number in range(8)]
    for folder in folders:
        given = ["--specimen", f"{folder[-1]}{'x' * 199}", "--mass-g", "280", "--out", folder]
        assert main(["press", str(BY_HAND), *options, *given]) == 0
    capsys.readouterr()
    assert main(["specimens", *folders, "--out", str(tmp_path / "all")]) == 0
    told = capsys.readouterr().out
    assert told.count("xxx…") == told.count("…") == 8
    made = json.loads((tmp_path / "all" / "specimens.json").read_text(encoding="utf-8"))
    shown = cell_of(SpecimenValueRecord(**made["figures"][0]["values"][0])).value
    assert told.count(shown) == 8


def test_letters_of_equal_curves_stand_beside_each_other() -> None:
    """Eight curves that coincide: no letter hides another, all of them in the frame."""
    x = np.linspace(0.0, 4.0, 9)
    equal = tuple(Curve(one, f"s-{one}", x, 100 * x, one) for one in "ABCDEFGH")
    for chart in charts(Content("Force, N", "travel, mm", equal)):
        places = [(one.x, one.y) for one in chart.strokes]
        for (a, b), (c, d) in combinations(places, 2):
            assert hypot(a - c, b - d) >= 20 - 1e-9
        assert all(chart.size.left < x < chart.right for x, _ in places)
