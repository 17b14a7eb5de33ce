"""Waves round a tube: exact without noise, intervals that hold the truth, two angles."""

import numpy as np
import pytest

from geometry.round_fit import round_fit

TRIALS = 1500
HELD = 0.93
"""Of intervals of 95 %; of 1500 trials chance alone leaves 93.6 % at least in 99 of 100."""


@pytest.mark.parametrize("order", [1, 2])
@pytest.mark.parametrize("angles", [(0, 60, 120), (0, 30, 90, 190), (10, 70, 130, 200, 310)])
def test_it_is_exact_without_noise(order: int, angles: tuple[int, ...]) -> None:
    """Mean, amplitude and phase of a wave that is one."""
    theta = np.radians(angles)
    found = round_fit(theta, 1.6 + 0.2 * np.cos(order * (theta - 0.7)), [0.05] * len(theta), order)
    assert found
    assert found.mean == pytest.approx(1.6, abs=1e-12)
    assert found.amplitude == pytest.approx(0.2, abs=1e-12)
    assert found.phase_rad == pytest.approx(0.7, abs=1e-11)


@pytest.mark.parametrize("order", [1, 2])
@pytest.mark.parametrize("amplitude", [0.0, 0.03, 0.3])
def test_intervals_hold_the_truth(order: int, amplitude: float) -> None:
    """Of mean and amplitude, for three to eight readings anywhere, each with its own interval.

    An amplitude of nothing is the hard one: the fit is always above it.
    """
    generator = np.random.default_rng(round(1000 * amplitude) + order)
    means, amplitudes, judged = 0, 0, 0
    while judged < TRIALS:
        count = int(generator.integers(3, 9))
        theta = generator.uniform(0, 2 * np.pi, count)
        within = generator.uniform(0.02, 0.1, count)
        phase = generator.uniform(0, 2 * np.pi)
        truth = 1.6 + amplitude * np.cos(order * (theta - phase))
        found = round_fit(theta, truth + generator.normal(0, within / 1.96), within, order)
        if found is None or found.high is None:
            continue
        judged += 1
        means += abs(found.mean - 1.6) <= found.mean_within
        amplitudes += found.low <= amplitude <= found.high
    assert means / TRIALS >= HELD
    assert amplitudes / TRIALS >= HELD


def test_two_angles_tell_the_least() -> None:
    """Walls opposite each other, diameters square to each other: the mean, and a lower end."""
    wall = round_fit([0.3, 0.3 + np.pi], [1.7, 1.5], [0.05, 0.05], 1)
    assert wall
    assert (wall.mean, wall.amplitude, wall.high) == (pytest.approx(1.6), pytest.approx(0.1), None)
    assert wall.low == pytest.approx(0.1 - 0.05 / np.sqrt(2), rel=1e-4)
    diameter = round_fit([0.3, 0.3 + np.pi / 2], [22.1, 22.5], [0.05, 0.05], 2)
    assert diameter
    assert diameter.phase_rad == pytest.approx((0.3 + np.pi / 2) % np.pi)
    assert diameter.amplitude == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("angles", "order"), [((0,), 1), ((0, 90), 1), ((0, 1, 2), 1), ((0, 180), 2), ((), 1)]
)
def test_angles_that_do_not_tell_give_nothing(angles: tuple[int, ...], order: int) -> None:
    """A fit of them would be one of noise."""
    assert round_fit(np.radians(angles), [1.6] * len(angles), [0.05] * len(angles), order) is None


def test_readings_that_scatter_more_widen_it() -> None:
    """By their own scatter: the stated interval of a gauge does not hide a rough wall."""
    theta = np.radians(np.arange(0, 360, 45))
    rough = 1.6 + 0.2 * np.cos(4 * theta)
    found, smooth = (round_fit(theta, values, [0.02] * 8, 1) for values in (rough, 1.6 + 0 * theta))
    assert found
    assert smooth
    assert found.mean_within > 5 * smooth.mean_within
