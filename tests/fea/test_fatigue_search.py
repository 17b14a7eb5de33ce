"""The multiple of the loads that uses a life up: an independent walk, and properties."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fea.fatigue.miner import Resistance, damage, utilisation
from fea.fatigue.severity import Severity
from fea.fatigue.strength import strength_of
from fea.fatigue.stress_cycles import Stage, cyclic_stress
from support import fatigue_by_number as by_number
from support.fatigue_stages import (
    ALUMINIUM,
    AT_1E5_MPA,
    PLAIN,
    SMOOTH,
    STEEL,
    group_of,
    result,
    reversed_stage,
    stress,
)

ROW = by_number.ROWS["al-6061-t6"]


def plain_place(stages, steady):
    """Return a smooth place for the number-by-number answer."""
    made = []
    for first, second, cycles in stages:
        half = tuple((a - b) / 2 for a, b in zip(first, second, strict=True))
        mean = tuple((a + b) / 2 for a, b in zip(first, second, strict=True))
        made.append(by_number.Stage(half, mean, cycles))
    return by_number.Place(ROW, made, None, (1.0, 1.0, 1.0), steady, ultimate_mpa=290.0)


def is_used_up(place, factor):
    """Return whether Miner's sum is over 1, a life below 1e3 being none."""
    total = 0.0
    for stage in place.stages:
        lived = by_number.stage_life(place, stage, factor)
        total += stage.cycles / lived if lived >= 1e3 else math.inf
    return total > 1


def first_multiple(place):
    """Return the first multiple of a walk at which the scalar sum is over 1."""
    walk = np.geomspace(0.05, 20, 600)
    return next(factor for factor in walk if is_used_up(place, factor))


@pytest.mark.parametrize(
    ("stages", "steady"),
    [
        ([((90, 10, 30), (-60, 5, -30), 1e5), ((20, 60, -80), (0, 0, 0), 2e4)], (40, -20, 10)),
        ([((90, 10, 30), (-60, 5, -30), 1e5), ((20, 60, -80), (0, 0, 0), 2e4)], (0, 0, 0)),
        ([((150, 0, 0), (20, 0, 0), 1e5)], (-50, 0, 0)),
        ([((-400, 0, 0), (-300, 0, 0), 3e5)], (230, 0, 0)),
        ([((50, 0, 0), (-50, 0, 0), 1e5)], (280, 0, 0)),
        # the sum passes 1, falls below it as the loads press the tension away, and passes it again
        ([((-300, 0, 0), (-200, 0, 0), 4.1e9)], (280, 0, 0)),
    ],
)
def test_stress_factor_against_a_walk(stages, steady):
    """The search finds what a number-by-number walk finds, to the step of the walk."""
    given_stages = [Stage(stress(a), stress(b), n) for a, b, n in stages]
    found = result(*given_stages, steady=stress(steady))
    step = (20 / 0.05) ** (1 / 599)
    walked = first_multiple(plain_place(stages, steady))
    assert walked / step**1.01 <= found.factor.middle <= walked * 1.0001


def test_the_search_takes_in_places_that_it_left_out():
    """Seventy places under tension are used most at first; one without grows faster."""
    rows = [(20, 0, 0)] * 70 + [(120, 0, 0)]
    steady = stress(*[(200, 0, 0)] * 70, (0, 0, 0))
    judged, _ = group_of(reversed_stage(rows), steady=steady)
    resistance = Resistance(strength_of(ALUMINIUM), SMOOTH)
    ranks = np.argsort(-utilisation(judged.cyclic, resistance).max(axis=0), kind="stable")
    assert ranks[-1] == 70
    found = result(reversed_stage(rows), steady=steady)
    assert found.factor.middle == pytest.approx(AT_1E5_MPA / 120)


component = st.floats(-130, 130)
state = st.tuples(component, component, component)
stage_of = st.tuples(state, state, st.floats(2e3, 1e7))


@settings(deadline=None, max_examples=40)
@given(state, state, st.floats(1.01, 1.3), st.booleans())
def test_life_falls_as_the_amplitude_grows(first, steady, growth, at_clamp):
    """Damage everywhere grows with reversed loads under any steady stress, at a clamp too."""
    cyclic = cyclic_stress([reversed_stage([first])], stress(steady), np.array([at_clamp]))
    resistance = Resistance(strength_of(ALUMINIUM), Severity(1.5, 0.85))
    less, more = (damage(cyclic, resistance, np.array([x])) for x in (1.0, growth))
    assert np.all(more >= less)
    if 0 < less[0] < math.inf:
        assert more[0] > less[0]


@settings(deadline=None, max_examples=8)
@given(st.lists(stage_of, min_size=2, max_size=3), state, st.sampled_from([ALUMINIUM, STEEL]))
def test_loads_times_the_factor_use_the_life_up(stages, steady, material):
    """At the factor Miner's sum is at most 1, and a hair above it 1 or more."""
    given_stages = [Stage(stress(a), stress(b), n) for a, b, n in stages]
    found = result(*given_stages, material=material, steady=stress(steady))
    if found.factor is None:
        assert max(np.ptp([a, b], axis=0).max() for a, b, _ in stages) < 1e-5
        return
    judged, _ = group_of(*given_stages, steady=stress(steady), levels=PLAIN)
    resistance = Resistance(strength_of(material), SMOOTH)
    multiple = found.factor.middle
    at, above = (
        damage(judged.cyclic, resistance, np.array([multiple * f])).max() for f in (1, 1 + 1e-9)
    )
    assert at <= 1 + 1e-5
    assert above >= 1 - 1e-5
