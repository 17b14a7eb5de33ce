"""The catalogue of cases: what its files hold, and cases built for bars."""

import math
from importlib.resources import files

import pytest

from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_table import Polyline
from geometry.centreline import locate
from geometry.errors import InputError
from geometry.material import load_material
from geometry.section import Station
from geometry.source import KINDS
from loadcases.case import Case, place_case
from loadcases.catalogue import build_case, case_ids, load_template
from loadcases.clamp import Clamp

CLAMP = Clamp(width_mm=40)
BICYCLES = ("city-trekking", "young-adult", "mountain", "racing")
PARAMETERS = {
    "iso-4210-5.bar-bending": {"bicycle", "side", "direction_deg"},
    "iso-4210-5.torsional-security": {"bicycle", "sense"},
    "iso-4210-5.fatigue-out-of-phase": {"bicycle", "direction_deg"},
    "iso-4210-5.fatigue-in-phase": {"bicycle", "direction_deg"},
    "rider.standing-sprint": {
        "pedal_body_weights",
        "foot_arm_mm",
        "side",
    },
    "rider.seated-climb-pull": {"pull_n"},
    "rider.hard-braking": {"deceleration_g", "down_n"},
    "rider.drop-landing": {"wheel_body_weights", "arms_share", "forward_deg"},
    "rider.lift-one-end": {"up_n", "side"},
}


def bar_of(*points_mm: tuple[float, float, float], roll_deg: float = 0.0) -> Bar:
    """Return a symmetrical bar of 22.2 x 1.6 mm through points, bends of 60 mm."""
    points = ((0.0, 0.0, 0.0), *points_mm)
    return build_bar(
        BarSpec(
            name="test",
            right=Polyline(points, (60.0,) * (len(points) - 2)),
            stations=(Station(0.0, 22.2, 1.6),),
            material=load_material("al-6061-t6"),
            roll_deg=roll_deg,
        )
    )


def flat(half_mm: float = 380.0, roll_deg: float = 0.0) -> Bar:
    """Return a straight bar."""
    return bar_of((half_mm, 0.0, 0.0), roll_deg=roll_deg)


def built(case_id: str, bar: Bar, **parameters: object) -> Case:
    """Return a case of the catalogue, for a mountain bicycle where that is asked."""
    if case_id.startswith("iso"):
        parameters = {"bicycle": "mountain", **parameters}
    return build_case(case_id, parameters, bar, CLAMP)


def forces(case: Case) -> dict[str | None, tuple[float, float, float]]:
    """Return the force on each side, in the axes of the case."""
    return {load.side: load.force_n for load in case.loads}


def test_files_match_the_ids_in_order():
    """Each id has one file, and the order is that of the design."""
    assert case_ids() == tuple(PARAMETERS)
    names = {f.name for f in files("loadcases.cases").iterdir() if f.name.endswith(".toml")}
    assert names == {f"{case_id}.toml" for case_id in PARAMETERS}


@pytest.mark.parametrize("case_id", PARAMETERS)
def test_everything_in_a_case_file_carries_a_mark(case_id):
    """Parameters, tables, figures and limits are sourced; the declared parameters are those."""
    template = load_template(case_id)
    marked = (
        template,
        *template.parameters,
        *template.tables,
        *template.figures,
        *template.limits,
    )
    for item in marked:
        assert item.source.kind in KINDS
        assert item.source.reference
    common = {"rider_kg", "grip_from_end_mm", "steerer_angle_deg"} if "rider" in case_id else set()
    assert {p.name for p in template.parameters} == PARAMETERS[case_id] | common
    assert template.notes


@pytest.mark.parametrize("case_id", PARAMETERS)
def test_every_case_can_be_built_and_placed(case_id):
    """Defaults alone give loads that stand on an ordinary bar."""
    bar = bar_of((140.0, 0.0, 0.0), (380.0, -60.0, 20.0))
    case = built(case_id, bar)
    assert place_case(case, bar, CLAMP).loads
    assert all(load.band_mm == 30 for load in case.loads)
    assert case.axes == ("gravity" if case_id.startswith("rider") else "steerer")


@pytest.mark.parametrize(
    ("case_id", "table", "values", "kind"),
    [
        ("iso-4210-5.bar-bending", "force_n", (600, 600, 1000, 1000), "standard"),
        ("iso-4210-5.torsional-security", "torque_nm", (60, 60, 80, 60), "standard"),
        ("iso-4210-5.fatigue-out-of-phase", "force_n", (200, 200, 270, 280), "memory"),
        ("iso-4210-5.fatigue-in-phase", "force_n", (250, 250, 450, 400), "memory"),
    ],
)
def test_forces_of_the_standard_by_bicycle(case_id, table, values, kind):
    """Each table holds the standard's number for each bicycle, and how sure it is."""
    (found,) = load_template(case_id).tables
    assert (found.name, found.source.kind) == (table, kind)
    assert found.values == tuple(zip(BICYCLES, values, strict=True))


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


def test_case_keeps_what_it_was_built_with():
    """Parameters with their defaults, and the number that the bicycle chose, stay with the case."""
    case = built("iso-4210-5.bar-bending", flat())
    assert dict(case.parameters) == {"bicycle": "mountain", "side": "right", "direction_deg": 0}
    assert case.figures[0].value == 1000
    assert "mountain" in case.figures[0].meaning


def test_steerer_angle_of_a_rider_case():
    """The steerer angle given to a rider case is that of the case."""
    assert built("rider.hard-braking", flat(), steerer_angle_deg=65).steerer_angle_deg == 65


def test_unknown_case_names_the_nearest():
    """A mistyped id is refused with the ids near it."""
    with pytest.raises(InputError, match=r"use: .*nearest: iso-4210-5\.bar-bending"):
        load_template("iso-4210-5.bar-bendin")


@pytest.mark.parametrize(
    ("case_id", "parameters", "words"),
    [
        ("iso-4210-5.bar-bending", {"bicycle": None}, "bicycle: is missing; use one of city-trek"),
        ("iso-4210-5.bar-bending", {"bicycle": "mtb"}, "bicycle: no type of bicycle is called 'm"),
        ("iso-4210-5.bar-bending", {"side": "lft"}, "nearest: left"),
        ("iso-4210-5.bar-bending", {"rider_kg": 80}, "rider_kg: no parameter of"),
        ("iso-4210-5.fatigue-in-phase", {"directon_deg": 0}, "nearest: direction_deg"),
        ("iso-4210-5.fatigue-in-phase", {"direction_deg": 400}, "at most 180 deg"),
        ("rider.hard-braking", {"rider_kg": -80}, "rider_kg: is -80 kg but must be at least 20"),
        ("rider.hard-braking", {"rider_kg": "80"}, "not a number"),
        ("rider.hard-braking", {"deceleration_g": math.nan}, "not a finite number"),
        ("rider.hard-braking", {"grip_from_end_mm": 10}, "grip_from_end_mm: is 10 mm, so its band"),
        ("rider.standing-sprint", {"grip_from_end_mm": 400}, "crosses the hands over"),
        ("rider.standing-sprint", {"grip_from_end_mm": 350}, "crosses the clamp"),
    ],
)
def test_parameters_that_are_refused(case_id, parameters, words):
    """Each impossible parameter is the one field refused, in words, for each half alike."""
    with pytest.raises(InputError, match=words) as caught:
        built(case_id, flat(), **parameters)
    assert len({problem.field for problem in caught.value.problems}) == 1


def test_all_parameters_are_judged_at_once():
    """Three mistakes are three problems."""
    with pytest.raises(InputError) as caught:
        built("iso-4210-5.bar-bending", flat(), bicycle="x", side="y", direction_deg="z")
    assert [p.field for p in caught.value.problems] == ["bicycle", "side", "direction_deg"]


def test_a_bar_too_short_for_the_test_is_told_so():
    """A place that the case fixes cannot be moved: the sentence says what can be done."""
    with pytest.raises(InputError, match=r"no place on this bar .*lengthen the bar"):
        built("iso-4210-5.bar-bending", flat(70))
