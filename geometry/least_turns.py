"""The least turns of the bends of a half that put its end at a place.

Unknown are the turns y of each bend: of its plane, about the way t into the bend through its
beginning, and of its angle, about its normal n through its centre c, for with the radius kept the
arc's end runs along its circle; and the change L of the last straight, along its way w. A turn dy
about a unit axis a through a point q moves all that is further out, the end p too, by
a x (p - q) dy. Sought is the least |y| that puts p where it is wanted. Where it is, y = J' m and
w' m = 0 with a multiplier m: y lies in the rows of P J, P = 1 - w w'. So each iteration takes

    y = the least solution of P J y = P (J y_0 + wanted - p),    L = L_0 + w' (the rest),

and where it comes to rest y is least on the bent bar itself, not on its tangent. A bend that is to
turn alone has both turns and L for the three coordinates, which leaves no choice. Places far off
are reached in steps.

Source: derived here; textbook kinematics of rigid bodies and Lagrange's multipliers.
"""

from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Floats
from geometry.bend_table import Bend, BendTable
from geometry.vectors import rotated

MOST_TURN_DEG = 30.0
"""Of a bend: beyond it the half is of another shape, and no longer out of square."""

TOLERANCE_MM = 1e-10
"""Of the end; what is left is rounding."""

REST_DEG = 1e-9
"""Change of every turn in the last iteration: its square is no part of the least."""

MOST_ITERATIONS = 60
MOST_STEPS = 64


@dataclass(frozen=True)
class Turns:
    """Turns of n bends.

    Attributes:
        plane: (n,) of each bend's plane, rad.
        angle: (n,) changes of each bend's angle, rad.
        own: (n,) 1 for each bend that may turn, else 0.
        tail_mm: Change of the last straight.
    """

    plane: Floats
    angle: Floats
    own: Floats
    tail_mm: float = 0.0


def no_turns(own: Floats) -> Turns:
    """Return no turns, of the n bends of which those with a 1 in `own` (n,) may turn.

    Source: none, zeros.
    """
    return Turns(np.zeros(len(own)), np.zeros(len(own)), own)


def least_turns(table: BendTable, own: Floats, wanted: Floats) -> Turns | None:
    """Return the turns that put the end of a half at `wanted` (3,), mm; None where none do.

    Source: module docstring.

    Args:
        table: The half.
        own: (n,) 1 for each bend that may turn, else 0.
        wanted: Where its end is to be.
    """
    turns = no_turns(own)
    start, steps = _end(table, turns), 1
    while steps <= MOST_STEPS:
        found: Turns | None = turns
        for share in np.arange(1, steps + 1) / steps:
            found = _come_to_rest(table, found, start + share * (wanted - start)) if found else None
        if found:
            return found
        steps *= 4
    return None


def _come_to_rest(table: BendTable, turns: Turns, wanted: Floats) -> Turns | None:
    for _ in range(MOST_ITERATIONS):
        before, turns = turns, _iterated(table, turns, wanted)
        if not most_deg(turns) < 3 * MOST_TURN_DEG:  # nor where it is not finite
            return None
        off_mm = float(np.abs(wanted - _end(table, turns)).max())
        if off_mm < TOLERANCE_MM and most_deg(_less(turns, before)) < REST_DEG:
            return turns
    return None


def _less(turns: Turns, others: Turns) -> Turns:
    return replace(turns, plane=turns.plane - others.plane, angle=turns.angle - others.angle)


def _iterated(table: BendTable, turns: Turns, wanted: Floats) -> Turns:
    """Return the turns after an iteration of the module docstring."""
    slopes, way = _slopes(table, turns)
    slopes = slopes * np.repeat(turns.own, 2)
    past = np.stack([turns.plane, turns.angle], axis=1).ravel()
    # of the whole change, so that y is least from nothing and not from the iteration before
    change = slopes @ past + wanted - _end(table, turns)
    across = np.eye(3) - np.outer(way, way)
    found = np.linalg.lstsq(across @ slopes, across @ change, rcond=1e-10)[0]
    found = found * np.repeat(turns.own, 2)  # no dust of rounding on the others
    plane, angle = found.reshape(-1, 2).T
    longer = float(way @ (change - slopes @ found))
    return replace(turns, plane=plane, angle=angle, tail_mm=turns.tail_mm + longer)


def _slopes(table: BendTable, turns: Turns) -> tuple[Floats, Floats]:
    """Return (3, 2 n): how the end moves with plane and angle of each bend, and the last way."""
    axes, points, end, way = _laid(with_turns(table, turns))
    return np.cross(axes, end - points).T, way


def _end(table: BendTable, turns: Turns) -> Floats:
    return _laid(with_turns(table, turns))[2]


def _laid(table: BendTable) -> tuple[Floats, Floats, Floats, Floats]:
    """Return (2 n, 3) axes of the turns, points of them, the end and the way that leads there."""
    at, way, normal = np.zeros(3), np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
    axes: list[Floats] = []
    points: list[Floats] = []
    for bend in table.bends:
        normal = rotated(normal, way, np.radians(bend.rotation_deg))
        at = at + way * bend.straight_mm
        centre = at + bend.radius_mm * np.cross(normal, way)
        axes += [way, normal]
        points += [at, centre]
        turn = float(np.radians(bend.angle_deg))
        at = centre + rotated(at - centre, normal, turn)
        way = rotated(way, normal, turn)
    return np.reshape(axes, (-1, 3)), np.reshape(points, (-1, 3)), at + way * table.tail_mm, way


def with_turns(table: BendTable, turns: Turns) -> BendTable:
    """Return the bend table with its bends turned, not yet judged.

    Source: the convention of `bend_table`.
    """
    added = zip(table.bends, np.degrees(turns.plane), np.degrees(turns.angle), strict=True)
    bends = (
        Bend(
            one.straight_mm,
            one.rotation_deg + float(plane),
            one.angle_deg + float(angle),
            one.radius_mm,
        )
        for one, plane, angle in added
    )
    return BendTable(tuple(bends), table.tail_mm + turns.tail_mm)


def most_deg(turns: Turns) -> float:
    """Return the largest turn of any bend, deg.

    Source: none, a maximum.
    """
    every = np.concatenate([turns.plane, turns.angle])
    return float(np.degrees(np.abs(every).max(initial=0.0)))
