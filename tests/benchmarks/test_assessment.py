"""What assessment and pictures add to the linear run of the riser; run alone on the machine.

The run is the one whose page is measured. What several cases cost is counted on the coarse mesh.
"""

from collections.abc import Callable
from math import log
from pathlib import Path
from time import perf_counter

import pytest

from fea.solid import linear_solver
from geometry.arrays import Floats
from studies.assessment.run import Stage, StudyRun, run_study
from studies.pictures.figures import draw_figures
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study

pytestmark = pytest.mark.slow

RISER = Path(__file__).parents[2] / "studies" / "examples" / "harbour-riser.toml"

Record = Callable[[str, object], None]

MOST_ADDED = 3.0
"""Elastic buckling and the zones of all cases, over mesh, solution, stress and frames of the same
cases. Measured 1.3 to 2."""

ASSESSED = (Stage.BUCKLING, Stage.CLAMP_PRELOAD, Stage.FATIGUE)


def test_buckling_adds_at_most_three_linear_runs(run: StudyRun, record_property: Record) -> None:
    """Both from the stages of one run; clamps and fatigue are shown beside."""
    seconds = run.seconds
    linear = sum(took for stage, took in seconds.items() if stage not in ASSESSED)
    record_property("linear", f"{linear:.1f} s")
    for stage in ASSESSED:
        record_property(stage, f"{seconds[stage]:.1f} s")
    ratio = seconds[Stage.BUCKLING] / linear
    record_property("ratio", f"{ratio:.2f}, at most {MOST_ADDED:g}")
    assert ratio <= MOST_ADDED


MOST_DRAWN = 3.0
"""Pictures of all cases, drawn by one process, over the run. Measured 0.9 to 1.25: the run has
become quicker than they have."""

MOST_EXPONENT = 1.0
"""Of the vectors solved over the number of cases. Measured 0.80: a case that is a multiple of
another costs no eigenvalues, and all share factor and preload."""


def test_clamps_share_the_factor(
    run: StudyRun, record_property: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Preload and contact of all cases cost solutions, whose time is shown, and no factor."""
    ratio = run.seconds[Stage.CLAMP_PRELOAD] / run.seconds[Stage.FACTORISATION]
    record_property("clamps over factorisation", f"{ratio:.2f}")
    monkeypatch.setattr("fea.clamp.preload.factorise", pytest.fail)
    again = run_study(read_study(RISER), "preview")
    assert all(case.clamp for case in again.cases)


def test_pictures_take_about_as_long_as_the_run(
    run: StudyRun, tmp_path: Path, record_property: Record
) -> None:
    """By one process; a second one halves what is seen of it."""
    start = perf_counter()
    draw_figures(run, tmp_path)
    ratio = (perf_counter() - start) / sum(run.seconds.values())
    record_property("pictures over run", f"{ratio:.2f}, at most {MOST_DRAWN:g}")
    assert ratio <= MOST_DRAWN


def test_work_grows_no_faster_than_the_cases(
    monkeypatch: pytest.MonkeyPatch, record_property: Record
) -> None:
    """Vectors solved with one case and with all four, and one factor whatever their number."""
    study = read_study(RISER)
    every = [placed.case.id for placed in study.cases]
    counts = {}
    for ids in (every[:1], every):
        factors, widths = counted(monkeypatch)
        run_study(with_cases(study, ids), "coarse", "cholmod")
        assert len(factors) == 1
        counts[len(ids)] = sum(widths)
        monkeypatch.undo()
    exponent = log(counts[len(every)] / counts[1]) / log(len(every))
    record_property("vectors solved, by cases", str(counts))
    record_property("exponent", f"{exponent:.2f}, at most {MOST_EXPONENT:g}")
    assert exponent <= MOST_EXPONENT


def counted(monkeypatch: pytest.MonkeyPatch) -> tuple[list[str], list[int]]:
    """Return lists that get a factor and the width of every solution as they come."""
    inner, factors, widths = linear_solver.SOLVING["cholmod"], [], []

    def solving(matrix: linear_solver.csr_array) -> Callable[[Floats], Floats]:
        apply = inner(matrix)
        factors.append("cholmod")

        def applied(loads: Floats) -> Floats:
            widths.append(loads.shape[1])
            return apply(loads)

        return applied

    monkeypatch.setitem(linear_solver.SOLVING, "cholmod", solving)
    return factors, widths
