"""The lightest of many designs that meets its constraints, in the sizes that a mill offers.

Nothing here knows of bars: a design is a point, its mass is exact and costs nothing, its margins
cost a solution each and come in batches. scipy's SLSQP finds the lightest point between the
bounds; margins are logarithms, so that they are nearly straight lines in the logarithm of a wall.
Then come the sizes round that point, the lightest first, and at last the neighbours one step
away, or one step given for another, until none that is lighter meets the constraints.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import minimize

from geometry.arrays import Floats
from studies.sweeps.sizes import (
    SLOPE_DOUBT,
    Point,
    Problem,
    at,
    mass_slopes,
    nearest,
    polished,
    rounded,
    slopes_at,
    worst,
)

MOST_ROUNDS, PRECISE = 15, 1e-3
"""Iterations of SLSQP, and the change of relative mass below which it ends: sizes on offer lie
several percent apart."""


@dataclass(frozen=True)
class Found:
    """The outcome of a search.

    Attributes:
        point: The lightest in sizes on offer that meets all constraints, or else the nearest miss.
        feasible: Whether it meets them.
        continuous: The point between sizes on offer from which rounding began.
    """

    point: Point
    feasible: bool
    continuous: Point


def lightest(problem: Problem, known: Point) -> Found:
    """Return the lightest point on offer that meets all constraints, or the nearest miss.

    Args:
        problem: Grids, mass and margins.
        known: A point to begin from where the largest has smaller margins.
    """
    largest = at(problem, tuple(grid.last for grid in problem.grids))
    inside = _point(problem, np.log(known))
    start = max((largest, inside), key=lambda point: worst(problem, point))
    if worst(problem, start) < 0:
        start = _max_worst_margin(problem, start)
    continuous = _descended(problem, start) if worst(problem, start) >= 0 else start
    slopes = slopes_at(problem, continuous)
    first = rounded(problem, continuous, slopes)
    if first is None:
        return Found(nearest(problem, continuous, largest), feasible=False, continuous=continuous)
    return Found(
        at(problem, polished(problem, first, slopes)), feasible=True, continuous=continuous
    )


def _point(problem: Problem, x: Floats) -> Point:
    """Return the point of logarithms, never a hair outside the bounds."""
    return tuple(
        float(np.clip(np.exp(value), grid.low, grid.size(grid.last)))
        for value, grid in zip(x, problem.grids, strict=True)
    )


def _bounds(problem: Problem) -> list[tuple[float, float]]:
    return [(np.log(grid.low), np.log(grid.size(grid.last))) for grid in problem.grids]


def _descended(problem: Problem, start: Point) -> Point:
    """Return the lightest point in the bounds that meets the constraints, from one that does."""
    scale = problem.mass(start)
    end = _solved(
        lambda x: problem.mass(_point(problem, x)) / scale,
        lambda x: mass_slopes(problem, _point(problem, x)) / scale,
        np.log(start),
        _bounds(problem),
        (
            lambda x: problem.margins([_point(problem, x)])[0],
            lambda x: slopes_at(problem, _point(problem, x)),
        ),
    )
    return _point(problem, end) if np.isfinite(end).all() else start


def _max_worst_margin(problem: Problem, start: Point) -> Point:
    """Return the point between the bounds whose worst margin is largest, as far as it must be.

    The worst margin is a variable of its own that no margin may fall below.
    """
    begun = worst(problem, start)
    end = _solved(
        lambda x: float(-x[-1]),
        lambda x: np.append(np.zeros(len(x) - 1), -1.0),
        np.append(np.log(start), begun),
        [*_bounds(problem), (begun - 1, SLOPE_DOUBT)],
        (
            lambda x: problem.margins([_point(problem, x[:-1])])[0] - x[-1],
            lambda x: _with_worst(slopes_at(problem, _point(problem, x[:-1]))),
        ),
    )
    points = [start] + ([_point(problem, end[:-1])] if np.isfinite(end).all() else [])
    return max(points, key=lambda point: worst(problem, point))


def _solved(
    objective: Callable[[Floats], float],
    objective_slopes: Callable[[Floats], Floats],
    start: Floats,
    bounds: Sequence[tuple[float, float]],
    margins: tuple[Callable[[Floats], Floats], Callable[[Floats], Floats]],
) -> Floats:
    """Return where SLSQP ends: the least of an objective with margins of 0 or more.

    Convergence is not required: each design is judged by its own solution afterwards.
    """
    constraint = {"type": "ineq", "fun": margins[0], "jac": margins[1]}
    options = {"maxiter": MOST_ROUNDS, "ftol": PRECISE}
    solver: Any = minimize  # its published types know no functions of these kinds
    found = solver(
        objective,
        start,
        jac=objective_slopes,
        bounds=bounds,
        constraints=constraint,
        method="SLSQP",
        options=options,
    )
    end: Floats = np.asarray(found.x)
    return end


def _with_worst(slopes: Floats) -> Floats:
    return np.column_stack([slopes, -np.ones(len(slopes))])
