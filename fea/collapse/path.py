"""The equilibrium path of a bar under a growing load: step by step, past its limit load.

A path is a chain of segments: each cycle loads up to a level, unloads and reloads; the last segment
continues to a deflection. Every step is a `Position`, from which the path can be continued, in
another process if need be.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import prod
from typing import Literal, NamedTuple

import numpy as np

from fea.collapse.equilibrium import Equations, Point, deflection, point_at
from fea.collapse.friction import rubs
from fea.collapse.newton import Guess, StepTarget, balanced, stiffness_at
from fea.collapse.phase import Phase
from fea.collapse.step_length import HALF, Pace, leaps, next_length
from fea.solid.direct_solvers import Pivoting
from geometry.arrays import Floats
from geometry.errors import SolveError

ELASTIC_STEPS = 2
"""Steps of an unloading or reloading, which is elastic."""

RUBBING_STEPS = 5
"""The same of an unloading with friction, which sticks first and then slides back."""

RELOADED = 0.95
"""Share of a level up to which the bar is reloaded after it was unloaded."""

MIN_SHARE, SAME = 1e-4, 1e-9

MOST_CUT = 10.0
"""Of a step that a level cut by more than this, the residual would be taken for curvature."""


@dataclass(frozen=True)
class Segment:
    """A part of the path.

    Attributes:
        phase: What the loads do in it.
        cycle: Number, from 1, of the level that it belongs to; of the last segment one more.
        until: Whether it ends at a factor of the loads or at a deflection along them.
        to: That factor, or that deflection: mm, or rad where there are only moments.
    """

    phase: Phase
    cycle: int
    until: Literal["factor", "deflection"]
    to: float


@dataclass(frozen=True)
class Plan:
    """The path to trace.

    Attributes:
        segments: In order; the last one, alone, ends at a deflection.
        pace: What the steps are measured by, wherever the path ends.
    """

    segments: tuple[Segment, ...]
    pace: Pace


class Passed(NamedTuple):
    """A position that a path has passed.

    Attributes:
        deflection: Along the loads: mm, or rad where there are only moments.
        unknowns: (r,) free displacements, mm.
        factor: Of the growing load.
    """

    deflection: float
    unknowns: Floats
    factor: float


@dataclass(frozen=True, eq=False)
class Position:
    """A bar's position on the path.

    Attributes:
        point: Its state of equilibrium.
        segment: Index of the segment that comes next; the number of segments at the end.
        length: Deflection that the next step tries.
        share: Share of an unloading or reloading that the next step tries.
        passed: The positions before, of the same loading, the nearest first: two of them tell where
            the next step ends.
    """

    point: Point
    segment: int
    length: float
    share: float = 1 / ELASTIC_STEPS
    passed: tuple[Passed, ...] = ()


def plan_path(levels: Sequence[float], to: float, pace: Pace) -> Plan:
    """Return the path that loads to each level and unloads, and then continues to a deflection."""
    cycles = (
        Segment(phase, cycle, "factor", factor)
        for cycle, level in enumerate(levels, start=1)
        for phase, factor in zip(Phase, (level, 0.0, RELOADED * level), strict=True)
    )
    last = Segment(Phase.LOADING, len(levels) + 1, "deflection", to)
    return Plan((*cycles, last), pace)


def traced(
    equations: Equations, plan: Plan, start: Position, pivoting: Pivoting
) -> Iterator[Position]:
    """Yield every position after `start`, to the end of the path.

    Raises:
        SolveError: No step of at least the smallest length converges.
    """
    position = start
    while not is_complete(plan, position):
        position = next_position(equations, plan, position, pivoting)
        yield position


def start_position(plan: Plan, point: Point) -> Position:
    """Return the position of a bar whose loads have not grown yet."""
    return Position(point, 0, plan.pace.first)


def is_complete(plan: Plan, position: Position) -> bool:
    """Return whether the path has been traced to its end."""
    return position.segment >= len(plan.segments)


def next_position(
    equations: Equations, plan: Plan, position: Position, pivoting: Pivoting
) -> Position:
    """Return the position one step on.

    Raises:
        SolveError: No step of at least the smallest length converges.
    """
    loading = plan.segments[position.segment].phase is Phase.LOADING
    step = _loaded if loading else _unloaded_or_reloaded
    return step(equations, plan, position, pivoting)


def _loaded(equations: Equations, plan: Plan, position: Position, pivoting: Pivoting) -> Position:
    """Return the position after a step at a given deflection, or at the load of the segment."""
    segment, start = plan.segments[position.segment], position.point
    end = plan.segments[-1].to
    have = deflection(equations, start.displacement)
    length = position.length
    while length >= plan.pace.least:
        target = StepTarget("deflection", min(have + length, end))
        guess = expected(equations, position, target.value)
        point = attempted(equations, start, target, pivoting, guess)
        if point and segment.until == "factor" and point.factor > segment.to:
            # beyond: to the very load instead, from the same start
            level = StepTarget("factor", segment.to)
            point = attempted(equations, start, level, pivoting, _between(start, point, segment.to))
        strains = [one.response.state.equivalent for one in (start, point) if one]
        if equations.contact and point and leaps(plan.pace, length, *strains):
            length *= HALF
            continue
        if point:
            reached = deflection(equations, point.displacement)
            after = _segment_after(plan, position, point, reached, has_friction=rubs(equations))
            bent = (
                0.0
                if _follows(plan, position, Phase.RELOADING)
                else _bent(start, point, reached - have, length)
            )
            tried = next_length(plan.pace, length, reached, point.factorisations, bent)
            passed = (_passed(equations, start), *position.passed[:1])
            passed = passed if after == position.segment else ()
            return Position(point, after, tried, passed=passed)
        length *= HALF
    least = plan.pace.least
    raise SolveError(f"no step of {least:.2g} mm converges at a deflection of {have:.4g} mm")


def expected(equations: Equations, position: Position, at: float) -> Guess | None:
    """Return where a step to a deflection ends by a parabola through three positions.

    They are of one loading, so nothing unloads between them; None where there are fewer, but on
    supports a straight line through two will do. Those passed are stored with a position, so a path
    continued from it has the same guesses.

    Args:
        equations: The bar.
        position: Where the step begins.
        at: Deflection where it ends: mm, or rad where there are only moments.

    Source: Lagrange's interpolation.
    """
    known = (_passed(equations, position.point), *position.passed)
    # a foot rolls on evenly long before three positions are of one loading
    if len(known) < (2 if equations.contact else 3):
        return None
    unknowns, factor = np.zeros_like(position.point.unknowns), 0.0
    for one in known:
        others = [other.deflection for other in known if other is not one]
        weight = prod((at - other) / (one.deflection - other) for other in others)
        unknowns, factor = unknowns + weight * one.unknowns, factor + weight * one.factor
    return Guess(unknowns, factor)


def _between(start: Point, beyond: Point, factor: float) -> Guess:
    """Return where a factor is met on the straight line between the ends of a step."""
    share = (factor - start.factor) / (beyond.factor - start.factor)
    return Guess(start.unknowns + share * (beyond.unknowns - start.unknowns), factor)


def _passed(equations: Equations, point: Point) -> Passed:
    return Passed(deflection(equations, point.displacement), point.unknowns, point.factor)


def _bent(start: Point, point: Point, moved: float, length: float) -> float:
    """Return by what share of the load a whole step ends beside its first tangent."""
    if point.slope is None or moved <= 0:
        return 0.0
    beside = abs(point.factor - start.factor - point.slope * moved)
    return beside * min(length / moved, MOST_CUT) ** 2 / max(abs(start.factor), abs(point.factor))


def _follows(plan: Plan, position: Position, phase: Phase) -> bool:
    """Return whether a segment begins here at whose end the loads were, in a phase before."""
    before = plan.segments[position.segment - 1]
    return before.phase is phase and abs(position.point.factor - before.to) <= SAME * before.to


def _segment_after(
    plan: Plan, position: Position, point: Point, reached: float, *, has_friction: bool
) -> int:
    """Return the index of the segment that follows a step of loading."""
    last, segment = len(plan.segments) - 1, plan.segments[position.segment]
    if reached >= plan.segments[-1].to * (1 - SAME):
        return last + 1
    if segment.until == "deflection":
        return last
    if point.factor >= segment.to * (1 - SAME):
        # an elastic bar has no permanent set, but for friction: the next cycle follows at once
        returns = point.response.state.equivalent.any() or has_friction
        return position.segment + (1 if returns else len(Phase))
    # the load falls before it was reached: there is no level to unload from
    return last if point.factor < position.point.factor else position.segment


def _unloaded_or_reloaded(
    equations: Equations, plan: Plan, position: Position, pivoting: Pivoting
) -> Position:
    """Return the position after an increment of unloading or reloading."""
    start, segment = position.point, plan.segments[position.segment]
    # the loading ends with a slope that no further step of it begins with; friction leaves none
    ends = _follows(plan, position, Phase.LOADING) and not rubs(equations)
    slope = end_slope(equations, start, pivoting) if ends else None
    # a metal that unloads is elastic, whatever it was on the way up
    state = start.response.state
    start = point_at(equations, start.unknowns, start.factor, state, start.size)
    span, share = segment.to - plan.segments[position.segment - 1].to, position.share
    if rubs(equations) and segment.phase is Phase.UNLOADING:
        share = min(share, 1 / RUBBING_STEPS)
    while share >= MIN_SHARE:
        near = abs(segment.to - start.factor) <= (share + SAME) * abs(span)
        target = StepTarget("factor", segment.to if near else start.factor + share * span)
        point = attempted(equations, start, target, pivoting)
        if point:
            point = replace(point, slope=slope)
            after = position.segment + 1 if near else position.segment
            return Position(point, after, position.length, 1 / ELASTIC_STEPS if near else share)
        share *= HALF
    raise SolveError(f"no increment of unloading converges at {start.factor:.4g} x load")


def attempted(
    equations: Equations,
    start: Point,
    target: StepTarget,
    pivoting: Pivoting,
    guess: Guess | None = None,
) -> Point | None:
    """Return the point of a step from a point of equilibrium, None where there is none."""
    for first in (guess, None) if guess else (None,):
        try:
            return balanced(equations, start, target, start.response.state, pivoting, guess=first)
        except SolveError:
            pass
    return None


def end_slope(equations: Equations, point: Point, pivoting: Pivoting) -> float | None:
    """Return the slope of the factor with which the next step would begin, None if singular."""
    try:
        return stiffness_at(equations, point, pivoting).slope
    except SolveError:
        return None
