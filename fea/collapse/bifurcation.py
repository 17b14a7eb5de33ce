"""Bifurcation of a path: a negative pivot while the load still rises.

Past a limit load there is a negative pivot too, but there the load falls; where it rises again
before the step ends, as between platens, the slope at its beginning tells, where it is known. A
step has the pivots of its beginning, so those of the step before. That one is repeated to half its
deflection, and to half of that, each time from the metal that it began with.
"""

from collections.abc import Sequence
from itertools import pairwise

from fea.collapse.equilibrium import Equations, Point, deflection
from fea.collapse.newton import StepTarget, Stiffness, balanced, stiffness_at
from fea.collapse.reading import PathPoint, Reading
from fea.solid.direct_solvers import Pivoting
from geometry.errors import SolveError

NARROW, MAX_HALVINGS = 0.01, 10
"""Share of the load within which the bifurcation is bracketed, and the largest number of steps."""


def bifurcation_step(readings: Sequence[Reading]) -> int | None:
    """Return the index of the first step in which a negative pivot appears, None if none does.

    A step that begins without one, ends with one, and is followed by one whose load rises, from its
    beginning on as far as that is known.
    """
    pairs = enumerate(pairwise(readings))
    return next((i for i, (one, after) in pairs if _lost(one, after)), None)


def _lost(one: Reading, after: Reading) -> bool:
    rises = after.factor > one.factor and (after.slope is None or after.slope > 0)
    return bool(after.negative) and not one.negative and rises


def step_start(readings: Sequence[Reading], step: int) -> PathPoint:
    """Return where a step, counted from 0, began."""
    if step == 0:
        return PathPoint(0.0, 0.0)
    return PathPoint(readings[step - 1].factor, readings[step - 1].deflection)


def is_bifurcation(stiffness: Stiffness) -> bool:
    """Return whether a tangent has a negative pivot although the load rises on from there."""
    return bool(stiffness.pivoted.negative()) and (stiffness.slope or 0.0) > 0


def bifurcation_interval(
    equations: Equations, after: PathPoint, point: Point, pivoting: Pivoting
) -> tuple[PathPoint, PathPoint]:
    """Return the last point found without a negative pivot, and the first with one.

    Args:
        equations: The bar.
        after: Where the step began, without a negative pivot.
        point: Where it ended, with one.
        pivoting: Factorises the tangents.
    """
    negative_pivots = PathPoint(point.factor, deflection(equations, point.displacement))
    stable, near, begin = after, point, None
    for _ in range(MAX_HALVINGS):
        if negative_pivots.factor - stable.factor <= NARROW * negative_pivots.factor:
            break
        target = StepTarget("deflection", (stable.deflection + negative_pivots.deflection) / 2)
        try:
            near = balanced(equations, near, target, point.before, pivoting, begin=begin)
            del begin  # the factor goes before the next one is made
            begin = stiffness_at(equations, near, pivoting)
            negative = begin.pivoted.negative()
        except SolveError:
            break
        here = PathPoint(near.factor, target.value)
        stable, negative_pivots = (stable, here) if negative else (here, negative_pivots)
    return stable, negative_pivots
