"""Levers' clamps and where they may stand."""

import pytest

from geometry.bend_table import Polyline
from geometry.centreline import build_centreline
from geometry.errors import InputError
from loadcases.bolts import Bolts
from loadcases.clamp import Clamp
from loadcases.levers import Lever, LeverClamp, place_levers

LINE = build_centreline(Polyline(((0.0, 0.0, 0.0), (300.0, 0.0, 0.0)), ()))
STEM = Clamp(40.0)
BOLT = Bolts(1, 4.0, 5.0)


def test_both_ways_of_a_place() -> None:
    """110 mm from the left end of 300 is s = -190, and so is at_mm = -190."""
    by_end = Lever(12.0, BOLT, "left", 110.0)
    (placed,) = place_levers([by_end], LINE, STEM)
    assert placed == LeverClamp(-190.0, 12.0, BOLT)
    assert place_levers([Lever(12.0, BOLT, at_mm=-190.0)], LINE, STEM) == (placed,)
    assert (placed.from_mm, placed.to_mm) == (-196.0, -184.0)


def test_neighbours_may_touch() -> None:
    """Two levers side by side are no overlap."""
    levers = [Lever(12.0, BOLT, at_mm=200.0), Lever(20.0, BOLT, at_mm=216.0)]
    assert len(place_levers(levers, LINE, STEM)) == 2


@pytest.mark.parametrize(
    ("lever", "field", "words"),
    [
        (
            Lever(12.0, BOLT, "right", 3.0),
            "from_end_mm",
            "its clamp of 12 mm crosses the right end",
        ),
        (Lever(12.0, BOLT, at_mm=22.0), "at_mm", "crosses the stem's clamp, which ends at 20 mm"),
        (Lever(12.0, BOLT), "", "no place"),
        (Lever(12.0, BOLT, "right"), "from_end_mm", "missing"),
        (Lever(0.0, BOLT, at_mm=200.0), "width_mm", "length of the lever's clamp"),
        (Lever(290.0, BOLT, at_mm=200.0), "width_mm", "give a shorter one"),
        (Lever(12.0, Bolts(1, -4.0, 5.0), at_mm=200.0), "bolts.torque_nm", "above 0"),
        (Lever(12.0, BOLT, at_mm=105.0), "at_mm", "5 mm from that of lever 1"),
    ],
)
def test_levers_that_are_refused(lever: Lever, field: str, words: str) -> None:
    """Each fault of a second lever is one problem at its index, in a lever's words."""
    with pytest.raises(InputError) as caught:
        place_levers([Lever(12.0, BOLT, at_mm=100.0), lever], LINE, STEM)
    (problem,) = caught.value.problems
    assert problem.field == f"[1].{field}".rstrip(".")
    assert words in problem.sentence
    assert "band" not in problem.sentence
