"""The multiple of the loads that uses a life up: an independent search, and properties."""

import math

import numpy as np
import pytest
from fea.fatigue.damage import damage_of, strength_of
from fea.fatigue.stress_history import Stage, cyclic_stress, on_planes_mpa, scaled
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fea.fatigue.result import fatigue_result
from support.fatigue_stages import ALUMINIUM, AT_1E5_MPA, STEEL, result, reversed_stage, stress

# the planes are 5 deg apart: a normal stress s1 - (s1 - s2) sin^2 is low by 2 sin^2 2.5 deg at most
SPACING = 2 * math.sin(math.radians(2.5)) ** 2


def scalar_damage(stages, steady, kf, factor):
    """Return Miner's sum at the worst plane of one place of 6061-T6, number by number."""
    sums = []
    for degrees in range(0, 180, 5):
        normal = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
        total = 0.0
        for first, second, cycles in stages:
            ends = [
                normal @ np.array([[x, t], [t, y]]) @ normal * kf * factor
                for x, y, t in (first, second)
            ]
            x, y, t = steady
            shift = normal @ np.array([[x, t], [t, y]]) @ normal
            high, low = max(ends) + shift, min(ends) + shift
            amplitude, mean = (high - low) / 2, max((high + low) / 2, 0.0)
            if amplitude < 1e-9:
                continue
            equivalent = (amplitude + mean) ** 0.37 * (2 * amplitude) ** 0.63 / 6.894757
            life = 10**20.68 * equivalent**-9.84
            total += math.inf if life < 1e3 or amplitude + mean > 290 else cycles / life
        sums.append(total)
    return max(sums)


def first_multiple(stages, steady, kf):
    """Return the first multiple of a fine walk at which the scalar sum is over 1."""
    walk = np.geomspace(0.05, 50, 3000)
    return next(factor for factor in walk if scalar_damage(stages, steady, kf, factor) > 1)


@pytest.mark.parametrize(
    ("stages", "steady", "kf"),
    [
        ([((90, 10, 30), (-60, 5, -30), 1e5), ((20, 60, -80), (0, 0, 0), 2e4)], (40, -20, 10), 1.3),
        ([((90, 10, 30), (-60, 5, -30), 1e5), ((20, 60, -80), (0, 0, 0), 2e4)], (0, 0, 0), 2.0),
        ([((150, 0, 0), (20, 0, 0), 1e5)], (-50, 0, 0), 1.0),
        ([((-400, 0, 0), (-300, 0, 0), 3e5)], (230, 0, 0), 1.0),
        ([((50, 0, 0), (-50, 0, 0), 1e5)], (280, 0, 0), 1.0),
        # the sum passes 1, falls below it as the loads press the preload away, and passes it again
        ([((-300, 0, 0), (-200, 0, 0), 4.1e9)], (280, 0, 0), 1.0),
    ],
)
def test_stress_factor_against_a_walk(stages, steady, kf):
    """The search finds what a number-by-number walk finds, to the step of the walk."""
    given_stages = [Stage(stress(a), stress(b), n) for a, b, n in stages]
    found = result(*given_stages, steady=stress(steady), kf=np.array([kf]))
    step = (50 / 0.05) ** (1 / 2999)
    walked = first_multiple(stages, steady, kf)
    assert walked / step**1.01 <= found.stress_factor <= walked * 1.0001
    damage = scalar_damage(stages, steady, kf, 1.0)
    assert found.damage == (pytest.approx(damage, rel=1e-9) if math.isfinite(damage) else None)


def test_the_search_takes_in_places_that_it_left_out():
    """Sixty places under tension are used most at first; one without grows faster with the load."""
    rows = [(20, 0, 0)] * 60 + [(120, 0, 0)]
    steady = stress(*[(200, 0, 0)] * 60, (0, 0, 0))
    cyclic = cyclic_stress([reversed_stage(rows)], steady)
    ranks = np.argsort(-damage_of(cyclic, strength_of(ALUMINIUM)).use.max(axis=1), kind="stable")
    assert ranks[-1] == 60
    found = fatigue_result(cyclic, ALUMINIUM)
    assert found.stress_factor == pytest.approx(AT_1E5_MPA / 120)


component = st.floats(-130, 130)
state = st.tuples(component, component, component)


@settings(deadline=None, max_examples=60)
@given(state, state, st.floats(1.01, 1.3))
def test_life_falls_as_the_amplitude_grows(first, steady, growth):
    """Damage on every plane grows with the loads under any steady stress."""
    cyclic = cyclic_stress([reversed_stage([first])], stress(steady))
    strength = strength_of(ALUMINIUM)
    less, more = damage_of(cyclic, strength), damage_of(scaled(cyclic, growth), strength)
    assert np.all(more.use >= less.use)
    assert np.all(more.damage >= less.damage)


def turned(row, degrees):
    """Return stress in axes turned by an angle."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turn = np.array([[c, s], [-s, c]])
    x, y, t = row
    tensor = turn @ np.array([[x, t], [t, y]]) @ turn.T
    return tensor[0, 0], tensor[1, 1], tensor[0, 1]


@settings(deadline=None, max_examples=60)
@given(state, state, st.integers(-40, 40))
def test_axes_turned_by_whole_steps_change_nothing(first, steady, steps):
    """36 planes map onto themselves: the damage is the same, plane by plane."""
    strength = strength_of(ALUMINIUM)
    plain = damage_of(cyclic_stress([reversed_stage([first])], stress(steady)), strength)
    angle = 5.0 * steps
    rows, shift = [turned(first, angle)], stress(turned(steady, angle))
    found = damage_of(cyclic_stress([reversed_stage(rows)], shift), strength)
    assert np.allclose(np.roll(plain.use, -steps, axis=1), found.use, rtol=1e-9, atol=1e-9)


@settings(deadline=None, max_examples=60)
@given(state, st.floats(0, 180))
def test_axes_turned_by_any_angle_change_little(first, degrees):
    """The largest amplitude is found to the spacing of the planes."""
    largest = np.abs(np.linalg.eigvalsh([[first[0], first[2]], [first[2], first[1]]])).max()
    found = np.abs(on_planes_mpa(stress(turned(first, degrees)))).max()
    assert (1 - SPACING) * largest - 1e-9 <= found <= largest + 1e-9


stage_of = st.tuples(state, state, st.floats(2e3, 1e7))


@settings(deadline=None, max_examples=40)
@given(st.lists(stage_of, min_size=2, max_size=3), state, st.sampled_from([ALUMINIUM, STEEL]))
def test_loads_times_the_factor_use_the_life_up(stages, steady, material):
    """At the factor Miner's sum is at most 1, and a hair above it 1 or more."""
    given_stages = [Stage(stress(a), stress(b), n) for a, b, n in stages]
    cyclic = cyclic_stress(given_stages, stress(steady))
    factor = fatigue_result(cyclic, material).stress_factor
    assume(factor is not None)  # no stress varies, or no row: told elsewhere
    strength = strength_of(material)
    at, above = (
        damage_of(scaled(cyclic, factor * f), strength).damage.max() for f in (1, 1 + 1e-9)
    )
    assert at <= 1 + 1e-6
    assert above >= 1 - 1e-6


@settings(deadline=None, max_examples=40)
@given(state, st.floats(2e3, 1e8))
def test_one_stage_times_its_factor_has_the_life_asked_for(first, cycles):
    """Without a steady stress the factor is exact: Miner's sum is 1."""
    cyclic = cyclic_stress([reversed_stage([first], cycles)])
    factor = fatigue_result(cyclic, ALUMINIUM).stress_factor
    assume(factor is not None)  # no stress varies
    again = fatigue_result(scaled(cyclic, factor), ALUMINIUM)
    assert again.damage == pytest.approx(1, rel=1e-6)
