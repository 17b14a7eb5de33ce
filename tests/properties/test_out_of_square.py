"""What holds for every bar out of square: its end is where it was read, by the least turns."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from geometry.arrays import Floats
from geometry.bend_table import (
    Bend,
    BendTable,
    Polyline,
    polyline_from_table,
    table_from_polyline,
)
from geometry.centreline import build_centreline
from geometry.errors import InputError
from geometry.out_of_square import OutOfSquare, Turned, differences_mm, offset_mm, turned_half
from support.random_bars import GEOMETRY, between

READ_BACK_MM = 1e-8
"""By bend table, points and centre line; each rounds a few hundred mm at 1e-13, a hundred times."""

LEAST = 1e-6
"""Relative, of the sum of squares that SLSQP finds; it stops at 1e-12 of it."""


@st.composite
def halves(draw: st.DrawFn) -> Polyline:
    """Return halves with one to four bends of at least 8 deg and a grip of at least 80 mm."""
    count = draw(st.integers(1, 4))
    bends = tuple(
        Bend(
            draw(between(30, 90)),
            draw(between(-180, 180, 0)),
            draw(between(8, 80 / count, 1)),
            draw(between(40, 100)),
        )
        for _ in range(count)
    )
    return polyline_from_table(BendTable(bends, draw(between(80, 200))))


readings = st.builds(
    OutOfSquare,
    side=st.sampled_from(("left", "right")),
    height_mm=between(-5, 5),
    fore_aft_mm=between(-5, 5),
    length_mm=between(-5, 5),
)


def _differences(half: Polyline, other: Polyline, read: OutOfSquare) -> tuple[float, float, float]:
    right, left = (half, other) if read.side == "right" else (other, half)
    return differences_mm(build_centreline(right, left), read.side)


def _wanted(read: OutOfSquare) -> tuple[float, float, float]:
    return read.height_mm, read.fore_aft_mm, read.length_mm


def _turned_or_none(half: Polyline, read: OutOfSquare) -> tuple[Polyline, Turned] | None:
    try:
        return turned_half(half, half, read)
    except InputError:
        return None


@settings(GEOMETRY, max_examples=80)
@given(halves(), readings)
def test_the_end_is_where_it_was_read(half: Polyline, read: OutOfSquare) -> None:
    """On the true geometry, whatever the half and the reading."""
    found = _turned_or_none(half, read)
    assume(found is not None)
    assert found is not None
    assert _differences(found[0], half, read) == pytest.approx(_wanted(read), abs=READ_BACK_MM)


def test_most_halves_reach_their_reading() -> None:
    """A half with two bends or more that bends by 15 deg each is never refused."""
    rows = (Bend(60, 90, 20, 65), Bend(20, 170, 18, 65))
    half = polyline_from_table(BendTable(rows, 200))
    for height in np.linspace(-5, 5, 5):
        for fore_aft in np.linspace(-5, 5, 5):
            read = OutOfSquare(height_mm=float(height), fore_aft_mm=float(fore_aft))
            assert _turned_or_none(half, read) is not None


@settings(GEOMETRY, max_examples=25)
@given(halves(), readings)
def test_no_other_turns_are_less(half: Polyline, read: OutOfSquare) -> None:
    """A general minimiser from no turns at all, on the same constraint, finds none that are."""
    found = _turned_or_none(half, read)
    assume(found is not None)
    assert found is not None
    turns = np.radians(np.concatenate([found[1].plane_deg, found[1].angle_deg]))
    table = table_from_polyline(half)
    target = np.array(half.points_mm[-1]) + offset_mm(read)
    rival = _rival(table, target)
    assume(rival is not None)
    assert rival is not None
    assert turns @ turns <= (rival @ rival) * (1 + LEAST) + 1e-12


def _rival(table: BendTable, target: Floats) -> Floats | None:
    """Return the turns that SLSQP finds, of planes then angles, None where it finds none."""
    count = len(table.bends)

    def off(x: Floats) -> Floats:
        return (_end(table, x) - target) / 100

    answer = minimize(
        lambda x: float(x[:-1] @ x[:-1]),
        np.zeros(2 * count + 1),
        jac=lambda x: np.append(2 * x[:-1], 0.0),
        constraints={"type": "eq", "fun": off},
        method="SLSQP",
        options={"ftol": 1e-14, "maxiter": 500},
    )
    good = answer.success and np.abs(off(answer.x)).max() < 1e-8
    return np.asarray(answer.x[:-1]) if good else None


def _end(table: BendTable, x: Floats) -> Floats:
    """Return the end by the package's own bend tables; the last unknown is in 100 mm."""
    count = len(table.bends)
    rows = tuple(
        replace(
            row,
            rotation_deg=row.rotation_deg + float(np.degrees(plane)),
            angle_deg=max(row.angle_deg + float(np.degrees(angle)), 1e-6),
        )
        for row, plane, angle in zip(table.bends, x[:count], x[count:-1], strict=True)
    )
    longer = max(table.tail_mm + 100 * float(x[-1]), 1e-3)
    return np.array(polyline_from_table(BendTable(rows, longer)).points_mm[-1])


@settings(GEOMETRY, max_examples=40)
@given(halves(), readings, st.integers(0, 3))
def test_a_named_bend_turns_alone(half: Polyline, read: OutOfSquare, which: int) -> None:
    """The other bends keep their angles and their turns, and the end is where it was read."""
    count = len(half.bend_radii_mm)
    number = which % count + 1
    named = replace(read, bend=number)
    found = _turned_or_none(half, named)
    assume(found is not None)
    assert found is not None
    moved = np.abs([found[1].plane_deg, found[1].angle_deg]).max(axis=0)
    assert not np.delete(moved, number - 1).any()
    assert _differences(found[0], half, named) == pytest.approx(_wanted(read), abs=READ_BACK_MM)


@settings(GEOMETRY, max_examples=10)
@given(halves(), st.sampled_from(("left", "right")))
def test_nothing_read_changes_nothing(half: Polyline, side: str) -> None:
    """A symmetric bar with differences of zero is the bar itself, to the bit."""
    read = OutOfSquare(side="left" if side == "left" else "right")
    same, turned = turned_half(half, half, read)
    assert same is half
    assert set(turned.plane_deg) == set(turned.angle_deg) == {0.0}
