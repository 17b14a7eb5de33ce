"""Paths of bars that no clamp holds: as stiff as the linear bar, in balance or refused."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fea.collapse.equilibrium import Point, point_at
from fea.collapse.free_bar import moment_left, require_balance
from fea.collapse.initial_state import prepared
from fea.collapse.newton import StepTarget
from fea.collapse.path import attempted
from fea.collapse.path_model import POINTS, PathModel, path_model_of
from fea.collapse.plastic import virgin
from fea.solid.linear_solver import pivoting
from fea.solid.statics import factorise_model, solve_cases
from geometry.arrays import Floats
from geometry.errors import SolveError
from studies.study_file.study import Study, study_from_table

BAND_MM, LENGTH_MM = 12.0, 240.0

FOUR = ((-100.0, 600.0), (100.0, 600.0), (-30.0, -600.0), (30.0, -600.0))
ASIDE = ((-100.0, 400.0), (100.0, 800.0), (100.0 / 3, -1200.0))


def tube(*forces: tuple[float, float]) -> Study:
    """Return a free straight tube with forces upwards at places."""
    loads = [{"at_mm": at, "force_n": [0, 0, n], "band_mm": BAND_MM} for at, n in forces]
    table = {
        "name": "tube",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": 30, "wall_mm": 2}],
            "right": {"points_mm": [[0, 0, 0], [LENGTH_MM / 2, 0, 0]]},
        },
        "clamp": {"model": "none"},
        "cases": [{"id": "a", "loads": loads}],
    }
    return study_from_table(table, Path("tube.toml"), "")


def path_of(study: Study) -> PathModel:
    """Return the path of its case before the loads grow."""
    return path_model_of(study.bar, study.clamp, study.cases[0].loads)


def at_displacement(path_model: PathModel, displacement: Floats) -> Point:
    """Return the bar in a shape that is given, (N, 3), under its whole load."""
    equations = path_model.equations
    shape = displacement.ravel()
    state = virgin(len(equations.solid.cells), POINTS)
    point = point_at(equations, equations.unknowns.gather(shape), 1.0, state)
    return replace(point, displacement=shape)


def test_it_begins_as_stiff_as_the_linear_bar() -> None:
    """A step of a thousandth of the diameter, against work over load of the linear solution."""
    study = tube(*FOUR)
    path_model, point = prepared(path_of(study))
    step = attempted(path_model.equations, point, StepTarget("deflection", 0.03), pivoting("auto"))
    model, loads = path_model.model, study.cases[0].loads
    (linear,) = solve_cases(model, [loads], factorise_model(model)).answers
    assert step is not None
    deflection_mm = 2 * linear.work_nmm / path_model.unit
    assert 0.03 / step.factor == pytest.approx(deflection_mm, rel=1e-3)
    require_balance(path_model, step)
    assert moment_left(path_model, step) < 1e-9


def test_the_moment_that_is_left_is_that_of_statics() -> None:
    """Places that move along the bar by c s^2 leave the sum of F c (s^2 + band^2 / 12)."""
    study, c = tube(*ASIDE), 4e-4
    path_model = path_of(study)
    moved = np.zeros_like(path_model.model.mesh.points_mm)
    moved[:, 0] = c * path_model.model.mesh.points_mm[:, 0] ** 2
    point = at_displacement(path_model, moved)
    left = sum(n * c * (at**2 + BAND_MM**2 / 12) for at, n in ASIDE)
    expected = left / (sum(abs(n) for _, n in ASIDE) * LENGTH_MM)
    assert moment_left(path_model, point) == pytest.approx(expected, rel=1e-6)
    with pytest.raises(SolveError, match="lost their balance"):
        require_balance(path_model, point)
