"""The map and its parts against closed forms, and what `build_bar` refuses."""

import numpy as np
import pytest

from geometry.bar import (
    Bar,
    BarSpec,
    axes,
    build_bar,
    end_to_end_mm,
    local_wall_mm,
    nominal_wall_mm,
    outer_radius_mm,
    position_mm,
)
from geometry.bend_effects import BendEffects, weights
from geometry.bend_table import (
    Bend,
    BendTable,
    Polyline,
    cut_length_mm,
    polyline_from_table,
    table_from_polyline,
)
from geometry.centreline import arcs
from geometry.errors import InputError
from geometry.material import load_material
from geometry.properties import mass_g, section_properties, volume_pappus_mm3
from geometry.section import Station, build_profile, od_mm

MATERIAL = load_material("al-6061-t6")


def _bent(*bends: Bend, tail_mm: float = 100, **given: object) -> Bar:
    line = polyline_from_table(BendTable(bends, tail_mm))
    stations = given.pop("stations", (Station(0, 24, 1.5),))
    return build_bar(BarSpec("bent", line, stations, MATERIAL, **given))


@pytest.mark.parametrize(
    ("rotation_deg", "direction"), [(0, (0, 1, 0)), (90, (0, 0, 1)), (180, (0, -1, 0))]
)
def test_the_first_bend_turns_as_agreed(rotation_deg: float, direction: tuple[float, ...]) -> None:
    """0 deg bends forward, 90 up, 180 rearward."""
    line = polyline_from_table(BendTable((Bend(50, rotation_deg, 90, 60),), 80))
    last = np.subtract(line.points_mm[2], line.points_mm[1])
    assert last / np.linalg.norm(last) == pytest.approx(direction, abs=1e-12)


def test_setback_and_cut_length_by_hand() -> None:
    """A right angle at R 60: setback 60, so segments of 110 and 140; arc pi/2 x 60."""
    table = BendTable((Bend(50, 0, 90, 60),), 80)
    line = polyline_from_table(table)
    assert line.points_mm[1] == pytest.approx((110, 0, 0))
    assert line.points_mm[2] == pytest.approx((110, 140, 0))
    assert cut_length_mm(table) == pytest.approx(50 + 30 * np.pi + 80)


def test_a_corner_without_angle_is_no_bend() -> None:
    """A point on a straight leg leaves table and centre line as they were."""
    line = Polyline(((0, 0, 0), (40, 0, 0), (100, 0, 0), (200, 50, 0)), (70, 60))
    plain = Polyline(((0, 0, 0), (100, 0, 0), (200, 50, 0)), (60,))
    assert table_from_polyline(line) == table_from_polyline(plain)


def test_wall_at_extrados_and_intrados() -> None:
    """Mid-bend: t R/(R + r) outside, t R/(R - r) inside, r the mean radius."""
    bar = _bent(Bend(60, 0, 90, 60))
    arc = arcs(bar.line)[-1]
    middle = np.array((arc.s_from_mm + arc.s_to_mm) / 2)
    walls = local_wall_mm(bar, middle, arc.extrados_rad + np.array([0, np.pi]))
    assert walls == pytest.approx([1.5 * 60 / 71.25, 1.5 * 60 / 48.75])
    # a bend forward has its outside at the rear
    assert np.degrees(arc.extrados_rad) == pytest.approx(270)


def test_ovality_flattens_in_the_bend_plane() -> None:
    """100 (ODmax - ODmin)/ODnominal is what was asked, the minor axis in the bend plane."""
    bar = _bent(Bend(60, 30, 90, 60), effects=BendEffects(ovality_percent=5))
    arc = arcs(bar.line)[-1]
    middle = np.array((arc.s_from_mm + arc.s_to_mm) / 2)
    radii = outer_radius_mm(bar, middle, arc.extrados_rad + np.array([0, np.pi / 2]))
    assert 2 * (radii[1] - radii[0]) / 24 * 100 == pytest.approx(5)


def test_bends_that_touch_share_their_effect() -> None:
    """No straight between: the weights add up to one all through the joint."""
    bar = _bent(Bend(60, 0, 60, 60), Bend(0, 40, 60, 60))
    joint = arcs(bar.line)[-1].s_from_mm
    s = joint + np.linspace(-6, 6, 25)
    assert weights(bar.zones, s).sum(-1) == pytest.approx(1)
    assert np.ptp(np.diff(weights(bar.zones, s)[:, -1])) < 0.15


def test_effects_fade_before_the_next_bend() -> None:
    """Ramps of close bends meet in the middle of the straight between, and not before."""
    bar = _bent(Bend(60, 0, 60, 60), Bend(14, 40, 60, 60))
    first, second = arcs(bar.line)[-2:]
    middle = np.array((first.s_to_mm + second.s_from_mm) / 2)
    assert weights(bar.zones, middle) == pytest.approx(0)


def test_a_kink_is_a_parabola() -> None:
    """Linear outside +-blend, tangent at its ends, a quarter of blend x slope off in the middle."""
    profile = build_profile((Station(0, 30, 2), Station(50, 30, 2), Station(90, 22, 2)), None, 5)
    slope = (22 - 30) / 40
    expected = {45: 30, 50: 30 + slope * 5 / 4, 55: 30 + slope * 5, 70: 26, 90: 22 - slope * 5 / 4}
    for s, value in expected.items():
        for side in (-1, 1):
            assert od_mm(profile, np.array(side * s)) == pytest.approx(value)


def test_a_tube_has_the_properties_of_a_tube() -> None:
    """Area, second moments, torsion constant and mass against the closed forms."""
    bar = build_bar(
        BarSpec("tube", Polyline(((0, 0, 0), (300, 0, 0)), ()), (Station(0, 30, 2),), MATERIAL)
    )
    section = section_properties(bar, np.array(10.0))
    area, second = np.pi / 4 * (30**2 - 26**2), np.pi / 64 * (30**4 - 26**4)
    assert section.area_mm2 == pytest.approx(area, rel=1e-12)
    assert section.i_front_mm4 == pytest.approx(second, rel=1e-12)
    assert section.i_top_mm4 == pytest.approx(second, rel=1e-12)
    assert section.j_mm4 == pytest.approx(2 * second, rel=1e-12)
    assert mass_g(bar) == pytest.approx(area * 600 * 2713e-6, rel=1e-12)
    assert end_to_end_mm(bar) == pytest.approx(600)


def test_an_oval_tube_twists_as_bredt_says() -> None:
    """Torsion constant of a thin ellipse: 4 A^2 t / perimeter, within the wall's own effect."""
    bar = _bent(
        Bend(60, 0, 90, 200),
        effects=BendEffects(wall_change=False, ovality_percent=20),
        stations=(Station(0, 24, 0.2),),
    )
    arc = arcs(bar.line)[-1]
    section = section_properties(bar, np.array((arc.s_from_mm + arc.s_to_mm) / 2))
    theta = np.linspace(0, 2 * np.pi, 4001)
    r = 12 * (1 - 0.1 * np.cos(2 * theta)) - 0.1
    x, y = r * np.cos(theta), r * np.sin(theta)
    length = np.hypot(np.diff(x), np.diff(y)).sum()
    enclosed = abs(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])) / 2
    # the radial wall of 0.2 mm is a little thicker than the normal one: 1 %
    assert section.j_mm4 == pytest.approx(4 * enclosed**2 * 0.2 / length, rel=0.01)


def test_volume_by_pappus_without_wall_change() -> None:
    """Concentric sections: area times length, however the bar is bent."""
    bar = _bent(Bend(60, 20, 70, 60), effects=BendEffects(wall_change=False))
    area = np.pi / 4 * (24**2 - 21**2)
    length = bar.line.right_end_mm - bar.line.left_end_mm
    assert volume_pappus_mm3(bar) == pytest.approx(area * length, rel=1e-12)


def test_wall_change_keeps_the_volume_of_the_tube() -> None:
    """The rule of the wall in a bend is volume kept: within the ramps' share, 1 %."""
    kept = volume_pappus_mm3(_bent(Bend(60, 20, 90, 60)))
    plain = volume_pappus_mm3(_bent(Bend(60, 20, 90, 60), effects=BendEffects(wall_change=False)))
    assert kept == pytest.approx(plain, rel=0.01)


def test_own_halves_meet_at_the_clamp() -> None:
    """A left half of its own, with its own stations, and the axes stay right-handed."""
    bar = build_bar(
        BarSpec(
            "measured",
            polyline_from_table(BendTable((Bend(60, 0, 20, 60),), 200)),
            (Station(0, 31.8, 2), Station(90, 22.2, 1.6)),
            MATERIAL,
            left=polyline_from_table(BendTable((Bend(62, 5, 19, 60),), 198)),
            left_stations=(Station(0, 31.8, 2), Station(92, 22.2, 1.7)),
        )
    )
    assert nominal_wall_mm(bar, np.array([-150.0, 150.0])) == pytest.approx([1.7, 1.6])
    s = np.linspace(bar.line.left_end_mm, bar.line.right_end_mm, 301)
    assert np.linalg.det(axes(bar, s, np.array(1.0))) == pytest.approx(1)
    steps = np.linalg.norm(
        np.diff(position_mm(bar, s, np.array(1.0), np.array(1.0)), axis=0), axis=1
    )
    assert steps.max() < 1.5 * np.diff(s).max()


@pytest.mark.parametrize(
    ("spec", "words"),
    [
        ({"bends": [Bend(60, 0, 90, 12)]}, r"right.bend_radii_mm\[0\]: is 12 mm, too tight"),
        ({"bends": [Bend(60, 0, 90, 1e-88)]}, r"right.bend_radii_mm\[0\]: is 1e-88 mm, too tight"),
        (
            {"bends": [Bend(60, 0, 90, 14)], "stations": (Station(0, 24, 4),)},
            "too small an inner radius",
        ),
        ({"bends": [Bend(60, 0, 170, 30), Bend(10, 0, 170, 30)]}, "intersects itself"),
        ({"bends": [Bend(60, 0, 30, 60)], "roll_deg": 400.0}, "roll_deg: is 400 deg"),
        (
            {"bends": [Bend(60, 0, 30, 60)], "effects": BendEffects(ovality_percent=-1)},
            "ovality_percent: is -1 %",
        ),
        (
            {"bends": [Bend(60, 0, 30, 60)], "stations": (Station(0, 24, 9.7),)},
            "is 9.7 mm but must be at most 0.4 of the outer diameter, 9.6 mm",
        ),
    ],
)
def test_what_no_tube_can_be_is_refused(spec: dict, words: str) -> None:
    """One sentence with field, value, limit and remedy."""
    with pytest.raises(InputError, match=words):
        _bent(*spec.pop("bends"), **spec)


def test_the_thickest_wall_of_a_tube_is_taken() -> None:
    """0.4 of the diameter is the limit itself: 9.6 mm of 24."""
    assert _bent(Bend(60, 0, 30, 60), stations=(Station(0, 24, 9.6),)).spec.stations[0].wall_mm


def test_the_corner_of_a_tight_bend_is_named_as_it_was_given() -> None:
    """A corner without angle before it does not shift the number."""
    line = Polyline(((0, 0, 0), (40, 0, 0), (100, 0, 0), (200, 50, 0)), (70, 6))
    with pytest.raises(InputError, match=r"right.bend_radii_mm\[1\]"):
        build_bar(BarSpec("bar", line, (Station(0, 24, 1.5),), MATERIAL))


def test_both_halves_faults_come_together() -> None:
    """Three mistakes, three problems, in one error."""
    short = Polyline(((0, 0, 0), (40, 0, 0), (41, 40, 0)), (90,))
    with pytest.raises(InputError) as caught:
        build_bar(BarSpec("bar", short, (Station(0, 24, -1),), MATERIAL, left=short))
    fields = [problem.field for problem in caught.value.problems]
    assert "stations[0].wall_mm" in fields
    assert {field.split(".")[0] for field in fields} == {"right", "left", "stations[0]"}
