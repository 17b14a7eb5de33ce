"""Equilibrium of a bar that moves far and yields: residual, tangent, and Newton's method.

The loads are dead: a constant part and one that grows with a factor. What is given is that factor,
or the deflection along the load; with the deflection given the factor is one more unknown, and one
factorisation serves two right-hand sides, so the path goes on where the load falls.

Source: Batoz & Dhatt, IJNME 14 (1979) 1262-1267, for the two right-hand sides; from memory.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.sparse import csr_array

from fea.collapse.plastic import State
from fea.collapse.solid import Response, Solid, respond
from fea.solid.assembly import Pattern, fill, free_part, places_in
from fea.solid.direct_solvers import Pivoting
from geometry.arrays import Flags, Floats, Ints
from geometry.errors import SolveError

TOLERANCE, FLOOR = 1e-6, 0.03
"""Largest residual over the forces within the elements, both as root of the sum of squares. Those
are several times the load. Where they vanish with the load, a share of what they were counts."""

ITERATIONS = 14

MOST_GROWTH = 1e4
"""A residual that grows by more than this within a step will not come back."""

Slope = Sequence[tuple[Ints, Floats]]
"""Places among the entries of the bar's pattern, each once, and how forces grow there with them."""

Outside = Callable[[Floats], tuple[Floats, Slope]]
"""Forces of the surroundings on the bar (n,) at a displacement (n,), and how they grow with it."""


@dataclass(frozen=True, eq=False)
class Unknowns:
    """Which motions are free.

    Attributes:
        expand: From unknowns (r,) to degrees of freedom (n,), mm.
        gather: From forces (n,) to what does work on the unknowns (r,), N.
        reduce: From a matrix (n, n) to (r, r).
    """

    expand: Callable[[Floats], Floats]
    gather: Callable[[Floats], Floats]
    reduce: Callable[[csr_array], csr_array]


@dataclass(frozen=True, eq=False)
class Equations:
    """A bar, what holds it and what loads it.

    Attributes:
        solid: Elements and metal.
        pattern: That of the elements' matrix.
        unknowns: Which motions are free.
        springs: (z,) entries of the elastic clamp in the pattern, N/mm; zeros where there is none.
        rest: (n,) displacement at which the clamp exerts no force, mm.
        origin: (n,) displacement from which the deflection is read, mm.
        constant: (n,) sustained loads, N.
        load: (n,) growing loads at a factor of one, N.
        gauge: (n,) weights with which the deflection is read: gauge . (displacement - origin).
        outside: Other forces, None where there are none.
    """

    solid: Solid
    pattern: Pattern
    unknowns: Unknowns
    springs: Floats
    rest: Floats
    origin: Floats
    constant: Floats
    load: Floats
    gauge: Floats
    outside: Outside | None = None


@dataclass(frozen=True, eq=False)
class Point:
    """A state of equilibrium.

    Attributes:
        unknowns: (r,) free displacements, mm.
        displacement: (n,) of every degree of freedom, mm.
        factor: Of the growing load.
        before: The metal's state at the beginning of the step that led here.
        response: The elements' answer; its `state` is the metal's state here.
        tangent: (r, r) tangent stiffness, N/mm.
        size: Of the forces within the elements, against which residuals are measured, N.
        iterations: Newton iterations that led here.
        negative: Negative pivots of the tangent that the step began with, None where they are not
            known.
    """

    unknowns: Floats
    displacement: Floats
    factor: float
    before: State
    response: Response
    tangent: csr_array
    size: float
    iterations: int
    negative: int | None


@dataclass(frozen=True)
class StepTarget:
    """What a step is to reach.

    Attributes:
        by: The factor of the load, or the deflection along it.
        value: Its value at the end of the step.
    """

    by: Literal["factor", "deflection"]
    value: float


def all_free() -> Unknowns:
    """Return the unknowns of a bar that only springs hold."""
    return Unknowns(lambda q: q, lambda f: f, lambda matrix: matrix)


def held(free: Flags, at: Floats) -> Unknowns:
    """Return the unknowns of a bar some of whose freedoms are held.

    Args:
        free: (n,) which are not.
        at: (n,) displacement at which the others are held.
    """

    def expand(q: Floats) -> Floats:
        full = at.copy()
        full[free] = q
        return full

    return Unknowns(expand, lambda f: f[free], lambda matrix: free_part(matrix, free))


def point_at(
    equations: Equations,
    unknowns: Floats,
    factor: float,
    before: State,
    size: float = 0.0,
    iterations: int = 0,
) -> Point:
    """Return the point of given unknowns, whether in equilibrium or not.

    Args:
        equations: The bar.
        unknowns: (r,) free motions.
        factor: Of the growing load.
        before: The metal's state at the beginning of the step.
        size: Least size of the forces within the elements.
        iterations: How many led here.

    Raises:
        SolveError: An element is crushed.
    """
    displacement = equations.unknowns.expand(unknowns)
    response = respond(equations.solid, displacement.reshape(-1, 3), before)
    tangent = equations.unknowns.reduce(_matrix(equations, response, displacement))
    size = max(size, float(np.linalg.norm(response.forces)))
    return Point(unknowns, displacement, factor, before, response, tangent, size, iterations, None)


def deflection(equations: Equations, displacement: Floats) -> float:
    """Return the deflection along the load of a `displacement` (n,), mm or rad, from the origin.

    Source: work of the loads over their sum, as `path_model` sets the gauge.
    """
    return float(equations.gauge @ (displacement - equations.origin))


def balanced(
    equations: Equations, start: Point, target: StepTarget, before: State, pivoting: Pivoting
) -> Point:
    """Return the point of equilibrium that a step from `start` reaches.

    Args:
        equations: The bar.
        start: Where the first iteration takes its tangent and residual.
        target: Where to.
        before: The metal's state at the beginning of the step.
        pivoting: Factorises the tangents.

    Source: module docstring.

    Raises:
        SolveError: No equilibrium in `ITERATIONS` iterations, or an element is crushed.
    """
    point, lacking, worst = start, missing(equations, start), np.inf
    grown = equations.unknowns.gather(equations.load)
    negative: int | None = None
    for iteration in range(1, ITERATIONS + 1):
        # the factor is gone before the next one is made: each is the largest thing there is
        pivoted = pivoting(point.tangent)
        negative = pivoted.negative() if iteration == 1 else negative
        change, grow = pivoted.apply(np.stack([lacking, grown], axis=-1)).T
        del pivoted
        raised = _raised(equations, point, target, change, grow)
        unknowns, factor = point.unknowns + change + raised * grow, point.factor + raised
        point = point_at(equations, unknowns, factor, before, FLOOR * start.size, iteration)
        lacking = missing(equations, point)
        error = imbalance(point, lacking)
        if error <= TOLERANCE:
            return replace(point, negative=negative)
        if not error < MOST_GROWTH * worst:
            break
        worst = min(worst, error)
    raise SolveError(f"no equilibrium in {iteration} iterations; {error:.1e} of the forces is left")


def _raised(
    equations: Equations, point: Point, target: StepTarget, change: Floats, grow: Floats
) -> float:
    """Return by how much the factor of the load changes in an iteration."""
    if target.by == "factor":
        return target.value - point.factor
    gauge = equations.unknowns.gather(equations.gauge)
    have = deflection(equations, point.displacement)
    return (target.value - have - float(gauge @ change)) / float(gauge @ grow)


def imbalance(point: Point, lacking: Floats) -> float:
    """Return the residual `lacking` (r,), N, as a fraction of the forces within the elements.

    Source: definition.
    """
    return float(np.linalg.norm(lacking)) / point.size


def missing(equations: Equations, point: Point) -> Floats:
    """Return the residual forces (r,) in N: loads less the forces of elements and clamp.

    Source: the principle of virtual work, as in `solid`.
    """
    within = np.zeros_like(point.displacement).reshape(-1, 3)
    np.add.at(within, equations.solid.cells, point.response.forces)
    lacking = equations.constant + point.factor * equations.load - within.ravel()
    lacking -= _foundation(equations) @ (point.displacement - equations.rest)
    if equations.outside:
        lacking += equations.outside(point.displacement)[0]
    return equations.unknowns.gather(lacking)


def _matrix(equations: Equations, response: Response, displacement: Floats) -> csr_array:
    matrix = fill(equations.pattern, response.blocks)
    matrix.data += equations.springs
    if equations.outside:
        for places, slope in equations.outside(displacement)[1]:
            matrix.data[places] -= slope
    return matrix


def _foundation(equations: Equations) -> csr_array:
    pattern, rows = equations.pattern, len(equations.load)
    return csr_array((equations.springs, pattern.columns, pattern.starts), shape=(rows, rows))


def springs_in(pattern: Pattern, matrix: csr_array) -> Floats:
    """Return the entries (z,) of a matrix (n, n) at the places of a pattern that has them all."""
    entries = np.zeros(len(pattern.columns))
    whole = csr_array((entries, pattern.columns, pattern.starts), shape=matrix.shape)
    np.add.at(entries, places_in(whole, matrix), matrix.data)
    return entries
