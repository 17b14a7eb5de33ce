"""Nominal stress at clamp edges: by hand, against the beam, and the factor B for a bend nearby."""

import numpy as np
import pytest

from fea.beam.section import fibre_stress_mpa, torsion_stress_mpa
from fea.beam.statics import arm_resultants, resultants_of, solve_beam
from fea.fatigue.edges import AROUND, Edge, Stations, bend_factors
from geometry.bar import BarSpec, build_bar
from geometry.bend_effects import BendEffects
from geometry.bend_table import Polyline
from geometry.material import load_material
from geometry.section import Station
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.tubes import straight_bar

METAL = load_material("al-7075-t6")
CLAMP = Clamp(46.0)
OD, WALL = 31.8, 2.2
INERTIA = np.pi * (OD**4 - (OD - 2 * WALL) ** 4) / 64
AREA = np.pi * (OD**2 - (OD - 2 * WALL) ** 2) / 4


def at(s_mm, force_n, moment_nmm=(0.0, 0.0, 0.0), band_mm=20.0):
    """Return a load at signed s."""
    return PlacedLoad("right" if s_mm > 0 else "left", s_mm, force_n, moment_nmm, band_mm)


def bent_bar():
    """Return a tapered bar bent in three dimensions, its halves unlike each other."""
    right = Polyline(((0, 0, 0), (60, 0, 0), (150, -30, 60), (340, -90, 40)), (90, 60))
    left = Polyline(((0, 0, 0), (80, 0, 0), (170, 50, 50), (300, 10, 60)), (60, 75))
    stations = (Station(0, 31.8, 2.2), Station(40, 31.8, 2.2), Station(110, 22.2, 1.8))
    spec = BarSpec(
        "test", right, stations, METAL, left=left, effects=BendEffects(wall_change=False)
    )
    return build_bar(spec)


def edge_stress(loads, s_mm=23.0):
    """Return axial stress round a straight tube and its shear stress at a place, MPa."""
    bar, place = straight_bar(370.0, OD, WALL, METAL), np.array([s_mm])
    resultants = arm_resultants(bar, CLAMP, [loads], place)[0]
    axial = fibre_stress_mpa(bar, place, resultants, AROUND)[0]
    return axial, torsion_stress_mpa(bar, place, resultants)[0]


@pytest.mark.parametrize("s_mm", [23.0, -23.0])
def test_bending_at_the_edge_is_m_r_over_i(s_mm):
    """450 N down at 330 mm: M = 450 x 307 = 138 150, 97.50 MPa as in the worked example."""
    axial, shear = edge_stress([at(np.sign(s_mm) * 330.0, (0.0, 0.0, -450.0))], s_mm)
    assert axial.max() == pytest.approx(138_150 * OD / 2 / INERTIA, rel=1e-9)
    assert axial.max() == pytest.approx(97.50, rel=5e-4)
    assert AROUND[np.argmax(axial)] == 0.0  # the top is pulled
    assert shear == pytest.approx(0, abs=1e-9)


def test_tension_adds_to_bending():
    """1000 N along and 450 N down: M r / I + N / A above, and below the difference."""
    axial, _ = edge_stress([at(330.0, (1000.0, 0.0, -450.0))])
    bending, pull = 138_150 * OD / 2 / INERTIA, 1000 / AREA
    assert axial.max() == pytest.approx(pull + bending, rel=1e-9)
    assert axial.min() == pytest.approx(pull - bending, rel=1e-9)


def test_torsion_at_the_edge_is_t_r_over_2i():
    """100 N m about the tube: 35.29 MPa as in the worked example, without bending."""
    axial, shear = edge_stress([at(330.0, (0.0, 0.0, 0.0), (1e5, 0.0, 0.0))])
    assert abs(shear) == pytest.approx(1e5 * OD / (4 * INERTIA), rel=1e-9)
    assert abs(shear) == pytest.approx(35.29, rel=5e-4)
    assert np.abs(axial).max() == pytest.approx(0, abs=1e-9)


LOADS = [
    [at(235.0, (90.0, -60.0, -500.0), (2e4, 1e4, -3e4)), at(-180.0, (0.0, 200.0, 300.0))],
    [at(-200.0, (10.0, -70.0, 90.0), (0.0, 0.0, 1e4))],
]


@pytest.mark.parametrize("model", ["elastic", "rigid"])
def test_resultants_of_a_bent_arm_are_the_beams(model):
    """At the beam's own places on both arms, clamp edges included, for both clamp models."""
    bar, clamp = bent_bar(), Clamp(46.0, model)
    for loads in LOADS:
        beam = solve_beam(bar, clamp, [loads], flexible=False)[0]
        bands = [(load.from_mm, load.to_mm) for load in loads]
        free = np.abs(beam.s_mm) >= clamp.to_mm - 1e-9
        for low, high in bands:
            free &= (beam.s_mm < low - 1e-6) | (beam.s_mm > high + 1e-6)
        edges = np.isclose(np.abs(beam.s_mm), clamp.to_mm)
        assert {-1.0, 1.0} <= set(np.sign(beam.s_mm[edges & free]))
        found = arm_resultants(bar, clamp, [loads], beam.s_mm[free])[0]
        assert found == pytest.approx(resultants_of(beam)[free], rel=1e-7, abs=1e-3)


def test_nothing_comes_from_the_other_arm():
    """A load on the left leaves the right arm without resultants."""
    bar = bent_bar()
    found = arm_resultants(bar, CLAMP, [LOADS[1]], np.array([-23.0, 23.0, 100.0]))[0]
    assert np.abs(found[0]).max() > 1
    assert np.all(found[1:] == 0)


def stations(count):
    """Return edges whose stations have one node each, none for a count of 0."""
    nodes = np.arange(count)
    return Stations((Edge(23.0, 1),), (nodes,), np.array([40.0]))


@pytest.mark.parametrize(
    ("solid", "beam", "edge", "factor"),
    [
        (111.0, 100.0, 100.0, 1.11),
        (91.0, 100.0, 100.0, 1.0),  # never below 1
        (30.0, 20.1, 100.0, 30 / 20.1),
        (30.0, 19.9, 100.0, 1.0),  # under a fifth of the edge's
        (30.0, 0.0, 0.0, 1.0),
    ],
)
def test_bend_factor_is_solid_over_beam(solid, beam, edge, factor):
    """At least 1, and 1 where the beam says little at the station."""
    rows = [np.array([[value, 0.0, 0.0]]) for value in (solid, beam, edge)]
    found = bend_factors(stations(1), [rows[0]], rows[1][None], rows[2][None], 1e5)
    assert found == pytest.approx([factor])


def test_bend_factor_is_one_without_a_station():
    """In a load band, another clamp or beyond the bar there are no nodes."""
    row = np.array([[[100.0, 0.0, 0.0]]])
    assert bend_factors(stations(0), [np.zeros((0, 3))], row, row, 1e5) == pytest.approx([1.0])
