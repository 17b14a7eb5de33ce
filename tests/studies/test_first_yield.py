"""First yield of a bar whose clamp's bolts are not known: by its peak alone."""

from pathlib import Path

import pytest

from fea.stability.criteria import YIELD
from studies.assessment.limits import limits_of
from studies.assessment.run import run_study
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study
from support.pages import short_bar


def test_it_is_proof_stress_over_the_peak(tmp_path: Path) -> None:
    """Of 6061-T6, 241 MPa, whose ultimate stress is a fifth more."""
    study = with_cases(read_study(short_bar(tmp_path, "pier", 1.6)), ["push"])
    run = run_study(study)
    (case,) = run.cases
    (found,) = [limit for limit in limits_of(run, case) if limit.criterion == YIELD]
    assert found.load_factor == pytest.approx(241 / case.peak.stress_mpa, rel=1e-9)
