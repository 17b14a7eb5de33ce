"""Stress of moderate strains without the axes of the stretch, which cost more than all else.

With C = F'F, X = C - 1 and R(s) = (1 + s X)^-1,

    ln C = int_0^1 X R ds,        dH = 1/2 dln C = int_0^1 R dE R ds,        S = int_0^1 R T R ds,

and Gauss's rule has these to rounding with few points as long as X is small. What a point of the
metal sees is that of `log_strain.py`, which serves large strains and tangents.

Source: Higham, Functions of Matrices (2008), ch. 11, where this rule is a Pade approximant of the
logarithm; from memory, and held against `log_strain.py` by the tests.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from fea.collapse.log_strain import COMPONENT, FIRST, SECOND, WEIGHTS
from fea.collapse.plastic import Metal, radial_return
from fea.solid.element import line_gauss
from geometry.arrays import Floats

ENOUGH = ((0.01, 3), (0.02, 4), (0.1, 6), (0.3, 9))
"""Up to which norm of X so many points have logarithm and slope to 2e-15 of themselves."""


@dataclass(frozen=True, eq=False)
class PointStress:
    """The metal's answer at k points.

    Attributes:
        pushed: (k, 3, 3) S F' in MPa: gradients of the shape functions times it are forces.
        plastic: (k, 6) new plastic strain, Mandel's components in the axes of the mesh.
        equivalent: (k,) new equivalent plastic strain.
    """

    pushed: Floats
    plastic: Floats
    equivalent: Floats


def moderate_stress(
    metal: Metal, gradient: Floats, plastic: Floats, equivalent: Floats
) -> PointStress | None:
    """Return the metal's answer at k points, None where a strain is too large for it.

    Args:
        metal: The metal.
        gradient: (k, 3, 3) F.
        plastic: (k, 6) plastic strain before.
        equivalent: (k,) likewise.

    Source: module docstring.

    Raises:
        SolveError: The flow stress does not converge.
    """
    # the points last: each product of tensors is a few products of long rows
    moved = np.ascontiguousarray(gradient.transpose(1, 2, 0)) - np.eye(3)[:, :, None]
    stretch = moved + moved.swapaxes(0, 1) + _product(moved.swapaxes(0, 1), moved)
    rule = _rule(float(np.sqrt(np.einsum("ijk,ijk->k", stretch, stretch).max())))
    if rule is None:
        return None
    resolvents = [(_resolvent(place, stretch), weight) for place, weight in rule]
    mean = np.sum([weight * one for one, weight in resolvents], axis=0)
    strain = 0.5 * _product(stretch, mean)
    components = (strain[FIRST, SECOND] * WEIGHTS[:, None]).T
    answer = radial_return(metal, components, plastic, equivalent)
    stress = (answer.stress / WEIGHTS).T[COMPONENT]
    pulled = _pulled(stress, resolvents)
    pushed = pulled + _product(pulled, moved.swapaxes(0, 1))
    return PointStress(pushed.transpose(2, 0, 1), answer.plastic, answer.equivalent)


def _pulled(stress: Floats, resolvents: Sequence[tuple[Floats, float]]) -> Floats:
    return sum(
        (weight * _product(_product(one, stress), one) for one, weight in resolvents),
        start=np.zeros_like(stress),
    )


def _product(one: Floats, other: Floats) -> Floats:
    """Return the products (3, 3, k) of tensors (3, 3, k)."""
    first, second, third = (one[:, i, None] * other[None, i] for i in range(3))
    first += second
    first += third
    return first


def _resolvent(place: float, stretch: Floats) -> Floats:
    """Return the inverse of 1 + s X by its cofactors."""
    matrix = place * stretch
    matrix[range(3), range(3)] += 1.0
    (a, b, c), (_, d, e), (*_, f) = matrix
    inverse = np.empty_like(matrix)
    inverse[0, 0], inverse[1, 1], inverse[2, 2] = d * f - e * e, a * f - c * c, a * d - b * b
    inverse[0, 1] = inverse[1, 0] = c * e - b * f
    inverse[0, 2] = inverse[2, 0] = b * e - c * d
    inverse[1, 2] = inverse[2, 1] = b * c - a * e
    inverse /= a * inverse[0, 0] + b * inverse[0, 1] + c * inverse[0, 2]
    return inverse


@cache
def _gauss(points: int) -> tuple[tuple[float, float], ...]:
    return tuple(zip(*(map(float, part) for part in line_gauss(points)), strict=True))


def _rule(norm: float) -> tuple[tuple[float, float], ...] | None:
    """Return places and weights over s that suffice for a norm of X."""
    return next((_gauss(points) for most, points in ENOUGH if norm <= most), None)
