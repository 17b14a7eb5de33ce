"""Paths past yield on one bend: finer elements, shorter steps and a third layer change little.

A short bar with one bend in its loaded half stands for longer ones: it flattens in its bend, as
the riser example does, whose own path is held against finer ones before a release.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from unittest.mock import patch

import numpy as np
import pytest

from fea.collapse.equilibrium import deflection
from fea.collapse.initial_state import prepared
from fea.collapse.path import plan_path, start_position, traced
from fea.collapse.path_model import LAYERS, path_model_of
from fea.solid.linear_solver import pivoting
from geometry.arrays import Floats
from geometry.grading import LevelName
from support.one_bend import CLAMP, half_bar, push_on

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]

TO_MM, STEPS = 4.0, 5

MOST_ITERATIONS = 60
"""Of all steps together."""


@dataclass(frozen=True, eq=False)
class Curve:
    """Deflection in mm and factor of the load at every step, and the iterations of them all."""

    rows: Floats
    iterations: int


@cache
def curve(level: LevelName = "coarse", steps: int = STEPS, layers: int = LAYERS) -> Curve:
    """Return the path of the bar pushed down near its right end."""
    bar = half_bar()
    with patch("fea.collapse.path_model.LAYERS", layers):
        way, start = prepared(path_model_of(bar, CLAMP, (push_on(bar),), level))
    plan, rows, iterations = plan_path((), TO_MM, steps), list[tuple[float, float]](), 0
    for position in traced(way.equations, plan, start_position(plan, start), pivoting()):
        point = position.point
        rows.append((deflection(way.equations, point.displacement), point.factor))
        iterations += point.iterations
    return Curve(np.array(rows), iterations)


def differences(refined: Curve) -> Floats:
    """Return (k,) how far the coarse factors lie from refined ones, as shares of these."""
    moves, factors = curve().rows.T
    at, wanted = refined.rows.T
    return np.interp(at, [0.0, *moves], [0.0, *factors]) / wanted - 1


def test_the_bar_yields_and_bends_on(record_property: Record) -> None:
    """Half the first slope at the end, or the comparisons would be of elastic bars."""
    moves, factors = curve().rows.T
    slope = (factors[-1] - factors[-2]) / (moves[-1] - moves[-2])
    record_property("slope at the end over the first", f"{slope * moves[0] / factors[0]:.2f}")
    assert slope < 0.5 * factors[0] / moves[0]


def test_iterations_stay_few(record_property: Record) -> None:
    """What a path costs is counted: each iteration is one factorisation."""
    record_property("iterations", f"{curve().iterations}, at most {MOST_ITERATIONS}")
    assert curve().iterations <= MOST_ITERATIONS


def test_two_layers_are_enough(record_property: Record) -> None:
    """Three through the wall give the same curve within 2 % at any deflection."""
    off = differences(curve(layers=3))
    record_property("two layers against three, largest", f"{100 * np.abs(off).max():.2f} %")
    assert np.abs(off).max() < 0.02


def test_finer_elements_tell_the_same(record_property: Record) -> None:
    """24 instead of 16 elements round, shorter ones along; measured 0.04 to 0.13 %."""
    off = at_shared_deflections(curve("standard"))
    record_property("16 round against 24, largest", f"{100 * np.abs(off).max():.2f} %")
    assert len(off) >= 4
    assert np.abs(off).max() < 0.004


def test_shorter_steps_end_at_the_same_load(record_property: Record) -> None:
    """Half as long: what a step's length adds up to; measured 0.17 %."""
    off = at_shared_deflections(curve(steps=2 * STEPS))
    record_property("steps against half as long, at the end", f"{100 * off[-1]:+.2f} %")
    assert abs(off[-1]) < 0.005


def at_shared_deflections(other: Curve) -> Floats:
    """Return (k,) how far the coarse factors lie from others where both paths have a step.

    Between two steps of a path lies a chord, across the knee 6 % below the curve: to compare
    there would tell of steps and not of elements.
    """
    moves, factors = curve().rows.T
    pairs = np.isclose(moves[:, None], other.rows[:, 0], rtol=1e-9)
    mine, others = np.nonzero(pairs)
    return factors[mine] / other.rows[others, 1] - 1
