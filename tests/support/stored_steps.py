"""Steps and positions of a path that nobody traced, to be stored."""

from dataclasses import replace
from functools import cache

import numpy as np

from fea.collapse.equilibrium import point_at
from fea.collapse.path import Passed, Position
from fea.collapse.path_model import PathModel, path_model_of
from fea.collapse.path_run import Step
from fea.collapse.plastic import virgin
from fea.collapse.reading import PathPoint
from support.paths import path_of, short_run, usual


@cache
def way() -> PathModel:
    """Return the short bar on its way."""
    study = short_run().study
    return path_model_of(study.bar, study.clamp, study.cases[0].loads)


def position() -> Position:
    """Return a position that is in no equilibrium, with a memory of its own."""
    equations = way().equations
    rng = np.random.default_rng(3)
    fresh = virgin(len(equations.solid.cells), 8)
    before = replace(fresh, equivalent=rng.random(fresh.equivalent.shape) * 1e-3)
    unknowns = 1e-4 * rng.random(len(equations.load))
    point = point_at(equations, unknowns, 0.75, before, 12.5)
    passed = tuple(Passed(0.1 * i, unknowns / i, 0.2 * i) for i in (2, 1))
    return Position(point, 2, 0.125, 0.5, passed)


def steps() -> tuple[Step, ...]:
    """Return the steps of a hand-made path, of which the second tells where stiffness was lost."""
    readings = usual()
    readings[1] = replace(readings[1], bifurcation=(PathPoint(0.5, 0.12), PathPoint(0.6, 0.15)))
    return path_of(readings).steps
