"""Equilibrium with large displacements and plasticity: loads, internal forces, tangent.

The loads are dead: a constant part and one that grows with a factor. `newton.py` finds points of
equilibrium.

A bed that supports rise with is one more node after those of the bar, which moves along the first
axis alone, by the rise; the ram's force is the growing load on it. It touches the bar at many
places far from each other, so its row is not part of the tangent but a border of it.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array

from fea.collapse.contact import Contact, anchors_after, contact_forces, contact_slope
from fea.collapse.plastic import State
from fea.collapse.solid import Response, Solid, respond, tangents
from fea.solid.assembly import Pattern, fill, free_part, places_in
from geometry.arrays import Flags, Floats, Ints

BED_N_PER_MM = 1e-6
"""Of a bed that nothing touches, so that its tangent is not singular; it exerts no force."""

Slope = Iterable[tuple[Ints, Floats]]
"""Places among the entries of the bar's pattern, each once, and the slopes of forces there."""


@dataclass(frozen=True, eq=False)
class Outside:
    """External forces that depend on the displacement (n,).

    Attributes:
        force: From it to the forces (n,), N.
        slope: From it to their slope, N/mm; needed for a tangent alone.
    """

    force: Callable[[Floats], Floats]
    slope: Callable[[Floats], Slope]


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
class Springs:
    """A stiffness that does not depend on the displacement.

    Attributes:
        matrix: (n, n) with p entries, N/mm.
        places: (p,) where these are among the entries of the bar's pattern.
    """

    matrix: csr_array
    places: Ints


@dataclass(frozen=True, eq=False)
class Equations:
    """A bar, its supports and its loads.

    Attributes:
        solid: Elements and metal.
        pattern: That of the elements' matrix.
        unknowns: The unconstrained degrees of freedom.
        springs: The elastic clamp, None where there is none.
        rest: (n,) displacement at which the clamp exerts no force, mm.
        origin: (n,) displacement from which the deflection is read, mm.
        constant: (n,) sustained loads, N.
        load: (n,) growing loads at a factor of one, N.
        gauge: (n,) weights with which the deflection is read: gauge . (displacement - origin).
        outside: Other forces, None where there are none.
        contact: Supports that the bar may touch, None where there are none.
        bed: Whether there is a bed, so that n counts its node too.
    """

    solid: Solid
    pattern: Pattern
    unknowns: Unknowns
    springs: Springs | None
    rest: Floats
    origin: Floats
    constant: Floats
    load: Floats
    gauge: Floats
    outside: Outside | None = None
    contact: Contact | None = None
    bed: bool = False

    @property
    def bar(self) -> int:
        """Return how many degrees of freedom the bar itself has.

        Source: definition.
        """
        return len(self.pattern.starts) - 1


@dataclass(frozen=True, eq=False)
class Point:
    """A state of equilibrium.

    Attributes:
        unknowns: (r,) free displacements, mm.
        displacement: (n,) of every degree of freedom, mm.
        factor: Of the growing load.
        before: The metal's state at the beginning of the step that led here.
        response: Of the elements; its `state` is the metal's state here.
        size: Of the internal forces, against which residuals are measured, N.
        iterations: Iterations of the step.
        factorisations: Tangents that were factorised for it.
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
    size: float
    iterations: int = 0
    factorisations: int = 0
    negative: int | None = None
    slope: float | None = None


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


def with_bed(unknowns: Unknowns, bar: int) -> Unknowns:
    """Return the unknowns of a bar of so many degrees of freedom, and after them the bed's rise."""

    def expand(q: Floats) -> Floats:
        return np.concatenate([unknowns.expand(q[:-1]), q[-1:], np.zeros(2)])

    def gather(forces: Floats) -> Floats:
        return np.append(unknowns.gather(forces[:bar]), forces[bar])

    return Unknowns(expand, gather, unknowns.reduce)


def point_at(
    equations: Equations, unknowns: Floats, factor: float, before: State, size: float = 0.0
) -> Point:
    """Return the point of given unknowns, whether in equilibrium or not.

    Args:
        equations: The bar.
        unknowns: (r,) free displacements.
        factor: Of the growing load.
        before: The metal's state at the beginning of the step.
        size: Least size of the internal forces.

    Raises:
        SolveError: An element is compressed to almost nothing.
    """
    displacement = equations.unknowns.expand(unknowns)
    response = respond(equations.solid, displacement.reshape(-1, 3), before)
    size = max(size, float(np.linalg.norm(response.forces)))
    if contact := equations.contact:
        anchors = anchors_after(contact, displacement, before.anchors_mm)
        response = replace(response, state=replace(response.state, anchors_mm=anchors))
        # a bed that has risen into a bar that has not moved yet
        pushed = contact_forces(contact, displacement, before.anchors_mm)
        size = max(size, float(np.linalg.norm(pushed)))
    return Point(unknowns, displacement, factor, before, response, size)


def tangent_at(equations: Equations, point: Point) -> csr_array:
    """Return the tangent stiffness of the bar at a point, N/mm, its bed held.

    Source: module docstring of `solid`.
    """
    moved, count = point.displacement, equations.bar
    matrix = fill(equations.pattern, tangents(equations.solid, moved.reshape(-1, 3), point.before))
    if equations.springs:
        matrix.data[equations.springs.places] += equations.springs.matrix.data
    if equations.outside:
        for places, slope in equations.outside.slope(moved[:count]):
            matrix.data[places] -= slope
    if equations.contact:
        stiff = contact_slope(equations.contact, moved, point.before.anchors_mm)[:count, :count]
        matrix.data[places_in(matrix, stiff)] += stiff.data
    return equations.unknowns.reduce(matrix)


def border_at(equations: Equations, point: Point) -> tuple[Floats, float]:
    """Return the bed's column of the tangent (r - 1,), and what it has on the diagonal, N/mm.

    Source: `contact_slope`.
    """
    count = equations.bar
    if not equations.contact:
        return np.zeros(len(point.unknowns) - 1), BED_N_PER_MM
    stiff = contact_slope(equations.contact, point.displacement, point.before.anchors_mm)
    column = stiff[:, [count]].toarray()[:, 0]
    return equations.unknowns.gather(column)[:-1], float(column[count]) + BED_N_PER_MM


def moved_mm(equations: Equations, displacement: Floats) -> Floats:
    """Return (N, 3) that of the bar's N nodes in a `displacement` (n,), mm, without a bed's.

    Source: definition.
    """
    return np.asarray(displacement[: equations.bar].reshape(-1, 3))


def deflection(equations: Equations, displacement: Floats) -> float:
    """Return the deflection along the load of a `displacement` (n,), mm or rad, from the origin.

    Source: work of the loads over their sum, as `path_model` sets the gauge.
    """
    return float(equations.gauge @ (displacement - equations.origin))


def imbalance(point: Point, residual: Floats) -> float:
    """Return a `residual` (r,), N, as a fraction of the internal forces.

    Source: definition.
    """
    return float(np.linalg.norm(residual)) / point.size


def residual_forces(equations: Equations, point: Point) -> Floats:
    """Return the residual forces (r,) in N: loads less the forces of elements and clamp.

    Source: the principle of virtual work, as in `solid`.
    """
    nodes, freedoms = equations.solid.cells.ravel(), len(point.displacement)
    residual = equations.constant + point.factor * equations.load
    for axis, forces in enumerate(point.response.forces.reshape(-1, 3).T):
        residual[axis::3] -= np.bincount(nodes, forces, freedoms // 3)
    count = equations.bar
    if equations.springs:
        residual[:count] -= equations.springs.matrix @ (point.displacement - equations.rest)[:count]
    if equations.outside:
        residual[:count] += equations.outside.force(point.displacement[:count])
    if equations.contact:
        contact, anchors = equations.contact, point.before.anchors_mm
        pushed = contact_forces(contact, point.displacement, anchors)
        residual += contact.moves.T @ pushed.ravel()
    return equations.unknowns.gather(residual)


def springs_in(pattern: Pattern, matrix: csr_array) -> Springs:
    """Return the springs of a `matrix` (n, n), N/mm, in a pattern that has all of its entries."""
    entries = np.empty(len(pattern.columns))
    whole = csr_array((entries, pattern.columns, pattern.starts), shape=matrix.shape)
    return Springs(matrix, places_in(whole, matrix))
