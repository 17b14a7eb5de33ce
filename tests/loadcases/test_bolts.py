"""Bolts: worked numbers of a common clamp, and the pressure's integrals."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loadcases.bolts import (
    Bolts,
    bolt_problems,
    friction_band,
    mean_pressure_mpa,
    preload,
    ring_buckling_pressure_mpa,
    slip_torque_nmm,
    slip_torques_nmm,
)

FOUR_M5 = Bolts(count=4, torque_nm=5.0, diameter_mm=5.0)
"""Four M5 at 5 N m, K 0.2: 5.0 kN each, worked out apart from this program."""


def test_worked_numbers() -> None:
    """31.8 x 45 mm, four bolts of 5 kN, mu 0.2: 14 MPa and 162 to 200 N m."""
    nominal = preload(FOUR_M5).nominal_n
    assert nominal == pytest.approx(20000)
    assert mean_pressure_mpa(nominal, 31.8, 45.0) == pytest.approx(14.0, abs=0.05)
    cosine = slip_torque_nmm(replace(FOUR_M5, pressure="cosine"), nominal, 31.8)
    assert cosine / 1000 == pytest.approx(162, abs=0.5)
    assert slip_torque_nmm(FOUR_M5, nominal, 31.8) / 1000 == pytest.approx(200, abs=0.5)


def test_slip_has_a_range_by_contact_and_friction() -> None:
    """31.8 mm, 20 kN: 2 x 0.15 N D/2 on two lines; pi 0.20 N D/2 and pi 0.25 N D/2 in full."""
    slip = slip_torques_nmm(FOUR_M5, 20000, 31.8)
    assert slip == pytest.approx((0.15 * 636000, np.pi * 63600, np.pi * 79500), rel=1e-12)
    assert slip.low < slip.middle < slip.high


def test_friction_that_a_study_gives_has_no_range() -> None:
    """0.3 of its own: only the contact is open, 2 mu N D/2 to pi mu N D/2."""
    own = replace(FOUR_M5, friction=0.3)
    assert friction_band(own) == (0.3, 0.3)
    slip = slip_torques_nmm(own, 20000, 31.8)
    assert slip == pytest.approx((2 * 95400, np.pi * 95400, np.pi * 95400), rel=1e-12)


def test_the_distribution_of_pressure_moves_full_contact_alone() -> None:
    """A cosine holds 8/pi mu N D/2; two lines hold what they hold."""
    slip = slip_torques_nmm(replace(FOUR_M5, pressure="cosine"), 20000, 31.8)
    assert slip == pytest.approx((0.15 * 636000, 8 / np.pi * 63600, 8 / np.pi * 79500), rel=1e-12)


@pytest.mark.parametrize("pressure", ["uniform", "cosine"])
def test_torque_is_the_integral_of_friction(pressure: str) -> None:
    """Summed over 10 000 strips of both halves, whose pressure adds up to N on each."""
    bolts = replace(FOUR_M5, pressure=pressure)
    angle = (np.arange(10_000) + 0.5) / 10_000 * np.pi - np.pi / 2
    share = np.cos(angle) if pressure == "cosine" else np.ones_like(angle)
    strip = 31.8 / 2 * np.pi / 10_000
    pressed = share * 1000.0 / (share * np.cos(angle) * strip).sum()
    torque = 2 * (pressed * strip).sum() * bolts.friction * 31.8 / 2
    assert slip_torque_nmm(bolts, 1000.0, 31.8) == pytest.approx(torque, rel=1e-6)


@given(scatter=st.floats(1.0, 4.0))
def test_scatter_is_largest_over_least(scatter: float) -> None:
    """About the nominal, evenly."""
    force = preload(replace(FOUR_M5, scatter=scatter))
    assert force.high_n / force.low_n == pytest.approx(scatter)
    assert (force.high_n + force.low_n) / 2 == pytest.approx(force.nominal_n)


def test_a_single_bolt_pulls_on_both_sides() -> None:
    """The hinge or band opposite pulls as hard: half a band under p balances 2 F."""
    single = replace(FOUR_M5, count=1)
    assert preload(single).nominal_n == pytest.approx(10000)
    assert preload(replace(FOUR_M5, count=2)).nominal_n == pytest.approx(10000)


def test_a_thin_ring_is_pressed_flat_below_the_clamps_pressure() -> None:
    """Titanium, 1.0 mm, R 15.4: 7.7 MPa, against 14 of the clamp."""
    assert ring_buckling_pressure_mpa(103e3, 0.3, 15.4, 1.0) == pytest.approx(7.75, abs=0.03)


def test_bad_bolts_are_refused_by_field() -> None:
    """Each with its limit and what to give instead."""
    bad = Bolts(0, -1.0, 50.0, 2.0, 0.5, "lines", 3.0)  # type: ignore[arg-type]
    fields = {problem.field for problem in bolt_problems(bad)}
    assert fields == {
        "count", "torque_nm", "diameter_mm", "nut_factor", "scatter", "pressure", "friction",
    }  # fmt: skip
    assert bolt_problems(FOUR_M5) == ()
