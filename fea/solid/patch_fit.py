"""Least-squares patch fits on the sheet, as one sparse matrix.

Round every inner corner, the values at the 2 x 2 points of the adjacent quads are fitted
with the eight terms of a quadratic serendipity polynomial in (s, theta). A corner takes
the value of its own patch, a mid-side node the mean over the patches of its edge's ends,
and a node on the bar's edge the mean over the patches that reach it.

Source: Zienkiewicz & Zhu, Int. J. Numer. Methods Eng. 33 (1992) 1331-1382, superconvergent
patch recovery; from memory, unverified.
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array

from fea.solid.element import quad8, quad8_places
from geometry.arrays import Floats, Ints
from geometry.mesh import ONE_TURN, Sheet

POWERS = np.array([[0, 0], [1, 0], [0, 1], [2, 0], [1, 1], [0, 2], [2, 1], [1, 2]])
"""Powers of (s, theta) in a patch's polynomial."""

MIN_QUADS = 3
"""A corner with fewer quads round it lies on an edge and has no patch of its own."""

SAMPLES = 4
"""Points of a quad: its 2 x 2 Gauss points, where stress is superconvergent."""


@dataclass(frozen=True, eq=False)
class Patches:
    """Patches with the same number of quads.

    Attributes:
        centres: (k,) sheet nodes.
        quads: (k, v) quads round each.
        scale: (k, 2) size of each in s, mm, and theta, rad.
        solve: (k, 8, 4 v) polynomial coefficients from the samples.
    """

    centres: Ints
    quads: Ints
    scale: Floats
    solve: Floats


def quad_samples(sheet: Sheet, places: Floats) -> Floats:
    """Return (Q, q, 2): s in mm and theta at natural `places` (q, 2) of every quad.

    Source: interpolation by the shape functions, textbook.
    """
    result: Floats = quad8(places).values @ sheet.places
    return result


def patch_fit(sheet: Sheet) -> csr_array:
    """Return (P, 4 Q): nodal values from the values at the 2 x 2 points of every quad.

    Source: module docstring.
    """
    samples = quad_samples(sheet, quad8_places(2))
    groups = [_patches(sheet, samples, *group) for group in _by_valence(sheet)]
    target, centre = _users(sheet, np.concatenate([group.centres for group in groups]))
    share = 1 / np.bincount(target, minlength=len(sheet.nodes))
    parts = [_rows(sheet, group, target, centre) for group in groups]
    rows, columns, values = (np.concatenate(part) for part in zip(*parts, strict=True))
    shape = (len(sheet.nodes), SAMPLES * len(sheet.quads))
    return coo_array((values * share[rows], (rows, columns)), shape=shape).tocsr()


def _by_valence(sheet: Sheet) -> list[tuple[Ints, Ints]]:
    """Return (centres, quads round each) of the inner corners, by number of quads."""
    corner = sheet.quads[:, :4].ravel()
    order = np.argsort(corner, kind="stable")
    nodes, first, valence = np.unique(corner[order], return_index=True, return_counts=True)
    groups: list[tuple[Ints, Ints]] = []
    for count in np.unique(valence[valence >= MIN_QUADS]):
        chosen = valence == count
        places = first[chosen, None] + np.arange(count)
        groups.append((nodes[chosen], order[places] // 4))
    return groups


def _patches(sheet: Sheet, samples: Floats, centres: Ints, quads: Ints) -> Patches:
    places = samples[quads].reshape(len(centres), -1, 2)
    local = _from_centre(places, sheet.nodes[centres][:, None])
    scale = np.abs(local).max(axis=1)
    terms = _terms(local / scale[:, None])
    transposed = terms.swapaxes(1, 2)
    solve: Floats = np.linalg.solve(transposed @ terms, transposed)
    return Patches(centres, quads, scale, solve)


def _users(sheet: Sheet, centres: Ints) -> tuple[Ints, Ints]:
    """Return pairs (node, patch centre): whose fits each node of the sheet averages."""
    is_centre = np.zeros(len(sheet.nodes), dtype=bool)
    is_centre[centres] = True
    quads = sheet.quads
    node, centre = np.repeat(quads, 4, axis=1).ravel(), np.tile(quads[:, :4], (1, 8)).ravel()
    # a mid-side node k + 4 lies between corners k and k + 1
    side = np.arange(8)[:, None] - 4
    ends = (np.arange(4) == side) | (np.arange(4) == (side + 1) % 4) & (side >= 0)
    rank = np.where(node == centre, 0, np.where(np.tile(ends.ravel(), len(quads)), 1, 2))
    node, centre, rank = node[is_centre[centre]], centre[is_centre[centre]], rank[is_centre[centre]]
    best = np.full(len(sheet.nodes), 3)
    np.minimum.at(best, node, rank)
    kept = rank == best[node]
    pairs = np.unique(np.column_stack([node[kept], centre[kept]]), axis=0)
    return pairs[:, 0], pairs[:, 1]


def _rows(sheet: Sheet, group: Patches, target: Ints, centre: Ints) -> tuple[Ints, Ints, Floats]:
    """Return entries (row, column, value) of the nodes that use a group's patches."""
    number = np.full(len(sheet.nodes), -1)
    number[group.centres] = np.arange(len(group.centres))
    which, node = number[centre], target
    which, node = which[which >= 0], node[which >= 0]
    local = _from_centre(sheet.nodes[node], sheet.nodes[group.centres[which]])
    values = (_terms(local / group.scale[which])[:, None] @ group.solve[which])[:, 0]
    columns = (SAMPLES * group.quads[which][..., None] + np.arange(SAMPLES)).reshape(values.shape)
    return np.repeat(node, values.shape[1]), columns.ravel(), values.ravel()


def _from_centre(places: Floats, centre: Floats) -> Floats:
    """Return places (..., 2) seen from patch centres, the short way round the tube."""
    local = places - centre
    local[..., 1] = (local[..., 1] + np.pi) % ONE_TURN - np.pi
    return local


def _terms(local: Floats) -> Floats:
    """Return (..., 8): the polynomial's terms."""
    result: Floats = np.prod(local[..., None, :] ** POWERS, axis=-1)
    return result
