"""The catalogue of cases: what its files hold, what its cases keep, and what they refuse."""

import math
from importlib.resources import files

import pytest

from geometry.errors import InputError
from geometry.source import KINDS
from loadcases.case import place_case
from loadcases.catalogue import case_ids, load_template
from support.catalogue_cases import bar_of, built, clamp_of, flat

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
    "press.stood-on-both-ends": {"force_n", "direction_deg", "friction", "feet"},
    "press.three-point": {"force_n", "direction_deg", "friction", "span_mm", "radius_mm"},
    "press.three-point-ram": {
        "force_n",
        "direction_deg",
        "friction",
        "span_mm",
        "radius_mm",
        "ram",
        "ram_mm",
    },
    "press.four-point": {
        "force_n",
        "direction_deg",
        "friction",
        "span_mm",
        "inner_span_mm",
        "radius_mm",
        "ram",
        "ram_mm",
    },
    "press.crush": {"force_n", "direction_deg", "friction", "platen_at_mm", "platen_mm"},
    "press.cantilever": {
        "force_n",
        "direction_deg",
        "side",
        "from_end_mm",
        "fixture_at_mm",
        "fixture_mm",
    },
}


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
    # its ends are the lowest of it, so that it stands on them too
    bar = bar_of((140.0, 0.0, 0.0), (380.0, -60.0, -20.0))
    # rollers press square to the tube, which lies aslant: friction keeps a free bar on them
    rough = {"friction": 0.2} if load_template(case_id).place == "span_mm" else {}
    case = built(case_id, bar, **rough)
    placed = place_case(case, bar, clamp_of(case_id))
    assert placed.loads or placed.supports
    assert all(load.band_mm == 30 for load in case.loads)
    assert all(support.band_mm in (4, 10, 30) for support in case.supports)
    axes = {"rider": "gravity", "press": "bar"}
    assert case.axes == axes.get(case_id.partition(".")[0], "steerer")


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
        ("rider.standing-sprint", {"grip_from_end_mm": 400}, "left of the left one"),
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
