"""Coordinates on a table of which left and right were taken for each other are refused."""

import pytest

from geometry.errors import InputError
from geometry.table_datum import TableCoordinates, read_on_table

EDGES = ((-20.0, 0.0, 50.0), (20.0, 0.0, 50.0))
ENDS = ((-360.5, -61.0, 112.0), (360.0, -60.0, 110.0))
DRAWN = (360.0, -60.0, 60.0)


def test_as_they_are() -> None:
    """The left end lies further out, rearward and higher."""
    read = read_on_table(TableCoordinates(*EDGES, *ENDS), "left", DRAWN)
    found = read.length_mm, read.fore_aft_mm, read.height_mm
    assert found == pytest.approx((0.5, -1.0, 2.0))


@pytest.mark.parametrize(
    "points",
    [(*EDGES, *ENDS[::-1]), (*EDGES[::-1], *ENDS), (*EDGES, ENDS[0], (-360.0, -60.0, 110.0))],
    ids=["ends", "edges", "one sign"],
)
def test_taken_for_each_other(points: tuple[tuple[float, float, float], ...]) -> None:
    """Whichever it was: the difference of length would have the other sign."""
    with pytest.raises(InputError, match="on the other end's side"):
        read_on_table(TableCoordinates(*points), "left", DRAWN)
