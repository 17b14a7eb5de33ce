"""How much of a step to take where contact stiffens on the way.

Source: regula falsi on the work along the step, kept away from its ends; textbook.
"""

from collections.abc import Callable

SEARCHES, ENOUGH = 8, 0.5
"""Points that are tried, and the share of the work at the beginning that may be left."""

INSIDE = 0.1, 0.9
"""Between which shares of what is left of a step the next point lies."""


def share_of_step(work: Callable[[float], float], begin: float, end: float) -> float:
    """Return the share of a step at which forces do next to no work along it, the last tried.

    Args:
        work: Of the forces along the step, N mm, at a share of it.
        begin: That at its beginning.
        end: That at its end.

    Source: module docstring.
    """
    ends, found, share, left = [0.0, 1.0], [begin, end], 1.0, end
    for _ in range(SEARCHES):
        if found[0] * found[1] > 0 or abs(left) <= ENOUGH * abs(begin):
            break
        part = min(max(found[0] / (found[0] - found[1]), INSIDE[0]), INSIDE[1])
        share = ends[0] + (ends[1] - ends[0]) * part
        left = work(share)
        side = 0 if left * begin > 0 else 1
        ends[side], found[side] = share, left
    return share
