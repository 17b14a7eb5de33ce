"""The clamp and what is refused of it."""

import math

import pytest

from geometry.bend_table import Polyline
from geometry.centreline import build_centreline
from loadcases.clamp import Clamp, clamp_problems

LINE = build_centreline(Polyline(((0.0, 0.0, 0.0), (300.0, 0.0, 0.0)), ()))


def test_an_ordinary_clamp_stands():
    """46 mm on a bar of 600 mm has no problem, and is centred."""
    clamp = Clamp(46)
    assert clamp_problems(clamp, LINE) == ()
    assert (clamp.from_mm, clamp.to_mm, clamp.model) == (-23, 23, "elastic")
    assert clamp.tangential_n_per_mm3 == clamp.normal_n_per_mm3 / 2 == 3500


@pytest.mark.parametrize(
    ("clamp", "field", "words"),
    [
        (Clamp(0), "width_mm", "must be at least 5 mm"),
        (Clamp(600), "width_mm", "is 600 mm but must be below 600 mm"),
        (Clamp(math.nan), "width_mm", "not a finite number"),
        (Clamp(46, "rigd"), "model", "nearest: rigid"),  # type: ignore[arg-type]
        (Clamp(46, normal_n_per_mm3=0), "normal_n_per_mm3", "at least 1 N/mm3"),
        (Clamp(46, tangential_n_per_mm3=-1), "tangential_n_per_mm3", "at least 1 N/mm3"),
    ],
)
def test_clamps_that_are_refused(clamp, field, words):
    """Each impossible clamp is one problem with its limit."""
    (problem,) = clamp_problems(clamp, LINE)
    assert problem.field == field
    assert words in problem.sentence
