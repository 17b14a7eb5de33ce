"""95 % intervals of what is read off a record: terms in a root of squares, times two.

Each term is a standard uncertainty. The gauge errs by its whole class at any two readings, apart
from each other: a uniform error of half width C has C/sqrt(3), the difference of two sqrt(2/3) C.

Source: uniform and independent errors, derived; JCGM 100:2008 for the root of squares, from memory.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from geometry.arrays import Floats
from studies.bench.cleaning import Divisions
from studies.bench.slope_window import lag_factor, line_through

COVERAGE = 2.0
"""Standard uncertainties in half a 95 % interval."""


@dataclass(frozen=True)
class Measured:
    """A value read off a record.

    Attributes:
        value: In its unit.
        terms: What each source of error adds, as a standard uncertainty in the same unit.
    """

    value: float
    terms: Mapping[str, float]

    @property
    def half_width(self) -> float:
        """Return half of the 95 % interval."""
        return COVERAGE * hypot(*self.terms.values())

    @property
    def largest(self) -> str:
        """Return the name of the largest term."""
        return max(self.terms, key=lambda name: self.terms[name])


@dataclass(frozen=True)
class Errors:
    """What the rig may err by.

    Attributes:
        gauge_n: Class times full scale, 0 where it is not known.
        friction: Half of the seals' band as a standard uncertainty, a share of the force.
        divisions: Smallest steps read.
        compliance_mm_per_n: Standard uncertainty of the rig's compliance.
        noise_n: Of a single reading about the straight part.
    """

    gauge_n: float
    friction: float
    divisions: Divisions
    compliance_mm_per_n: float
    noise_n: float = 0.0


@dataclass(frozen=True)
class Line:
    """A straight part of a branch: slope, N/mm, and travel without force, each with its terms."""

    slope: Measured
    zero: Measured


def line_of(travel_mm: Floats, force_n: Floats, errors: Errors) -> Line:
    """Return the line through points of travel (n,) and force (n,), with uncertainties.

    Source: module docstring; for the zero each error at the two ends of the line is carried to no
    force by the rule of the lever.
    """
    k, intercept = line_through(travel_mm, force_n)
    low, high = float(force_n.min()), float(force_n.max())
    span = high - low
    lever = hypot(low, high) / span / k
    step_n = hypot(errors.divisions.force_n, errors.divisions.travel_mm * k)
    middle_n, fit_k = fit_errors(travel_mm, force_n, k, intercept)
    bent = curvature(travel_mm, force_n)
    slope = {
        "fit": fit_k,
        "curvature": bent,
        "gauge": k * errors.gauge_n * sqrt(2 / 3) / span,
        "friction": k * errors.friction,
        "compliance": k * k * errors.compliance_mm_per_n,
        "divisions": k * step_n / sqrt(6) / span,
    }
    zero = {
        "fit": hypot(middle_n, fit_k * float(force_n.mean()) / k) / k,
        "curvature": bent * (low + high) / 2 / k**2,
        "gauge": errors.gauge_n / sqrt(3) * lever,
        "divisions": step_n / sqrt(12) * lever,
    }
    return Line(Measured(k, slope), Measured(-intercept / k, zero))


def force_terms(force_n: float, errors: Errors) -> dict[str, float]:
    """Return the terms of a single force, N."""
    return {
        "gauge": errors.gauge_n / sqrt(3),
        "friction": abs(force_n) * errors.friction,
        "divisions": errors.divisions.force_n / sqrt(12),
        "noise": errors.noise_n,
    }


def joined(*parts: Mapping[str, float]) -> dict[str, float]:
    """Return the terms of a sum or difference, each source in a root of squares."""
    names = dict.fromkeys(name for part in parts for name in part)
    return {name: hypot(*(part.get(name, 0.0) for part in parts)) for name in names}


def fit_errors(x: Floats, y: Floats, slope: float, intercept: float) -> tuple[float, float]:
    """Return the standard error of a line's height in its middle, and of its slope.

    Args:
        x: (n,) places.
        y: (n,) heights.
        slope: Of the least-squares line.
        intercept: Of it.

    Source: linear regression, with `lag_factor` for neighbours that err alike.
    """
    left, dx = y - slope * x - intercept, x - x.mean()
    spread = scatter(x, y) * lag_factor(left)
    return spread / sqrt(len(x)), spread / sqrt(float(dx @ dx))


def scatter(x: Floats, y: Floats) -> float:
    """Return the standard deviation of heights y (n,) about their line over x (n,).

    Source: linear regression, textbook.
    """
    slope, intercept = line_through(x, y)
    left = y - slope * x - intercept
    return sqrt(float(left @ left) / max(len(x) - 2, 1))


def curvature(x: Floats, y: Floats) -> float:
    """Return what the slopes of the halves of y (n,) over x (n,) differ by.

    It is a standard uncertainty: half their difference as a uniform error.
    """
    middle = len(x) // 2
    if middle < 2:
        return 0.0
    parts = slice(None, len(x) - middle), slice(middle, None)
    one, two = (line_through(x[p], y[p])[0] if np.ptp(x[p]) else 0.0 for p in parts)
    return abs(one - two) / (2 * sqrt(3))
