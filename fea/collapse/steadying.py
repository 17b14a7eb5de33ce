"""What steadies a free bar between its supports: no more than a hand or a little friction would.

Rollers without friction leave a bar free to slide along itself, to yaw and to roll, and press it
out where it bends: a bar that lay there so would not stay. Springs hold the mean of its middle ring
in those motions, on which nothing of a symmetrical set-up works, and hardly in the two that the ram
loads, along its way and about the axis across it.
"""

import numpy as np
from scipy.sparse import coo_array, csr_array

from fea.solid.model import Model
from geometry.arrays import Floats, Ints
from geometry.centreline import locate

STEADY_MM, LOOSE_MM = 0.05, 1e-8
"""Stiffness over Young's modulus: along what nothing loads, and along what the ram does."""


def middle_ring(s_mm: Floats) -> Ints:
    """Return the nodes (k,), of those at `s_mm` (N,), nearest to s = 0: a free bar's mesh line."""
    away = np.abs(s_mm)
    return np.flatnonzero(away <= away.min() + 1e-9)


def steadying_springs(model: Model, way: Floats) -> csr_array:
    """Return the springs (n, n), N/mm, of a free bar that a ram presses along `way` (3,).

    Source: rigid motion that fits a ring's nodes best; module docstring.
    """
    nodes = middle_ring(model.mesh.block[:, 0])
    tangent = locate(model.bar.line, np.array(0.0)).tangent
    along = way - (way @ tangent) * tangent
    along /= np.linalg.norm(along)
    axes = np.stack([along, np.cross(along, tangent), tangent])
    arms = model.mesh.points_mm[nodes] - model.mesh.points_mm[nodes].mean(axis=0)
    moves, turns = _means(axes, arms)
    size = float(np.sqrt((arms**2).sum(axis=1).mean()))
    # the ram moves the bar along its way and turns it about the axis across
    rates = np.array([LOOSE_MM, STEADY_MM, STEADY_MM, STEADY_MM, LOOSE_MM, STEADY_MM])
    rows = np.concatenate([moves, size * turns])
    block = model.bar.spec.material.youngs_modulus_mpa * (rows.T * rates) @ rows
    places = (3 * nodes[:, None] + np.arange(3)).ravel()
    pairs = np.repeat(places, len(places)), np.tile(places, len(places))
    return csr_array(coo_array((block.ravel(), pairs), shape=model.stiffness.shape))


def _means(axes: Floats, arms: Floats) -> tuple[Floats, Floats]:
    """Return (3, 3 k) each: mean displacement along axes (3, 3), mean rotation about them."""
    count = len(arms)
    moves = np.tile(axes, count) / count
    # a rotation w moves an arm by w x arm; normal equations of the best fit
    each = np.cross(arms[:, None, :], np.eye(3)).transpose(0, 2, 1)
    fit = (arms**2).sum() * np.eye(3) - arms.T @ arms
    turns = axes @ np.linalg.solve(fit, np.hstack(list(each)))
    return moves, turns
