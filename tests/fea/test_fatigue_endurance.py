"""Fatigue by a listed endurance alone: Goodman's line, its ends, and what it cannot decide."""

import math

import pytest

from fea.fatigue.notes import notes_of
from fea.fatigue.result import Decision
from support.fatigue_stages import (
    TITANIUM,
    edge_result,
    pulsating_stage,
    result,
    reversed_stage,
    stress,
    surface_result,
)

LOW, HIGH = 170.0, 210.0
MIDDLE = math.sqrt(LOW * HIGH)


@pytest.mark.parametrize(
    ("stage", "steady", "factor"),
    [
        (reversed_stage([(100, 0, 0)]), None, MIDDLE / 100),
        (pulsating_stage([(200, 0, 0)]), None, 1 / (100 / MIDDLE + 100 / 345)),
        (reversed_stage([(100, 0, 0)]), stress((69, 0, 0)), 0.8 * MIDDLE / 100),
        (reversed_stage([(100, 0, 0)]), stress((-69, 0, 0)), MIDDLE / 100),
        (pulsating_stage([(-200, 0, 0)]), stress((100, 0, 0)), MIDDLE / 100),
        (reversed_stage([(100, 0, 0)]), stress((345, 0, 0)), 0),
    ],
)
def test_listed_endurance_with_goodmans_line(stage, steady, factor):
    """CP titanium, 170 to 210 MPa at 1e7 and 345 MPa tensile: multiples worked on paper."""
    found = result(stage, material=TITANIUM, steady=steady)
    assert found.factor.middle == pytest.approx(factor)
    assert found.life is found.damage is found.curve is None
    assert (found.basis, found.endurance) == ("listed endurance", TITANIUM.endurance)
    assert "from memory, unverified" in notes_of(found, TITANIUM)[0]


def test_the_ends_of_the_list_are_the_range_of_a_smooth_place():
    """100 MPa reversed: from 170 / 100 to 210 / 100."""
    found = result(reversed_stage([(100, 0, 0)]), material=TITANIUM)
    assert found.factor == pytest.approx((1.70, MIDDLE / 100, 2.10))
    assert found.decision is Decision.NO_CRACK


def test_surface_and_list_are_independent_bands():
    """Surface 0.70, 0.85, 1.00 and the list: logarithms add as squares."""
    found = surface_result(reversed_stage([(100, 0, 0)]), material=TITANIUM)
    listed = math.log10(HIGH / LOW) / 2
    low, high = (
        math.hypot(listed, math.log10(0.85 / 0.70)),
        math.hypot(listed, math.log10(1 / 0.85)),
    )
    middle = 0.85 * MIDDLE / 100
    assert found.factor == pytest.approx((middle * 10**-low, middle, middle * 10**high))


def test_a_clamp_takes_the_factor_of_titanium_at_the_cycles_required():
    """1e7 cycles at an edge: K = 1 + 0.38 x 100^0.3 = 2.513."""
    found = edge_result(reversed_stage([(50, 0, 0)], 1e7), material=TITANIUM)
    assert found.factor.middle == pytest.approx(MIDDLE / (2.513 * 50), rel=1e-3)


@pytest.mark.parametrize(("amplitude", "high"), [(180, "above"), (250, "below"), (900, "below")])
def test_a_list_never_says_that_a_crack_is_due(amplitude, high):
    """170 to 210 MPa: a load beyond even the high end stays undecided."""
    found = result(reversed_stage([(amplitude, 0, 0)]), material=TITANIUM)
    assert found.factor.low < 1
    assert (found.factor.high < 1) == (high == "below")
    assert found.decision is Decision.OPEN


@pytest.mark.parametrize(("cycles", "known"), [(1e7, True), (2e7, False)])
def test_listed_endurance_covers_no_more_cycles_than_its_own(cycles, known):
    """2e7 cycles on an amplitude listed for 1e7: no factor, and the reason."""
    found = result(reversed_stage([(100, 0, 0)], cycles), material=TITANIUM)
    assert (found.factor is not None) == known
    assert any("2e+07 cycles" in note for note in notes_of(found, TITANIUM)) != known


def test_reliability_counts_for_a_listed_endurance():
    """0.9 of the amplitude is 0.9 of the factor."""
    found = result(reversed_stage([(100, 0, 0)]), material=TITANIUM, reliability=0.9)
    assert found.factor.middle == pytest.approx(0.9 * MIDDLE / 100)
