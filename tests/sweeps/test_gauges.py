"""Gauges as figures of a case: columns of a sweep, rows of a comparison, limits of a search."""

from pathlib import Path

import numpy as np
import pytest

from geometry.errors import InputError
from studies.commands.main import main
from studies.comparison.differences import case_tables
from studies.records.case import ResultsRecord
from studies.results.record import results_record
from studies.study_file.format.sweep_tables import OptimiseTable
from studies.study_file.study import Study, read_study
from studies.sweeps.constraints import constraints_of, margins_of, worst
from studies.sweeps.rows import DesignRow
from studies.sweeps.sweep import sweep_of
from studies.sweeps.sweep_results import SweepRun, columns
from studies.sweeps.worker import compute
from support.pages import short_bar
from support.sweeps import WALL, axis, made_row, plan, wall_sweep

GAUGES = """
[[gauges]]
name = "dial"
kind = "dial"
side = "right"
from_end_mm = 30
[[gauges]]
name = "top, left"
kind = "strain"
at_mm = -60
"""
DIAL, STRAIN = "gauge:dial_mm", "gauge:top, left_um_per_m"

WALLS_MM = (1.4, 1.6)


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    """Return a study of a short bar with a dial and a strain gauge."""
    return read_study(short_bar(tmp_path_factory.mktemp("gauges"), "pier", 1.6, GAUGES))


@pytest.fixture(scope="module")
def swept(study: Study) -> SweepRun:
    """Return two walls of it, with deflection and gauges alone."""
    only = ["deflection_mm", DIAL, STRAIN]
    sweep = sweep_of(study, [axis(WALL, values=list(WALLS_MM))], plan(only=only))
    rows = tuple(DesignRow.model_validate_json(compute(job)) for job in sweep.jobs)
    return SweepRun(sweep, rows, 0)


def test_a_sweep_has_a_column_for_each_gauge(swept: SweepRun) -> None:
    """With its unit, in every case; under the load a dial reads its deflection."""
    found = {column.key: column for column in columns(swept)}
    names = {key: found[key].name for key in found if "gauge:" in key}
    assert names == {
        f"push/{DIAL}": "dial, mm: push",
        f"push/{STRAIN}": "top, left, µm/m: push",
        f"pull/{DIAL}": "dial, mm: pull",
        f"pull/{STRAIN}": "top, left, µm/m: pull",
    }
    read = [float(value or 0) for value in found[f"push/{DIAL}"].values]
    # the dial stands on the top line in the middle of the band whose mean the deflection is
    moved = [float(value or 0) for value in found["push/deflection_mm"].values]
    assert read == pytest.approx(moved, rel=0.02)
    # 5 % of it would be seen, and walls differ by more
    assert read[0] > 1.05 * read[1]


def test_gauges_are_among_the_usual_figures(study: Study) -> None:
    """Whoever places one wants its reading; `only` leaves it out, a wrong name is refused."""
    axes = [axis(WALL, values=[1.6])]
    assert {DIAL, STRAIN} < {measure.key for measure in sweep_of(study, axes, plan()).measures}
    (kept,) = sweep_of(study, axes, plan(only=["deflection_mm"])).measures
    assert kept.key == "deflection_mm"
    with pytest.raises(InputError, match=r"plan\.measures: no measure is called 'gauge:dail_mm'"):
        sweep_of(study, axes, plan(measures=["gauge:dail_mm"]))


def test_a_comparison_has_a_row_for_each_gauge(swept: SweepRun, study: Study) -> None:
    """Also where a design lacks it; its difference is told and not judged."""
    from studies.assessment.run import run_study

    record = results_record(run_study(study))
    bare = [case.model_copy(update={"gauges": []}) for case in record.cases]
    other = record.model_copy(update={"cases": bare})
    assert "dial, mm" not in _rows([other, other])
    assert _rows([record, other])["dial, mm"][1] is None
    thicker = float(swept.rows[1].cases["push"][DIAL] or 0) if swept.rows[1] else 0.0
    assert _rows([record, record])["dial, mm"] == pytest.approx([thicker, thicker])


def _rows(records: list[ResultsRecord]) -> dict[str, list[float | None]]:
    table = case_tables(records, ["a", "b"])[0]
    return {row.name: [cell.value for cell in row.cells] for row in table.rows}


def test_the_lightest_bar_within_readings(study: Study) -> None:
    """The size of a reading counts, whichever sign; one of nothing is within."""
    limits = [{"name": "dial", "reading": 2.0}, {"name": "top, left", "reading": 500}]
    table = OptimiseTable.model_validate({"max_gauges": limits})
    constraints = constraints_of(table, study.gauges)
    assert [(one.key, one.name) for one in constraints] == [
        (DIAL, "dial, mm"),
        (STRAIN, "top, left, µm/m"),
    ]
    job = wall_sweep(study, 1.6).jobs[0]
    row = made_row(job, **{DIAL: -1.0, STRAIN: 0.0})
    found = [margin.margin for margin in margins_of(constraints, row)]
    assert found == pytest.approx([np.log(2), np.log(100)])
    beyond = made_row(job, **{DIAL: 1.0, STRAIN: -1000.0})
    assert worst(margins_of(constraints, beyond)) == pytest.approx(-np.log(2))


def test_a_limit_of_no_gauge_is_refused(study: Study) -> None:
    """By its place in the table, with the nearest name."""
    table = OptimiseTable.model_validate({"max_gauges": [{"name": "dail", "reading": 2}]})
    with pytest.raises(InputError, match=r"max_gauges\[0\].name: no gauge is called 'dail'"):
        constraints_of(table, study.gauges)
    with pytest.raises(InputError, match="the study has no gauge"):
        constraints_of(table)


@pytest.mark.parametrize(
    ("said", "sentence"),
    [("dial", "--max-gauge: is 'dial'"), ("dial=-3", "reading"), ("dial=much", "reading")],
)
def test_a_setting_that_is_none(
    study: Study, said: str, sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One sentence, exit code 2."""
    varied = f"{WALL}=1.4:1.8:0.1"
    path = str(Path(study.path))
    assert main(["optimise", path, "--vary", varied, "--max-gauge", said]) == 2
    assert sentence in capsys.readouterr().err
