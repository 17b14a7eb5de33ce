"""Plane sections: the strain whose stress on a curve has a given force and two moments.

S sections of k places each are solved at once. The strain is a combination of three basis
functions: 1, and the two coordinates about the centroid over the section's reach, so that all
coefficients are strains. It is unique, for the strain energy is convex; Newton's method with a
line search on the energy's slope finds it, also far beyond yield, where the curve still hardens.
"""

from dataclasses import dataclass

import numpy as np

from fea.stability.stress_strain import Curve, stress_at, tangent_modulus_mpa
from geometry.arrays import Floats, Ints
from geometry.errors import SolveError, refuse

ITERATIONS = 200
HALVINGS = 60

BALANCE = 1e-12
"""Imbalance of force, and of moment over the reach, over the sum of |elastic stress| area."""

ZERO_N = 1e-200
"""Forces far below it lose precision."""

HUGE_STRAIN = 1e6
"""Strain at which a section is left: its strain counts as infinite."""

COARSEST = 1e-6
"""The same where strains are so large that rounding alone causes an imbalance."""

EPS = 8 * np.finfo(np.float64).eps

SLOPE = 0.1
"""Slope of the energy allowed at the end of a step, over that at its start."""

NARROW = 1e-12
"""Least eigenvalue of a section's stiffness that counts as one, over E times its area."""


@dataclass(frozen=True, eq=False)
class PlaneSections:
    """Shapes of S sections of k places, and their resultants.

    Attributes:
        basis: (S, k, 3) basis functions at the places, no unit.
        area_mm2: (S, k) areas of the places.
        load_n: (S, 3) force, and moments over the reach.
        elastic: (S, 3) coefficients of their elastic strain.
    """

    basis: Floats
    area_mm2: Floats
    load_n: Floats
    elastic: Floats


def plane_sections(
    curve: Curve, stress_mpa: Floats, y_mm: Floats, z_mm: Floats, area_mm2: Floats
) -> PlaneSections:
    """Return the sections whose load is that of a stress (S, k), not necessarily plane.

    Args:
        curve: The curve, whose modulus is used.
        stress_mpa: (S, k).
        y_mm: (S, k) or (k,) coordinates about any origin.
        z_mm: The same.
        area_mm2: (S, k) or (k,).

    Raises:
        InputError: A value is not finite, an area not positive, or all places lie on one line.

    Source: elastic beam theory, textbook.
    """
    stress, y, z, area = _checked(stress_mpa, y_mm, z_mm, area_mm2)
    share = area / area.sum(axis=1, keepdims=True)
    basis = _basis(y, z, share)
    stiffness = _gram(basis, share)
    narrow = np.linalg.eigvalsh(stiffness)[:, 0] < NARROW
    if np.any(narrow):
        raise refuse(
            "y_mm",
            f"and z_mm of section {np.argmax(narrow)} put all places on one line, so it has no "
            "bending stiffness across; give at least three places that enclose an area",
        )
    load = _force(basis, area, stress)
    modulus = curve.youngs_modulus_mpa * area.sum(axis=1)[:, None, None]
    elastic = np.linalg.solve(modulus * stiffness, load[..., None])[..., 0]
    return PlaneSections(basis, area, load, elastic)


def picked(sections: PlaneSections, rows: Ints) -> PlaneSections:
    """Return the sections with the numbers `rows` (n,); one may come more than once."""
    return PlaneSections(
        sections.basis[rows], sections.area_mm2[rows], sections.load_n[rows], sections.elastic[rows]
    )


def plane_strain(sections: PlaneSections, coefficients: Floats) -> Floats:
    """Return the strain (S, k) of k places of `coefficients` (S, 3).

    Source: module docstring.
    """
    return np.asarray((sections.basis @ coefficients[..., None])[..., 0])


def largest_strain(sections: PlaneSections, coefficients: Floats) -> Floats:
    """Return the size of the largest strain (S,) of coefficients (S, 3), inf if huge."""
    largest = np.abs(plane_strain(sections, coefficients)).max(axis=1)
    return np.where(largest < HUGE_STRAIN, largest, np.inf)


def balanced(curve: Curve, sections: PlaneSections, start: Floats) -> Floats:
    """Return the coefficients (S, 3), strains, whose stress carries the load; `start` (S, 3).

    Where they are beyond `HUGE_STRAIN` on the way, they are left there, out of balance.

    Raises:
        SolveError: The load was not balanced to `BALANCE`, or `COARSEST` far beyond yield.

    Source: equilibrium of a plane section, textbook.
    """
    found = start.copy()
    stress = stress_at(curve, plane_strain(sections, found))
    linear = plane_strain(sections, sections.elastic)
    scale = curve.youngs_modulus_mpa * (sections.area_mm2 * np.abs(linear)).sum(axis=1)
    scale = np.maximum(scale, ZERO_N)
    for _ in range(ITERATIONS):
        residual = sections.load_n - _force(sections.basis, sections.area_mm2, stress)
        stiffness = sections.area_mm2 * tangent_modulus_mpa(curve, stress)
        rounding = EPS * np.abs(found).sum(axis=1) * stiffness.sum(axis=1)
        allowed = np.maximum(BALANCE * scale, np.minimum(rounding, COARSEST * scale))
        off = np.abs(residual).max(axis=1) > allowed
        left = np.flatnonzero(off & (largest_strain(sections, found) < HUGE_STRAIN))
        if len(left) == 0:
            return found
        part = picked(sections, left)
        step = _step(_gram(part.basis, stiffness[left]), residual[left])
        slope = (residual[left] * step).sum(axis=1)
        found[left], stress[left] = _line_search(curve, part, found[left], step, slope)
    raise SolveError(
        f"stress_mpa: {len(left)} sections were not balanced in {ITERATIONS} steps; "
        "the load is too far beyond yield"
    )


def _checked(*given: Floats) -> list[Floats]:
    """Return stress, coordinates and areas of the shape (S, k) of the stress."""
    stress = np.asarray(given[0], dtype=np.float64)
    if stress.ndim != 2:
        raise refuse("stress_mpa", f"has {stress.ndim} axes but must have two; give (S, k)")
    arrays: list[Floats] = [
        np.broadcast_to(np.asarray(a, dtype=np.float64), stress.shape) for a in given
    ]
    for field, array in zip(("stress_mpa", "y_mm", "z_mm", "area_mm2"), arrays, strict=True):
        if not np.all(np.isfinite(array)):
            raise refuse(field, "is not finite at some place; correct it")
    if not np.all(arrays[3] > 0.0):
        raise refuse("area_mm2", "must be above 0 mm2 everywhere; give wall times arc length")
    return arrays


def _basis(y_mm: Floats, z_mm: Floats, share: Floats) -> Floats:
    """Return 1 and the coordinates about the centroid over the farthest place's distance."""
    y, z = (at - (share * at).sum(axis=1, keepdims=True) for at in (y_mm, z_mm))
    reach = np.hypot(y, z).max(axis=1, keepdims=True)
    reach = np.where(reach > 0.0, reach, 1.0)
    return np.stack([np.ones_like(y), y / reach, z / reach], axis=-1)


def _force(basis: Floats, area_mm2: Floats, stress_mpa: Floats) -> Floats:
    """Return force, and moments over the reach (S, 3), N."""
    return np.asarray(((area_mm2 * stress_mpa)[:, None, :] @ basis)[:, 0])


def _gram(basis: Floats, weight: Floats) -> Floats:
    """Return the weighted products (S, 3, 3) of the basis functions with one another."""
    return np.asarray(np.swapaxes(basis, 1, 2) @ (weight[..., None] * basis))


def _step(tangent: Floats, residual: Floats) -> Floats:
    """Return Newton's step (S, 3), by the matrix scaled to a diagonal of ones."""
    scale = 1.0 / np.sqrt(np.diagonal(tangent, axis1=1, axis2=2))
    scaled = tangent * scale[:, :, None] * scale[:, None, :]
    return np.asarray(scale * np.linalg.solve(scaled, (scale * residual)[..., None])[..., 0])


def _line_search(
    curve: Curve, sections: PlaneSections, foot: Floats, step: Floats, slope: Floats
) -> tuple[Floats, Floats]:
    """Return coefficients and stress along the step where the energy's slope is about nothing.

    The whole step is taken where it is too short. Far beyond yield the stress of a place all but
    jumps as the neutral axis passes it, and a step must be able to stop there: hence bisection.
    """

    def at(rows: Ints, fraction: Floats) -> tuple[Floats, Floats, Floats]:
        part, along = picked(sections, rows), step[rows]
        trial = foot[rows] + fraction[:, None] * along
        stress = stress_at(curve, plane_strain(part, trial))
        rest = part.load_n - _force(part.basis, part.area_mm2, stress)
        return trial, stress, (rest * along).sum(axis=1)

    every = np.arange(len(foot))
    low, high = np.zeros(len(foot)), np.ones(len(foot))
    allowed = SLOPE * np.abs(slope)
    found, stress, rest = at(every, high)
    left = np.flatnonzero(rest < -allowed)
    for _ in range(HALVINGS):
        if len(left) == 0:
            break
        middle = (low[left] + high[left]) / 2
        found[left], stress[left], rest = at(left, middle)
        low[left] = np.where(rest > 0.0, middle, low[left])
        high[left] = np.where(rest > 0.0, high[left], middle)
        left = left[np.abs(rest) > allowed[left]]
    return found, stress
