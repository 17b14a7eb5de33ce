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

PATIENCE, TRIED = 15.0, 2
"""Iterations still to come that are worth a new tangent, and how many tell how fast a kept one is:
near a limit load points begin to unload, and the residual stands still for a few, for Newton's
method as well. On the riser's path 9 saves 3 % of the time with CHOLMOD, by more tangents."""

FAR = 0.7
"""A residual above this share of the internal forces, or one that a new tangent raised, is far from
equilibrium: there a slender bar follows Newton's method alone, with a new tangent each time."""

LITTLE = 0.05
"""A residual below which a kept tangent may raise it at first where there is contact: it turns with
the bar, and a small push turns it along."""


class Iterate(NamedTuple):
    """Where an iteration was, and the step that it wanted to take from there.

    Attributes:
        place: (r + 1,) free displacements in mm, and the factor of the load.
        step: (r + 1,) likewise.
        part: Number of the iteration that it belongs to, of several that differ in what is given.
    """

    place: Floats
    step: Floats
    part: int = 0


def accelerated(iterates: Sequence[Iterate]) -> Floats:
    """Return the place (r + 1,), mm, that follows iterates of one tangent, the last at the end.

    Source: module docstring.
    """
    place, step, _ = iterates[-1]
    # what is given moves all steps alike: differences within a part tell the same in every part
    pairs = [pair for pair in pairwise(iterates) if pair[0].part == pair[1].part][-DEPTH:]
    if not pairs:
        return place + step
    moved, shrunk = (
        np.stack([after[i] - before[i] for before, after in pairs], axis=1) for i in (0, 1)
    )
    # the factor is in another unit than the displacements, and weighs nothing
    sizes = np.linalg.norm(shrunk[:-1], axis=0)
    weights = np.linalg.lstsq(shrunk[:-1] / sizes, step[:-1], rcond=NEW)[0] / sizes
    result: Floats = place + step - (moved + shrunk) @ weights
    return result


def is_slow(errors: Sequence[float], enough: float, little: float) -> bool:
    """Return whether a kept tangent needs more iterations than a new one is worth.

    Args:
        errors: The residuals so far, over the internal forces.
        enough: That at which the iteration ends.
        little: That which the first iteration may leave, whatever there was before.

    Source: judgement, `PATIENCE`.
    """
    if len(errors) == 2 and errors[1] > min(max(errors[0], little), FAR):
        return True
    first, *later = [error for error in errors if error < np.inf] or [np.inf]
    if len(later) < TRIED:
        return False
    rate = np.log(first / later[-1]) / len(later)
    return bool(np.log(later[-1] / enough) > PATIENCE * rate)
