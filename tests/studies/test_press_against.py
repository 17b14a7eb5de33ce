"""A press record beside the path that was computed for its bar."""

import json
from dataclasses import replace
from math import hypot
from pathlib import Path

import numpy as np
import pytest

from geometry.errors import InputError
from geometry.grading import LEVELS
from studies.bench.against import Prediction, against
from studies.bench.against_record import against_record
from studies.bench.against_text import limits_in_words, made_in_words
from studies.bench.by_window import read_by_window
from studies.bench.readings import read_readings
from studies.bench.reduction import Reduction, reduce_record
from studies.bench.rig import Rig, bore_area_mm2
from studies.commands.main import main
from studies.pictures.press_curve import press_graph
from studies.records.band import BandRecord, VariedRecord
from studies.records.collapse import (
    CollapseRecord,
    CurveRecord,
    OffsetRecord,
    UnloadingRecord,
)
from studies.results.prediction import read_prediction
from support.code_rules import ROOT
from support.portal import STOOD, STUDY
from support.preview_bars import CRUDE

BY_HAND = ROOT / "studies" / "examples" / "press-by-hand.csv"
RIG = Rig(area_mm2=bore_area_mm2(40), gauge_class_percent=1, full_scale=60, friction_percent=(1, 3))
OPTIONS = ["--bore-mm", "40", "--gauge-class", "1", "--full-scale", "60"]


@pytest.fixture(scope="module")
def found() -> Reduction:
    """Return the reduced example."""
    return reduce_record(read_readings(BY_HAND, RIG), RIG)


def predicted(found: Reduction, times: float) -> Prediction:
    """Return a path that is the record's own loading with all forces times a number."""
    loop = found.unloadings[0]
    assert loop.set_mm
    none = {"shift_deg": None, "load_factor": None, "deflection_mm": None, "rotation_deg": None}
    travel, force = loading(found)
    path = CollapseRecord.model_construct(
        stiffness=None,
        band=None,
        curve=CurveRecord.model_construct(load_n=list(times * force), deflection_mm=list(travel)),
        offsets=[OffsetRecord(rule="1 mm", shift_mm=1.0, load_n=1.0, **none)],
        limit_load_n=times * found.peak_n.value,
        unloadings=[
            UnloadingRecord(
                load_factor=1,
                load_n=load_n,
                reached=True,
                deflection_mm=None,
                rotation_deg=None,
                permanent_set_deg=None,
                permanent_set_mm=times * loop.set_mm.value,
                limit_mm=None,
            )
            for load_n in (0.9 * loop.from_n, loop.from_n)
        ],
    )
    return prediction_of(path)


def loading(found: Reduction) -> tuple[np.ndarray, np.ndarray]:
    """Return travel from the zero and force of the record's loading, without its toe."""
    k, zero = found.line.slope.value, found.line.zero.value
    points = found.ready.points.at(found.ready.first.part)
    travel, force = points.travel_mm - zero, points.force_n
    low = found.straight.force_n.min()
    kept = force >= low
    straight = np.linspace(0.0, low / k, 20)[:-1]
    return np.append(straight, travel[kept]), np.append(k * straight, force[kept])


def prediction_of(path: CollapseRecord) -> Prediction:
    """Return a prediction with a path."""
    return Prediction("results.json", "0" * 64, "", "a", "b", 300.0, path)


@pytest.mark.parametrize("times", [0.8, 1.0, 1.05])
def test_each_figure_beside_its_own(found: Reduction, times: float) -> None:
    """In percent of the prediction, and in standard deviations of the record.

    Within 1.5 %: the record's own points scatter about its line, and the window of a path with
    other forces holds others of them.
    """
    rows = {one.name.split(" ")[0]: one for one in against(found, predicted(found, times))}
    assert list(rows) == ["Stiffness", "Offset", "Peak", "Permanent"]
    for name, one in rows.items():
        within = 1e-9 if name == "Peak" else 0.015 * one.measured.value
        assert one.predicted * 1.0 == pytest.approx(times * one.measured.value, abs=within)
        apart = one.measured.value - one.predicted
        assert one.deviations == pytest.approx(2 * apart / one.measured.half_width)


def test_a_set_is_followed_to_the_records_load() -> None:
    """Past a knee at 4000 N travel grows by 1 mm each 50 N, of which 50/200 mm spring back."""
    travel, load = np.array([0.0, 20.0, 30.0]), np.array([0.0, 4000.0, 4500.0])
    read = read_by_window(travel, load, (500.0, 2000.0), [1.0])
    assert read
    assert read.more_set_mm(4000, 4100) == pytest.approx(2 - 100 / 200)
    assert read.more_set_mm(4100, 4000) == pytest.approx(-1.5)
    assert read.more_set_mm(1000, 1030) == pytest.approx(0, abs=1e-12)
    assert read.more_set_mm(4490, 4510) == 0


def test_only_what_both_have(found: Reduction) -> None:
    """Not a set from another load, an offset load or a peak that was not met."""
    whole = predicted(found, 1.0).path
    load = np.array(whole.curve.load_n)
    part = int(np.argmax(load > 1.1 * found.straight.force_n.max()))
    travel = (whole.curve.deflection_mm or [])[:part]
    curve = CurveRecord.model_construct(load_n=list(load[:part]), deflection_mm=travel)
    lesser = {"limit_load_n": None, "unloadings": whole.unloadings[:1], "curve": curve}
    rows = against(found, prediction_of(whole.model_copy(update=lesser)))
    assert [one.name for one in rows] == ["Stiffness"]
    shorter = CurveRecord.model_construct(load_n=[1.0, 2.0], deflection_mm=[0.1, 0.2])
    assert (
        against(found, prediction_of(whole.model_copy(update={**lesser, "curve": shorter}))) == ()
    )


def test_the_curve_is_laid_over_from_the_records_zero(found: Reduction) -> None:
    """And is cut where the record ends."""
    alone, both = press_graph(found), press_graph(found, predicted(found, 1.0))
    colours = [line.colour for line in alone.lines]
    (foreseen,) = (line for line in both.lines if line.colour not in colours)
    first = float(found.ready.points.travel_mm.min())
    assert foreseen.x[0] == pytest.approx(max(found.line.zero.value - first, 0.0))
    assert foreseen.y[0] == 0
    assert foreseen.x[-1] <= np.ptp(found.ready.points.travel_mm)


def test_a_set_is_as_sure_as_the_load_it_was_left_by(found: Reduction) -> None:
    """Its interval holds what the path's set changes by within the gauge's error at reversal."""
    (loop,) = [one for one in found.unloadings if one.set_mm]
    left = next(one for one in against(found, predicted(found, 1.0)) if one.unit == "mm")
    assert loop.set_mm
    more = left.measured.terms["load at reversal"]
    assert more > 0
    assert left.measured.half_width == pytest.approx(hypot(loop.set_mm.half_width, 2 * more))


def test_the_distance_is_in_deviations_of_both(found: Reduction) -> None:
    """A path with a tenth more of the modulus: stiffness and all loads by a tenth either way."""
    path = predicted(found, 1.05).path
    travel, force = loading(found)
    varied = VariedRecord(
        input="modulus",
        factor=1.1,
        evidence="",
        load_n=list(1.1 * 1.05 * force),
        figures={"limit_load": 1.1 * (path.limit_load_n or 0.0)},
    )
    band = BandRecord.model_construct(
        deflection_mm=list(travel), load_n=list(1.05 * force), varied=[varied], figures=[]
    )
    rows = against(found, prediction_of(path.model_copy(update={"band": band})))
    stiffness, offset, peak, left = rows
    assert left.between is None
    for one, within in ((stiffness, 0.02), (offset, 0.02), (peak, 1e-9)):
        assert one.between == pytest.approx(
            (0.9 * one.predicted, 1.1 * one.predicted), abs=within * one.predicted
        )
        width = hypot(one.measured.half_width, one.half_width)
        apart = one.measured.value - one.predicted
        assert one.deviations == pytest.approx(2 * apart / width)


@pytest.mark.parametrize(
    ("computed_at", "before"),
    [("2026-11-01T10:00:00Z", True), ("2199-01-01T00:00:00Z", False), ("", None)],
)
def test_whether_the_prediction_was_first(
    found: Reduction, computed_at: str, before: bool | None
) -> None:
    """By the clock of the results and the file's last change; of older results unknown."""
    changed = replace(found.ready.readings, changed_at="2026-11-02T10:00:00Z")
    later = replace(found, ready=replace(found.ready, readings=changed))
    made = against_record(later, replace(predicted(found, 1.0), computed_at=computed_at))
    assert made.before_record is before
    assert ("before" in made_in_words(made)) is (before is True)


def test_limits_for_record_and_prediction_apart(found: Reduction) -> None:
    """The record's set lies at 14.7 within 1.2 or more, the prediction exactly at 1.2 times."""
    path = predicted(found, 1.2).path
    levels = [
        one.model_copy(
            update={"limit_mm": 15.0, "hold_min": 1.0, "load_n": found.unloadings[0].from_n}
        )
        for one in path.unloadings[1:]
    ]
    made = against_record(found, prediction_of(path.model_copy(update={"unloadings": levels})))
    (words,) = limits_in_words(made)
    assert words.endswith(
        "at most 15 mm, after 1 min under load: record undecided, prediction beyond"
    )


def test_folders_without_a_prediction(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence each."""
    press = ["press", str(BY_HAND), *OPTIONS]
    assert main([*press, "--against", str(tmp_path / "none")]) == 2
    assert "holds no results.json that can be read" in capsys.readouterr().err
    (tmp_path / "results.json").write_text("{}", encoding="utf-8")
    with pytest.raises(InputError, match=r"holds no results\.json"):
        read_prediction(tmp_path)
    assert main([*press, "--case", "a"]) == 2
    assert "--case: is of a prediction" in capsys.readouterr().err


@pytest.mark.slow
def test_from_path_to_comparison(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A bar is traced, its record read beside it, and both kept with their hashes."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    never = STUDY + STOOD + "[cases.collapse]\nunload_at = []\n"
    Path("study.toml").write_text(never, encoding="utf-8")
    traced = ["collapse", "study.toml", "--no-figures", "--displacement-mm", "1.4", "--out", "out"]
    assert main(traced) == 0
    capsys.readouterr()
    path = json.loads(Path("out", "results.json").read_text(encoding="utf-8"))["cases"][0]
    curve = path["collapse"]["curve"]
    travel = np.linspace(0, curve["deflection_mm"][-1], 40)
    force = np.interp(travel, [0, *curve["deflection_mm"]], [0, *curve["load_n"]])
    rows = (f"{way:.4f};{newton:.2f}" for way, newton in zip(travel, force, strict=True))
    Path("own.csv").write_text("\n".join(["travel mm;force N", *rows]), encoding="utf-8")
    press = ["press", "own.csv", "--against", "out", "--out", "pressed"]
    assert main(press) == 0
    assert "Against the prediction" in capsys.readouterr().out
    made = json.loads(Path("pressed", "press.json").read_text(encoding="utf-8"))["against"]
    (stiffness,) = made["figures"]
    assert stiffness["predicted"] == pytest.approx(stiffness["measured"], rel=5e-3)
    assert made["before_record"] is not None
    assert main([*press, "--case", "other"]) == 2
    assert "--case: no case with a path is called 'other'" in capsys.readouterr().err
