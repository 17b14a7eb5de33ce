"""The lightest bar over the whole pipeline, against beam theory, and what is said of it."""

import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from geometry.errors import InputError
from studies.commands import optimise as command
from studies.commands.main import main
from studies.files.results_folder import landed
from studies.records.assessed import OF_LIMITS, Part
from studies.study_file.format.sweep_tables import OptimiseTable
from studies.study_file.study import read_study
from studies.sweeps import optimised as optimised_steps
from studies.sweeps.constraints import INFEASIBLE, constraints_of, margins_of, worst
from studies.sweeps.optimise import Task, task_of
from studies.sweeps.rows import DesignRow, Job, unfinished_row
from support.pages import short_bar
from support.study_texts import cantilever
from support.sweeps import at_once, made_row, short_study, wall_sweep

LENGTH_MM, FORCE_N, E_MPA = 600.0, 60.0, 68300.0

CANTILEVER = f"""
name = "spit"
[bar]
name = "spit"
material = "al-6061-t6"
stations = [{{ at_mm = 0, od_mm = 22.2, wall_mm = 1.6 }}]
{cantilever(LENGTH_MM, FORCE_N)}
[optimise]
max_deflection_mm = 10.0
[[optimise.vary]]
path = "bar.stations.*.wall_mm"
from = 0.8
to = 3.0
step = 0.01
"""
"""Held rigidly up to 20 mm, loaded 600 mm further out: what is held is the outer surface alone,
which softens the root as half a millimetre of length would, 0.25 % of the deflection."""


def test_minima_are_read_from_the_study(tmp_path: Path) -> None:
    """Each with its side; a bar of which nothing is asked is refused."""
    table = OptimiseTable.model_validate({"min_yield_factor": 1.5, "max_deflection_mm": 4})
    found = constraints_of(table)
    assert [(m.key, m.limit, m.better) for m in found] == [
        ("first_yield_factor", 1.5, "more"),
        ("deflection_mm", 4, "less"),
    ]
    with pytest.raises(InputError, match="has no constraint"):
        constraints_of(OptimiseTable())
    with pytest.raises(InputError, match="nothing that varies"):
        task_of(short_study(tmp_path), table, None)


def test_margins_are_logarithms_of_the_room_left(tmp_path: Path) -> None:
    """Above zero where a constraint is kept, hopeless where there are no figures."""
    job = wall_sweep(short_study(tmp_path), 1.6).jobs[0]
    table = OptimiseTable.model_validate({"min_yield_factor": 1.6, "max_deflection_mm": 5})
    constraints = constraints_of(table)
    kept = margins_of(constraints, made_row(job, first_yield_factor=3.2, deflection_mm=2.5))
    assert [m.margin for m in kept] == pytest.approx([np.log(2), np.log(2)])
    missed = margins_of(constraints, made_row(job, first_yield_factor=0.8, deflection_mm=2.5))
    assert worst(missed) == pytest.approx(-np.log(2))
    assert worst(margins_of(constraints, unfinished_row(job, "failed", "folds"))) == INFEASIBLE


def test_a_life_that_is_not_judged_keeps_no_minimum(tmp_path: Path) -> None:
    """Of a repeated case without a fatigue factor nothing may be promised; once is once."""
    job = wall_sweep(short_study(tmp_path), 1.6).jobs[0]
    constraints = constraints_of(OptimiseTable.model_validate({"min_fatigue_factor": 1.0}))
    unjudged = made_row(job, cycles_required=1e5, fatigue_factor_low=None)
    assert worst(margins_of(constraints, unjudged)) == INFEASIBLE
    # the low end is what counts, whatever the middle
    judged = made_row(job, cycles_required=1e5, fatigue_factor=1.5, fatigue_factor_low=1.2)
    assert worst(margins_of(constraints, judged)) == pytest.approx(np.log(1.2))
    assert not margins_of(constraints, made_row(job, cycles_required=None, fatigue_factor_low=None))
    governing = constraints_of(OptimiseTable.model_validate({"min_governing_factor": 1.0}))
    assert worst(margins_of(governing, unjudged)) == INFEASIBLE


def test_verified_constrains_the_factor_of_verified_limits(tmp_path: Path) -> None:
    """Fatigue from memory at 0.9 does not count, first yield at 2 does; neither is no margin."""
    job = wall_sweep(short_study(tmp_path), 1.6).jobs[0]
    table = {"min_governing_factor": 1.5, "verified": True}
    constraints = constraints_of(OptimiseTable.model_validate(table))
    assert [one.key for one in constraints] == ["governing_verified"]
    row = made_row(
        job, cycles_required=1e5, fatigue_factor_low=None, governing_factor=0.9,
        governing_verified=2.0,
    )  # fmt: skip
    assert worst(margins_of(constraints, row)) == pytest.approx(np.log(2 / 1.5))
    none = made_row(job, governing_factor=9.0, governing_verified=None)
    assert worst(margins_of(constraints, none)) == INFEASIBLE


@pytest.fixture
def spit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Write the cantilever's study, and be where it lies."""
    (tmp_path / "spit.toml").write_text(CANTILEVER, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def beam_deflection_mm(od_mm: float, wall_mm: float) -> float:
    """Return F L3/(3 E I) with the shear of a thin tube, F L/(k G A), k = 0.53.

    Source: beam theory, textbook; the shear coefficient of Cowper (1966) for these walls.
    """
    bore_mm = od_mm - 2 * wall_mm
    inertia = np.pi * (od_mm**4 - bore_mm**4) / 64
    area = np.pi * (od_mm**2 - bore_mm**2) / 4
    shear = E_MPA / (2 * 1.33)
    deflection: float = FORCE_N * LENGTH_MM**3 / (3 * E_MPA * inertia) + FORCE_N * LENGTH_MM / (
        0.53 * shear * area
    )
    return deflection


def beam_row(job: Job) -> DesignRow:
    """Return the row of a design as beam theory has it."""
    station = json.loads(job.table)["bar"]["stations"][0]
    row = made_row(job, deflection_mm=beam_deflection_mm(station["od_mm"], station["wall_mm"]))
    return row.model_copy(update={"governing_case": "end", "cases": {"end": row.cases["push"]}})


@pytest.fixture
def beam_spit(spit: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Search by beam theory, and confirm on the coarse mesh: what is kept and said is the same."""
    executor = at_once(beam_row)
    monkeypatch.setattr(f"{command.__name__}.executor_of", lambda *asked: executor)
    monkeypatch.setattr(f"{optimised_steps.__name__}.CONFIRMED_ON", "coarse")
    return spit


def optimised(folder: Path, *options: str) -> tuple[int, dict[str, Any]]:
    """Return exit code and record of a search."""
    code = main(["optimise", "spit.toml", "--no-figures", *options])
    return code, landed(folder / "results" / "spit-lightest", "optimise.json")


@pytest.mark.slow
def test_the_lightest_cantilever_is_the_analytic_one(
    spit: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Wall and mass lie within 1 % of beam theory, and what holds them is named.

    1 %: a step of the wall is 0.5 %, and the solid is 0.3 % softer than the beam.
    """
    code, told = optimised(spit)
    assert code == 0
    walls = np.arange(0.8, 3.0, 0.0005)
    exact = next(w for w in walls if beam_deflection_mm(22.2, w) <= 10.0)
    assert told["sizes"]["bar.stations.*.wall_mm"] == pytest.approx(exact, rel=0.01)
    area = exact * (22.2 - exact)
    mass_g = np.pi * area * 2 * (LENGTH_MM + 45) * 2713e-6
    assert told["mass_g"] == pytest.approx(mass_g, rel=0.01)
    assert told["mesh_of_margins"] == "fine"
    assert 0 <= told["margins"][0]["margin"] < 0.02
    out = capsys.readouterr().out
    assert "Active constraint: deflection in mm of end" in out
    assert "Governing limit: " in out
    # its study file runs to the same figures, and is what the page shows
    made = spit / "results" / "spit-lightest"
    study = read_study(made / "spit-lightest.toml")
    results = json.loads((made / "results.json").read_text(encoding="utf-8"))
    assert study.sha256 == results["study"]["sha256"]
    assert study.bar.spec.stations[0].wall_mm == told["sizes"]["bar.stations.*.wall_mm"]
    assert tomllib.loads(study.text)["name"] == "spit-lightest"


def test_two_sizes_go_to_the_greatest_diameter(beam_spit: Path) -> None:
    """For stiffness the largest diameter is lightest: it is named as the end of the offer."""
    code, told = optimised(
        beam_spit,
        "--vary",
        "bar.stations.*.wall_mm=0.8:3.0:0.05",
        "--vary",
        "bar.stations.*.od_mm=20:25:0.2",
    )
    assert code == 0
    assert told["sizes"]["bar.stations.*.od_mm"] == 25.0
    walls = np.arange(0.8, 3.0, 0.05)
    exact = next(w for w in walls if beam_deflection_mm(25.0, w) <= 10.0)
    assert told["sizes"]["bar.stations.*.wall_mm"] == pytest.approx(exact, abs=1e-6)
    assert told["at_bounds"] == ["bar.stations.*.od_mm is the largest size"]


def test_no_such_bar_is_said_with_the_nearest_miss(
    beam_spit: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 1, the thickest on offer, what it misses; an earlier answer is gone."""
    code, told = optimised(beam_spit, "--vary", "bar.stations.*.wall_mm=2.2:3.0:0.2")
    assert code == 0
    assert (beam_spit / "results" / "spit-lightest" / "results.json").is_file()
    code, told = optimised(beam_spit, "--vary", "bar.stations.*.wall_mm=0.8:1.2:0.1")
    assert code == 1
    assert told["constraints_met"] is False
    assert told["sizes"] == {"bar.stations.*.wall_mm": 1.2}
    out = capsys.readouterr().out
    assert "No such bar in these bounds" in out
    assert "Violated: deflection in mm of end" in out
    assert not (beam_spit / "results" / "spit-lightest" / "results.json").exists()


def test_verified_names_what_the_lightest_bar_is_not_judged_by(
    beam_spit: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every kind of limit of its full run that is not verified stands on standard error."""
    code, _ = optimised(beam_spit, "--verified", "--vary", "bar.stations.*.wall_mm=2.2:3.0:0.2")
    assert code == 0
    results = landed(beam_spit / "results" / "spit-lightest", "results.json")
    limits = results["cases"][0]["limits"]
    left_out = {one["name"] for one in limits if not one["verified"]}
    head = "barwright: not judged, inputs not verified: "
    lines = [x for x in capsys.readouterr().err.splitlines() if x.startswith(head)]
    assert {line.removeprefix(head).partition(",")[0] for line in lines} == left_out
    assert "elastic buckling" in left_out


def test_the_same_search_again_computes_nothing_but_the_confirmation(beam_spit: Path) -> None:
    """Every design that was tried lies on disk."""
    optimised(beam_spit, "--vary", "bar.stations.*.wall_mm=1.2:2.4:0.2")
    store = beam_spit / "results" / "spit-lightest" / "designs"
    before = {path.name: path.stat().st_mtime_ns for path in store.glob("*.json")}
    _, told = optimised(beam_spit, "--vary", "bar.stations.*.wall_mm=1.2:2.4:0.2")
    after = {path.name: path.stat().st_mtime_ns for path in store.glob("*.json")}
    assert after == before
    assert told["designs_evaluated"] <= len(before)


def test_a_short_study_can_be_a_task(tmp_path: Path) -> None:
    """What varies and what is kept, checked before anything is computed."""
    study = read_study(short_bar(tmp_path, "pier", 1.6))
    table = OptimiseTable.model_validate(
        {
            "min_yield_factor": 2,
            "vary": [{"path": "bar.material", "from": 1, "to": 2, "step": 0.1}],
        }
    )
    with pytest.raises(InputError, match="give values instead"):
        task_of(study, table, None)


def test_only_leaves_out_what_no_constraint_needs(beam_spit: Path) -> None:
    """Of the designs, which say so; the lightest bar is assessed whole."""
    _, told = optimised(
        beam_spit, "--vary", "bar.stations.*.wall_mm=1.2:2.4:0.2", "--only", "deflection_mm"
    )
    made = beam_spit / "results" / "spit-lightest"
    sweep = json.loads((made / "sweep.json").read_text(encoding="utf-8"))
    assert sorted(sweep["not_assessed"]) == sorted(OF_LIMITS)
    assert told["constraints_met"]
    (case,) = landed(made)["cases"]
    assert {"yield", "elastic_buckling"} <= {limit["criterion"] for limit in case["limits"]}


def test_only_keeps_what_constraints_need(tmp_path: Path) -> None:
    """A governing factor needs every limit; a measure that is unknown is named with its table."""
    study = short_study(tmp_path)
    vary = [{"path": "bar.stations.*.wall_mm", "from": 1, "to": 2, "step": 0.1}]

    def task(**keys: Any) -> Task:
        return task_of(study, OptimiseTable.model_validate({"vary": vary, **keys}), None)

    assert task(min_governing_factor=1.5, only=["deflection_mm"]).without == ()
    part = task(min_yield_factor=1.5, only=["deflection_mm"])
    assert set(part.without) == OF_LIMITS - {Part.CLAMP}
    assert [one.key for one in part.measures] == ["deflection_mm", "first_yield_factor"]
    with pytest.raises(InputError, match=r"optimise\.only"):
        task(min_yield_factor=1.5, only=["deflektion_mm"])
