"""Readings that no tube can have are refused by their own key, before anything is computed."""

from pathlib import Path
from typing import Any

import pytest

from geometry.errors import Problem
from studies.study_file.errors import StudyError
from studies.study_file.specimen_verdict import TwoWalls
from studies.study_file.study import study_from_table

PLACE = {"side": "right", "at_mm": 150}


def problems(**specimen: Any) -> tuple[Problem, ...]:
    """Return what is wrong with a specimen of a straight tube of 22.2 x 1.6 mm."""
    table = {
        "name": "read",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": 22.2, "wall_mm": 1.6}],
            "right": {"points_mm": [[0, 0, 0], [300, 0, 0]]},
        },
        "specimen": {"id": "A", "mass_g": 170.0, **specimen},
    }
    try:
        study_from_table(table, Path("read.toml"), "")
    except StudyError as error:
        return error.problems
    return ()


@pytest.mark.parametrize(
    ("specimen", "field"),
    [
        ({"bores": [{**PLACE, "bore_mm": 24}]}, "specimen.bores[0].bore_mm"),
        ({"bores": [{**PLACE, "bore_mm": 22.1}]}, "specimen.bores[0].bore_mm"),
        ({"wall_readings": [{**PLACE, "wall_mm": 12}]}, "specimen.wall_readings[0].wall_mm"),
    ],
)
def test_a_reading_larger_than_the_tube(specimen: dict[str, Any], field: str) -> None:
    """The sentence names the reading, not a station that the file does not hold."""
    (problem,) = problems(**specimen)
    assert problem.field == field
    assert "the outside there is 22.2 mm" in str(problem)


def test_a_diameter_read_there_counts() -> None:
    """A bore of 24 mm fits into a tube that was read as 27 mm."""
    read = {"diameters": [{**PLACE, "od_mm": 27.0}], "bores": [{**PLACE, "bore_mm": 24}]}
    assert problems(**read) == ()


def test_walls_without_an_interval_can_be_set_beside_each_other() -> None:
    """Two readings taken as exact do not divide by nothing."""
    assert TwoWalls(1.6, 0.0, 1.6, 0.0).deviations == 0
    assert TwoWalls(1.6, 0.0, 1.7, 0.0).deviations > 100
