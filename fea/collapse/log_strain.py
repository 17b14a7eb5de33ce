"""Logarithmic strain of a deformation, and what carries stress and stiffness back from it.

H = 1/2 ln C with C = F'F. Everything is written in the axes of C's eigenvectors, where H is
diagonal, and in Mandel's six components (11, 22, 33, 23, 13, 12, the last three times sqrt 2), in
which tensors of fourth order are plain symmetric matrices. With T the stress that does work on H,

    S_ab = p_ab T_ab,        p_ab = ln[a, b],
    D    = P Dep P + L,      dE L dE = 4 sum_abc T_ac ln[a, b, c] dE_ab dE_bc,

where ln[a, b] and ln[a, b, c] are the divided differences of the logarithm at C's eigenvalues. Both
are evaluated without a difference of eigenvalues, so equal ones need no branch.

Sources: Miehe, Apel & Lambrecht, CMAME 191 (2002) 5383-5425, for the framework; Higham, Functions
of Matrices (2008), for divided differences and the integral over the simplex (Hermite-Genocchi);
both from memory, and derived anew.
"""

from dataclasses import dataclass
from functools import cache
from itertools import product

import numpy as np

from fea.solid.element import line_gauss
from geometry.arrays import Floats

PAIRS = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))
"""Which axes each of Mandel's components joins."""

ROOT2 = np.sqrt(2.0)
WEIGHTS = np.array([1.0, 1.0, 1.0, ROOT2, ROOT2, ROOT2])
FIRST, SECOND = (np.array(axis) for axis in zip(*PAIRS, strict=True))

NEAR = 0.05
"""Relative difference of eigenvalues below which a series of six terms is exact to rounding."""

SIMPLEX_POINTS = 5
"""Gauss points each way over the simplex."""


@dataclass(frozen=True, eq=False)
class Stretch:
    """Eigenvalues and axes of C at many points, and the logarithmic strain.

    Attributes:
        squares: (k, 3) eigenvalues of C (no unit), ascending.
        axes: (k, 3, 3) their axes as columns.
        strains: (k, 3) eigenvalues of H.
    """

    squares: Floats
    axes: Floats
    strains: Floats


def stretch_of(gradient: Floats) -> Stretch:
    """Return the stretch of F, `gradient` (k, 3, 3), whose determinants are positive.

    Source: module docstring.
    """
    squares, axes = np.linalg.eigh(gradient.transpose(0, 2, 1) @ gradient)
    return Stretch(squares, axes, 0.5 * np.log(squares))


def mandel(tensor: Floats) -> Floats:
    """Return the six components (..., 6) of a symmetric `tensor` (..., 3, 3), in its unit.

    Source: module docstring.
    """
    result: Floats = tensor[..., FIRST, SECOND] * WEIGHTS
    return result


def tensor_of(components: Floats) -> Floats:
    """Return the symmetric tensors (..., 3, 3) of `components` (..., 6), in their unit.

    Source: module docstring.
    """
    tensor = np.empty((*components.shape[:-1], 3, 3))
    for row, (i, j) in enumerate(PAIRS):
        tensor[..., i, j] = tensor[..., j, i] = components[..., row] / WEIGHTS[row]
    return tensor


def slopes_of(stretch: Stretch) -> Floats:
    """Return p_ab (no unit) of Mandel's components (k, 6): S = p T and dH = p dE in each of them.

    Source: module docstring.
    """
    a, b = stretch.squares[:, FIRST], stretch.squares[:, SECOND]
    z = (a - b) / (a + b)
    square = z * z
    near = square < NEAR**2
    far = np.where(near, 0.5, z)
    series = 1 / 7 + square * (1 / 9 + square / 11)
    series = 1 + square * (1 / 3 + square * (1 / 5 + square * series))
    return np.asarray(2.0 / (a + b) * np.where(near, series, np.arctanh(far) / far))


def curvature_of(stretch: Stretch, stress: Floats) -> Floats:
    """Return L (k, 6, 6) in MPa, the part of the tangent that comes from the stress T.

    Source: module docstring.

    Args:
        stretch: At the points.
        stress: (k, 6) T in the axes of the stretch, Mandel's components.
    """
    second = _second_differences(stretch.squares)
    whole = tensor_of(stress)
    result = np.zeros((len(stress), 6, 6))
    for a, b, c in product(range(3), repeat=3):
        row, column = COMPONENT[a, b], COMPONENT[b, c]
        share = 4.0 / (WEIGHTS[row] * WEIGHTS[column])
        result[:, row, column] += share * whole[:, a, c] * second[:, _TRIPLE[a, b, c]]
    # each pair of terms (abc) and (cba) is the other's mirror image, so the sum is symmetric
    return result


def _second_differences(squares: Floats) -> Floats:
    """Return ln[a, b, c] (k, 10) of every three eigenvalues, as an integral over the simplex."""
    total = np.zeros((len(squares), len(_TRIPLES)))
    for weight, mixing in _simplex_rule():
        mixed = squares @ mixing
        total -= weight / (mixed * mixed)
    return total


@cache
def _simplex_rule() -> tuple[tuple[float, Floats], ...]:
    """Return weights of points over the simplex, and what mixes eigenvalues (3, 10) there."""
    places, weights = line_gauss(SIMPLEX_POINTS)
    rule = []
    for (x, wx), (y, wy) in product(zip(places, weights, strict=True), repeat=2):
        # Duffy's map of the square onto the triangle
        shares = np.array([x, (1 - x) * y, (1 - x) * (1 - y)])
        rule.append((wx * wy * (1 - x), np.tensordot(shares, _CHOICE, 1)))
    return tuple(rule)


COMPONENT = np.zeros((3, 3), dtype=int)
for _row, (_i, _j) in enumerate(PAIRS):
    COMPONENT[_i, _j] = COMPONENT[_j, _i] = _row

_TRIPLES = [(a, b, c) for a in range(3) for b in range(a, 3) for c in range(b, 3)]
_TRIPLE = {
    (a, b, c): [sorted(triple) for triple in _TRIPLES].index(sorted((a, b, c)))
    for a, b, c in product(range(3), repeat=3)
}
_CHOICE = np.zeros((3, 3, len(_TRIPLES)))
"""Which eigenvalue takes the first, second and third share, for each triple."""
for _number, _triple in enumerate(_TRIPLES):
    for _place, _axis in enumerate(_triple):
        _CHOICE[_place, _axis, _number] = 1.0
