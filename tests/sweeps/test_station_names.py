"""Stations by name, and entries of lists that a study leaves out."""

import tomllib
from typing import Any

import pytest

from geometry.errors import InputError
from studies.study_file.changes import Change, changed, written_at
from studies.study_file.errors import StudyError
from studies.study_file.key_places import places
from studies.study_file.shipped import example_text
from studies.study_file.study import Study, study_from_table
from support.pages import RISER

LEVELS = (0.70, 0.85, 1.00)
"""Of the surface factor where none is given; `run` prints their ends."""


def named(*names: str | None) -> dict[str, Any]:
    """Return the riser example with names of its first stations."""
    table: dict[str, Any] = tomllib.loads(example_text("harbour-riser"))
    for station, name in zip(table["bar"]["stations"], names, strict=False):
        if name is not None:
            station["name"] = name
    return table


def read(table: dict[str, Any]) -> Study:
    """Return the study of a table."""
    return study_from_table(table, RISER, "")


def walls(table: dict[str, Any]) -> list[float]:
    """Return the walls of a table's stations."""
    return [station["wall_mm"] for station in table["bar"]["stations"]]


def test_a_station_is_named_in_a_path() -> None:
    """Alone, beside another, beside a number; the bar is the same with names and without."""
    table = named("clamp", "first-taper", "bend")
    for path, changed_walls in (
        ("bar.stations.bend.wall_mm", {2}),
        ("bar.stations[bend].wall_mm", {2}),
        ("bar.stations[clamp,first-taper].wall_mm", {0, 1}),
        ("bar.stations[clamp, 3].wall_mm", {0, 3}),
    ):
        made = walls(changed(table, [Change(path, "value", 1.9)]))
        assert {n for n, wall in enumerate(made) if wall == 1.9} == changed_walls
    assert read(table).bar.spec == read(named()).bar.spec
    with pytest.raises(InputError, match="or named clamp, first-taper or bend"):
        places(table, "bar.stations.tip.wall_mm")


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (("tip", "bend", "tip"), r"bar\.stations\[2\]\.name: is 'tip', as that of stations\[0\]"),
        (("12",), r"bar\.stations\[0\]\.name: is .12., which a path cannot name; begin with"),
        (("*",), r"bar\.stations\[0\]\.name: .*which a path cannot name"),
        (("a,b",), r"bar\.stations\[0\]\.name: .*which a path cannot name"),
    ],
)
def test_a_name_that_means_something_else_is_refused(names: tuple[str, ...], said: str) -> None:
    """Two stations of one name, a number, the sign for every station, a list."""
    with pytest.raises(StudyError, match=said):
        read(named(*names))


def test_an_entry_of_a_list_left_out_is_that_of_its_default() -> None:
    """The middle surface factor changes alone; the others stay what they are by default."""
    path = "fatigue.surface_factor[1]"
    assert written_at(named(), places(named(), path)[0]) == LEVELS[1]
    made = changed(named(), [Change(path, "factor", 0.9)])
    assert made["fatigue"]["surface_factor"] == pytest.approx([0.70, 0.765, 1.00])
    assert read(made).fatigue.surface_factor == pytest.approx((0.70, 0.765, 1.00))
    assert read(named()).fatigue.surface_factor == LEVELS


def test_a_list_without_a_default_is_to_be_written() -> None:
    """The clamp factor is the metal's, so the sentence says what to write."""
    said = r"study leaves out; write it there, fatigue\.clamp_factor = \[1\.25, 1\.5, 1\.8\]"
    with pytest.raises(InputError, match=said):
        places(named(), "fatigue.clamp_factor[1]")
