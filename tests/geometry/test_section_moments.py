"""Second moments of sections whose bore is off the middle: closed form, and the drawn outlines."""

import numpy as np
import pytest

from geometry import properties
from geometry.arrays import Floats
from geometry.bar import Bar, BarSpec, axes, build_bar, position_mm
from geometry.bend_table import Bend, BendTable, Polyline, polyline_from_table
from geometry.centreline import arcs
from geometry.material import load_material
from geometry.section import Station

METAL = load_material("al-6061-t6")
OUTER_MM, BORE_MM, OFF_MM, TURN_RAD = 15.0, 11.0, 2.5, np.radians(30)


def _to_the_bore(_bar: Bar, s_mm: Floats, theta_rad: Floats) -> Floats:
    """Return the radial wall beside a round bore that is off the middle."""
    angle = theta_rad - TURN_RAD
    bore = OFF_MM * np.cos(angle) + np.sqrt(BORE_MM**2 - (OFF_MM * np.sin(angle)) ** 2)
    return OUTER_MM - bore + 0 * s_mm


def test_a_bore_off_the_middle(monkeypatch: pytest.MonkeyPatch) -> None:
    """A circle less a circle by parallel axes: about its centroid the metal has the least moments.

    Each circle has pi r^4 / 4 about its own diameter, and its area times the square of the
    distance more about another axis. Source: theorem of Huygens and Steiner, textbook.
    """
    monkeypatch.setattr(properties, "local_wall_mm", _to_the_bore)
    line = Polyline(((0, 0, 0), (300, 0, 0)), ())
    bar = build_bar(BarSpec("tube", line, (Station(0, 2 * OUTER_MM, 2),), METAL))
    section = properties.section_properties(bar, np.array(10.0))
    disc, bore = np.pi * OUTER_MM**2, np.pi * BORE_MM**2
    metal, alone = disc - bore, np.pi / 4 * (OUTER_MM**4 - BORE_MM**4)
    hole = OFF_MM * np.array([np.sin(TURN_RAD), np.cos(TURN_RAD)])
    x, z = -bore * hole / metal
    assert section.area_mm2 == pytest.approx(metal, rel=1e-10)
    assert section.centroid_front_mm == pytest.approx(x, rel=1e-10)
    assert section.centroid_top_mm == pytest.approx(z, rel=1e-10)
    i_top, i_front = alone - bore * hole**2 - metal * np.array([x, z]) ** 2
    assert section.i_top_mm4 == pytest.approx(i_top, rel=1e-10)
    assert section.i_front_mm4 == pytest.approx(i_front, rel=1e-10)
    i_product = -bore * hole[0] * hole[1] - metal * x * z
    assert section.i_product_mm4 == pytest.approx(i_product, rel=1e-10)


def _outline(bar: Bar, s_mm: Floats, zeta: float) -> Floats:
    """Return (k, 2): front and top of a surface round a section, from its top on the outside."""
    theta = np.linspace(0, 2 * np.pi, 20001)
    _, front, top = axes(bar, s_mm, np.array(0.0))
    places = position_mm(bar, s_mm, theta, np.array(zeta))
    places = places - position_mm(bar, s_mm, np.array(0.0), np.array(1.0))
    return np.stack([places @ front, places @ top], axis=-1)


def _polygon(points: Floats) -> tuple[float, Floats, Floats]:
    """Return area, first (2,) and second moments (2, 2) of a polygon: triangles to the origin."""
    a, b = points[:-1], points[1:]
    area = (a[:, 1] * b[:, 0] - a[:, 0] * b[:, 1]) / 2
    corners = np.einsum("k,ki,kj->ij", area, a, a) + np.einsum("k,ki,kj->ij", area, b, b)
    whole = np.einsum("k,ki,kj->ij", area, a + b, a + b)
    return area.sum(), area @ (a + b) / 3, (corners + whole) / 12


def test_a_bend_by_its_outlines() -> None:
    """Mid-bend, where the wall is thin outside and thick inside: sums over what is drawn."""
    line = polyline_from_table(BendTable((Bend(60, 25, 90, 40),), 100))
    bar = build_bar(BarSpec("bent", line, (Station(0, 24, 3.0),), METAL))
    arc = arcs(bar.line)[-1]
    middle = np.array((arc.s_from_mm + arc.s_to_mm) / 2)
    disc, bore = (_polygon(_outline(bar, middle, zeta)) for zeta in (1.0, 0.0))
    area, first, second = (whole - hole for whole, hole in zip(disc, bore, strict=True))
    wanted = second - np.outer(first, first) / area
    found = properties.section_properties(bar, middle)
    # the centroid lies well off the centre line, or nothing would be asked
    assert np.hypot(found.centroid_front_mm, found.centroid_top_mm) > 0.5
    assert found.area_mm2 == pytest.approx(area, rel=1e-6)
    assert found.i_top_mm4 == pytest.approx(wanted[0, 0], rel=1e-6)
    assert found.i_front_mm4 == pytest.approx(wanted[1, 1], rel=1e-6)
    assert found.i_product_mm4 == pytest.approx(wanted[0, 1], rel=1e-6)
