"""The range: against an answer number by number, what it decides, and how it moves with stress."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fea.fatigue.result import Decision
from fea.fatigue.stress_cycles import Stage
from support import fatigue_by_number as by_number
from support.fatigue_by_number import ALUMINIUM_C, ROWS, Place
from support.fatigue_stages import (
    ALUMINIUM,
    STEEL,
    STRONG_ALUMINIUM,
    edge_result,
    reversed_stage,
    stress,
    surface_result,
)

METALS = {"al-6061-t6": ALUMINIUM, "al-7075-t6": STRONG_ALUMINIUM}
NO_STRESS = (0.0, 0.0, 0.0)

SPECTRA = [
    [((97.5, 0, 20), (-97.5, 0, -20), 1e5)],
    [((-150, -70, 10), (150, 70, -10), 3e4)],
    [((120, 30, 25), (10, 0, -15), 2e5)],
    [((60, 20, 70), (-60, -20, -70), 5e3)],  # fewer than 1e4 cycles: Tresca
    [((97.5, 0, 0), (-97.5, 0, 0), 1e5), ((150, 10, 0), (-20, 10, 30), 1e4)],
]


@pytest.mark.parametrize(
    ("metal", "steady"), [("al-7075-t6", NO_STRESS), ("al-6061-t6", (40.0, -10.0, 5.0))]
)
@pytest.mark.parametrize("at_clamp", [True, False])
@pytest.mark.parametrize("stages", SPECTRA)
def test_range_against_an_answer_number_by_number(stages, at_clamp, metal, steady):
    """Low, middle and high of factor and life, with one stage and two, with steady stress."""
    judge = edge_result if at_clamp else surface_result
    arrays = [Stage(stress(a), stress(b), n) for a, b, n in stages]
    found = judge(*arrays, material=METALS[metal], steady=stress(steady), clamp_change=0.01)
    place = Place(
        ROWS[metal],
        [plain(*stage) for stage in stages],
        ALUMINIUM_C if at_clamp else None,
        steady=steady,
        ultimate_mpa=METALS[metal].ultimate_stress_mpa,
        g=(0.01, 0.01),
    )
    stage = found.worst.estimate.worst.stage
    assert found.factor == pytest.approx(by_number.factors(place, stage), rel=1e-5)
    for life, expected in zip(found.life, by_number.lives(place, stage), strict=True):
        shown = 0.0 if expected < 1e3 else min(expected, 1e8)
        # a stage of less than 1e3 cycles has no life at all
        assert life == pytest.approx(shown, rel=1e-4) or (life == 0 and expected < 1e4)


def plain(first, second, cycles):
    """Return a stage of numbers."""
    ends = list(zip(first, second, strict=True))
    half, mean = (tuple((a + k * b) / 2 for a, b in ends) for k in (-1, 1))
    return by_number.Stage(half, mean, cycles)


component = st.floats(-120, 120)
state = st.tuples(component, component, component)
reversed_of = st.tuples(state, st.floats(2e3, 5e6))
tension = st.sampled_from([NO_STRESS, (60.0, -20.0, 10.0), (-60.0, 0.0, 0.0)])


@settings(deadline=None, max_examples=30)
@given(reversed_of, tension, st.booleans(), st.floats(0.3, 3))
def test_each_factor_decides_as_its_life_does(row, steady, at_clamp, scale):
    """A factor of at least 1 where the life is at least n, and only there, at all three ends."""
    check_decisions([row], steady, at_clamp, scale)


@settings(deadline=None, max_examples=3)
@given(st.lists(reversed_of, min_size=2, max_size=2), tension, st.booleans())
def test_each_factor_of_a_spectrum_decides_as_its_life_does(rows, steady, at_clamp):
    """Likewise for two stages."""
    check_decisions(rows, steady, at_clamp, 1.0)


def check_decisions(rows, steady, at_clamp, scale):
    """Compare factors with 1 and lives with the cycles required."""
    judge = edge_result if at_clamp else surface_result
    stages = [reversed_stage([tuple(scale * v for v in row)], n) for row, n in rows]
    found = judge(*stages, steady=stress(steady))
    assume(found.factor is not None)
    for factor, life in zip(found.factor, found.life, strict=True):
        assume(abs(factor - 1) > 1e-4)  # the search's own rounding
        assert (factor >= 1) == (life >= found.cycles)


@pytest.mark.parametrize("end", [0, 1, 2])
@pytest.mark.parametrize(("at_clamp", "count"), [(True, 1), (False, 1), (False, 2)])
def test_just_at_the_cycles_required(end, at_clamp, count):
    """Loads times an end of the factor have that end of the life at the cycles required."""
    judge = edge_result if at_clamp else surface_result
    rows = [(90.0, 10.0, 20.0), (60.0, 0.0, -30.0)][:count]
    factor = judge(*[reversed_stage([row]) for row in rows]).factor[end]
    scaled = [reversed_stage([tuple(factor * value for value in row)]) for row in rows]
    found = judge(*scaled)
    assert found.factor[end] == pytest.approx(1, rel=1e-5)
    assert found.life[end] == pytest.approx(found.cycles, rel=1e-4)


@settings(deadline=None, max_examples=20)
@given(state, tension, st.booleans(), st.floats(1.01, 1.5), st.sampled_from([ALUMINIUM, STEEL]))
def test_factors_and_lives_fall_as_stress_grows(row, steady, at_clamp, growth, material):
    """More reversed stress: no life grows, every factor falls; all ends without steady stress."""
    judge = edge_result if at_clamp else surface_result
    less, more = (
        judge(
            reversed_stage([tuple(scale * value for value in row)]),
            material=material,
            steady=stress(steady),
        )
        for scale in (1.0, growth)
    )
    assume(less.factor is not None)
    assert more.factor.middle == pytest.approx(less.factor.middle / growth, rel=1e-4)
    assert more.life.middle <= less.life.middle
    # under a steady stress the ratio moves with the load, and the width of the range with it
    if steady == NO_STRESS:
        assert all(b < a for a, b in zip(less.factor, more.factor, strict=True))
        assert all(b <= a for a, b in zip(less.life, more.life, strict=True))


@settings(deadline=None, max_examples=20)
@given(state, st.floats(5e3, 1e8), st.booleans())
def test_more_cycles_required_lower_the_factor(row, cycles, at_clamp):
    """At a clamp as elsewhere, with the factor growing with life."""
    assume(cycles < 9e3 or cycles > 1e4)  # Tresca ends between the two
    judge = edge_result if at_clamp else surface_result
    few, many = (judge(reversed_stage([row], n)).factor for n in (cycles, 1.1 * cycles))
    assume(few is not None)
    assert all(b < a for a, b in zip(few, many, strict=True))


@pytest.mark.parametrize(
    ("factor", "decision"),
    [(1.02, Decision.NO_CRACK), (0.98, Decision.OPEN)],
)
def test_decision_at_the_careful_end(factor, decision):
    """A low factor a little above or below 1 decides or not."""
    at_one = edge_result(reversed_stage([(100, 0, 0)])).factor.low
    found = edge_result(reversed_stage([(100 * at_one / factor, 0, 0)]))
    assert found.factor.low == pytest.approx(factor)
    assert found.decision is decision


@pytest.mark.parametrize(("factor", "decision"), [(1.02, Decision.OPEN), (0.98, Decision.CRACK)])
def test_decision_at_the_favourable_end(factor, decision):
    """A high factor a little above or below 1 likewise."""
    at_one = edge_result(reversed_stage([(100, 0, 0)])).factor.high
    found = edge_result(reversed_stage([(100 * at_one / factor, 0, 0)]))
    assert found.factor.high == pytest.approx(factor)
    assert found.decision is decision


def test_fifty_mpa_of_steady_tension_are_tried_at_the_edge():
    """The factor told beside is that of 50 MPa more, and there is none elsewhere."""
    plain_edge = edge_result(reversed_stage([(97.5, 0, 0)]))
    pulled = edge_result(reversed_stage([(97.5, 0, 0)]), steady=stress((50, 0, 0)))
    assert plain_edge.steady_factor == pytest.approx(pulled.factor.middle)
    assert plain_edge.steady_factor < 0.95 * plain_edge.factor.middle
    assert surface_result(reversed_stage([(97.5, 0, 0)])).steady_factor is None


def test_widths_by_cause():
    """Both half widths are told apart: log 1.2 of the clamp, the scatter, the stiffness."""
    found = edge_result(reversed_stage([(97.5, 0, 0)]), clamp_change=0.02)
    widths = found.worst.estimate.worst.widths
    assert widths["clamp factor"] == pytest.approx((math.log10(1.8 / 1.5), math.log10(1.5 / 1.25)))
    assert widths["scatter of lives"] == pytest.approx((1.645 * 0.30 / 9.84,) * 2)
    assert widths["clamp stiffness"] == pytest.approx((0.02, 0.02))
