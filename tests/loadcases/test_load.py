"""Loads on the bar: where they stand, and which are refused."""

import math

import numpy as np
import pytest

from geometry.bend_table import Polyline
from geometry.centreline import build_centreline
from geometry.errors import InputError
from loadcases.clamp import Clamp
from loadcases.load import Load, from_end_to_s_mm, half_length_mm, load_problems, place_load

LINE = build_centreline(
    Polyline(((0.0, 0.0, 0.0), (360.0, 0.0, 0.0)), ()),
    Polyline(((0.0, 0.0, 0.0), (300.0, 0.0, 0.0)), ()),
)
CLAMP = Clamp(width_mm=46)
DOWN = (0.0, 0.0, -600.0)


def test_each_half_has_its_own_length():
    """Places from the end are counted from the end of their own half."""
    assert (half_length_mm(LINE, "right"), half_length_mm(LINE, "left")) == (360, 300)
    assert from_end_to_s_mm(LINE, "right", 50) == 310
    assert from_end_to_s_mm(LINE, "left", 50) == -250


@pytest.mark.parametrize(
    "load",
    [Load(DOWN, side="left", from_end_mm=50), Load(DOWN, at_mm=-250)],
    ids=["from the end", "signed"],
)
def test_both_ways_of_writing_a_place_agree(load):
    """The same place written in two ways is the same placed load."""
    placed = place_load(load, LINE, CLAMP, np.eye(3))
    assert (placed.side, placed.at_mm, placed.force_n) == ("left", -250, DOWN)
    assert (placed.from_mm, placed.to_mm) == (-265, -235)


def test_force_and_moment_are_rotated_alike():
    """Both vectors go through the rotation of the case."""
    turn = np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]])
    load = Load((1, 2, 3), (4, 5, 6), at_mm=200)
    placed = place_load(load, LINE, CLAMP, turn)
    assert placed.force_n == (1, -3, 2)
    assert placed.moment_nmm == (4, -6, 5)


@pytest.mark.parametrize("at_mm", [345.0, 38.0, -38.0, -285.0])
def test_a_band_may_touch_clamp_and_end(at_mm):
    """Touching is no crossing, on either side."""
    assert load_problems(Load(DOWN, at_mm=at_mm), LINE, CLAMP) == ()


@pytest.mark.parametrize(
    ("load", "field", "words"),
    [
        (Load(DOWN), "", "no place"),
        (Load(DOWN, side="left", from_end_mm=50, at_mm=-250), "", "two places"),
        (Load(DOWN, side="left", at_mm=-250), "", "two places"),
        (Load(DOWN, side="left"), "from_end_mm", "is missing"),
        (Load(DOWN, from_end_mm=50), "side", "is missing"),
        (Load(DOWN, side="lft", from_end_mm=50), "side", "nearest: left"),  # type: ignore[arg-type]
        (Load(DOWN, at_mm=math.nan), "at_mm", "not a finite number"),
        (Load(at_mm=200), "", "neither force nor moment"),
        (Load((0, math.inf, 0), at_mm=200), "force_n[1]", "not a finite number"),
        (Load(DOWN, (0, 0, math.nan), at_mm=200), "moment_nmm[2]", "not a finite number"),
        (Load(DOWN, at_mm=200, band_mm=0), "band_mm", "at least 2 mm"),
        (Load(DOWN, at_mm=200, band_mm=400), "band_mm", "only 337 mm between clamp and end"),
        (Load(DOWN, at_mm=350), "at_mm", "crosses the right end of the bar, which is at 360 mm"),
        (Load(DOWN, at_mm=-290), "at_mm", "crosses the left end of the bar, which is at 300 mm"),
        (Load(DOWN, at_mm=30), "at_mm", "crosses the clamp, which ends at 23 mm; give 38 to 345"),
        (Load(DOWN, side="right", from_end_mm=10), "from_end_mm", "give 15 to 322 mm"),
        (Load(DOWN, side="left", from_end_mm=270), "from_end_mm", "give 15 to 262 mm"),
        (Load(DOWN, side="right", from_end_mm=500), "from_end_mm", "crosses the clamp"),
        (Load(DOWN, side="right", from_end_mm=-20), "from_end_mm", "at least 0 mm"),
    ],
)
def test_loads_that_are_refused(load, field, words):
    """Each impossible load is one problem, named by its field and with a way out."""
    with pytest.raises(InputError, match=words) as caught:
        place_load(load, LINE, CLAMP, np.eye(3))
    (problem,) = caught.value.problems
    assert problem.field == field


def test_all_faults_of_a_load_are_told_at_once():
    """No force, no band and no place are three problems."""
    fields = [p.field for p in load_problems(Load(band_mm=-1), LINE, CLAMP)]
    assert fields == ["", "band_mm", ""]
