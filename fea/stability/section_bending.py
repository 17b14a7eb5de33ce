"""Strains of a yielding tube from the axial membrane stress of a linear analysis.

Each of S sections is a ring of k places with position y, z about any one origin (mm) and a share
of the area (mm2). The linear stress of a section has a force and two moments; plane sections stay
plane, so the strain that carries them on the curve is e0 + ky y + kz z; `plane_section` finds it.

A place then strains by the larger of two estimates:
(a) Neuber's of the linear stress there, for a local peak that its surroundings hold;
(b) the linear strain there times the section's amplification, for a section that yields through:
    a statically determinate arm cannot shed its moment. The amplification is the largest strain
    of the plane section over the largest that it would have if it stayed elastic.
Both rise with the load: (a) by its formula, (b) in every section that was tried.

Limits: axial stress alone (no shear, no hoop stress), first loading, one curve for tension and
compression, the section round (it neither flattens nor wrinkles), and the force and the moments
of the linear analysis, as small displacements and a determinate arm have them.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from fea.stability.plane_section import (
    PlaneSections,
    balanced,
    largest_strain,
    loaded,
    picked,
    plane_sections,
    plane_strain,
)
from fea.stability.stress_strain import Curve, neuber_strain, stress_at
from geometry.arrays import Floats, Ints
from geometry.errors import SolveError, refuse

STEPS = 100

FACTOR_TOLERANCE = 1e-11
"""Of the logarithm of a strain, over n: load factors are at least that exact beyond yield."""

GREATEST_FACTOR = 1e3
"""Load factors beyond are given as infinite."""

LARGEST_TARGET = 100.0
"""Strain of a section at which all its places count as at their limits."""

GROWTH = 1.3
LARGEST_GROWTH = 1e3
"""Of a load factor in search of bounds, and of the plastic strain with it."""

ROUNDING = 1e-15
"""Of the logarithm of a load factor."""

Excess = Callable[[Ints, Floats], Floats]
"""Logarithm of strain over target, of some rows at a load factor each."""


@dataclass(frozen=True, eq=False)
class _Bounds:
    """Load factors on either side of a root, arrays over the rows that have one.

    Attributes:
        rows: Their numbers.
        low: Factor with a strain below the target.
        high: Factor with a strain at or above it.
        below: Excess at `low`.
        above: Excess at `high`.
    """

    rows: Ints
    low: Floats
    high: Floats
    below: Floats
    above: Floats


def section_strain(
    curve: Curve, stress_mpa: Floats, y_mm: Floats, z_mm: Floats, area_mm2: Floats
) -> Floats:
    """Return the plane strain (S, k) that carries the force and moments of the linear stress.

    Infinite in a section whose largest strain is beyond `plane_section.HUGE_STRAIN`.

    Args:
        curve: The curve.
        stress_mpa: (S, k) axial membrane stress by a linear analysis, not necessarily plane.
        y_mm: (S, k) or (k,) coordinates.
        z_mm: The same.
        area_mm2: (S, k) or (k,) areas of the places: wall times arc.

    Raises:
        InputError: A value is not finite, an area not positive, or all places lie on one line.
        SolveError: The forces were not balanced to `plane_section.BALANCE`.

    Source: equilibrium of a plane section, textbook.
    """
    sections = plane_sections(curve, stress_mpa, y_mm, z_mm, area_mm2)
    found = balanced(curve, sections, sections.elastic)
    strain = plane_strain(sections, found)
    huge = np.isinf(largest_strain(sections, found))[:, None]
    return np.where(huge, np.copysign(np.inf, strain), strain)


def elastic_plastic_strain(
    curve: Curve, stress_mpa: Floats, y_mm: Floats, z_mm: Floats, area_mm2: Floats
) -> Floats:
    """Return the larger estimate (S, k) of the strain, with the sign of the linear stress.

    Arguments, limits and Raises as `section_strain` and in the module docstring; an engineering
    estimate, no bound. Infinite where the section's strain is.

    Source: Neuber's rule and equilibrium, see the module docstring.
    """
    sections = plane_sections(curve, stress_mpa, y_mm, z_mm, area_mm2)
    largest = largest_strain(sections, balanced(curve, sections, sections.elastic))
    elastic = largest_strain(sections, sections.elastic)
    ratio = np.divide(largest, elastic, out=np.ones_like(elastic), where=elastic > 0.0)[:, None]
    stress = np.asarray(stress_mpa, dtype=np.float64)
    # infinity times nothing is nothing here
    yielded = np.abs(stress) / curve.youngs_modulus_mpa * np.where(stress == 0.0, 1.0, ratio)
    return np.copysign(np.maximum(np.abs(neuber_strain(curve, stress)), yielded), stress)


def load_factor_at_strain(
    curve: Curve,
    stress_mpa: Floats,
    y_mm: Floats,
    z_mm: Floats,
    area_mm2: Floats,
    critical_strain: Floats | float,
) -> Floats:
    """Return the factor (S, k) on all linear stress at which each place reaches its strain.

    The inverse of `elastic_plastic_strain`, place by place: the smaller of the factors by (a),
    in closed form, and by (b), a root held between bounds. Infinite where it is beyond
    `GREATEST_FACTOR`, as at a place without stress or with an infinite critical strain. Near the
    neutral axis (b) asks for a huge strain of the section; no factor is given beyond that at
    which it is `LARGEST_TARGET`.

    Args:
        curve: The curve.
        stress_mpa: As in `section_strain`, like the next three.
        y_mm: Coordinates.
        z_mm: Coordinates.
        area_mm2: Areas.
        critical_strain: Size of the strain, above 0 and at most `LARGEST_TARGET`, or infinite;
            broadcast to (S, k).

    Raises:
        InputError: As `section_strain`, or a critical strain is out of its limits.
        SolveError: As `section_strain`, or a factor was not found to `FACTOR_TOLERANCE`.

    Source: as `elastic_plastic_strain`.
    """
    sections = plane_sections(curve, stress_mpa, y_mm, z_mm, area_mm2)
    size = np.abs(np.asarray(stress_mpa, dtype=np.float64))
    critical = _critical(critical_strain, size.shape)
    factor = np.full(size.shape, np.inf)
    sought = (size > 0.0) & np.isfinite(critical)
    rows, linear, limit = np.nonzero(sought)[0], size[sought], critical[sought]
    E = curve.youngs_modulus_mpa
    by_peak = np.sqrt(E * limit) * np.sqrt(stress_at(curve, limit)) / linear
    # the largest strain of the section at which (b) reaches the place's own
    target = limit / linear * (E * largest_strain(sections, sections.elastic)[rows])
    target = np.minimum(target, LARGEST_TARGET)
    factor[sought] = _lowered(curve, picked(sections, rows), target, by_peak)
    return np.where(factor <= GREATEST_FACTOR, factor, np.inf)


def _critical(critical_strain: Floats | float, shape: tuple[int, ...]) -> Floats:
    """Return the critical strain of every place, refused out of its limits."""
    critical = np.broadcast_to(np.asarray(critical_strain, dtype=np.float64), shape)
    if not np.all((critical > 0.0) & ((critical <= LARGEST_TARGET) | np.isinf(critical))):
        raise refuse(
            "critical_strain",
            f"must be above 0 and at most {LARGEST_TARGET:g} everywhere, or infinite for a place "
            "that is not looked at; give its size, without sign",
        )
    return critical


def _lowered(curve: Curve, sections: PlaneSections, target: Floats, factor: Floats) -> Floats:
    """Return `factor`, or the lower one at which the section's largest strain is `target`."""
    elastic = largest_strain(sections, sections.elastic)
    rows = np.flatnonzero(elastic > 0.0)
    part, limit = picked(sections, rows), target[rows]
    # at the root the shape of the strain is near the elastic one, and its size the target;
    # later trials start from the one before
    start = part.elastic * (limit / elastic[rows])[:, None]

    def excess(which: Ints, at: Floats) -> Floats:
        some = loaded(picked(part, which), at)
        start[which] = found = balanced(curve, some, start[which])
        return np.asarray(np.log(largest_strain(some, found) / limit[which]))

    # the linear stress is the yielded one there, or up to 4/pi of it in a thin ring
    guess = stress_at(curve, limit) / (curve.youngs_modulus_mpa * elastic[rows])
    growth = min(GROWTH, LARGEST_GROWTH ** (1.0 / curve.exponent_n))
    bounds = _bounds(excess, guess, np.minimum(factor[rows], GREATEST_FACTOR), growth)
    lowered = factor.copy()
    lowered[rows[bounds.rows]] = _root(excess, bounds, FACTOR_TOLERANCE * curve.exponent_n)
    return lowered


def _bounds(excess: Excess, guess: Floats, cap: Floats, growth: float) -> _Bounds:
    """Return bounds of the roots that are not above their cap, by steps from a guess."""
    low = np.minimum(guess, cap)
    below = excess(np.arange(len(low)), low)
    high, above = low.copy(), below.copy()
    for _ in range(STEPS):
        down, up = np.flatnonzero(below >= 0.0), np.flatnonzero((above < 0.0) & (high < cap))
        if len(down) == len(up) == 0:
            found = np.flatnonzero(above >= 0.0)
            return _Bounds(found, low[found], high[found], below[found], above[found])
        high[down], above[down] = low[down], below[down]
        low[down] /= growth
        below[down] = excess(down, low[down])
        low[up], below[up] = high[up], above[up]
        high[up] = np.minimum(growth * high[up], cap[up])
        above[up] = excess(up, high[up])
    raise SolveError(f"stress_mpa: {len(down) + len(up)} load factors were not bounded")


def _root(excess: Excess, bounds: _Bounds, tolerance: float) -> Floats:
    """Return the factors (n,) without excess: regula falsi in logarithms, Illinois variant.

    Halving the excess of an end that stays keeps both ends moving.

    Source: M. Dowell and P. Jarratt, BIT 11 (1971) 168 (from memory, unverified).
    """
    low, high = np.log(bounds.low), np.log(bounds.high)
    below, above = bounds.below.copy(), bounds.above.copy()
    root, side = high.copy(), np.zeros(len(high))
    left = np.flatnonzero(above > tolerance)
    for _ in range(STEPS):
        if len(left) == 0:
            return np.asarray(np.exp(root))
        a, b, f, g = low[left], high[left], below[left], above[left]
        root[left] = middle = (a * g - b * f) / (g - f)
        new = excess(bounds.rows[left], np.exp(middle))
        over = new >= 0.0
        again = np.where(side[left] == np.where(over, 1.0, -1.0), 0.5, 1.0)
        low[left], below[left] = np.where(over, a, middle), np.where(over, f * again, new)
        high[left], above[left] = np.where(over, middle, b), np.where(over, new, g * again)
        side[left] = np.where(over, 1.0, -1.0)
        left = left[(np.abs(new) > tolerance) & (high[left] - low[left] > ROUNDING)]
    raise SolveError(f"stress_mpa: {len(left)} load factors were not found in {STEPS} steps")
