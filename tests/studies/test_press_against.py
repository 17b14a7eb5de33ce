"""A press record beside the path that was computed for its bar."""

import json
from dataclasses import replace
from math import hypot
from pathlib import Path

import pytest

from geometry.errors import InputError
from geometry.grading import LEVELS
from studies.bench.against import Prediction, against
from studies.bench.against_record import against_record
from studies.bench.against_text import limits_in_words, made_in_words
from studies.bench.readings import read_readings
from studies.bench.reduction import Reduction, reduce_record
from studies.bench.rig import Rig, bore_area_mm2
from studies.commands.main import main
from studies.pictures.press_curve import press_graph
from studies.records.band import BandFigureRecord, BandRecord
from studies.records.collapse import (
    CollapseRecord,
    CurveRecord,
    OffsetRecord,
    StiffnessRecord,
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


def predicted(found: Reduction, times: float, *, by_ram: bool = True) -> Prediction:
    """Return a path whose figures are those of the record times a number."""
    offset_n, (loop, *_) = found.offsets[0].load_n, found.unloadings
    assert offset_n
    assert loop.set_mm
    none = {"shift_deg": None, "load_factor": None, "deflection_mm": None, "rotation_deg": None}
    stiffness = times * found.line.slope.value
    path = CollapseRecord.model_construct(
        stiffness=StiffnessRecord(up_to_n=1e3, ram_n_per_mm=stiffness, bar_n_per_mm=None)
        if by_ram
        else None,
        curve=CurveRecord.model_construct(
            load_n=[stiffness, 2.0 * stiffness], deflection_mm=[1.0, 2.0]
        ),
        offsets=[
            OffsetRecord(rule="fibre", shift_mm=4.7, load_n=9e3, **none),
            OffsetRecord(rule="1 mm", shift_mm=1.0, load_n=times * offset_n.value, **none),
        ],
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
            for load_n in (0.9 * loop.from_n, 1.02 * loop.from_n)
        ],
    )
    return prediction_of(path)


def prediction_of(path: CollapseRecord) -> Prediction:
    """Return a prediction with a path."""
    return Prediction("results.json", "0" * 64, "", "a", "b", 300.0, path)


@pytest.mark.parametrize("by_ram", [True, False])
@pytest.mark.parametrize("times", [0.8, 1.0, 1.05])
def test_each_figure_beside_its_own(found: Reduction, times: float, by_ram: bool) -> None:
    """In percent of the prediction, and in standard deviations of the record."""
    rows = {one.name: one for one in against(found, predicted(found, times, by_ram=by_ram))}
    assert [name.split(" ")[0] for name in rows] == ["Stiffness", "Offset", "Peak", "Permanent"]
    for one in rows.values():
        assert one.percent == pytest.approx(100 * (1 / times - 1))
        apart = one.measured.value * (1 - times)
        assert one.deviations == pytest.approx(2 * apart / one.measured.half_width)


def test_only_what_both_have(found: Reduction) -> None:
    """Not a set from another load, a shift that is not the same, a peak that was not met."""
    whole = predicted(found, 1.0).path
    lesser = whole.model_copy(
        update={
            "limit_load_n": None,
            "offsets": whole.offsets[:1],
            "unloadings": whole.unloadings[:1],
        }
    )
    rows = against(found, prediction_of(lesser))
    assert [one.name for one in rows] == ["Stiffness"]


def test_the_curve_is_laid_over_from_the_records_zero(found: Reduction) -> None:
    """And is cut where the record ends."""
    alone, both = press_graph(found), press_graph(found, predicted(found, 1.0))
    colours = [line.colour for line in alone.lines]
    (foreseen,) = (line for line in both.lines if line.colour not in colours)
    first = float(found.ready.points.travel_mm.min())
    assert foreseen.x[0] == pytest.approx(max(found.line.zero.value - first, 0.0))
    assert list(foreseen.y) == pytest.approx([0.0, *(n * found.line.slope.value for n in (1, 2))])


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
    press = ["press", str(BY_HAND), *OPTIONS, "--against", "out", "--out", "pressed"]
    assert main(press) == 0
    assert "Against the prediction" in capsys.readouterr().out
    made = json.loads(Path("pressed", "press.json").read_text(encoding="utf-8"))["against"]
    assert [one["name"] for one in made["figures"]] == ["Stiffness"]
    path = json.loads(Path("out", "results.json").read_text(encoding="utf-8"))["cases"][0]
    wanted = path["collapse"]["stiffness"]["ram_n_per_mm"]
    assert made["figures"][0]["predicted"] == pytest.approx(wanted)
    assert main([*press, "--case", "other"]) == 2
    assert "--case: no case with a path is called 'other'" in capsys.readouterr().err


def test_the_distance_is_in_deviations_of_both(found: Reduction) -> None:
    """Of the prediction the side counts on which the record lies."""
    path = predicted(found, 1.05).path
    rows = against(found, prediction_of(path))
    stiffness = rows[0]
    one = BandFigureRecord(
        key="stiffness",
        name="Stiffness",
        unit="N/mm",
        value=stiffness.predicted,
        low=0.9 * stiffness.predicted,
        high=1.5 * stiffness.predicted,
        terms={},
    )
    band = BandRecord.model_construct(figures=[one], varied=[])
    banded, *others = against(found, prediction_of(path.model_copy(update={"band": band})))
    width = hypot(stiffness.measured.half_width, 0.1 * stiffness.predicted)
    apart = stiffness.measured.value - stiffness.predicted
    assert banded.deviations == pytest.approx(2 * apart / width)
    assert [row.between for row in others] == [None] * len(others)


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
    """The set of the record lies at 14.7 with its interval, the prediction exactly at 1.2 times."""
    path = predicted(found, 1.2).path
    levels = [one.model_copy(update={"limit_mm": 15.0}) for one in path.unloadings]
    made = against_record(found, prediction_of(path.model_copy(update={"unloadings": levels})))
    (words,) = limits_in_words(made)
    assert words.endswith("at most 15 mm: record undecided, prediction beyond")
