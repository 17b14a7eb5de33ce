"""A free tube in a fixture off its middle, against the Timoshenko cantilever (textbook).

P L^3/3EI + P L/(kappa G A). Moment enters the ring at the fixture's edge evenly, so over its length
b the tube turns by M x^2/2bEI, on average as if it were built in b/3 behind the edge: derived.
"""

from pathlib import Path

import numpy as np
import pytest

from fea.beam.section import section_compliance
from fea.collapse.equilibrium import deflection
from fea.collapse.initial_state import prepared
from fea.collapse.path import plan_path, start_position, traced
from fea.collapse.path_model import Standing, path_model_of
from fea.collapse.step_length import Pace
from fea.solid.linear_solver import pivoting
from studies.assessment.bounds import deflection_mm
from studies.assessment.run import run_study
from studies.study_file.study import Study, study_from_table

FIXTURE_MM, HELD_MM, AT_MM, FORCE_N = -200.0, 50.0, 200.0, 20.0
RING_MM = 4.0
"""As the catalogue has it."""

BEAM, SOLID = 1e-3, 0.01


def held(wall_mm: float = 1.5) -> Study:
    """Return a tube whose fixture is on its left, loaded on its right."""
    case = {"use": "press.cantilever", "fixture_at_mm": FIXTURE_MM, "fixture_mm": HELD_MM}
    table = {
        "name": "held",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": 30, "wall_mm": wall_mm}],
            "right": {"points_mm": [[0, 0, 0], [250, 0, 0]]},
        },
        "clamp": {"model": "none"},
        "cases": [{**case, "from_end_mm": 250 - AT_MM, "force_n": FORCE_N}],
    }
    return study_from_table(table, Path("held.toml"), "")


def cantilever_mm() -> float:
    """Return the closed form."""
    one = section_compliance(held().bar, np.array([0.0]), False)[0]
    arm_mm = AT_MM - (FIXTURE_MM + HELD_MM / 2 - RING_MM / 3)
    return FORCE_N * arm_mm * (float(one[4, 4]) * arm_mm**2 / 3 + float(one[1, 1]))


def first_step_mm(study: Study) -> float:
    """Return the deflection at the load by the first step of a path."""
    (placed,), factorise = study.cases, pivoting("auto")
    model = path_model_of(study.bar, study.clamp, placed.loads, standing=Standing(placed.supports))
    model, start = prepared(model, "auto", factorise)
    plan = plan_path((), 0.4, Pace(1.0, 0.4))
    *_, end = traced(model.equations, plan, start_position(plan, start), factorise)
    return deflection(model.equations, end.point.displacement) / end.point.factor


def test_it_bends_from_the_edge_of_its_fixture() -> None:
    """Beam, solid and path; displacements count from what stands still."""
    (case,) = run_study(held(), "coarse").cases
    assert case.beam.deflections_mm == pytest.approx([cantilever_mm()] * 2, rel=BEAM)
    assert deflection_mm(case.answer, case.supports) == pytest.approx(cantilever_mm(), rel=SOLID)
    assert first_step_mm(held()) == pytest.approx(cantilever_mm(), rel=SOLID)
    # force and moment of the load, by both rings together
    supports = case.supports
    assert supports is not None
    forces = supports.reactions.wrenches
    moment = forces[:, 4] - [FIXTURE_MM - 23, FIXTURE_MM + 23] * forces[:, 2]
    assert forces[:, 2].sum() == pytest.approx(FORCE_N)
    assert moment.sum() == pytest.approx(-FORCE_N * AT_MM)


def test_another_wall_is_another_answer() -> None:
    """A wall that is 5 % thicker would be seen by the linear solid and by the path."""
    study = held(1.05 * 1.5)
    (case,) = run_study(study, "coarse").cases
    for found in (deflection_mm(case.answer, case.supports), first_step_mm(study)):
        assert found != pytest.approx(cantilever_mm(), rel=SOLID)
