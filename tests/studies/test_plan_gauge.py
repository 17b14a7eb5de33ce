"""What a plan's gauge shows at a force, and what it cannot resolve."""

from math import pi

import pytest

from geometry.errors import InputError
from studies.bench.gauge import force_n_at, gauge_of, reading, resolves_peak, shown
from studies.bench.rig import Rig, bore_area_mm2
from studies.bench.units import FACTORS

FREE = (0.0, 0.0)
"""Of friction."""


@pytest.mark.parametrize(
    ("unit", "mpa"), [("bar", 0.1), ("MPa", 1.0), ("kPa", 0.001), ("psi", 0.00689476)]
)
def test_pressure_is_force_over_area(unit: str, mpa: float) -> None:
    """The pressure F / A by hand, with 1 bar = 0.1 MPa; a psi to six digits."""
    gauge = gauge_of(Rig(force_unit=unit, area_mm2=bore_area_mm2(40), friction_percent=FREE))
    assert gauge
    by_hand = 4000 / (pi * 40**2 / 4) / mpa
    assert reading(gauge, 4000) == pytest.approx(by_hand, rel=1e-6)
    assert force_n_at(gauge, by_hand) == pytest.approx(4000, rel=1e-6)


def test_a_load_cell_shows_the_force_and_no_friction() -> None:
    """2500 N are 2.5 kN."""
    gauge = gauge_of(Rig(force_unit="kN"))
    assert gauge
    assert reading(gauge, 2500) == pytest.approx(2.5)
    assert reading(gauge, 2500, loading=False) == pytest.approx(2.5)


def test_seals_are_held_as_press_takes_them_out() -> None:
    """Of 1 to 3 % the middle: 2 % more going out, 2 % less coming back."""
    rig = Rig(force_unit="bar", area_mm2=1000.0, friction_percent=(1, 3))
    gauge = gauge_of(rig)
    assert gauge
    assert reading(gauge, 1000) == pytest.approx(10 * 1.02)
    assert reading(gauge, 1000, loading=False) == pytest.approx(10 * 0.98)
    assert gauge.unit_n == pytest.approx(1000 * FACTORS["pressure"]["bar"])


@pytest.mark.parametrize(
    ("force_n", "remark"),
    [(999, "not resolved"), (1001, ""), (59_999, ""), (60_001, "beyond full scale")],
)
def test_ten_divisions_are_resolved(force_n: float, remark: str) -> None:
    """Of 1 bar each, on 1000 mm²; 60 bar is the scale's end."""
    rig = Rig(
        force_unit="bar", area_mm2=1000.0, resolution=1.0, full_scale=600.0, friction_percent=FREE
    )
    gauge = gauge_of(rig)
    assert gauge
    found = shown(gauge, force_n)
    assert found.divisions == pytest.approx(force_n / 100)
    assert found.remark == remark


@pytest.mark.parametrize(("force_n", "remark"), [(599, "not resolved"), (601, "")])
def test_a_class_error_of_ten_percent_is_too_much(force_n: float, remark: str) -> None:
    """Class 1 of 60 bar is 0.6 bar: a tenth of 6 bar, 600 N on 1000 mm²."""
    rig = Rig(
        force_unit="bar",
        area_mm2=1000.0,
        gauge_class_percent=1.0,
        full_scale=60.0,
        friction_percent=FREE,
    )
    gauge = gauge_of(rig)
    assert gauge
    found = shown(gauge, force_n)
    assert found.error_percent == pytest.approx(100 * 0.6 / (force_n / 100))
    assert found.remark == remark


def test_a_peak_of_thirty_divisions() -> None:
    """2999 N of 100 N each are too few; without divisions nobody knows."""
    rig = Rig(force_unit="bar", area_mm2=1000.0, resolution=1.0, friction_percent=FREE)
    gauge, unknown = gauge_of(rig), gauge_of(Rig(force_unit="kN"))
    assert gauge
    assert unknown
    assert resolves_peak(gauge, 2999) is False
    assert resolves_peak(gauge, 3001) is True
    assert resolves_peak(unknown, 3000) is None


@pytest.mark.parametrize(
    ("rig", "says"),
    [
        (Rig(area_mm2=100.0), "force_unit: is not given, but the ram's bore or area is"),
        (Rig(resolution=1.0), "force_unit: is not given, but the gauge's resolution is"),
        (Rig(force_unit="kN", area_mm2=100.0), "area_mm2: is given, but the gauge shows kN"),
        (Rig(force_unit="bar"), "area_mm2: is not given, and the gauge reads bar"),
    ],
)
def test_what_does_not_go_together_is_refused(rig: Rig, says: str) -> None:
    """A ram without a gauge's unit, a ram before a load cell, pressure without a ram."""
    with pytest.raises(InputError) as refused:
        gauge_of(rig)
    assert says in str(refused.value)
    assert gauge_of(Rig()) is None
