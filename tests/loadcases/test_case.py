"""Cases: axes, placing, and what is refused."""

import math
from dataclasses import replace

import numpy as np
import pytest

from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_table import Polyline
from geometry.errors import InputError
from geometry.material import load_material
from geometry.section import Station
from geometry.source import Source
from loadcases.axes import gravity_to_steerer, rotated, rotation_to_bar
from loadcases.case import Case, Cycle, check_cases, place_case
from loadcases.clamp import Clamp
from loadcases.load import Load

CLAMP = Clamp(46)
CASE = Case(
    id="mine",
    title="Mine",
    loads=(Load((0.0, 0.0, -600.0), side="right", from_end_mm=50),),
    source=Source("measured", "test bench"),
)


def bar(roll_deg: float = 0.0) -> Bar:
    """Return a straight bar turned in its clamp."""
    return build_bar(
        BarSpec(
            name="test",
            right=Polyline(((0.0, 0.0, 0.0), (360.0, 0.0, 0.0)), ()),
            stations=(Station(0.0, 22.2, 1.6),),
            material=load_material("al-6061-t6"),
            roll_deg=roll_deg,
        )
    )


@pytest.mark.parametrize("axes", ["bar", "steerer", "gravity"])
def test_rotations_are_proper(axes):
    """Each rotation keeps lengths and handedness."""
    rotation = rotation_to_bar(axes, 0.3, 1.2)
    assert rotation @ rotation.T == pytest.approx(np.eye(3))
    assert np.linalg.det(rotation) == pytest.approx(1)


def test_steerer_axes_in_gravity_axes():
    """The steerer leans rearward going up: its z is (0, -cos a, sin a), its y (0, sin a, cos a)."""
    a = math.radians(72)
    to_steerer = gravity_to_steerer(a)
    along, forward = (0, -math.cos(a), math.sin(a)), (0, math.sin(a), math.cos(a))
    assert rotated(to_steerer, along) == pytest.approx((0, 0, 1))
    assert rotated(to_steerer, forward) == pytest.approx((0, 1, 0))


def test_an_upright_steerer_is_gravity():
    """At 90 degrees steerer and gravity axes are the same."""
    assert gravity_to_steerer(math.pi / 2) == pytest.approx(np.eye(3))


def test_bar_axes_ignore_the_roll():
    """A load in bar axes turns with the bar."""
    (load,) = place_case(CASE, bar(roll_deg=20), CLAMP).loads
    assert load.force_n == (0, 0, -600)


def test_steerer_axes_undo_the_roll():
    """A bar rolled by 90 degrees has its front at the steerer's top: down becomes -front."""
    (load,) = place_case(replace(CASE, axes="steerer"), bar(roll_deg=90), CLAMP).loads
    assert load.force_n == pytest.approx((0, -600, 0))


def test_gravity_axes_lean_with_the_steerer():
    """Straight down, seen from a steerer at 72 degrees, points down and rearward."""
    (load,) = place_case(replace(CASE, axes="gravity"), bar(), CLAMP).loads
    a = math.radians(72)
    assert load.force_n == pytest.approx((0, -600 * math.cos(a), -600 * math.sin(a)))


def test_a_roll_that_undoes_the_lean():
    """A bar rolled by 90 deg - a stands upright again: gravity is straight down in it."""
    case = replace(CASE, axes="gravity", steerer_angle_deg=72)
    (load,) = place_case(case, bar(roll_deg=-18), CLAMP).loads
    assert load.force_n == pytest.approx((0, 0, -600))


def test_placed_loads_keep_their_order_and_notes():
    """Loads come back in the order written, with the notes of the case."""
    second = Load((1.0, 0.0, 0.0), at_mm=-100)
    case = replace(CASE, loads=(*CASE.loads, second), notes=("a note",))
    placed = place_case(case, bar(), CLAMP)
    assert [load.at_mm for load in placed.loads] == [310, -100]
    assert placed.notes == ("a note",)


def test_all_faults_of_a_case_are_told_at_once():
    """Faults of the case and of each load come in one error, by field."""
    case = replace(
        CASE,
        id="a/b",
        axes="steer",
        steerer_angle_deg=math.nan,
        loads=(CASE.loads[0], Load((0.0, 0.0, 1.0), at_mm=355), Load(at_mm=100)),
        cycle=Cycle(cycles=0),
    )
    with pytest.raises(InputError) as caught:
        place_case(case, bar(), CLAMP)
    assert [p.field for p in caught.value.problems] == [
        "id",
        "axes",
        "steerer_angle_deg",
        "cycle.cycles",
        "loads[1].at_mm",
        "loads[2]",
    ]


def test_a_case_without_loads_is_refused():
    """A case needs a load."""
    with pytest.raises(InputError, match="loads: holds no load"):
        place_case(replace(CASE, loads=()), bar(), CLAMP)


def test_ids_stand_once():
    """Two cases of one id are refused."""
    with pytest.raises(InputError, match=r"cases\[1\]\.id: 'mine' is given twice"):
        check_cases([CASE, CASE])


@pytest.mark.parametrize("other", ["mine", "yous"])
def test_the_other_end_of_a_cycle_is_another_case(other):
    """A cycle names another case of the study."""
    cases = [replace(CASE, cycle=Cycle(other=other)), replace(CASE, id="yours")]
    with pytest.raises(InputError, match=r"cases\[0\]\.cycle\.other"):
        check_cases(cases)


def test_cases_that_belong_together():
    """A cycle between two cases passes."""
    check_cases([replace(CASE, cycle=Cycle(other="yours", cycles=1e5)), replace(CASE, id="yours")])
