"""The study that the page on set-ups prints runs, and is right."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from fea.beam.section import section_compliance
from studies.assessment.bounds import deflection_mm
from studies.assessment.run import run_study
from studies.study_file.study import study_from_table
from support.how_tos import HOW_TOS, blocks_of


def test_the_tube_on_rollers_bends_as_a_beam() -> None:
    """P a^2 (3 L - 4 a) / 12EI + P a / (2 kappa G A) at the ram; 2 % for rings that ovalise."""
    (text,) = (one.text for one in blocks_of(HOW_TOS / "set-ups.md") if one.file == "tube.toml")
    table = tomllib.loads(text)
    study = study_from_table(table, Path("tube.toml"), "", text)
    (case,) = run_study(study, "coarse").cases
    given = table["cases"][0]
    span, apart, force = (given[key] for key in ("span_mm", "inner_span_mm", "force_n"))
    compliance = section_compliance(study.bar, np.array([0.0]), False)[0]
    bend, shear, a = compliance[4, 4], compliance[1, 1], (span - apart) / 2
    expected = force * a * (bend * a * (3 * span - 4 * a) / 12 + shear / 2)
    assert deflection_mm(case.answer, case.supports) == pytest.approx(expected, rel=0.02)
    assert all(check.passed for check in case.checks)
