"""What a moment is where couples act at both ends: that of one."""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from loadcases.load import PlacedLoad
from loadcases.path_control import end_moment_nmm
from studies.collapse.outcome import outcome_of
from studies.files.step_series import write_lists
from studies.pictures.path_curve import load_graph
from support.paths import case_with, path_of, record_of, usual


def test_of_two_couples_the_moment_of_one_end_is_told(tmp_path: Path) -> None:
    """In record, sentences, table and picture alike, and work is that of both."""
    at_left, at_right = (
        PlacedLoad(side, at_mm, (0, 0, 0), (0, sign * 15e3, 0), 20)  # type: ignore[arg-type]
        for side, at_mm, sign in (("left", -90.0, -1.0), ("right", 90.0, 1.0))
    )
    assert end_moment_nmm((at_left, at_right)) == end_moment_nmm((at_right,)) == 15e3
    halves = replace(at_left, moment_nmm=(0, -5e3, 0)), replace(at_left, moment_nmm=(0, -7e3, 0))
    assert end_moment_nmm((*halves, at_right)) == 15e3
    assert end_moment_nmm((*halves, replace(at_right, moment_nmm=(3e3, 4e3, 0)))) == 12e3
    path = replace(path_of(usual()), unit=30e3, by_moments=True, end_moment_nmm=15e3)
    found = record_of(path)
    top = max(found.curve.load_factor)
    assert found.curve.moment_nmm is not None
    assert max(found.curve.moment_nmm) == pytest.approx(15e3 * top)
    assert "15 N\u00b7m: rotation" in " ".join(found.text).replace("deflection", "rotation")
    run, case = case_with(path)
    outcome = outcome_of(run.study.bar, case, path)
    assert outcome is not None
    graph = load_graph(path, outcome)
    assert max(line.y.max() for line in graph.lines if line.width == 3) == pytest.approx(15 * top)
    write_lists(tmp_path, path.steps, path.load, by_moments=True)
    rows = list(csv.DictReader((tmp_path / "curve.csv").open(encoding="utf-8")))
    assert max(float(row["moment_nmm"]) for row in rows) == pytest.approx(15e3 * top)
    steps = [(0.0, 0.0), *((one.factor, one.deflection) for one in usual()[:8])]
    factor, moved = np.array(steps).T
    work = 30e3 * float(np.sum((factor[1:] + factor[:-1]) / 2 * np.diff(moved)))
    assert found.absorbed_energy_nmm == pytest.approx(work)
