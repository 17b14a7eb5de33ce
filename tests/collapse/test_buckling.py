"""What is said of a bar that can leave its path, by hand-made paths."""

from dataclasses import replace

import pytest

from fea.collapse.reading import PathPoint
from loadcases.path_control import PathControl
from support.paths import BACK, UNIT_N, UP, path_of, reading, record, record_of, short_run, usual


def test_a_bar_that_can_leave_its_path_buckles() -> None:
    """A direction unstable short of the limit: neither limit nor place count any more."""
    steps = usual()
    # the eighth step began with it: the seventh ended so, and the sixth did not
    steps[7] = replace(steps[7], negative=2)
    found = record(steps)
    assert (found.bifurcation_from_factor, found.bifurcation_from_deflection_mm) == (1.2, 0.35)
    assert (found.bifurcation_to_factor, found.bifurcation_to_deflection_mm) == (1.5, 0.7)
    assert (found.bifurcation_from_n, found.bifurcation_to_n) == (480.0, 600.0)
    assert (found.limit_load_n, found.strain_limit_load_n, found.place, found.assessment) == (
        None,
    ) * 4
    assert (found.kind, found.reported_step, found.max_load_factor) == ("buckling", 6, 1.6)
    (said,) = [line for line in found.text if line.startswith("Collapse")]
    assert "bifurcation between 480 N, at 0.3 mm, and 600 N" in said
    linear = UNIT_N * short_run().cases[0].stability.elastic.factors[0]
    assert f"Elastic buckling by the linear run: {linear:.0f} N." in found.text
    said = " ".join(found.text)
    assert "640 N, is not to be relied on" in said


def test_where_it_was_looked_for_within_the_step_is_told() -> None:
    """The step that begins with it knows the place better than its neighbours."""
    steps = usual()
    lost = PathPoint(1.3, 0.42), PathPoint(1.31, 0.43)
    steps[7] = replace(steps[7], negative=2, bifurcation=lost)
    found = record(steps)
    assert (found.bifurcation_from_factor, found.bifurcation_from_deflection_mm) == lost[0]
    assert (found.bifurcation_to_factor, found.bifurcation_to_deflection_mm) == lost[1]


@pytest.mark.parametrize("number", [0, 8, 9])
def test_directions_lost_at_the_limit_are_no_buckling(number: int) -> None:
    """Beyond its limit every bar has one; and none is told of before the first step."""
    steps = usual()
    steps[number] = replace(steps[number], negative=1)
    found = record(steps)
    assert found.bifurcation_from_n is None
    assert found.limit_load_n is not None


def test_a_bar_unstable_at_once_buckles_between_no_load_and_the_first() -> None:
    """Nothing lies before."""
    steps = usual()
    steps[1] = replace(steps[1], negative=1)
    found = record(steps)
    assert (found.bifurcation_from_n, found.bifurcation_to_n, found.reported_step) == (
        0.0,
        160.0,
        1,
    )
    assert (found.yield_load_n, found.offset_n, found.unloadings[0].reached) == (None, None, False)
    assert any("is not reached before bifurcation" in line for line in found.text)
    assert any("400 N: not reached" in line for line in found.text)
    # the only step that there is lies beyond: nothing is read off it
    assert not any("Plastic strain there" in one or "Absorbed" in one for one in found.text)


def test_a_flat_top_is_no_buckling() -> None:
    """A load that falls by too little for a limit has a direction of its own, as a limit has."""
    steps = [*usual()[:8], replace(reading(1.5995, 1.1, 0.05), negative=1)]
    steps.append(replace(reading(1.599, 1.2, 0.06), negative=1))
    found = record(steps)
    assert (found.bifurcation_from_n, found.limit_load_n, found.kind) == (None, None, "wrinkle")
    # and from a valley on the load rises again with the same direction unstable
    steps.append(replace(reading(1.7, 1.3, 0.07), negative=1))
    assert record(steps).bifurcation_from_n is None


def test_the_end_of_the_last_step_counts() -> None:
    """Of it no further step tells; beyond a limit or the elongation it does not count."""
    lost = PathPoint(1.55, 0.9), PathPoint(1.56, 0.92)
    risen = record_of(replace(path_of(usual()[:8]), bifurcation=lost))
    assert (risen.bifurcation_from_factor, risen.bifurcation_to_factor) == (1.55, 1.56)
    assert (risen.kind, risen.reported_step) == ("buckling", 7)
    fallen = record_of(replace(path_of(usual()), bifurcation=lost))
    assert (fallen.bifurcation_from_n, fallen.kind) == (None, "wrinkle")


def test_what_is_lost_past_the_elongation_is_not_told() -> None:
    """The metal has torn before, though a level leads back to less deflection after it."""
    steps = [
        reading(1.0, 0.3, 0.05, part=UP), reading(1.5, 0.7, 0.15, part=UP),
        replace(reading(1.6, 0.9, 0.2, part=UP), negative=1), reading(0.0, 0.5, 0.2, part=BACK),
    ]  # fmt: skip
    found = record(steps, PathControl(2.0, (1.6,)))
    assert found.strain_limit_load_n is not None
    assert (found.reported_step, found.bifurcation_from_n) == (1, None)


def test_a_knock_down_that_buckles_says_so() -> None:
    """Among limits of other amplitudes."""
    perfect = replace(
        path_of(usual()), path_control=PathControl(2.0, imperfection_percent=0.0, rippled=True)
    )
    steps = usual()
    steps[7] = replace(steps[7], negative=1)
    bent = replace(
        path_of(steps), path_control=PathControl(2.0, imperfection_percent=5.0, rippled=True)
    )
    found = record_of(replace(path_of(usual()), knock_down_paths=(perfect, bent)))
    one, other = found.knock_down
    assert (one.limit_load_n, other.limit_load_n) == (found.limit_load_n, None)
    assert (one.bifurcation_from_n, other.bifurcation_from_n) == (None, 480.0)
    assert (one.kind, other.kind, other.of_perfect) == ("wrinkle", "buckling", None)
    assert any("5 %: bifurcation after 480 N" in line for line in found.text)
