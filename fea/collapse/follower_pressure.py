"""Follower pressure of a clamp: its directions are fixed in the band that it loads.

With directions fixed in space it would load a bending arm with a moment: a uniform pressure on a
band rotated by phi has a moment of pi/4 N D sin(phi), 70 N m sin(phi) at 4 kN on 22 mm.

Self-equilibrated forces f at arms x from the middle of a band are rotated with R, the rotation
that fits the band's motion best: the polar part of H = sum of x' x^T, x' being the arms in the
deformed bar. With S = R^T H its increment is

    d(omega) = G du = R (tr(S) 1 - S)^-1 R^T sum of (R x) x du.

The potential -sum of R f . x' has, with m = sum of x' x R f, which is zero while the band keeps its
shape, forces that are self-equilibrated in any shape, and, but for terms in m, their slope:

    R f - G^T m,    A G + G^T A^T - G^T M G,    A = omega x R f,    M = A^T (omega x R x).

Source: derived here; R by W. Kabsch, Acta Cryst. A 32 (1976) 922, from memory.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.collapse.equilibrium import Outside, Slope
from geometry.arrays import Floats, Ints


@dataclass(frozen=True, eq=False)
class Band:
    """Self-equilibrated forces and the nodes whose motion they follow.

    Attributes:
        nodes: (k,) node numbers.
        arms_mm: (k, 3) their places from their mean, where the forces are given.
        force_n: (k, 3) the forces there.
    """

    nodes: Ints
    arms_mm: Floats
    force_n: Floats


def band_of(places_mm: Floats, force_n: Floats) -> Band:
    """Return the band of nodal forces `force_n` (N, 3), given at `places_mm` (N, 3)."""
    nodes = np.flatnonzero(force_n.any(axis=1))
    return Band(nodes, places_mm[nodes] - places_mm[nodes].mean(axis=0), force_n[nodes])


@dataclass(frozen=True, eq=False)
class _Turned:
    """A band's forces and arms turned with it.

    Attributes:
        force: (k, 3) the forces, self-equilibrated in the deformed shape.
        A: (3 k, 3) their derivative by a rotation, without that condition.
        G: (3, 3 k) the rotation by the displacement.
        M: (3, 3) symmetric part of A^T (omega x R x).
    """

    force: Floats
    A: Floats
    G: Floats
    M: Floats


def following(points_mm: Floats, bands: Sequence[Band], blocks: Sequence[Ints]) -> Outside:
    """Return the forces of bands that follow the bar.

    Args:
        points_mm: (N, 3) places of all nodes of the undeformed bar.
        bands: Their forces.
        blocks: For each the entries (3 k, 3 k) of its nodes in the bar's pattern.
    """

    def slope(displacement: Floats) -> Slope:
        places = points_mm + displacement.reshape(-1, 3)
        turned = (_turned(band, places[band.nodes]) for band in bands)
        # each is large and goes before the next one comes
        return ((block, _slope(one)) for block, one in zip(blocks, turned, strict=True))

    return Outside(lambda displacement: follower_forces(points_mm, bands, displacement), slope)


def follower_forces(points_mm: Floats, bands: Sequence[Band], displacement: Floats) -> Floats:
    """Return the forces (3 N,), in N, of bands on a displaced bar.

    `points_mm` (N, 3) are the nodes, `displacement` (3 N,) in mm.

    Source: module docstring.
    """
    places = points_mm + displacement.reshape(-1, 3)
    force = np.zeros_like(places)
    for band in bands:
        force[band.nodes] += _turned(band, places[band.nodes]).force
    return force.ravel()


def _turned(band: Band, places: Floats) -> _Turned:
    """Return a band with its nodes at places (k, 3)."""
    arms = places - places.mean(axis=0)
    left, sizes, right = np.linalg.svd(arms.T @ band.arms_mm)
    signs = np.array([1.0, 1.0, np.linalg.det(left @ right)])
    rotation, stretched = (left * signs) @ right, (left * (signs * sizes)) @ left.T
    force, before = band.force_n @ rotation.T, band.arms_mm @ rotation.T
    A, arm_slopes = _rotation_slopes(force), _rotation_slopes(before)
    fit = np.trace(stretched) * np.eye(3) - stretched
    G = np.linalg.solve(fit, arm_slopes.T)
    inner = A.T @ arm_slopes
    moment = np.cross(arms, force).sum(axis=0) @ G
    return _Turned(force - moment.reshape(-1, 3), A, G, (inner + inner.T) / 2)


def _slope(turned: _Turned) -> Floats:
    """Return A G + G^T A^T - G^T M G (3 k, 3 k), N/mm, in one product."""
    half = turned.A - turned.G.T @ turned.M / 2
    result: Floats = np.hstack([half, turned.G.T]) @ np.vstack([turned.G, half.T])
    return result


def _rotation_slopes(rows: Floats) -> Floats:
    """Return (3 k, 3): the derivative of rows (k, 3) by a rotation about each axis."""
    result: Floats = np.cross(np.eye(3), rows[:, None]).transpose(0, 2, 1).reshape(-1, 3)
    return result
