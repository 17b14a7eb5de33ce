"""Newton's method along a path, with a tangent that is kept while it serves.

A step prescribes the factor of the load, or the deflection along it; with the deflection prescribed
the factor is one more unknown, and one factor serves two right-hand sides, so the path continues
where the load falls. The deflection is linear in the unknowns, so every iteration meets it exactly,
whichever tangent it uses.

A factorised tangent is kept over iterations (modified Newton), which `acceleration.py` speeds up:
the residuals fall by a ratio that hardly changes, so the number of iterations still to come is
known. Where they would cost more than a new tangent, one is factorised. The metal's state is always
integrated from the beginning of the step, so neither an old tangent nor the guess that a step
begins with moves its end by more than the tolerance.

Source: Batoz & Dhatt, IJNME 14 (1979) 1262-1267, for the two right-hand sides; from memory.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from fea.collapse.acceleration import Iterate, accelerated
from fea.collapse.condensed import Condensed, condensed_of, with_contact
from fea.collapse.contact import relative_mm, slopes_at
from fea.collapse.equilibrium import (
    Equations,
    Point,
    border_at,
    deflection,
    imbalance,
    point_at,
    residual_forces,
    tangent_at,
)
from fea.collapse.friction import is_settled, missed_n, next_round, ram_n, rubbed_for, rubs, stuck
from fea.collapse.plastic import State
from fea.solid.direct_solvers import Pivoted, Pivoting, bordered
from geometry.arrays import Floats
from geometry.errors import SolveError

TOLERANCE, FLOOR = 1e-6, 0.03
"""Largest residual over the internal forces, both as root of the sum of squares. Those are several
times the load. Where they vanish with the load, a share of their former size counts."""

FACTORISATIONS, IN_CONTACT = 14, 40
"""Most of a step, and of one with contact, whose points come and go for the first ten or so."""

PATIENCE, TRIED = 15.0, 2
"""Iterations still to come that are worth a new tangent, and how many tell how fast a kept one is:
near a limit load points begin to unload, and the residual stands still for a few, for Newton's
method as well. On the riser's path 9 saves 3 % of the time with CHOLMOD, by more tangents."""

NEAR = 0.7
"""The same as `FAR` where points of contact may come and go."""

SEARCHES, ENOUGH = 8, 0.5
"""Of a line search: how many points it tries, and the share of the work to begin with that it
leaves. It is needed only where a whole step would lose the contact that holds the bar."""

FAR, WORTH = 0.7, 0.5
"""A residual above this share of the internal forces, or one that a new tangent raised, is far from
equilibrium: there a slender bar follows Newton's method alone, with a new tangent each time. And
the share of the residual after a tangent's first iteration below which later ones have led
somewhere, so that the next tangent is that of the last; else it is that of the first."""

RAM_N = 1.0
"""Least force of a ram against which what is out of balance on its bed is measured."""

MAX_GROWTH = 1e4
"""A residual that grows by more than this within a step diverges."""


@dataclass(frozen=True)
class StepTarget:
    """What a step is to reach.

    Attributes:
        by: The factor of the load, or the deflection along it.
        value: Its value at the end of the step.
    """

    by: Literal["factor", "deflection"]
    value: float


@dataclass(frozen=True, eq=False)
class Guess:
    """Where a step is expected to end.

    Attributes:
        unknowns: (r,) free displacements, mm.
        factor: Of the growing load.
    """

    unknowns: Floats
    factor: float


@dataclass(frozen=True, eq=False)
class Stiffness:
    """A factorised tangent stiffness.

    Attributes:
        pivoted: The factor.
        grow: (r,) displacement for each unit of the load's factor, mm.
        slope: Of the factor over the deflection, 1/mm or 1/rad; None where nothing is deflected, as
            of a bar without loads, and with friction.
    """

    pivoted: Pivoted
    grow: Floats
    slope: float | None
    condensed: Condensed | None = None


def stiffness_at(equations: Equations, point: Point, pivoting: Pivoting) -> Stiffness:
    """Return the tangent stiffness at a point, factorised.

    Source: definition of the deflection, for the slope.

    Raises:
        SolveError: It is singular.
    """
    pivoted = pivoting(tangent_at(equations, point))
    if equations.bed:
        pivoted = bordered(pivoted, *border_at(equations, point))
    unknowns = equations.unknowns
    grow = pivoted.apply(unknowns.gather(equations.load)[:, None])[:, 0]
    rate = float(unknowns.gather(equations.gauge) @ grow)
    # a tangent does not know how friction grows
    known = rate and not rubs(equations)
    return Stiffness(pivoted, grow, 1.0 / rate if known else None)


@dataclass(frozen=True, eq=False)
class _Step:
    """What an iteration needs to know of its step, as `balanced` does; the least size in N."""

    equations: Equations
    target: StepTarget
    before: State
    least: float


@dataclass(frozen=True, eq=False)
class _Reached:
    """Where some iterations led, its residual in N, imbalance, and their number."""

    point: Point
    residual: Floats
    error: float
    iterations: int


def balanced(  # noqa: PLR0913 two of them may be known already
    equations: Equations,
    start: Point,
    target: StepTarget,
    before: State,
    pivoting: Pivoting,
    *,
    begin: Stiffness | None = None,
    guess: Guess | None = None,
) -> Point:
    """Return the point of equilibrium that a step from `start` reaches.

    Args:
        equations: The bar.
        start: Where the step begins; its tangent serves the first iterations.
        target: End of the step.
        before: The metal's state at the beginning of the step.
        pivoting: Factorises the tangents.
        begin: The tangent at the start, the last that was factorised; None where it is to be made.
        guess: Where the first iteration takes its residual; None for the start.

    Source: module docstring.

    Raises:
        SolveError: No equilibrium with `FACTORISATIONS` tangents, or an element is compressed to
            almost nothing.
    """
    begun = rubbed_for(equations, start, _factor(target, guess, start))
    step = _Step(begun, target, before, FLOOR * start.size)
    first = _first(step, start)
    stiffness = begin or _condensed(step, start, stiffness_at(first, start, pivoting), first)
    negative, slope, least = stiffness.pivoted.negative(), stiffness.slope, np.inf
    del begin
    earlier: Floats = np.zeros(0)
    if guess:
        now = _reached(step, _point(step, guess.unknowns, guess.factor), 0)
    else:
        now = _Reached(start, residual_forces(step.equations, start), np.inf, 0)
    most = IN_CONTACT if equations.contact else FACTORISATIONS
    for made in range(1, most + 1):
        if made > 1:
            # the factor is gone before the next one is made: each is the largest thing there is
            del stiffness
            stiffness = stiffness_at(step.equations, now.point, pivoting)
            stiffness = _condensed(step, now.point, stiffness, step.equations)
        now = _iterated(step, now, stiffness)
        while now.error <= TOLERANCE:
            missed = missed_n(step.equations, now.point)
            if is_settled(step.equations, missed):
                counted = replace(now.point, iterations=now.iterations, factorisations=made)
                return replace(counted, negative=negative, slope=slope)
            step = replace(step, equations=next_round(step.equations, missed, earlier))
            earlier, least = missed, np.inf
            now = _iterated(step, _reached(step, now.point, now.iterations), stiffness)
        if not now.error < MAX_GROWTH * least:
            break
        least = min(least, now.error)
    raise SolveError(f"no equilibrium in {now.iterations} iterations; residual {now.error:.1e}")


def _first(step: _Step, start: Point) -> Equations:
    """Return the equations of a step's first tangent: where the load turns back, all sticks."""
    back = step.target.by == "factor" and step.target.value < start.factor
    return stuck(step.equations, start) if back else step.equations


def _factor(target: StepTarget, guess: Guess | None, start: Point) -> float:
    """Return the factor of the load at the end of a step, as far as it is known."""
    if target.by == "factor":
        return target.value
    return guess.factor if guess else start.factor


def _reached(step: _Step, point: Point, iterations: int) -> _Reached:
    equations, residual = step.equations, residual_forces(step.equations, point)
    error = imbalance(point, residual)
    if equations.bed:
        # travel and force are a press's: the force is met by itself, not as one of many
        error = max(error, abs(float(residual[-1])) / max(ram_n(equations, point.factor), RAM_N))
    return _Reached(point, residual, error, iterations)


def _iterated(step: _Step, now: _Reached, stiffness: Stiffness) -> _Reached:
    """Return where one tangent leads to, at least one iteration on."""
    last, errors, iterates, kept = now, [now.error], list[Iterate](), None
    far = NEAR if step.equations.contact else FAR
    while errors[-1] > TOLERANCE and not _is_slow(errors, far):
        iterates.append(_iterate(step, last, stiffness))
        place = accelerated(iterates)
        point = _point(step, place[:-1], float(place[-1]))
        last = _reached(step, point, now.iterations + len(iterates))
        if step.equations.contact and len(iterates) == 1 and last.error > now.error:
            last = _searched(step, now, iterates[0], last)
        errors.append(last.error)
        if kept is None or errors[-1] < WORTH * errors[1]:
            kept = last
    return replace(kept or now, iterations=last.iterations)


def _searched(step: _Step, now: _Reached, first: Iterate, last: _Reached) -> _Reached:
    """Return the point along a tangent's first step at which the residual does no work on it."""
    way, ends = first.step[:-1], [0.0, 1.0]
    work = [float(way @ now.residual), float(way @ last.residual)]
    left = work[1]
    enough = ENOUGH * abs(work[0])
    for _ in range(SEARCHES):
        if work[0] * work[1] > 0 or abs(left) <= enough:
            break
        share = ends[0] + (ends[1] - ends[0]) * max(work[0] / (work[0] - work[1]), 0.1)
        place = first.place + share * first.step
        last = _reached(step, _point(step, place[:-1], float(place[-1])), last.iterations + 1)
        left = float(way @ last.residual)
        side = 0 if left * work[0] > 0 else 1
        ends[side], work[side] = share, left
    return last


def _is_slow(errors: Sequence[float], far: float) -> bool:
    """Return whether a kept tangent needs more iterations than a new one is worth."""
    if len(errors) == 2 and errors[1] > min(errors[0], far):
        return True
    first, *later = [error for error in errors if error < np.inf] or [np.inf]
    if len(later) < TRIED:
        return False
    rate = np.log(first / later[-1]) / len(later)
    return bool(np.log(later[-1] / TOLERANCE) > PATIENCE * rate)


def _iterate(step: _Step, last: _Reached, stiffness: Stiffness) -> Iterate:
    """Return a point as an iterate: with the step that a tangent leads to."""
    point, contact = last.point, step.equations.contact
    change = stiffness.pivoted.apply(last.residual[:, None])[:, 0]
    raised = _raised(step, point, change, stiffness.grow)
    way = np.append(change + raised * stiffness.grow, raised)
    if contact and stiffness.condensed:
        moved, anchors = relative_mm(contact, point.displacement), point.before.anchors_mm
        size = max(float(np.linalg.norm(last.residual)), TOLERANCE * point.size)
        way = with_contact(stiffness.condensed, contact, moved, anchors, way, size)
    return Iterate(np.append(point.unknowns, point.factor), way)


def _condensed(step: _Step, point: Point, made: Stiffness, rubbed: Equations) -> Stiffness:
    """Return a tangent made at a point, with what contact sees of it."""
    equations, contact = step.equations, rubbed.contact
    if not contact:
        return made
    gather = equations.unknowns.gather
    kept = gather(np.arange(len(equations.load), dtype=float)).astype(int)
    moved = relative_mm(contact, point.displacement)
    slopes = slopes_at(contact, moved, point.before.anchors_mm)
    gauge, held = gather(equations.gauge), step.target.by == "deflection"

    def steps(forces: Floats) -> Floats:
        change = made.pivoted.apply(forces)
        raised = -held * (gauge @ change) / float(gauge @ made.grow)
        return np.vstack([change + np.outer(made.grow, raised), raised])

    return replace(made, condensed=condensed_of(contact.moves[:, kept], slopes, steps))


def _raised(step: _Step, point: Point, change: Floats, grow: Floats) -> float:
    """Return by how much the factor of the load changes in an iteration."""
    equations, target = step.equations, step.target
    if target.by == "factor":
        return target.value - point.factor
    gauge = equations.unknowns.gather(equations.gauge)
    have = deflection(equations, point.displacement)
    return (target.value - have - float(gauge @ change)) / float(gauge @ grow)


def _point(step: _Step, unknowns: Floats, factor: float) -> Point:
    return point_at(step.equations, unknowns, factor, step.before, step.least)
