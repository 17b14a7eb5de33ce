"""A bore off the middle: the wall's shape, closed forms of its section, and the same by the solid.

Outer circle less a shifted inner circle, by parallel axes: the bore's centre lies at -e towards the
thin side, so the area is that of the round tube, the centroid at +e r^2 / (R^2 - r^2), and

    I across = pi/4 (R^4 - r^4) - pi r^2 e^2 - A (centroid)^2,    I along = pi/4 (R^4 - r^4).

Source: theorem of Huygens and Steiner, textbook.
"""

import numpy as np
import pytest

from geometry.bar import Bar, BarSpec, build_bar, local_wall_mm, position_mm
from geometry.bend_effects import BendEffects
from geometry.bend_table import Bend, BendTable, Polyline, polyline_from_table
from geometry.errors import InputError
from geometry.material import load_material
from geometry.properties import section_properties, volume_pappus_mm3
from geometry.section import Station

METAL = load_material("al-6061-t6")
R, T, OFF, TURN_DEG = 11.1, 1.6, 0.4, 30.0
BORE = R - T


def eccentric(off_mm: float = OFF, turn_deg: float = TURN_DEG, **given: object) -> Bar:
    """Return a straight tube with its bore off the middle."""
    line = Polyline(((0, 0, 0), (200, 0, 0)), ())
    stations = (Station(0, 2 * R, T, off_mm, turn_deg),)
    return build_bar(BarSpec("off", line, stations, METAL, **given))  # type: ignore[arg-type]


def test_the_wall_is_thickest_where_it_is_said() -> None:
    """T + e there, t - e opposite; between them t + e cos to the first order of e."""
    bar, theta = eccentric(), np.radians(TURN_DEG) + np.linspace(0, 2 * np.pi, 361)
    wall = local_wall_mm(bar, np.array(50.0), theta)
    assert wall[0] == pytest.approx(T + OFF, abs=1e-12)
    assert wall[180] == pytest.approx(T - OFF, abs=1e-12)
    # e^2 / (2 r) is what the first order leaves
    wave = T + OFF * np.cos(theta - np.radians(TURN_DEG))
    assert np.abs(wall - wave).max() == pytest.approx(OFF**2 / (2 * BORE), rel=0.05)


def test_both_outlines_are_circles() -> None:
    """The inner one round a centre that lies off by e, away from the thickest wall."""
    bar, theta = eccentric(), np.linspace(0, 2 * np.pi, 73)
    places = position_mm(bar, np.array(50.0), theta, np.array(0.0))
    turn = np.radians(TURN_DEG)
    centre = np.array([50.0, -OFF * np.sin(turn), -OFF * np.cos(turn)])
    assert np.linalg.norm(places - centre, axis=1) == pytest.approx(np.full(73, BORE), abs=1e-12)


def test_its_section_has_the_closed_forms() -> None:
    """Area, centroid and both second moments, by the quadrature that the beam uses."""
    section = section_properties(eccentric(turn_deg=0.0), np.array(30.0))
    area, centroid = np.pi * (R**2 - BORE**2), OFF * BORE**2 / (R**2 - BORE**2)
    alone = np.pi / 4 * (R**4 - BORE**4)
    across = alone - np.pi * BORE**2 * OFF**2 - area * centroid**2
    assert section.area_mm2 == pytest.approx(area, rel=1e-10)
    assert section.centroid_top_mm == pytest.approx(centroid, rel=1e-10)
    assert section.centroid_front_mm == pytest.approx(0, abs=1e-12)
    assert section.i_front_mm4 == pytest.approx(across, rel=1e-10)
    assert section.i_top_mm4 == pytest.approx(alone, rel=1e-10)


def test_it_is_none_to_the_bit_without() -> None:
    """And a mirrored left half has its thickest wall at the same theta."""
    plain, s = eccentric(0.0), np.linspace(-200, 200, 41)[:, None]
    theta = np.linspace(0, 6, 25)
    assert np.array_equal(local_wall_mm(plain, s, theta), T + np.zeros((41, 25)))
    wall = local_wall_mm(eccentric(), s, theta)
    assert np.array_equal(wall, wall[::-1])


def test_in_a_bend_it_is_thinned_with_the_rest() -> None:
    """The bend's own factor multiplies what the tube had."""
    half = polyline_from_table(BendTable((Bend(60, 0, 60, 60),), 80))
    walls = []
    for off in (0.0, OFF):
        stations = (Station(0, 2 * R, T, off, 90.0),)
        bar = build_bar(BarSpec("bent", half, stations, METAL, effects=BendEffects()))
        walls.append(local_wall_mm(bar, np.array(90.0), np.radians([90.0, 270.0])))
    assert walls[1] / walls[0] == pytest.approx([(T + OFF) / T, (T - OFF) / T], rel=1e-12)


def test_the_mesh_has_its_volume() -> None:
    """Pappus by the same map: the volume of the elements."""
    bar = eccentric()
    exact = np.pi * (R**2 - BORE**2) * 400
    assert volume_pappus_mm3(bar) == pytest.approx(exact, rel=1e-10)


@pytest.mark.parametrize(
    ("station", "sentence"),
    [
        (Station(0, 22.2, 1.6, 1.3), "eccentricity_mm: is 1.3 mm but must be at most 0.7 of"),
        (Station(0, 22.2, 1.6, -0.1), "eccentricity_mm: is -0.1 mm but must be at least 0 mm"),
        (Station(0, 22.2, 1.6, 0.1, 400), "thickest_deg: is 400 deg but must be at most 360"),
    ],
)
def test_too_much_is_refused(station: Station, sentence: str) -> None:
    """In words."""
    line = Polyline(((0, 0, 0), (200, 0, 0)), ())
    with pytest.raises(InputError) as refused:
        build_bar(BarSpec("off", line, (station,), METAL))
    assert sentence in str(refused.value)
