"""Fatigue of smooth places: lives and damage worked by hand, and what has none."""

import math

import numpy as np
import pytest

from fea.fatigue import range_widths
from fea.fatigue.curve import MPA_PER_KSI, amplitude_at_life_mpa, life_cycles
from fea.fatigue.notes import notes_of
from fea.fatigue.result import Decision
from fea.fatigue.severity import Severities, Severity
from fea.fatigue.stress_cycles import Stage, cyclic_stress
from geometry.errors import InputError
from support.fatigue_stages import (
    ALUMINIUM,
    AT_1E5_MPA,
    BY_HAND,
    STEEL,
    TITANIUM,
    edge_result,
    pulsating_stage,
    result,
    reversed_stage,
    stress,
)


def worst_of(found):
    """Return amplitude, mean and ratio of the worst place, factored."""
    worst = found.worst.estimate.worst
    return worst.amplitude_mpa, worst.mean_mpa, worst.ratio


def test_reversed_tension():
    """150 MPa reversed: 21.756 x 2^0.63 = 33.67 ksi, log N = 20.68 - 9.84 x 1.5272 = 5.652."""
    found = result(reversed_stage([(20, 0, 0), (150, 0, 0)]))
    assert (found.worst.estimate.worst.place, found.worst.site.s_mm) == (1, 1.0)
    assert worst_of(found) == (150, 0, -1)
    assert found.life.middle == pytest.approx(448_700, rel=BY_HAND)
    assert found.damage == pytest.approx(1e5 / found.life.middle)
    assert found.factor.middle == pytest.approx(AT_1E5_MPA / 150)
    assert (found.basis, found.curve) == ("life equation", ALUMINIUM.fatigue[0])


def test_without_scatter_a_smooth_place_has_the_life_of_the_handbook(monkeypatch):
    """No clamp, no finish, no scatter: the range is the median life alone."""
    assert (wide := result(reversed_stage([(150, 0, 0)])).life).low < wide.middle < wide.high
    monkeypatch.setattr(range_widths, "SCATTER", 1.0)
    found = result(reversed_stage([(150, 0, 0)]))
    assert found.life == pytest.approx([life_cycles(ALUMINIUM.fatigue[0], 150)] * 3)
    assert found.factor == pytest.approx([AT_1E5_MPA / 150] * 3)


def test_the_scatter_of_lives_is_a_factor_of_about_three():
    """6061-T6 of no A4: lives of a smooth place run from N / 3.115 to 3.115 N."""
    life = result(reversed_stage([(150, 0, 0)])).life
    assert life.middle / life.low == pytest.approx(3.115, rel=1e-3)
    assert life.high / life.middle == pytest.approx(3.115, rel=1e-3)


def test_five_percent_more_stress_leaves_the_tolerance():
    """The hand-worked life is missed by far, were the stress off by 5 %."""
    found = result(reversed_stage([(1.05 * 150, 0, 0)]))
    assert found.life.middle != pytest.approx(448_700, rel=100 * BY_HAND)


def test_hoop_stress_pulsating_from_zero():
    """0 to 240 MPa across: Smax 34.81 ksi at R = 0, log N = 20.68 - 9.84 x 1.5417 = 5.510."""
    found = result(pulsating_stage([(0, 240, 0)]))
    assert worst_of(found) == (120, 120, 0)
    assert found.life.middle == pytest.approx(323_400, rel=BY_HAND)


def test_a_compressive_mean_is_no_mean():
    """0 to -240 MPa lives as long as 120 MPa reversed, by loads or by a steady stress."""
    pressed = result(pulsating_stage([(-240, 0, 0)]))
    steady = result(reversed_stage([(120, 0, 0)]), steady=stress((-90, 0, 0)))
    plain = result(reversed_stage([(120, 0, 0)]))
    assert worst_of(pressed)[1] == worst_of(steady)[1] == 0
    assert pressed.life == pytest.approx(plain.life, rel=1e-12)
    assert steady.life == pytest.approx(plain.life, rel=1e-12)
    assert steady.factor == pytest.approx(plain.factor, rel=1e-4)


def test_a_steady_tension_shifts_the_mean():
    """100 MPa reversed under 60 steady: R = 40 / -160, Seq = 160 x 1.25^0.63 = 184.1 MPa."""
    found = result(reversed_stage([(100, 0, 0)]), steady=stress((60, 0, 0)))
    assert worst_of(found)[2] == pytest.approx(-0.25)
    life = 10 ** (20.68 - 9.84 * math.log10(184.14 / MPA_PER_KSI))
    assert found.life.middle == pytest.approx(life, rel=BY_HAND)


def test_the_mean_is_the_sum_of_the_normal_means():
    """60 along or across or shared, and any steady shear: one mean (Sines)."""
    rows = [(60, 0, 0), (0, 60, 0), (90, -30, 0), (20, 40, 70)]
    lives = {result(reversed_stage([(100, 0, 0)]), steady=stress(row)).life for row in rows}
    assert len(lives) == 1


def test_the_surface_scales_strength_and_keeps_the_ratio():
    """100 MPa reversed under 60 steady, surface 0.85: Seq 184.14 / 0.85 = 216.6 MPa."""
    half = Severities(*[Severity(1.0, 0.85)] * 3)
    found = result(reversed_stage([(100, 0, 0)]), steady=stress((60, 0, 0)), levels=half)
    life = 10 ** (20.68 - 9.84 * math.log10(216.64 / MPA_PER_KSI))
    assert found.worst.estimate.worst.ratio == pytest.approx(-0.25)
    assert found.life.middle == pytest.approx(life, rel=BY_HAND)


def test_the_clamp_multiplies_the_loads_and_not_the_steady_stress():
    """K 1.5 on 0 to 80 MPa under 30 steady at an edge: amplitude 60, mean 60 + 30."""
    found = edge_result(pulsating_stage([(80, 0, 0)]), steady=stress((30, 0, 0)))
    assert worst_of(found)[:2] == pytest.approx((60, 90))
    assert (found.worst.amplitude_mpa, found.worst.stress_factor) == pytest.approx((40, 1.5))


def test_miner_of_two_stages():
    """1e5 at 150 MPa (life 448 700) and 3e3 at 200 MPa (26 460): 0.2229 + 0.1134 = 0.3363."""
    found = result(reversed_stage([(150, 0, 0)]), reversed_stage([(200, 0, 0)], 3e3))
    assert found.damage == pytest.approx(0.3363, rel=BY_HAND)
    assert found.life.middle == pytest.approx(103_000 / 0.3363, rel=BY_HAND)
    assert (found.worst.estimate.worst.stage, found.cycles) == (0, 103_000)
    # all lives go with the power -9.84 of the stress
    assert found.factor.middle == pytest.approx(0.3363 ** (-1 / 9.84), rel=BY_HAND)


def test_stages_add_up_whatever_their_direction_but_not_across_places():
    """Axial and hoop stress at one place are twice the damage, at two places not."""
    one = result(reversed_stage([(150, 0, 0)]))
    turned = result(reversed_stage([(150, 0, 0)]), reversed_stage([(0, 150, 0)]))
    rows = [(150, 0, 0), (0, 0, 0)]
    apart = result(reversed_stage(rows), reversed_stage(rows[::-1]))
    assert turned.damage == pytest.approx(2 * one.damage, rel=1e-9)
    assert apart.damage == pytest.approx(one.damage, rel=1e-9)


def test_reliability_scales_the_strength_and_replaces_the_scatter():
    """0.8 of the median: the factor falls to 0.8, the life as at 150 / 0.8 MPa, no scatter left."""
    median = result(reversed_stage([(150, 0, 0)]))
    found = result(reversed_stage([(150, 0, 0)]), reliability=0.8)
    assert found.factor == pytest.approx([0.8 * median.factor.middle] * 3)
    assert found.life == pytest.approx([life_cycles(ALUMINIUM.fatigue[0], 150 / 0.8)] * 3)
    assert any("0.8" in note for note in notes_of(found, ALUMINIUM))
    with pytest.raises(InputError, match="reliability_factor"):
        result(reversed_stage([(150, 0, 0)]), reliability=1.1)


def test_a_stress_above_the_curve_has_no_life_but_a_factor():
    """285 MPa reversed lives less than 1e3 cycles: 0 stands for it, and the factor is known."""
    found = result(reversed_stage([(100, 0, 0), (285, 0, 0), (281, 0, 0)]))
    assert found.worst.estimate.worst.place == 1
    assert (found.life.low, found.life.middle) == (0, 0)
    assert found.factor.middle == pytest.approx(AT_1E5_MPA / 285)
    assert found.decision is Decision.CRACK
    assert any("Below 1000 cycles" in note for note in notes_of(found, ALUMINIUM))


def test_the_tensile_strength_ends_the_curve():
    """0 to 292 MPa has a life by the equation, and none here: the strength is 290 MPa."""
    assert life_cycles(ALUMINIUM.fatigue[0], 146, 0.0) > 1e4
    found = result(pulsating_stage([(292, 0, 0)], 2e3))
    assert found.life.middle == 0
    assert found.factor.middle == pytest.approx(290 / 292)


def test_a_stress_below_the_curve_lives_at_least_1e8():
    """Places with little stress: 1e8 cycles are told, and the factor still computed."""
    found = result(reversed_stage([(40, 0, 0), (60, 0, 0)]))
    assert (found.worst.estimate.worst.place, found.life) == (1, (1e8, 1e8, 1e8))
    assert found.factor.middle == pytest.approx(AT_1E5_MPA / 60)
    assert found.decision is Decision.NO_CRACK


def test_worst_place_below_the_fatigue_limit_of_steel():
    """No damage anywhere: the most stressed place is named nevertheless."""
    found = result(reversed_stage([(40, 0, 0), (80, 0, 0), (60, 0, 0)]), material=STEEL)
    assert (found.worst.estimate.worst.place, found.damage) == (1, 0)
    assert found.life == (1e8, 1e8, 1e8)


@pytest.mark.parametrize("material", [ALUMINIUM, STEEL, TITANIUM])
@pytest.mark.parametrize("amplitude", [0, 1e-7, 1e-300, 5e-324])
@pytest.mark.parametrize("steady", [None, stress((50, 0, 0))])
def test_rounding_is_no_movement(material, amplitude, steady):
    """A steady stress alone, or one of the last digits, wears nothing and has no factor."""
    found = result(reversed_stage([(amplitude, 0, 0)]), material=material, steady=steady)
    assert found.factor is found.life is found.decision is None
    notes = notes_of(found, material)
    assert any("no stress varies" in note for note in notes)
    assert not any("No life" in note for note in notes)


def test_few_and_many_cycles_are_told():
    """Ten cycles take the stress of 1e3; 1e9 go beyond the curve."""
    few = result(reversed_stage([(100, 0, 0)], 10))
    many = result(reversed_stage([(100, 0, 0)], 1e9))
    assert few.factor.middle == pytest.approx(279.1 / 100, rel=1e-3)  # four digits
    expected = amplitude_at_life_mpa(ALUMINIUM.fatigue[0], 1e9) / 100
    assert many.factor.middle == pytest.approx(expected)
    assert any("Fewer than 1000" in note for note in notes_of(few, ALUMINIUM))
    assert any("More than 1e+08" in note for note in notes_of(many, ALUMINIUM))


@pytest.mark.parametrize(
    ("field", "make"),
    [
        ("stages", lambda: cyclic_stress([])),
        ("stages[0].second_mpa", lambda: cyclic_stress([Stage(np.ones((2, 3)), np.ones(3), 1)])),
        ("stages[0].first_mpa", lambda: cyclic_stress([reversed_stage([(math.nan, 0, 0)])])),
        ("stages[0].cycles", lambda: cyclic_stress([reversed_stage([(1, 0, 0)], 0)])),
        ("steady_mpa", lambda: cyclic_stress([reversed_stage([(1, 0, 0)])], np.ones((2, 3)))),
        ("at_clamp", lambda: cyclic_stress([reversed_stage([(1, 0, 0)])], None, np.ones(2, bool))),
    ],
)
def test_arrays_that_do_not_fit_are_refused(field, make):
    """Shape, number and limit of each array are judged."""
    with pytest.raises(InputError) as caught:
        make()
    assert field in [problem.field for problem in caught.value.problems]
