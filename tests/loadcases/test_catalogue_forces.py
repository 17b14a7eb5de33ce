"""The forces of the catalogue's cases, by hand."""

import math

import pytest

from geometry.bar import Bar
from geometry.centreline import locate
from loadcases.case import Case, place_case
from support.catalogue_cases import CLAMP, bar_of, built, flat, forces


def test_bending_is_downward_on_one_side():
    """600 N down the steerer on the side asked for, 50 mm from its end."""
    (load,) = built("iso-4210-5.bar-bending", flat(), bicycle="young-adult", side="left").loads
    assert (load.side, load.from_end_mm) == ("left", 50)
    assert load.force_n == pytest.approx((0, 0, -600))


def test_direction_turns_the_force_forward():
    """At 90 degrees the force is along the stem, forward."""
    (load,) = built("iso-4210-5.bar-bending", flat(), direction_deg=90).loads
    assert load.force_n == pytest.approx((0, 1000, 0))
    (load,) = built("iso-4210-5.bar-bending", flat(), direction_deg=30).loads
    assert load.force_n == pytest.approx((0, 500, -1000 * math.cos(math.radians(30))))


def test_limits_of_bending():
    """The permanent set of 15 mm is from memory for this standard, and says so."""
    limits = {limit.name: limit for limit in built("iso-4210-5.bar-bending", flat()).limits}
    assert (limits["permanent_set_mm"].value, limits["permanent_set_mm"].source.kind) == (
        15,
        "memory",
    )
    assert limits["fracture"].value is None


def test_fatigue_phases_and_cycles():
    """Out of phase is right down and left up, in phase both down; 100 000 reversals."""
    out = built("iso-4210-5.fatigue-out-of-phase", flat())
    together = built("iso-4210-5.fatigue-in-phase", flat())
    assert forces(out)["right"] == pytest.approx((0, 0, -270))
    assert forces(out)["left"] == pytest.approx((0, 0, 270))
    assert forces(together)["right"] == forces(together)["left"] == pytest.approx((0, 0, -450))
    for case in (out, together):
        assert case.cycle is not None
        assert (case.cycle.cycles, case.cycle.other, case.cycle.preload) == (100000, None, False)
        assert case.source.kind == "memory"


def torque_nm(case: Case, bar: Bar) -> float:
    """Return the moment of all loads about x through the clamp centre, by r x F."""
    total = 0.0
    for load in place_case(case, bar, CLAMP).loads:
        _, y, z = locate(bar.line, load.at_mm).position_mm
        total += load.moment_nmm[0] + y * load.force_n[2] - z * load.force_n[1]
    return total / 1000


def test_torsion_by_forces_where_the_grips_lie_off_the_axis():
    """Grips swept 90 mm back take downward forces that make up 80 N m, half each side."""
    bar = bar_of((120.0, 0.0, 0.0), (340.0, -120.0, 0.0))
    case = built("iso-4210-5.torsional-security", bar)
    assert all(load.force_n[2] < 0 and load.moment_nmm == (0, 0, 0) for load in case.loads)
    assert torque_nm(case, bar) == pytest.approx(80)
    assert forces(case)["left"] == pytest.approx(forces(case)["right"])
    assert "downward forces" in case.remarks[0]
    assert "rearward" in case.remarks[1]


def test_torsion_in_the_other_sense_takes_upward_forces():
    """Forward torque on grips behind the axis is the opposite, and is said."""
    bar = bar_of((120.0, 0.0, 0.0), (340.0, -120.0, 0.0))
    case = built("iso-4210-5.torsional-security", bar, sense="forward")
    assert torque_nm(case, bar) == pytest.approx(-80)
    assert "upward forces" in case.remarks[0]


def test_torsion_downward_turns_grips_in_front_forward():
    """With grips in front of the axis downward forces turn the bar forward."""
    bar = bar_of((120.0, 0.0, 0.0), (340.0, 120.0, 0.0))
    case = built("iso-4210-5.torsional-security", bar)
    assert all(load.force_n[2] < 0 for load in case.loads)
    assert torque_nm(case, bar) == pytest.approx(-80)


@pytest.mark.parametrize(("sense", "expected"), [("rearward", 60), ("forward", -60)])
def test_torsion_by_moments_on_a_flat_bar(sense, expected):
    """A straight bar offers no arm: half the torque at each band as a moment."""
    bar = flat()
    case = built("iso-4210-5.torsional-security", bar, bicycle="racing", sense=sense)
    assert [load.moment_nmm for load in case.loads] == [(expected * 500, 0, 0)] * 2
    assert torque_nm(case, bar) == pytest.approx(expected)
    assert "40 mm" in case.remarks[0]


def test_torsion_sees_the_roll_of_the_bar():
    """A rise of 120 mm rolled 90 degrees rearward lies behind the axis and takes forces."""
    points = ((120.0, 0.0, 0.0), (340.0, 0.0, 120.0))
    upright, rolled = bar_of(*points), bar_of(*points, roll_deg=90.0)
    assert built("iso-4210-5.torsional-security", upright).loads[0].force_n == (0, 0, 0)
    case = built("iso-4210-5.torsional-security", rolled)
    assert case.loads[0].force_n[2] < 0
    assert torque_nm(case, rolled) == pytest.approx(80)


@pytest.mark.parametrize(("spacing_mm", "force_n"), [(400, 735), (620, 475)])
def test_standing_sprint_at_two_grip_spacings(spacing_mm, force_n):
    """80 kg and three body weights: 735 N at 0.40 m and 475 N at 0.62 m, to 1 N of rounding."""
    case = built("rider.standing-sprint", flat(spacing_mm / 2 + 60))
    assert forces(case)["right"] == pytest.approx((0, 0, force_n), abs=1)
    assert forces(case)["left"] == pytest.approx((0, 0, -force_n), abs=1)


def test_standing_sprint_uses_the_spacing_in_x():
    """A swept bar of the same length has closer hands and larger forces."""
    swept = bar_of((120.0, 0.0, 0.0), (340.0, -120.0, 0.0))
    straight = flat(swept.line.right_end_mm)
    larger, smaller = (built("rider.standing-sprint", bar).loads[0] for bar in (swept, straight))
    assert larger.force_n[2] > 1.05 * smaller.force_n[2]


def test_hard_braking():
    """80 kg at 0.7 g: 165 N forward each, to 1 N of rounding, and the upper push down."""
    case = built("rider.hard-braking", flat())
    assert forces(case)["left"] == pytest.approx((0, 165, -200), abs=1)
    assert forces(case)["right"] == forces(case)["left"]


def test_drop_landing():
    """About 590 N on each hand, to 2 N of rounding, down the steerer by default."""
    bar = flat()
    case = built("rider.drop-landing", bar)
    assert math.hypot(*case.loads[0].force_n) == pytest.approx(590, abs=2)
    placed = place_case(case, bar, CLAMP).loads[0].force_n
    assert placed == pytest.approx((0, 0, -588.4), abs=0.1)


def test_climb_and_lift():
    """150 N rearward on each hand; 150 N up on one side."""
    assert forces(built("rider.seated-climb-pull", flat())) == {
        "left": (0, -150, 0),
        "right": (0, -150, 0),
    }
    assert forces(built("rider.lift-one-end", flat(), side="left")) == {"left": (0, 0, 150)}
