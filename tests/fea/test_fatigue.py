"""Fatigue of surface places: lives and damage worked by hand, and what has none."""

import math

import numpy as np
import pytest
from fea.fatigue.stress_history import PLANES_DEG, Stage, cyclic_stress

from fea.fatigue.curve import MPA_PER_KSI, amplitude_at_life_mpa, life_cycles
from geometry.errors import InputError
from support.fatigue_stages import (
    ALUMINIUM,
    AT_1E5_MPA,
    BY_HAND,
    STEEL,
    TITANIUM,
    pulsating_stage,
    result,
    reversed_stage,
    stress,
)


def test_reversed_tension():
    """150 MPa reversed: 21.756 x 2^0.63 = 33.67 ksi, log N = 20.68 - 9.84 x 1.5272 = 5.652."""
    found = result(reversed_stage([(20, 0, 0), (150, 0, 0)]))
    assert (found.place_index, found.plane_deg, found.stage_index) == (1, 0, 0)
    assert (found.amplitude_mpa, found.mean_mpa, found.stress_ratio) == (150, 0, -1)
    assert found.life_cycles == pytest.approx(448_700, rel=BY_HAND)
    assert found.damage == pytest.approx(1e5 / found.life_cycles)
    assert found.repetitions == pytest.approx(found.life_cycles / 1e5)
    assert found.stress_factor == pytest.approx(
        amplitude_at_life_mpa(ALUMINIUM.fatigue[0], 1e5) / 150
    )
    assert found.basis == "life equation"
    assert "half" in found.notes[0]


def test_five_percent_more_stress_leaves_the_tolerance():
    """The hand-worked life is missed by far, were the stress off by 5 %."""
    found = result(reversed_stage([(1.05 * 150, 0, 0)]))
    assert found.life_cycles != pytest.approx(448_700, rel=100 * BY_HAND)


def test_hoop_stress_pulsating_from_zero():
    """0 to 240 MPa across: Smax 34.81 ksi at R = 0, log N = 20.68 - 9.84 x 1.5417 = 5.510."""
    found = result(pulsating_stage([(0, 240, 0)]))
    assert (found.plane_deg, found.amplitude_mpa, found.mean_mpa) == (90, 120, 120)
    assert found.stress_ratio == 0
    assert found.life_cycles == pytest.approx(323_400, rel=BY_HAND)


def test_torsion_acts_at_45_degrees():
    """100 MPa of shear reversed is 100 MPa of normal stress at 45 deg, and a doubt is told."""
    found = result(reversed_stage([(0, 0, 100)]))
    assert found.plane_deg in {45, 135}
    assert found.amplitude_mpa == pytest.approx(100)
    assert found.life_cycles == pytest.approx(life_cycles(ALUMINIUM.fatigue[0], 100))
    assert any("1.73 times" in note for note in found.notes)
    assert not any("Shear" in note for note in result(reversed_stage([(100, 0, 0)])).notes)


def test_positive_shear_pulls_at_plus_45_degrees():
    """Positive shear pulsating pulls on the plane at 45 deg and presses on that at 135 deg."""
    assert result(pulsating_stage([(0, 0, 100)])).plane_deg == 45
    assert result(pulsating_stage([(0, 0, -100)])).plane_deg == 135


def test_a_compressive_mean_is_no_mean():
    """0 to -240 MPa lives as long as 120 MPa reversed, by loads or by a preload."""
    pressed = result(pulsating_stage([(-240, 0, 0)]))
    preloaded = result(reversed_stage([(120, 0, 0)]), steady=stress((-90, 0, 0)))
    plain = result(reversed_stage([(120, 0, 0)]))
    assert pressed.mean_mpa == preloaded.mean_mpa == 0
    assert pressed.life_cycles == pytest.approx(plain.life_cycles, rel=1e-12)
    assert preloaded.life_cycles == pytest.approx(plain.life_cycles, rel=1e-12)


def test_a_tensile_preload_shifts_the_mean():
    """100 MPa reversed under 60 steady: R = 40 / -160, Seq = 160 x 1.25^0.63 = 184.1 MPa."""
    found = result(reversed_stage([(100, 0, 0)]), steady=stress((60, 0, 0)))
    assert found.stress_ratio == pytest.approx(-0.25)
    life = 10 ** (20.68 - 9.84 * math.log10(184.14 / MPA_PER_KSI))
    assert found.life_cycles == pytest.approx(life, rel=BY_HAND)


def test_notch_factor_multiplies_loads_and_not_the_preload():
    """Kf 2 on 0 to 100 MPa under 30 steady: amplitude 100, mean 100 + 30."""
    found = result(pulsating_stage([(100, 0, 0)]), steady=stress((30, 0, 0)), kf=np.array([2.0]))
    assert (found.amplitude_mpa, found.mean_mpa) == (100, 130)


def test_notch_factor_moves_the_worst_place():
    """110 MPa with Kf 1.5 is worse than 150 MPa without."""
    found = result(reversed_stage([(150, 0, 0), (110, 0, 0)]), kf=np.array([1.0, 1.5]))
    assert (found.place_index, found.amplitude_mpa) == (1, pytest.approx(165))


def test_miner_of_two_stages_on_one_plane():
    """1e5 at 150 MPa (life 448 700) and 3e3 at 200 MPa (26 460): 0.2229 + 0.1134 = 0.3363."""
    found = result(reversed_stage([(150, 0, 0)]), reversed_stage([(200, 0, 0)], 3e3))
    assert found.damage == pytest.approx(0.3363, rel=BY_HAND)
    assert found.repetitions == pytest.approx(1 / 0.3363, rel=BY_HAND)
    assert found.life_cycles == pytest.approx(103_000 / 0.3363, rel=BY_HAND)
    assert (found.stage_index, found.cycles) == (0, 103_000)
    # all lives go with the power -9.84 of the stress
    assert found.stress_factor == pytest.approx(0.3363 ** (-1 / 9.84), rel=BY_HAND)


@pytest.mark.parametrize(
    "rows", [([(150, 0, 0)], [(0, 150, 0)]), ([(150, 0, 0), (0, 0, 0)], [(0, 0, 0), (150, 0, 0)])]
)
def test_damage_of_other_planes_and_places_does_not_add(rows):
    """Axial and hoop stress, or stress at two places, each do their own damage."""
    first, second = rows
    one = result(reversed_stage(first))
    both = result(reversed_stage(first), reversed_stage(second))
    assert both.damage == pytest.approx(one.damage, rel=1e-9)


def test_reliability_scales_the_allowable_amplitude():
    """0.8 of the median: the factor falls to 0.8, the life as at 150 / 0.8 MPa."""
    median = result(reversed_stage([(150, 0, 0)]))
    found = result(reversed_stage([(150, 0, 0)]), reliability=0.8)
    assert found.stress_factor == pytest.approx(0.8 * median.stress_factor)
    assert found.life_cycles == pytest.approx(life_cycles(ALUMINIUM.fatigue[0], 150 / 0.8))
    assert "0.8" in found.notes[0]
    with pytest.raises(InputError, match="reliability_factor"):
        result(reversed_stage([(150, 0, 0)]), reliability=1.1)


def test_a_stress_above_the_curve_has_no_life_but_a_factor():
    """285 MPa reversed lives less than 1e3 cycles: no life, the range, and the factor."""
    found = result(reversed_stage([(100, 0, 0), (285, 0, 0), (281, 0, 0)]))
    assert found.place_index == 1
    assert found.life_cycles is found.repetitions is found.damage is None
    assert not found.beyond_curve
    assert found.stress_factor == pytest.approx(AT_1E5_MPA / 285)
    assert any("above the 279 MPa" in note for note in found.notes)


def test_the_tensile_strength_ends_the_curve():
    """0 to 292 MPa has a life by the equation, and none here: the strength is 290 MPa."""
    assert life_cycles(ALUMINIUM.fatigue[0], 146, 0.0) > 1e4
    found = result(pulsating_stage([(292, 0, 0)], 2e3))
    assert found.life_cycles is None
    assert found.stress_factor == pytest.approx(290 / 292)


def test_a_stress_below_the_curve_lives_at_least_1e8():
    """Place with little stress: at least 1e8 cycles, marked, and the factor still computed."""
    found = result(reversed_stage([(40, 0, 0), (80, 0, 0)]))
    assert (found.place_index, found.life_cycles, found.beyond_curve) == (1, 1e8, True)
    assert found.repetitions == 1000
    assert found.stress_factor == pytest.approx(AT_1E5_MPA / 80)


def test_worst_place_below_the_fatigue_limit_of_steel():
    """No damage anywhere: the most stressed place is named nevertheless."""
    found = result(reversed_stage([(40, 0, 0), (80, 0, 0), (60, 0, 0)]), material=STEEL)
    assert (found.place_index, found.damage, found.life_cycles) == (1, 0, 1e8)


@pytest.mark.parametrize("material", [ALUMINIUM, STEEL, TITANIUM])
def test_nothing_moves(material):
    """A steady stress alone wears nothing and has no factor."""
    found = result(reversed_stage([(0, 0, 0)]), material=material, steady=stress((50, 0, 0)))
    assert found.stress_factor is None
    assert any("no stress varies" in note for note in found.notes)
    assert not any("No life" in note for note in found.notes)


@pytest.mark.parametrize("material", [ALUMINIUM, TITANIUM])
@pytest.mark.parametrize("amplitude", [1e-7, 1e-300, 5e-324])
def test_rounding_is_no_movement(material, amplitude):
    """A stress of the last digits has no factor, rather than one beyond all numbers."""
    for steady in (None, stress((50, 0, 0))):
        found = result(reversed_stage([(amplitude, 0, 0)]), material=material, steady=steady)
        assert found.stress_factor is None
        assert any("no stress varies" in note for note in found.notes)


def test_few_and_many_cycles_are_told():
    """Ten cycles take the stress of 1e3; 1e9 go beyond the curve."""
    few = result(reversed_stage([(100, 0, 0)], 10))
    many = result(reversed_stage([(100, 0, 0)], 1e9))
    assert few.stress_factor == pytest.approx(279.1 / 100, rel=1e-3)  # four digits
    assert any("Fewer than 1000" in note for note in few.notes)
    assert any("More than 1e+08" in note for note in many.notes)


@pytest.mark.parametrize(
    ("field", "make"),
    [
        ("stages", lambda: cyclic_stress([])),
        ("stages[0].second_mpa", lambda: cyclic_stress([Stage(np.ones((2, 3)), np.ones(3), 1)])),
        ("stages[0].first_mpa", lambda: cyclic_stress([reversed_stage([(math.nan, 0, 0)])])),
        ("stages[0].cycles", lambda: cyclic_stress([reversed_stage([(1, 0, 0)], 0)])),
        ("steady_mpa", lambda: cyclic_stress([reversed_stage([(1, 0, 0)])], np.ones((2, 3)))),
        ("kf", lambda: cyclic_stress([reversed_stage([(1, 0, 0)])], None, np.array([0.5]))),
        ("kf", lambda: cyclic_stress([reversed_stage([(1, 0, 0)])], None, np.array([1.0, 1.0]))),
        ("kf", lambda: cyclic_stress([reversed_stage([(1, 0, 0)])], None, np.array([math.nan]))),
    ],
)
def test_arrays_that_do_not_fit_are_refused(field, make):
    """Shape, number and limit of each array are judged."""
    with pytest.raises(InputError) as caught:
        make()
    assert field in [problem.field for problem in caught.value.problems]


def test_planes_are_36_and_five_degrees_apart():
    """Bounds and doubts above count on it."""
    assert len(PLANES_DEG) == 36
    assert np.all(np.diff(PLANES_DEG) == 5)
