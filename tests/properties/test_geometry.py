"""What holds for the map of any bar: its frame, its bend table, its halves, its volume."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.arrays import Floats
from geometry.bar import (
    Bar,
    BarSpec,
    axes,
    build_bar,
    local_wall_mm,
    outer_radius_mm,
    position_mm,
    smooth_breaks_mm,
)
from geometry.bend_effects import BendEffects
from geometry.bend_table import (
    BendTable,
    Polyline,
    cut_length_mm,
    polyline_from_table,
    table_from_polyline,
)
from geometry.centreline import CentreLine, arcs, build_centreline, locate
from geometry.properties import volume_pappus_mm3
from geometry.section import Station
from geometry.vectors import MIRROR_X
from support.random_bars import GEOMETRY, KINDS, SOME, bars, bend_tables
from support.systems import metal

STEP_MM = 1e-4
"""Of central differences: truncation and round-off are both near 1e-9 of unit vectors."""

SLOPE_LIMIT = 1e-7
"""On what rests on central differences, a hundred times their error."""

EXACT = 1e-12
"""On closed forms of order one."""

VOLUME_LIMIT = 1e-8
"""The central differences leave 5e-10; both quadratures are converged far below."""

EXACT_MM = 1e-9
"""On closed forms of a few hundred mm."""


def _places(line: CentreLine) -> Floats:
    """Return seven places within each segment, clear of its limits by more than a step."""
    share = np.linspace(0.01, 0.99, 7)
    return (line.breaks_mm[:-1, None] + np.diff(line.breaks_mm)[:, None] * share).ravel()


def _rows(line: CentreLine, s_mm: Floats) -> Floats:
    frame = locate(line, s_mm)
    return np.stack([frame.tangent, frame.front, frame.top], axis=-2)


def _slope(line: CentreLine, s_mm: Floats) -> Floats:
    """Return the derivative of tangent, front and top along s, (..., 3, 3)."""
    change = _rows(line, s_mm + STEP_MM) - _rows(line, s_mm - STEP_MM)
    return change / (2 * STEP_MM)


@pytest.mark.parametrize("kind", KINDS)
@GEOMETRY
@given(data=st.data())
def test_the_frame_is_right_handed_and_orthonormal(kind: str, data: st.DataObject) -> None:
    """Tangent, front and top are a right-handed set of unit vectors everywhere."""
    line = data.draw(bars(kind)).line
    rows = _rows(line, _places(line))
    np.testing.assert_allclose(
        rows @ rows.swapaxes(-1, -2), np.eye(3) + 0 * rows, rtol=0, atol=EXACT
    )
    np.testing.assert_allclose(np.linalg.det(rows), 1.0, rtol=0, atol=EXACT)


@pytest.mark.parametrize("kind", KINDS)
@GEOMETRY
@given(data=st.data())
def test_the_frame_does_not_twist(kind: str, data: st.DataObject) -> None:
    """Front does not turn about the tangent, and the tangent is the derivative of the place."""
    line = data.draw(bars(kind)).line
    s = _places(line)
    rows = _rows(line, s)
    twist = np.einsum("si,si->s", _slope(line, s)[:, 1], rows[:, 2])
    ahead = locate(line, s + STEP_MM).position_mm - locate(line, s - STEP_MM).position_mm
    np.testing.assert_allclose(twist, 0.0, rtol=0, atol=SLOPE_LIMIT)
    np.testing.assert_allclose(ahead / (2 * STEP_MM), rows[:, 0], rtol=0, atol=SLOPE_LIMIT)


@pytest.mark.parametrize("kind", KINDS)
@GEOMETRY
@given(data=st.data())
def test_the_line_is_smooth_where_segments_meet(kind: str, data: st.DataObject) -> None:
    """Place and frame do not jump from straight to bend, nor at the clamp centre."""
    line = data.draw(bars(kind)).line
    inner, near = line.breaks_mm[1:-1], 1e-10
    places = [locate(line, inner + side * near).position_mm for side in (-1, 1)]
    np.testing.assert_allclose(*places, rtol=0, atol=EXACT_MM)
    # over the gap of 2e-10 mm a bend of 40 mm turns the frame by less than 1e-11
    np.testing.assert_allclose(
        _rows(line, inner - near), _rows(line, inner + near), rtol=0, atol=10 * EXACT
    )


@pytest.mark.parametrize("kind", KINDS)
@GEOMETRY
@given(data=st.data())
def test_the_axes_follow_the_map(kind: str, data: st.DataObject) -> None:
    """Hoop and outward are the map's own directions round and through a round tube."""
    bar = data.draw(bars(kind))
    bar = build_bar(replace(bar.spec, effects=replace(bar.spec.effects, ovality_percent=0.0)))
    s, theta = np.meshgrid(_places(bar.line), np.linspace(0, 6, 5))
    hoop, outward = axes(bar, s, theta)[..., 1, :], axes(bar, s, theta)[..., 2, :]
    ends = [position_mm(bar, s, theta + side * 1e-4, 1.0) for side in (-1, 1)]
    round_it = ends[1] - ends[0]
    through = position_mm(bar, s, theta, 1.0) - position_mm(bar, s, theta, 0.0)
    for found, known in ((round_it, hoop), (through, outward)):
        along = found / np.linalg.norm(found, axis=-1, keepdims=True)
        np.testing.assert_allclose(along, known, rtol=0, atol=SLOPE_LIMIT)


@pytest.mark.parametrize("planes", [False, True], ids=["one-plane", "several-planes"])
@GEOMETRY
@given(data=st.data())
def test_a_bend_table_survives_the_round_trip(planes: bool, data: st.DataObject) -> None:
    """Table to points and back gives the table; points to table and back the points."""
    table = data.draw(bend_tables(planes=planes))
    points = polyline_from_table(table)
    again = table_from_polyline(points)
    np.testing.assert_allclose(_numbers(again), _numbers(table), rtol=0, atol=EXACT_MM)
    assert again.tail_mm == pytest.approx(table.tail_mm, abs=EXACT_MM)
    np.testing.assert_allclose(
        polyline_from_table(again).points_mm, points.points_mm, rtol=0, atol=EXACT_MM
    )


@pytest.mark.parametrize("planes", [False, True], ids=["one-plane", "several-planes"])
@GEOMETRY
@given(data=st.data())
def test_the_line_is_as_long_as_the_cut_tube(planes: bool, data: st.DataObject) -> None:
    """The developed length of the table is where the half ends, and every bend is there."""
    table = data.draw(bend_tables(planes=planes))
    line = build_centreline(polyline_from_table(table))
    assert line.right_end_mm == pytest.approx(cut_length_mm(table), abs=EXACT_MM)
    assert line.left_end_mm == pytest.approx(-cut_length_mm(table), abs=EXACT_MM)
    bends = [arc for arc in arcs(line) if arc.s_from_mm > 0]
    turns = [np.degrees((arc.s_to_mm - arc.s_from_mm) / arc.radius_mm) for arc in bends]
    np.testing.assert_allclose(
        turns, [bend.angle_deg for bend in table.bends], rtol=0, atol=EXACT_MM
    )


@pytest.mark.parametrize("kind", KINDS)
@GEOMETRY
@given(data=st.data())
def test_mirrored_halves_are_mirror_images(kind: str, data: st.DataObject) -> None:
    """Halves exchanged, the map at -s and -theta is the mirror image in x of that at s, theta."""
    bar = data.draw(bars(kind))
    image = _exchanged(bar)
    s, theta = np.meshgrid(_places(bar.line), np.linspace(0, 6, 5))
    for zeta in (0.0, 1.0):
        here, there = position_mm(bar, s, theta, zeta), position_mm(image, -s, theta, zeta)
        np.testing.assert_allclose(here * MIRROR_X, there, rtol=0, atol=EXACT_MM)


@pytest.mark.parametrize("kind", KINDS)
@SOME
@given(data=st.data())
def test_pappus_agrees_with_the_map(kind: str, data: st.DataObject) -> None:
    """The volume by Pappus' theorem is that of the map's Jacobian by quadrature."""
    bar = data.draw(bars(kind))
    assert volume_pappus_mm3(bar) == pytest.approx(_volume_of_the_map_mm3(bar), rel=VOLUME_LIMIT)


def test_pappus_needs_the_centroid() -> None:
    """The limit above sees the centroid: with the wall change, length alone gives more metal."""
    bent = Polyline(((0, 0, 0), (80, 0, 0), (120, 60, 0)), (40,))
    stations = (Station(0, 31.8, 2.0),)
    bar = build_bar(BarSpec("plain", bent, stations, metal(70e3, 0.33)))
    length = Polyline(((0, 0, 0), (bar.line.right_end_mm, 0, 0)), ())
    straight = build_bar(replace(bar.spec, right=length))
    assert volume_pappus_mm3(straight) != pytest.approx(_volume_of_the_map_mm3(bar), rel=1e-3)


@pytest.mark.parametrize("kind", KINDS)
@GEOMETRY
@given(data=st.data())
def test_wall_and_radius_stay_in_bounds(kind: str, data: st.DataObject) -> None:
    """Both are positive and what stations, tightest bend and ovality allow; the bore stays open."""
    bar = data.draw(bars(kind))
    radius, wall = _radius_and_wall(bar)
    assert _within(radius, _radius_bounds_mm(bar))
    assert _within(wall, _wall_bounds_mm(bar))
    assert wall.min() > 0
    assert (wall < radius).all()


def test_the_bounds_see_ovality_and_thinning() -> None:
    """A bend that flattens by 1 % or thins its wall is out of the bounds of one that does not."""
    bent = Polyline(((0, 0, 0), (80, 0, 0), (120, 60, 0)), (40,))
    spec = BarSpec("plain", bent, (Station(0, 31.8, 2.0),), metal(70e3, 0.33))
    plain = build_bar(replace(spec, effects=BendEffects(wall_change=False)))
    radius, wall = _radius_and_wall(build_bar(replace(spec, effects=BendEffects(True, 1.0))))
    assert not _within(radius, _radius_bounds_mm(plain))
    assert not _within(wall, _wall_bounds_mm(plain))


def _radius_and_wall(bar: Bar) -> tuple[Floats, Floats]:
    s, theta = np.meshgrid(_places(bar.line), np.linspace(0, 2 * np.pi, 36, endpoint=False))
    return outer_radius_mm(bar, s, theta), local_wall_mm(bar, s, theta)


def _within(values: Floats, bounds: tuple[float, float]) -> bool:
    low, high = bounds
    return bool(values.min() >= low * (1 - EXACT) and values.max() <= high * (1 + EXACT))


def _stations(bar: Bar) -> tuple[Station, ...]:
    return bar.spec.stations + (bar.spec.left_stations or ())


def _radius_bounds_mm(bar: Bar) -> tuple[float, float]:
    """Return the least and largest outer radius: OD/2 (1 -+ o/200)."""
    radii = [station.od_mm / 2 for station in _stations(bar)]
    flattened = bar.spec.effects.ovality_percent / 200
    return min(radii) * (1 - flattened), max(radii) * (1 + flattened)


def _wall_bounds_mm(bar: Bar) -> tuple[float, float]:
    """Return the thinnest and thickest wall: t R/(R +- r), r no larger than half the largest OD."""
    walls = [station.wall_mm for station in _stations(bar)]
    reach = max(station.od_mm for station in _stations(bar)) / 2 * bar.spec.effects.wall_change
    tightest = min(arc.radius_mm for arc in arcs(bar.line))
    return min(walls) * tightest / (tightest + reach), max(walls) * tightest / (tightest - reach)


def _numbers(table: BendTable) -> Floats:
    return np.array(
        [(b.straight_mm, b.rotation_deg, b.angle_deg, b.radius_mm) for b in table.bends]
    )


def _exchanged(bar: Bar) -> Bar:
    spec = bar.spec
    return build_bar(
        replace(
            spec,
            right=spec.left or spec.right,
            left=spec.right,
            stations=spec.left_stations or spec.stations,
            left_stations=spec.stations,
        )
    )


def _volume_of_the_map_mm3(bar: Bar) -> float:
    """Return the integral of the map's Jacobian, by central differences, Gauss and trapezium."""
    x, w = np.polynomial.legendre.leggauss(8)
    breaks = smooth_breaks_mm(bar)
    half = np.diff(breaks)[:, None] / 2
    s, s_weight = (breaks[:-1, None] + half + half * x).ravel(), (half * w).ravel()
    theta = np.linspace(0, 2 * np.pi, 32, endpoint=False)
    depth, depth_weight = np.polynomial.legendre.leggauss(2)
    block = np.stack(np.meshgrid(s, theta, (depth + 1) / 2, indexing="ij"), axis=-1)
    rows = []
    for direction in np.eye(3) * 1e-5:
        ends = [position_mm(bar, *np.moveaxis(block + side * direction, -1, 0)) for side in (-1, 1)]
        rows.append((ends[1] - ends[0]) / 2e-5)
    volume = np.linalg.det(np.stack(rows, axis=-2))
    weights = s_weight[:, None, None] * (2 * np.pi / len(theta)) * (depth_weight / 2)
    return float((volume * weights).sum())
