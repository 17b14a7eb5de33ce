"""Shape functions and quadrature of the two elements, from scikit-fem, in VTK node order.

Natural coordinates run from 0 to 1: (a, b) in the sheet, c through the wall. Node 0
is at the origin, node 1 along a, node 3 along b, node 4 along c.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from skfem import ElementHexS2, ElementLineP1, ElementQuadS2
from skfem.io.meshio import HEX_MAPPING
from skfem.quadrature import get_quadrature

from geometry.arrays import Floats


@dataclass(frozen=True, eq=False)
class Shapes:
    """Shape functions at points of the reference element.

    Attributes:
        values: (q, n) value of each node's function at each point.
        slopes: (q, d, n) derivative along each natural coordinate, no unit.
        weights: (q,) quadrature weights, zeros where the points are no rule.
    """

    values: Floats
    slopes: Floats
    weights: Floats


def hex20(places: Floats, weights: Floats | None = None) -> Shapes:
    """Return the 20-node serendipity hexahedron's functions at `places` (q, 3).

    The rule's `weights` (q,) go into the record, zeros where there are none.

    Source: serendipity functions, from scikit-fem.
    """
    # scikit-fem's corner 0 is at (1, 1, 1): its axes run against ours
    element, mirrored = ElementHexS2(), 1.0 - places.T
    pairs = [element.lbasis(mirrored, local) for local in HEX_MAPPING[:20]]
    values = np.stack([value for value, _ in pairs], axis=-1)
    slopes = np.stack([-np.asarray(slope) for _, slope in pairs], axis=-1)
    return Shapes(values, slopes.transpose(1, 0, 2).copy(), _or_zeros(weights, places))


def quad8(places: Floats, weights: Floats | None = None) -> Shapes:
    """Return the 8-node serendipity quadrilateral's functions at `places` (q, 2).

    The rule's `weights` (q,) go into the record, zeros where there are none.

    Source: serendipity functions, from scikit-fem.
    """
    element = ElementQuadS2()
    pairs = [element.lbasis(places.T, local) for local in range(8)]
    values = np.stack([value for value, _ in pairs], axis=-1)
    slopes = np.stack([np.asarray(slope) for _, slope in pairs], axis=-1)
    return Shapes(values, slopes.transpose(1, 0, 2).copy(), _or_zeros(weights, places))


@cache
def line_gauss(points: int) -> tuple[Floats, Floats]:
    """Return places (n,) in (0, 1) and weights (n,) of the Gauss rule on a line of unit length.

    Source: Gauss-Legendre quadrature, from scikit-fem.
    """
    places, weights = get_quadrature(ElementLineP1(), 2 * points - 1)
    order = np.argsort(places[0])
    return np.asarray(places[0][order], float), np.asarray(weights[order], float)


@cache
def hex20_gauss(points: int) -> Shapes:
    """Return the hexahedron at its points^3 Gauss points: those of one depth c together."""
    flat = quad8_places(points)
    x, w = line_gauss(points)
    places = [[a, b, c] for c in x for a, b in flat]
    weights: Floats = np.kron(w, np.outer(w, w).ravel())
    return hex20(np.array(places), weights)


@cache
def quad8_gauss(points: int) -> Shapes:
    """Return the quadrilateral at its points x points Gauss points, those of one b together."""
    _, w = line_gauss(points)
    return quad8(quad8_places(points), np.outer(w, w).ravel())


def quad8_places(points: int) -> Floats:
    """Return (p, 2): the p = `points`^2 places of the Gauss rule on the quadrilateral."""
    x, _ = line_gauss(points)
    return np.array([[a, b] for b in x for a in x])


def _or_zeros(weights: Floats | None, places: Floats) -> Floats:
    return np.zeros(len(places)) if weights is None else np.asarray(weights)
