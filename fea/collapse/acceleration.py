"""Anderson's acceleration of an iteration whose steps shrink slowly.

An iteration x + d(x) with a kept tangent leaves in d what that tangent has wrong, in a few modes
again and again. The last differences of x and d tell how d changes along them, so d is made as
small as it can be with them before the step is taken. As their weights are of differences, what is
linear in x and holds at every iterate holds at the next one too: the deflection, say.

Source: D. G. Anderson, J. ACM 12 (1965) 547-560; H. F. Walker & P. Ni, SIAM J. Numer. Anal. 49
(2011) 1715-1735, for this form; both from memory.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from geometry.arrays import Floats

DEPTH = 5
"""Differences that are used."""

NEW = 1e-4
"""Share of a difference that no other accounts for, below which it tells nothing."""


class Iterate(NamedTuple):
    """Where an iteration was, and the step that it wanted to take from there.

    Attributes:
        place: (r + 1,) free displacements in mm, and the factor of the load.
        step: (r + 1,) likewise.
    """

    place: Floats
    step: Floats


def accelerated(iterates: Sequence[Iterate]) -> Floats:
    """Return the place (r + 1,), mm, that follows iterates of one tangent, the last at the end.

    Source: module docstring.
    """
    place, step = iterates[-1]
    if len(iterates) == 1:
        return place + step
    pairs = list(pairwise(iterates[-DEPTH - 1 :]))
    moved, shrunk = (
        np.stack([after[i] - before[i] for before, after in pairs], axis=1) for i in (0, 1)
    )
    # the factor is in another unit than the displacements, and weighs nothing
    sizes = np.linalg.norm(shrunk[:-1], axis=0)
    weights = np.linalg.lstsq(shrunk[:-1] / sizes, step[:-1], rcond=NEW)[0] / sizes
    result: Floats = place + step - (moved + shrunk) @ weights
    return result
