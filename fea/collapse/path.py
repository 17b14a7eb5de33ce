"""The path of a bar under a growing load: step by step, past the load that it carries at most.

A path is a chain of legs: up to a load, back to none, up again, and at last on to a deflection.
Every step is a `Position`, from which the path can be walked on, in another process if need be.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from fea.collapse.equilibrium import (
    Equations,
    Goal,
    Point,
    balanced,
    deflection,
    point_at,
)
from fea.solid.direct_solvers import Pivoting
from geometry.errors import SolveError

FEW, MANY = 4, 7
LONGER, SHORTER, HALF = 1.5, 0.6, 0.5
"""A step that took few iterations is followed by a longer one, many by a shorter; one that fails
is cut in half and begun again."""

FALL_STEPS = 2
"""Steps in which a load is taken away, or put on again, which is elastic."""

AGAIN = 0.95
"""Share of a level up to which the load is put on again after it was taken away."""

LEAST_SHARE, SAME = 1e-4, 1e-9


@dataclass(frozen=True)
class Leg:
    """A part of the path.

    Attributes:
        kind: Rise to a load, fall to it, return towards it, or push on to a deflection.
        to: Factor of the load, or deflection in mm.
    """

    kind: Literal["rise", "fall", "return", "path_control"]
    to: float


@dataclass(frozen=True)
class Plan:
    """What path to walk.

    Attributes:
        legs: In order; the last one pushes.
        first: Deflection of the first step.
        most: Largest deflection of a step.
        least: Smallest deflection of a step, below which the path ends.
    """

    legs: tuple[Leg, ...]
    first: float
    most: float
    least: float


@dataclass(frozen=True, eq=False)
class Position:
    """Where on the path a bar is.

    Attributes:
        point: Its state of equilibrium.
        leg: Number of the leg that is walked next; that of the plan's legs at the end.
        length: Deflection that the next step tries.
        share: Share of a fall or a return that the next step tries.
    """

    point: Point
    leg: int
    length: float
    share: float = 1 / FALL_STEPS


def planned(levels: Sequence[float], to: float, steps: int = 16) -> Plan:
    """Return the path that goes up to each level of the load and back, and then to a deflection."""
    visits = (
        leg
        for level in levels
        for leg in (Leg("rise", level), Leg("fall", 0.0), Leg("return", AGAIN * level))
    )
    most = to / steps
    return Plan((*visits, Leg("path_control", to)), most / 4, most, most / 1000)


def walked(
    equations: Equations, plan: Plan, start: Position, pivoting: Pivoting
) -> Iterator[Position]:
    """Yield every position after `start`, to the end of the path.

    Raises:
        SolveError: No step of at least the least length succeeds.
    """
    position = start
    while not arrived(plan, position):
        position = advanced(equations, plan, position, pivoting)
        yield position


def beginning(plan: Plan, point: Point) -> Position:
    """Return the position of a bar whose loads have not grown yet."""
    return Position(point, 0, plan.first)


def arrived(plan: Plan, position: Position) -> bool:
    """Return whether the path has been walked to its end."""
    return position.leg >= len(plan.legs)


def advanced(equations: Equations, plan: Plan, position: Position, pivoting: Pivoting) -> Position:
    """Return the position one step on.

    Raises:
        SolveError: No step of at least the least length succeeds.
    """
    leg = plan.legs[position.leg]
    walk = _risen if leg.kind in {"rise", "path_control"} else _shifted
    return walk(equations, plan, position, pivoting)


def _risen(equations: Equations, plan: Plan, position: Position, pivoting: Pivoting) -> Position:
    """Return the position after a step at a given deflection, or at the load of the leg."""
    leg, start, end = plan.legs[position.leg], position.point, plan.legs[-1].to
    have = deflection(equations, start.displacement)
    length = position.length
    while length >= plan.least:
        goal = Goal("deflection", min(have + length, end))
        point = tried(equations, start, goal, pivoting)
        if point and leg.kind == "rise" and point.factor > leg.to:
            # beyond: to the very load instead, from the same start
            point = tried(equations, start, Goal("factor", leg.to), pivoting)
        if point:
            reached = deflection(equations, point.displacement)
            after = _leg_after(plan, position, point, reached)
            return Position(point, after, _next(plan, point, length))
        length *= HALF
    raise SolveError(f"no step of {plan.least:.2g} mm succeeds at a deflection of {have:.4g} mm")


def _leg_after(plan: Plan, position: Position, point: Point, reached: float) -> int:
    """Return the leg to walk after a rising step."""
    last, leg = len(plan.legs) - 1, plan.legs[position.leg]
    if reached >= plan.legs[-1].to * (1 - SAME):
        return last + 1
    if leg.kind == "path_control":
        return last
    if point.factor >= leg.to * (1 - SAME):
        # what has not yielded comes back to where it was
        return position.leg + (1 if point.response.state.equivalent.any() else 3)
    # the load falls before it was reached: there is nothing to come back from
    return last if point.factor < position.point.factor else position.leg


def _shifted(equations: Equations, plan: Plan, position: Position, pivoting: Pivoting) -> Position:
    """Return the position after a part of the load was taken away, or put on again."""
    start, leg = position.point, plan.legs[position.leg]
    # a metal that unloads is elastic, whatever it was on the way up
    state = start.response.state
    start = point_at(equations, start.unknowns, start.factor, state, start.size)
    span, share = leg.to - plan.legs[position.leg - 1].to, position.share
    while share >= LEAST_SHARE:
        near = abs(leg.to - start.factor) <= (share + SAME) * abs(span)
        goal = Goal("factor", leg.to if near else start.factor + share * span)
        point = tried(equations, start, goal, pivoting)
        if point:
            after = position.leg + 1 if near else position.leg
            return Position(point, after, position.length, 1 / FALL_STEPS if near else share)
        share *= HALF
    raise SolveError(f"the load cannot be changed from {start.factor:.4g} times its value")


def tried(equations: Equations, start: Point, goal: Goal, pivoting: Pivoting) -> Point | None:
    """Return the point of a step from a point of equilibrium, None where there is none."""
    try:
        return balanced(equations, start, goal, start.response.state, pivoting)
    except SolveError:
        return None


def _next(plan: Plan, point: Point, length: float) -> float:
    """Return the length of the step after one that took so many iterations."""
    if point.iterations <= FEW:
        length *= LONGER
    elif point.iterations > MANY:
        length *= SHORTER
    return min(max(length, plan.least), plan.most)
