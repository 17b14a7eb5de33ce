"""`barwright press`: what it prints and writes, and what it refuses."""

import json
from pathlib import Path

import numpy as np
import pytest

from studies.bench.readings import read_readings
from studies.bench.record import PressRecord
from studies.bench.reduction import Reduction, reduce_record
from studies.bench.rig import Rig, bore_area_mm2
from studies.commands.main import main
from studies.files.results_folder import PRESS_PAGE, PRESS_PICTURE, PRESS_RECORD
from studies.pictures.figure_layout import PICTURE
from studies.pictures.press_curve import press_graph
from support.code_rules import ROOT

EXAMPLES = ROOT / "studies" / "examples"
BY_HAND, LOGGED = str(EXAMPLES / "press-by-hand.csv"), str(EXAMPLES / "press-logged.csv")
NUMBERS_DOTS = 50
"""Of the numbers and the title below an axis."""

RIG = ["--bore-mm", "40", "--gauge-class", "1", "--full-scale", "60", "--friction-percent", "1:3"]

TRUE_SLOPE, TRUE_PEAK = {BY_HAND: 182.0, LOGGED: 420.0}, {BY_HAND: 5150.0, LOGGED: 9000.0}
"""Of which the examples were made, N/mm and N."""


def pressed(capsys: pytest.CaptureFixture[str], *arguments: str) -> PressRecord:
    """Return the JSON that the command prints."""
    assert main(["press", *arguments, "--json"]) == 0
    return PressRecord.model_validate_json(capsys.readouterr().out)


@pytest.mark.parametrize(
    "arguments", [[BY_HAND, *RIG], [LOGGED, "--gauge-class", "0.5", "--full-scale", "2500"]]
)
def test_the_examples_hold_what_they_were_made_of(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """Each interval holds the truth, and is narrower than a tenth of it."""
    found = pressed(capsys, *arguments)
    for read, true in (
        (found.stiffness_n_per_mm, TRUE_SLOPE[arguments[0]]),
        (found.max_load_n, TRUE_PEAK[arguments[0]]),
    ):
        assert abs(read.value - true) < read.half_width < 0.1 * true


def test_the_printed_table(capsys: pytest.CaptureFixture[str]) -> None:
    """Values with interval and unit, the slope's window, data quality and cautions."""
    assert main(["press", BY_HAND, *RIG, "--offset-mm", "2"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    rows = {line.split("  ")[0].strip(): line for line in out.splitlines()}
    assert "± 9." in rows["Stiffness"]
    assert "N/mm" in rows["Stiffness"]
    for name in ("Offset load, 1 mm", "Offset load, 2 mm", "Peak load", "Drop after the peak"):
        assert "±" in rows[name]
    assert "lines 3 to 10" in out
    assert "residual slope of the first quarter" in out
    assert "no rigid block was pressed" in " ".join(out.split())
    assert "A bar that breaks hurts someone." in out
    assert max(map(len, out.splitlines())) <= 80


def test_the_slip_of_the_logged_example_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    """It was made with one of 0.42 mm and a spike."""
    found = pressed(capsys, LOGGED)
    (slip,) = [one for one in found.slips if one.corrected]
    assert slip.travel_mm == pytest.approx(0.42, abs=0.02)
    assert found.record.spike_lines == [62]


def test_files_are_written_whole_and_another_record_s_are_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same record may be reduced again; another one and a folder of others are refused."""
    out = tmp_path / "pressed"
    assert main(["press", BY_HAND, *RIG, "--out", str(out)]) == 0
    assert (out / PRESS_PICTURE).read_bytes().startswith(b"\x89PNG")
    stored = (out / PRESS_RECORD).read_text("utf-8")
    assert PressRecord.model_validate_json(stored).rig["gauge_class_percent"] == 1
    assert main(["press", BY_HAND, "--bore-mm", "40", "--out", str(out)]) == 0
    stored = (out / PRESS_RECORD).read_text("utf-8")
    assert json.loads(stored)["rig"]["gauge_class_percent"] is None
    capsys.readouterr()
    assert main(["press", LOGGED, "--out", str(out)]) == 2
    assert "holds the reduction of press-by-hand.csv" in capsys.readouterr().err
    assert (out / PRESS_RECORD).read_text("utf-8") == stored
    assert sorted(path.name for path in out.iterdir()) == [PRESS_PAGE, PRESS_RECORD, PRESS_PICTURE]
    (tmp_path / "mine.txt").touch()
    assert main(["press", LOGGED, "--out", str(tmp_path)]) == 2
    assert "holds files and no results of barwright" in capsys.readouterr().err


def test_the_picture_s_lines_meet_what_was_read() -> None:
    """Zero, window, offset line and unloading line stand where the figures are."""
    rig = Rig(area_mm2=bore_area_mm2(40))
    found = reduce_record(read_readings(Path(BY_HAND), rig), rig)
    graph = press_graph(found)
    slope, offset, unloading, curve, window = graph.lines
    assert graph.box.bottom >= PICTURE.bottom + NUMBERS_DOTS
    zero, k = found.line.zero.value - curve_origin(found), found.line.slope.value
    assert slope.x[0] == pytest.approx(zero)
    assert (offset.x - slope.x)[0] == pytest.approx(1.0)
    assert np.diff(offset.y) / np.diff(offset.x) == pytest.approx(k)
    (load,) = found.offsets
    assert load.load_n is not None
    assert load.travel_mm is not None
    assert np.interp(zero + load.travel_mm, curve.x[:20], curve.y[:20]) == pytest.approx(
        load.load_n.value, rel=1e-9
    )
    assert found.unloadings[0].set_mm is not None
    assert unloading.x[0] - zero == pytest.approx(found.unloadings[0].set_mm.value)
    assert window.y.tolist() == found.straight.force_n.tolist()


def curve_origin(found: Reduction) -> float:
    """Return the travel at which the picture's axis begins."""
    return float(found.ready.points.travel_mm.min())


def test_a_block_is_read_with_the_same_rig(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A rig of 0.2 mm at 50 bar makes the bar stiffer than it seemed."""
    block = tmp_path / "block.csv"
    rows = [f"{p};{0.004 * p:.3f}" for p in range(1, 51)]
    block.write_text("\n".join(["p [bar];u [mm]", *rows]), encoding="utf-8")
    alone = pressed(capsys, BY_HAND, *RIG)
    both = pressed(capsys, BY_HAND, *RIG, "--block", str(block))
    give = 0.004 / (0.1 * both.rig["area_mm2"] / 1.02)
    assert both.rig_compliance_mm_per_n is not None
    assert both.rig_compliance_mm_per_n.value == pytest.approx(give, rel=0.01)
    softer = 1 / alone.stiffness_n_per_mm.value - give
    assert both.stiffness_n_per_mm.value == pytest.approx(1 / softer, rel=0.01)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([BY_HAND], "--area-mm2: is not given, and the gauge reads bar; give --bore-mm"),
        ([BY_HAND, "--bore-mm", "40", "--area-mm2", "9"], "--bore-mm: does not go with"),
        ([BY_HAND, "--bore-mm", "0"], "--bore-mm: is 0 mm but must be 1 to 1000 mm"),
        ([BY_HAND, "--bore-mm", "40", "--gauge-class", "1"], "--full-scale: is not given"),
        ([BY_HAND, "--bore-mm", "40", "--full-scale", "10", "--gauge-class", "99"], "--gauge-"),
        ([BY_HAND, "--bore-mm", "40", "--friction-percent", "3"], "--friction-percent: is '3'"),
        ([BY_HAND, "--bore-mm", "40", "--offset-mm", "0"], "--offset-mm: is 0 mm but must be abo"),
        ([BY_HAND, "--bore-mm", "40", "--force-unit", "t"], "--force-unit: no unit of it"),
        ([BY_HAND, "--bore-mm", "40", "--force-column", "x"], "--force-column: no column has"),
        ([BY_HAND, "--bore-mm", "40", "--full-scale", "41"], "reads 41.25 bar, beyond the full"),
        (["none.csv"], "RECORD: none.csv cannot be read"),
    ],
)
def test_refusals(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Bad input ends with 2 and names the option."""
    assert main(["press", *arguments]) == 2
    out, err = capsys.readouterr()
    assert says in err
    assert out == ""
