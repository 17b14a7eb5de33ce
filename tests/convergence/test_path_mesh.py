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

from fea.collapse.curve import curve_of
from fea.collapse.initial_state import prepared
from fea.collapse.path import end_slope, plan_path, start_position, traced
from fea.collapse.path_model import LAYERS, path_model_of
from fea.collapse.reading import Reading, reader_of, reading_of
from fea.collapse.step_length import BENT, FIRST, KNEE, STEPS, pace_of
from fea.solid.linear_solver import pivoting
from geometry.arrays import Floats
from geometry.grading import LevelName
from support.one_bend import CLAMP, half_bar, push_on

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]

TO_MM, PLACES_MM = 4.0, np.linspace(0.2, 4.0, 39)
"""How far, and where curves are compared."""

MOST_FACTORISATIONS = 20
"""Of all steps together: one each, and a few to spare. Measured 17 in 17 steps; Newton's method
took 62, one an iteration."""


@dataclass(frozen=True, eq=False)
class Path:
    """Deflection in mm and factor of the load at every step, the curve between, factorisations."""

    rows: Floats
    factors: Floats
    factorisations: int


@cache
def curve(level: LevelName = "coarse", finer: float = 1.0, layers: int = LAYERS) -> Path:
    """Return the path of the bar pushed down near its right end, its steps so much shorter."""
    bar, steps = half_bar(), "fea.collapse.step_length"
    with patch("fea.collapse.path_model.LAYERS", layers):
        way, start = prepared(path_model_of(bar, CLAMP, (push_on(bar),), level))
    with patch.multiple(
        steps, FIRST=FIRST / finer, KNEE=KNEE / finer, BENT=BENT / finer**2, STEPS=STEPS * finer
    ):
        plan, readings, made = plan_path((), TO_MM, pace_of(way)), list[Reading](), 0
        for position in traced(way.equations, plan, start_position(plan, start), pivoting()):
            readings.append(reading_of(way, reader_of(way), position.point, plan.segments[0]))
            made += position.point.factorisations
    found = curve_of(readings, end_slope(way.equations, position.point, pivoting()))
    return Path(
        np.array([(one.deflection, one.factor) for one in readings]),
        np.interp(PLACES_MM, found.deflections, found.factors),
        made,
    )


def differences(refined: Path) -> Floats:
    """Return (k,) how far the coarse factors lie from refined ones, as shares of these."""
    found: Floats = curve().factors / refined.factors - 1
    return found


def test_the_bar_yields_and_bends_on(record_property: Record) -> None:
    """Half the first slope at the end, or the comparisons would be of elastic bars."""
    moves, factors = curve().rows.T
    slope = (factors[-1] - factors[-2]) / (moves[-1] - moves[-2])
    record_property("slope at the end over the first", f"{slope * moves[0] / factors[0]:.2f}")
    assert slope < 0.5 * factors[0] / moves[0]


def test_factorisations_stay_few(record_property: Record) -> None:
    """What a path costs is counted: a tangent is kept while it serves."""
    made = curve().factorisations
    record_property("factorisations", f"{made}, at most {MOST_FACTORISATIONS}")
    assert made <= MOST_FACTORISATIONS


def test_two_layers_are_enough(record_property: Record) -> None:
    """Three through the wall give the same curve within 2 % at any deflection."""
    off = differences(curve(layers=3))
    record_property("two layers against three, largest", f"{100 * np.abs(off).max():.2f} %")
    assert np.abs(off).max() < 0.02


def test_finer_elements_tell_the_same(record_property: Record) -> None:
    """24 instead of 16 elements round, shorter ones along; measured 0.04 to 0.13 %."""
    off = differences(curve("standard"))
    record_property("16 round against 24, largest", f"{100 * np.abs(off).max():.2f} %")
    assert np.abs(off).max() < 0.004


def test_shorter_steps_have_the_same_curve(record_property: Record) -> None:
    """Half as long everywhere: what a step's length adds up to."""
    off = differences(curve(finer=2.0))
    record_property("steps against half as long, largest", f"{100 * np.abs(off).max():.2f} %")
    assert np.abs(off).max() < 0.005


def test_chords_lie_near_the_curve(record_property: Record) -> None:
    """So that a table of steps may be read straight, across the knee too."""
    off = np.interp(PLACES_MM, *np.vstack([[0.0, 0.0], curve().rows]).T) / curve().factors - 1
    record_property("chords against the curve, largest", f"{100 * np.abs(off).max():.2f} %")
    assert np.abs(off).max() < 0.005
