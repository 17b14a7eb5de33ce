"""The mirrored bar gives the mirrored answer, the turned bar the turned one."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from fea.solid.element import hex20_gauss
from fea.solid.kernels import gradients, stiffness_blocks
from fea.solid.model import build_model, mesh_for
from fea.solid.statics import factorise_model, solve_cases
from geometry.arrays import Floats
from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_effects import BendEffects
from geometry.bend_table import Polyline
from geometry.mesh import TubeMesh
from geometry.section import Station
from geometry.vectors import MIRROR_X
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad, Side
from support.random_bars import KINDS, PAIRS, SOLVES, Setup, setups
from support.systems import metal
from support.tubes import straight_bar

MIRROR_LIMIT = 1e-5
"""The mirrored mesh is not the mirror image of the mesh: gmsh divides a stretch from left to
right, and the wanted lengths stand in a table that begins at the left end. A shift of lines by
a hundredth of an element moves a coarse mesh's deflection error of 1e-3 by a part of itself."""

TURN_LIMIT = 1e-6
"""Sixteen elements round the tube stay where they are while the bar turns. To discrete Fourier
terms below the sixteenth a ring of equal elements looks the same from everywhere, and a bend
excites the sixteenth by no more than (r/R)^16 of a deflection; the solver leaves 1e-9."""

OBJECTIVE_LIMIT = 1e-12
"""On round-off of element matrices as a share of their largest entry."""

EVERY = 7
"""Which elements are compared: sixteen round the tube, so all sides take their turn."""

ROTVEC = (0.4, -1.1, 0.7)
"""A turn of 78 deg about an axis that is none of ours."""

Row = tuple[float, float, float]


def displacements(setup: Setup) -> Floats:
    """Return (3, 3): the displacement of each load point when all loads act together."""
    mesh = mesh_for(setup.bar, setup.clamp, setup.loads, "coarse")
    model = build_model(setup.bar, setup.clamp, mesh)
    answer = solve_cases(model, [setup.loads], factorise_model(model, "splu")).answers[0]
    return np.array([point.displacement_mm for point in answer.load_points])


def mirrored(setup: Setup) -> Setup:
    """Return the mirror image in x: a moment is a pseudo-vector."""
    spec = setup.bar.spec
    halves = replace(
        spec,
        right=spec.left or spec.right,
        left=spec.right,
        stations=spec.left_stations or spec.stations,
        left_stations=spec.stations,
    )
    return replace(setup, bar=build_bar(halves), loads=_each(_mirrored_load, setup))


def turned(setup: Setup, angle_rad: float) -> Setup:
    """Return bend planes and loads turned about x; the frame at the clamp stays."""
    turn, spec = about_x(angle_rad), setup.bar.spec
    # mirroring in x commutes with turning about x, so a left half turns alike
    left = spec.left and _turned_half(spec.left, turn)
    bar = build_bar(replace(spec, right=_turned_half(spec.right, turn), left=left))
    return replace(setup, bar=bar, loads=_each(lambda load: _turned_load(load, turn), setup))


def about_x(angle_rad: float) -> Floats:
    """Return the matrix of a right-handed turn about x."""
    cos, sin = np.cos(angle_rad), np.sin(angle_rad)
    return np.array([[1, 0, 0], [0, cos, -sin], [0, sin, cos]])


def apart(one: Floats, other: Floats) -> float:
    """Return the largest difference as a share of the largest displacement."""
    return float(np.abs(one - other).max() / np.abs(one).max())


def unturned(bar: Bar, mesh: TubeMesh, turn: Floats) -> float:
    """Return how far the element matrices of turned nodes are from the turned matrices."""
    cells, material = mesh.cells[::EVERY], bar.spec.material
    both = [
        stiffness_blocks(gradients(points, cells, hex20_gauss(2)), material)
        for points in (mesh.points_mm, mesh.points_mm @ turn.T)
    ]
    here, there = (blocks.reshape(-1, 20, 3, 20, 3) for blocks in both)
    brought = np.einsum("ia,mkalb,jb->mkilj", turn, here, turn, optimize=True)
    return float(np.abs(brought - there).max() / np.abs(there).max())


def check_mirror(setup: Setup) -> None:
    """Mirroring bar and loads in x mirrors the displacements."""
    image = displacements(mirrored(setup))
    assert apart(displacements(setup) * MIRROR_X, image) < MIRROR_LIMIT


def check_turn(setup: Setup, angle_deg: int) -> None:
    """Turning bend planes and loads about x turns the displacements."""
    angle = np.radians(angle_deg)
    image = displacements(turned(setup, angle))
    assert apart(displacements(setup) @ about_x(angle).T, image) < TURN_LIMIT


@pytest.mark.parametrize("kind", KINDS)
@PAIRS
@given(data=st.data())
def test_the_mirrored_bar_gives_the_mirrored_answer(kind: str, data: st.DataObject) -> None:
    """A few bars of each kind."""
    check_mirror(data.draw(setups(kind)))


@pytest.mark.parametrize("kind", KINDS)
@PAIRS
@given(data=st.data())
def test_the_turned_bar_gives_the_turned_answer(kind: str, data: st.DataObject) -> None:
    """A few bars of each kind."""
    check_turn(data.draw(setups(kind)), data.draw(st.integers(5, 355)))


@pytest.mark.slow
@pytest.mark.full
@pytest.mark.parametrize("kind", KINDS)
@SOLVES
@given(data=st.data())
def test_many_mirrored_and_turned_bars(kind: str, data: st.DataObject) -> None:
    """Nine bars of each kind, 27 in all; the two tests above solve a few of each every time."""
    setup = data.draw(setups(kind))
    check_mirror(setup)
    check_turn(setup, data.draw(st.integers(5, 355)))


@pytest.mark.parametrize("kind", KINDS)
@SOLVES
@given(data=st.data())
def test_element_matrices_turn_with_the_bar(kind: str, data: st.DataObject) -> None:
    """Turned about any axis, the elements of 27 random bars have the turned matrices."""
    setup = data.draw(setups(kind))
    mesh = mesh_for(setup.bar, setup.clamp, setup.loads, "coarse")
    assert unturned(setup.bar, mesh, Rotation.from_rotvec(ROTVEC).as_matrix()) < OBJECTIVE_LIMIT


def test_a_turn_that_stretches_is_seen() -> None:
    """A turn that also lengthens by 1e-6 breaks the limit on element matrices."""
    bar = straight_bar(60, 31.8, 2.0, metal(70e3, 0.33))
    mesh = mesh_for(bar, Clamp(40), (), "coarse")
    turn = Rotation.from_rotvec(ROTVEC).as_matrix()
    assert unturned(bar, mesh, turn * (1 + 1e-6)) > OBJECTIVE_LIMIT


@pytest.mark.parametrize(
    "amiss",
    [
        lambda spec: replace(spec, stations=(Station(0, 31.8, 2.002),)),
        lambda spec: replace(spec, effects=BendEffects(ovality_percent=0.1)),
        lambda spec: replace(spec, right=_turned_half(spec.right, about_x(np.radians(0.01)))),
    ],
    ids=["wall", "ovality", "bend-plane"],
)
def test_a_small_difference_is_seen(amiss: Callable[[BarSpec], BarSpec]) -> None:
    """A wall 0.1 % off, an ovality of 0.1 % or a bend plane 0.01 deg off breaks both limits."""
    right = Polyline(((0, 0, 0), (60, 0, 0), (110, 20, 10)), (40,))
    spec = BarSpec("plain", right, (Station(0, 31.8, 2.0),), metal(70e3, 0.33))
    loads = tuple(
        PlacedLoad(side, at_mm, (10.0, 200.0, -300.0), (1e3, 2e3, 3e3), 20.0)
        for side, at_mm in (("right", 95.0), ("right", 60.0), ("left", -90.0))
    )
    sound, off = (Setup(build_bar(each), Clamp(40), loads) for each in (spec, amiss(spec)))
    assert apart(displacements(sound), displacements(off)) > max(MIRROR_LIMIT, TURN_LIMIT)


def _each(change: Callable[[PlacedLoad], PlacedLoad], setup: Setup) -> tuple[PlacedLoad, ...]:
    return tuple(change(load) for load in setup.loads)


def _mirrored_load(load: PlacedLoad) -> PlacedLoad:
    side: Side = "left" if load.side == "right" else "right"
    force, moment = np.array(load.force_n), np.array(load.moment_nmm)
    return PlacedLoad(
        side, -load.at_mm, _row(force * MIRROR_X), _row(-moment * MIRROR_X), load.band_mm
    )


def _turned_load(load: PlacedLoad, turn: Floats) -> PlacedLoad:
    force, moment = np.array(load.force_n), np.array(load.moment_nmm)
    return replace(load, force_n=_row(turn @ force), moment_nmm=_row(turn @ moment))


def _turned_half(half: Polyline, turn: Floats) -> Polyline:
    points = tuple(_row(turn @ np.array(point)) for point in half.points_mm)
    return Polyline(points, half.bend_radii_mm)


def _row(vector: Floats) -> Row:
    x, y, z = (float(value) for value in vector)
    return x, y, z
