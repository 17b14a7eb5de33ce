"""Designs of which only some measures are kept: the same figures, without the work for others."""

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from fea.clamp import clamping
from fea.fatigue import life
from fea.stability import buckling
from geometry.errors import InputError
from studies.assessment import assess, run
from studies.commands.sweep_lines import print_sweep
from studies.files.results_folder import landed
from studies.records.assessed import OF_LIMITS, Part
from studies.records.measures import ALL_MEASURES
from studies.study_file.study import Study, read_study
from studies.sweeps.rows import DesignRow
from studies.sweeps.sweep import run_sweep, sweep_of
from studies.sweeps.sweep_results import columns
from studies.sweeps.worker import compute
from support.pages import short_bar
from support.sweeps import WALL, at_once, axis, made_row, plan

REPEATED = """
[[cases]]
id = "sway"
title = "A pull that comes again and again"
loads = [{ side = "right", from_end_mm = 30, force_n = [0, -150, 0], band_mm = 20 }]
cycle = { cycles = 100000 }
[clamp.bolts]
count = 4
torque_nm = 5
diameter_mm = 5
"""

COSTLY = {
    "eigenvalues": (buckling, "eigen_ends"),
    "preload": (clamping, "preload_by_factor"),
    "clamps of a case": (assess, "clamp_case"),
    "lives": (life, "_life"),
    "other clamps": (run, "scaled_clamps"),
}
"""What a part of the assessment costs, by the door that it comes through."""


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    """Return a study in which every part of the assessment has something to say."""
    return read_study(short_bar(tmp_path_factory.mktemp("only"), "pier", 1.6, REPEATED))


@pytest.fixture(scope="module")
def whole(study: Study) -> DesignRow:
    """Return the row of its design with all figures."""
    return row_of(study)


def row_of(study: Study, **keys: Any) -> DesignRow:
    """Return the row of its one design."""
    sweep = sweep_of(study, [axis(WALL, values=[1.5])], plan(**keys), cases=["push", "sway"])
    return DesignRow.model_validate_json(compute(sweep.jobs[0]))


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """Count what goes through each door."""
    seen: Counter[str] = Counter()

    def counted(name: str, inner: Any) -> Any:
        def call(*given: Any, **keys: Any) -> Any:
            seen[name] += 1
            return inner(*given, **keys)

        return call

    for name, (module, door) in COSTLY.items():
        monkeypatch.setattr(module, door, counted(name, getattr(module, door)))
    return seen


def test_what_no_kept_figure_needs_is_not_computed(
    study: Study, whole: DesignRow, calls: Counter[str]
) -> None:
    """Neither eigenvalues nor clamps nor lives; the figures that are kept are the same ones."""
    only = ("deflection_mm", "peak_stress_mpa", "wrinkling_factor")
    row = row_of(study, only=only)
    assert not calls
    assert row.status == "computed"
    for case, figures in row.cases.items():
        assert {key: figures[key] for key in only} == {key: whole.cases[case][key] for key in only}
    assert row.key != whole.key


@pytest.mark.parametrize("part", sorted(OF_LIMITS))
def test_a_part_that_is_needed_is_computed_alone(
    study: Study, whole: DesignRow, calls: Counter[str], part: Part
) -> None:
    """Figures that need it are those of the whole assessment; nothing of other parts is called."""
    only = [measure.key for measure in ALL_MEASURES if measure.needs == {part}]
    row = row_of(study, only=only)
    for case, figures in row.cases.items():
        for key in only:
            expected = whole.cases[case][key]
            # no two solutions of an iteration in one process need to agree to the last bit
            number = isinstance(expected, float)
            assert figures[key] == (pytest.approx(expected, rel=1e-9) if number else expected), key
    assert any(figures[key] is not None for figures in row.cases.values() for key in only)
    assert row.not_assessed == sorted(OF_LIMITS - {part})
    doors = {
        Part.CLAMP: {"preload", "clamps of a case"},
        Part.BUCKLING: {"eigenvalues"},
        Part.LIFE: {"preload", "lives", "other clamps"},
    }
    assert calls.keys() == doors[part]


def test_lives_alone_rest_on_other_clamps(study: Study, calls: Counter[str]) -> None:
    """Where no case is repeated no row tells of them, whatever is kept."""
    sweep = sweep_of(study, [axis(WALL, values=[1.5])], plan(), cases=["push"])
    assert DesignRow.model_validate_json(compute(sweep.jobs[0])).status == "computed"
    assert "other clamps" not in calls
    assert calls["eigenvalues"] == 1


def test_what_was_not_assessed_is_said(
    study: Study, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In table, record, page and terminal: no governing limit, and why there is none."""
    made = plan(only=["deflection_mm"])
    sweep = sweep_of(study, [axis(WALL, values=[1.5])], made, cases=["push"])
    real = DesignRow.model_validate_json(compute(sweep.jobs[0]))
    done = run_sweep(sweep, tmp_path / "out", at_once(lambda job: real))
    keys = [column.key for column in columns(done) if column.kind == "figure"]
    assert keys == ["mass_g", "push/deflection_mm"]
    named = ", ".join(sorted(OF_LIMITS))
    told = f"Not assessed, so there is no governing limit: {named}"
    assert landed(tmp_path / "out", "sweep.json")["not_assessed"] == sorted(OF_LIMITS)
    assert told in (tmp_path / "out" / "sweep.html").read_text(encoding="utf-8")
    print_sweep(done, tmp_path / "out")
    assert " ".join(told.split()) in " ".join(capsys.readouterr().out.split())


def test_the_usual_measures_leave_nothing_out(study: Study, tmp_path: Path) -> None:
    """Nor do all by which a governing limit is found; such designs are shared with other sweeps."""
    usual, governing = (
        sweep_of(study, [axis(WALL, values=[1.5])], plan(**keys))
        for keys in ({}, {"only": ["governing_factor"]})
    )
    assert usual.jobs[0].without == governing.jobs[0].without == ()
    assert usual.jobs[0].key == governing.jobs[0].key
    done = run_sweep(usual, tmp_path / "out", at_once(made_row))
    assert json.loads((tmp_path / "out" / "sweep.json").read_text())["not_assessed"] == []
    assert "Not assessed" not in (tmp_path / "out" / "sweep.html").read_text(encoding="utf-8")
    assert done.not_assessed == ()


def test_an_unknown_measure_is_refused_where_it_stands(study: Study) -> None:
    """As one of those to compute alone."""
    with pytest.raises(InputError, match=r"plan\.only.*deflection_mm"):
        sweep_of(study, [axis(WALL, values=[1.5])], plan(only=["deflexion_mm"]))
