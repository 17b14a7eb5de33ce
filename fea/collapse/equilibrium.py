"""Equilibrium with large displacements and plasticity: residual, tangent, and Newton's method.

The loads are dead: a constant part and one that grows with a factor. A step prescribes that factor,
or the deflection along the load; with the deflection prescribed the factor is one more unknown, and
one factorisation serves two right-hand sides, so the path continues where the load falls.

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
"""Largest residual over the internal forces, both as root of the sum of squares. Those are several
times the load. Where they vanish with the load, a share of their former size counts."""

ITERATIONS = 14

MAX_GROWTH = 1e4
"""A residual that grows by more than this within a step diverges."""

Slope = Sequence[tuple[Ints, Floats]]
"""Places among the entries of the bar's pattern, each once, and the slopes of forces there."""

Outside = Callable[[Floats], tuple[Floats, Slope]]
"""External forces (n,) that depend on the displacement (n,), and their slope."""


@dataclass(frozen=True, eq=False)
class Unknowns:
    """The unconstrained degrees of freedom.

    Attributes:
        expand: From unknowns (r,) to degrees of freedom (n,), mm.
        gather: From forces (n,) to their conjugates on the unknowns (r,), N.
        reduce: From a matrix (n, n) to (r, r).
    """

    expand: Callable[[Floats], Floats]
    gather: Callable[[Floats], Floats]
    reduce: Callable[[csr_array], csr_array]


@dataclass(frozen=True, eq=False)
class Equations:
    """A bar, its supports and its loads.

    Attributes:
        solid: Elements and metal.
        pattern: That of the elements' matrix.
        unknowns: The unconstrained degrees of freedom.
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
        response: Of the elements; its `state` is the metal's state here.
        tangent: (r, r) tangent stiffness, N/mm.
        size: Of the internal forces, against which residuals are measured, N.
        iterations: Newton iterations of the step.
        negative: Negative pivots of the tangent that the step began with, None where they are not
            known.
        slope: Of the factor over the deflection at the step's beginning, None where it is not
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
    slope: float | None = None


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
    """Return the unknowns of a bar without constraints, on springs alone."""
    return Unknowns(lambda q: q, lambda f: f, lambda matrix: matrix)


def partly_fixed(free: Flags, at: Floats) -> Unknowns:
    """Return the unknowns of a bar with some degrees of freedom fixed.

    Args:
        free: (n,) those that are not.
        at: (n,) displacement at which the others are fixed.
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
        unknowns: (r,) free displacements.
        factor: Of the growing load.
        before: The metal's state at the beginning of the step.
        size: Least size of the internal forces.
        iterations: Newton iterations of the step.

    Raises:
        SolveError: An element is compressed to almost nothing.
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
        target: End of the step.
        before: The metal's state at the beginning of the step.
        pivoting: Factorises the tangents.

    Source: module docstring.

    Raises:
        SolveError: No equilibrium in `ITERATIONS` iterations, or an element is compressed to almost
            nothing.
    """
    point, residual, worst = start, residual_forces(equations, start), np.inf
    grown = equations.unknowns.gather(equations.load)
    negative: int | None = None
    slope: float | None = None
    for iteration in range(1, ITERATIONS + 1):
        # the factor is gone before the next one is made: each is the largest thing there is
        pivoted = pivoting(point.tangent)
        negative = pivoted.negative() if iteration == 1 else negative
        change, grow = pivoted.apply(np.stack([residual, grown], axis=-1)).T
        del pivoted
        slope = slope_of(equations, grow) if iteration == 1 else slope
        raised = _raised(equations, point, target, change, grow)
        unknowns, factor = point.unknowns + change + raised * grow, point.factor + raised
        point = point_at(equations, unknowns, factor, before, FLOOR * start.size, iteration)
        residual = residual_forces(equations, point)
        error = imbalance(point, residual)
        if error <= TOLERANCE:
            return replace(point, negative=negative, slope=slope)
        if not error < MAX_GROWTH * worst:
            break
        worst = min(worst, error)
    raise SolveError(f"no equilibrium in {iteration} iterations; force residual {error:.1e}")


def _raised(
    equations: Equations, point: Point, target: StepTarget, change: Floats, grow: Floats
) -> float:
    """Return by how much the factor of the load changes in an iteration."""
    if target.by == "factor":
        return target.value - point.factor
    gauge = equations.unknowns.gather(equations.gauge)
    have = deflection(equations, point.displacement)
    return (target.value - have - float(gauge @ change)) / float(gauge @ grow)


def slope_of(equations: Equations, grow: Floats) -> float | None:
    """Return the slope of the factor over the deflection, 1/mm or 1/rad.

    None where nothing is deflected, as of a bar without loads.

    Args:
        equations: The bar.
        grow: (r,) displacement for each unit of the factor, by the tangent.

    Source: definition of the deflection.
    """
    rate = float(equations.unknowns.gather(equations.gauge) @ grow)
    return 1.0 / rate if rate else None


def imbalance(point: Point, residual: Floats) -> float:
    """Return a `residual` (r,), N, as a fraction of the internal forces.

    Source: definition.
    """
    return float(np.linalg.norm(residual)) / point.size


def residual_forces(equations: Equations, point: Point) -> Floats:
    """Return the residual forces (r,) in N: loads less the forces of elements and clamp.

    Source: the principle of virtual work, as in `solid`.
    """
    within = np.zeros_like(point.displacement).reshape(-1, 3)
    np.add.at(within, equations.solid.cells, point.response.forces)
    residual = equations.constant + point.factor * equations.load - within.ravel()
    residual -= _foundation(equations) @ (point.displacement - equations.rest)
    if equations.outside:
        residual += equations.outside(point.displacement)[0]
    return equations.unknowns.gather(residual)


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
