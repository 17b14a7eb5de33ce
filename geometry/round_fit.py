"""Readings at angles round a tube: their mean, and a wave once or twice round.

    value(theta) = mean + amplitude cos n (theta - phase)

n = 2 is the ovality of diameters, n = 1 an eccentric wall. The three unknowns mean, p, q
(p = amplitude cos n phase, q with the sine) are linear in the readings, so least squares with the
readings' own intervals as weights gives them with their covariance. Of readings that scatter more
than their intervals say, the covariance is raised by that (Birge's ratio). The interval of the
mean is 1.96 standard deviations. That of the amplitude is

    amplitude -+ 2.448 u,    u the largest standard deviation of (p, q) in any direction,

not below 0: where (p, q) lies within the circle that holds it in 95 of 100, sqrt(chi2(2, 0.95)) u,
its length lies within that of the truth, whatever the amplitude. It is a little wide, never narrow;
1.96 u would hold an amplitude of nothing in 85 of 100, 1 - exp(-1.96^2 / 2).

Of readings at two angles only, n times apart by half a turn, the larger one is taken as the crest:
the amplitude is then at least that, and has no upper end.

Source: least squares, law of propagation of uncertainty, textbook; the interval of the amplitude is
derived, by the triangle inequality.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats

SIGMAS = 1.959964
"""Of a normal distribution, that hold 95 of 100."""

CIRCLE_SIGMAS = 2.447747
"""Radius of the circle that holds 95 of 100 of two normal values: root of -2 ln 0.05."""

LEAST_SPREAD = 0.03
"""Least eigenvalue of the mean normal matrix, for three unknowns to be told apart."""

OPPOSITE = -0.94
"""Cosine of n times the angle between two angles that are half a turn apart, within 20 deg."""


@dataclass(frozen=True)
class RoundFit:
    """A fit round the tube.

    Attributes:
        mean: Round the tube.
        mean_within: Half of its 95 % interval.
        amplitude: Of the wave.
        low: Lower end of its 95 % interval.
        high: Upper end, None where two angles do not tell.
        phase_rad: Angle of a crest, 0 to 2 pi / n.
        count: Number of readings.
    """

    mean: float
    mean_within: float
    amplitude: float
    low: float
    high: float | None
    phase_rad: float
    count: int


def round_fit(
    theta_rad: Sequence[float], values: Sequence[float], within: Sequence[float], order: int
) -> RoundFit | None:
    """Return the fit of k readings, None where their angles do not tell mean and wave apart.

    Source: module docstring.

    Args:
        theta_rad: (k,) angles.
        values: (k,) readings.
        within: (k,) half of their 95 % intervals, above 0.
        order: Waves round the tube.
    """
    theta, read = np.asarray(theta_rad, dtype=float), np.asarray(values, dtype=float)
    sigma = np.asarray(within, dtype=float) / SIGMAS
    waves = np.stack([np.ones_like(theta), np.cos(order * theta), np.sin(order * theta)], axis=1)
    if len(theta) >= 3 and np.linalg.eigvalsh(waves.T @ waves / len(theta))[0] > LEAST_SPREAD:
        return _whole(waves, read, sigma, order)
    return _along(theta, read, sigma, order) if len(theta) >= 2 else None


def _whole(waves: Floats, read: Floats, sigma: Floats, order: int) -> RoundFit:
    found, spread = _least_squares(waves, read, sigma)
    mean, p, q = (float(value) for value in found)
    reach = CIRCLE_SIGMAS * float(np.sqrt(np.linalg.eigvalsh(spread[1:, 1:])[-1]))
    amplitude, phase = float(np.hypot(p, q)), float(np.arctan2(q, p)) / order
    return RoundFit(
        mean,
        SIGMAS * float(np.sqrt(spread[0, 0])),
        amplitude,
        max(0.0, amplitude - reach),
        amplitude + reach,
        phase % (2 * np.pi / order),
        len(read),
    )


def _along(theta: Floats, read: Floats, sigma: Floats, order: int) -> RoundFit | None:
    """Return the fit of readings at two angles, with the larger one on the crest."""
    crest = float(theta[int(read.argmax())])
    wave = np.cos(order * (theta - crest))
    # each angle is near the crest, or near the trough
    if not (wave.min() < OPPOSITE and np.all(np.abs(wave) > -OPPOSITE)):
        return None
    found, spread = _least_squares(np.stack([np.ones_like(wave), wave], axis=1), read, sigma)
    within = SIGMAS * np.sqrt(np.diag(spread))
    amplitude = abs(float(found[1]))
    return RoundFit(
        float(found[0]),
        float(within[0]),
        amplitude,
        max(0.0, amplitude - float(within[1])),
        None,
        crest % (2 * np.pi / order),
        len(read),
    )


def _least_squares(columns: Floats, read: Floats, sigma: Floats) -> tuple[Floats, Floats]:
    """Return the unknowns (m,) and their covariance (m, m)."""
    scaled = columns / sigma[:, None]
    spread = np.linalg.inv(scaled.T @ scaled)
    found = spread @ scaled.T @ (read / sigma)
    free = len(read) - columns.shape[1]
    rest = scaled @ found - read / sigma
    birge = max(1.0, float(rest @ rest) / free) if free else 1.0
    return found, birge * spread
