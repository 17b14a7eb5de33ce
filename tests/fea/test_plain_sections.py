"""The check of plain sections, red at 15 %, and what is not judged at a rigid clamp's edge."""

from dataclasses import replace

import pytest

from fea.beam.section import nominal_von_mises_mpa
from fea.beam.statics import arm_resultants
from fea.solid.hot_spot import read_surface
from fea.solid.model import build_model, mesh_for
from fea.solid.recovery import SurfaceStress
from fea.stability.criteria import HOOP_YIELD, YIELD
from fea.stability.local_map import local_map
from fea.stability.stability import walls_of_model
from fea.verification.checks import MAX_SECTION_GAP, Check, section_checks
from geometry.arrays import Floats
from loadcases.clamp import Clamp
from loadcases.levers import LeverClamp
from support.fatigue_bars import BOLTS, DOWN, METAL, OD, WALL, Held, solved
from support.tubes import straight_bar


def checked(share: float, levers: tuple[LeverClamp, ...] = ()) -> tuple[Check, ...]:
    """Return the check of a straight bar with this share of its stress."""
    model, _, stresses = solved()
    stress = SurfaceStress(share * stresses[0].outer, share * stresses[0].inner)
    return section_checks(model, [DOWN], levers, stress)


def test_the_stress_of_plain_sections_is_their_own() -> None:
    """A coarse mesh on a straight bar: within the limit, and 15 % more or less is not."""
    (own,) = checked(1.0)
    assert own.name == "plain sections, stress off their own, share"
    assert own.passed
    assert own.limit == MAX_SECTION_GAP
    for share in (0.85, 1.15):
        (off,) = checked(share)
        assert not off.passed
        assert off.value == pytest.approx(0.15, abs=own.value + 1e-9)


def test_the_sections_own_stress_by_hand() -> None:
    """450 N at 150 mm: M c/I at 50 and 90 mm, with no tension and no torsion."""
    model, _, _ = solved()
    s: Floats = model.mesh.sheet.nodes[:2, 0] * 0 + [50.0, 90.0]
    resultants = arm_resultants(model.bar, model.clamp, [[DOWN]], s)[0]
    inner = OD - 2 * WALL
    inertia = 3.141592653589793 * (OD**4 - inner**4) / 64
    by_hand = [450 * arm * OD / 2 / inertia for arm in (100.0, 60.0)]
    assert nominal_von_mises_mpa(model.bar, s, resultants) == pytest.approx(by_hand, rel=1e-6)


def test_a_bar_without_plain_places_has_no_such_check() -> None:
    """Every place of 70 mm lies within a diameter of the clamp or of the bar's end."""
    bar, clamp = straight_bar(70.0, OD, WALL, METAL), Clamp(40.0)
    load = replace(DOWN, at_mm=55.0)
    model = build_model(bar, clamp, mesh_for(bar, clamp, [load], "coarse"))
    _, _, stresses = solved()
    assert section_checks(model, [load], (), stresses[0]) == ()


def test_sections_under_a_lever_are_not_plain() -> None:
    """A lever over the loaded arm leaves the arm without load, which has no stress to compare."""
    lever = LeverClamp(at_mm=80.0, width_mm=90.0, bolts=BOLTS)
    assert checked(1.0, (lever,)) == ()


@pytest.mark.parametrize("held", ["rigid", "elastic"])
def test_hoop_yield_is_not_judged_at_a_rigid_edge(held: Held) -> None:
    """Its wall bending there is that of a singularity; first yield is judged all the same."""
    model, _, stresses = solved(held)
    reading = read_surface(model, stresses[0], [DOWN])
    used = local_map(walls_of_model(model), reading).used
    assert reading.at_rigid_edge.any() == (held == "rigid")
    edge = abs(abs(model.mesh.sheet.nodes[:, 0]) - 20.0) < 1e-6
    assert (used[HOOP_YIELD.id][edge].max() > 0) == (held == "elastic")
    assert used[YIELD.id][edge].max() > 0
