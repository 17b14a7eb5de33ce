"""What steadies a free bar between its supports: no more than a hand or a little friction would.

Rollers without friction leave a bar free to slide along itself, to yaw and to roll, and press it
out where it bends: a bar that lay there so would not stay. Springs hold the mean of its middle ring
in those motions, on which nothing of a symmetrical set-up works, and hardly in the two that the ram
loads, along its way and about the axis across it; in a fixture hardly in any, until it takes hold.
"""

import numpy as np
from scipy.sparse import coo_array, csr_array

from fea.solid.free_hold import middle_ring, ring_rows, unit_forces
from fea.solid.model import Model
from geometry.arrays import Floats
from geometry.centreline import locate

STEADY_MM, LOOSE_MM = 0.05, 1e-8
"""Stiffness over Young's modulus: along what nothing loads, and along what the ram does."""


def steadying_springs(model: Model, way: Floats, *, fixed: bool) -> csr_array:
    """Return the springs (n, n), N/mm, of a free bar that a ram presses along `way` (3,).

    `fixed` says whether a fixture holds it in all its motions.

    Source: `free_hold`, the mean motion of the ring; module docstring.
    """
    mesh, rows = model.mesh, ring_rows(model.mesh)
    tangent = locate(model.bar.line, np.array(0.0)).tangent
    along = way - (way @ tangent) * tangent
    along /= np.linalg.norm(along)
    axes = np.stack([along, np.cross(along, tangent), tangent])
    moves, turns = (unit_forces(mesh)[:, part] @ axes.T for part in (slice(3), slice(3, 6)))
    arms = mesh.points_mm[middle_ring(mesh)]
    size = float(np.linalg.norm(arms - arms.mean(axis=0), axis=1).mean())
    # the ram moves the bar along its way and turns it about the axis across
    steady = LOOSE_MM if fixed else STEADY_MM
    rates = np.array([LOOSE_MM, steady, steady, steady, LOOSE_MM, steady])
    means = np.hstack([moves, size * turns])
    block = model.bar.spec.material.youngs_modulus_mpa * (means * rates) @ means.T
    pairs = np.repeat(rows, len(rows)), np.tile(rows, len(rows))
    return csr_array(coo_array((block.ravel(), pairs), shape=model.stiffness.shape))
