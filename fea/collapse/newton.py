"""Newton's method along a path, with a tangent that is kept while it serves.

A step prescribes the factor of the load, or the deflection along it; with the deflection prescribed
the factor is one more unknown, and one factor serves two right-hand sides, so the path continues
where the load falls. The deflection is linear in the unknowns, so every iteration meets it exactly,
whichever tangent it uses.

A factorised tangent is kept over iterations (modified Newton), which `acceleration.py` speeds up:
the residuals fall by a ratio that hardly changes, so the number of iterations still to come is
known. Where they would cost more than a new tangent, one is factorised. Contact, which no tangent
has for long, is solved within each iteration (`condensed.py`). The metal's state is always
integrated from the beginning of the step, so neither an old tangent nor the guess that a step
begins with moves its end by more than the tolerance.

Source: Batoz & Dhatt, IJNME 14 (1979) 1262-1267, for the two right-hand sides; from memory.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from fea.collapse.acceleration import LITTLE, Iterate, accelerated, is_slow
from fea.collapse.condensed import Condensed, seen_by, with_contact
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
from fea.collapse.friction import (
    enough_at,
    is_settled,
    missed_n,
    next_round,
    ram_n,
    rubbed_for,
    rubs,
    stuck,
)
from fea.collapse.line_search import share_of_step
from fea.collapse.plastic import State
from fea.solid.direct_solvers import Pivoted, Pivoting, bordered
from geometry.arrays import Floats
from geometry.errors import SolveError

TOLERANCE, FLOOR = 1e-6, 0.03
"""Largest residual over the internal forces, both as root of the sum of squares. Those are several
times the load. Where they vanish with the load, a share of their former size counts."""

FACTORISATIONS, IN_CONTACT, MOST_ROUNDS = 14, 40, 40
"""Most of a step, and of one with contact; and how often its friction may be taken anew."""

ASTRAY = 30.0
"""A guess with a larger residual presses the bar into its supports: a step begins at its start."""

WORTH = 0.5
"""Share of the residual after a tangent's first iteration below which later ones have led on, so
that the next tangent is that of the last; else it is that of the first."""

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
        condensed: What contact sees of it, None where there is none.
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
    slope = 1.0 / rate if rate and not rubs(equations) else None
    seen = (
        seen_by(equations, equations.contact, point, pivoted, grow) if equations.contact else None
    )
    return Stiffness(pivoted, grow, slope, seen)


@dataclass(frozen=True, eq=False)
class _Step:
    """What an iteration needs to know of its step, as `balanced` does.

    Beside that the least size in N, and the imbalance that is enough in this round of friction.
    """

    equations: Equations
    target: StepTarget
    before: State
    least: float
    enough: float


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
    near = guess.factor if guess else start.factor
    begun = rubbed_for(equations, start, target.value if target.by == "factor" else near)
    step = _Step(begun, target, before, FLOOR * start.size, enough_at(equations, TOLERANCE))
    back = target.by == "factor" and target.value < start.factor
    stiffness = begin or stiffness_at(stuck(begun, start) if back else begun, start, pivoting)
    negative, slope, least = stiffness.pivoted.negative(), stiffness.slope, np.inf
    del begin
    earlier: Floats = np.zeros(0)
    now = _begun(step, start, guess)
    most, rounds = IN_CONTACT if equations.contact else FACTORISATIONS, 0
    for made in range(1, most + 1):
        if made > 1:
            # the factor is gone before the next one is made: each is the largest thing there is
            del stiffness
            stiffness = stiffness_at(step.equations, now.point, pivoting)
        iterates = list[Iterate]()
        now = _iterated(step, now, stiffness, iterates)
        while now.error <= step.enough and rounds <= MOST_ROUNDS:
            missed = missed_n(step.equations, now.point)
            if is_settled(step.equations, missed) and now.error <= TOLERANCE:
                counted = replace(now.point, iterations=now.iterations, factorisations=made)
                return replace(counted, negative=negative, slope=slope)
            enough = enough_at(step.equations, TOLERANCE, missed)
            following = next_round(step.equations, missed, earlier)
            step = replace(step, equations=following, enough=enough)
            earlier, least, rounds = missed, np.inf, rounds + 1
            now = _iterated(step, _reached(step, now.point, now.iterations), stiffness, iterates)
        if not now.error < MAX_GROWTH * least or rounds > MOST_ROUNDS:
            break
        least = min(least, now.error)
    raise SolveError(f"no equilibrium in {now.iterations} iterations; residual {now.error:.1e}")


def _begun(step: _Step, start: Point, guess: Guess | None) -> _Reached:
    """Return where the iterations of a step begin: at its guess, unless that is astray."""
    if guess:
        now = _reached(step, _point(step, guess.unknowns, guess.factor), 0)
        if now.error <= ASTRAY:
            return now
    return _Reached(start, residual_forces(step.equations, start), np.inf, 0)


def _reached(step: _Step, point: Point, iterations: int) -> _Reached:
    equations, residual = step.equations, residual_forces(step.equations, point)
    error = imbalance(point, residual)
    if equations.bed:
        # travel and force are a press's: the force is met by itself, not as one of many
        error = max(error, abs(float(residual[-1])) / max(ram_n(equations, point.factor), RAM_N))
    return _Reached(point, residual, error, iterations)


def _iterated(
    step: _Step, now: _Reached, stiffness: Stiffness, iterates: list[Iterate]
) -> _Reached:
    """Return where one tangent leads to, at least one iteration on."""
    last, errors, kept = now, [now.error], None
    little = LITTLE if step.equations.contact else 0.0
    part = iterates[-1].part + 1 if iterates else 0
    while errors[-1] > step.enough and not is_slow(errors, step.enough, little):
        iterates.append(_iterate(step, last, stiffness)._replace(part=part))
        place = accelerated(iterates)
        point = _point(step, place[:-1], float(place[-1]))
        last = _reached(step, point, now.iterations + len(errors))
        if step.equations.contact and len(errors) == 1 and last.error > now.error:
            last = _searched(step, now, iterates[-1], last)
        errors.append(last.error)
        if kept is None or errors[-1] < max(WORTH * errors[1], step.enough):
            kept = last
    return replace(kept or now, iterations=last.iterations)


def _searched(step: _Step, now: _Reached, first: Iterate, last: _Reached) -> _Reached:
    """Return the point along a tangent's first step at which the residual does no work on it."""
    way, tried = first.step[:-1], [last]

    def work(share: float) -> float:
        place = first.place + share * first.step
        point = _point(step, place[:-1], float(place[-1]))
        tried.append(_reached(step, point, tried[-1].iterations + 1))
        return float(way @ tried[-1].residual)

    share_of_step(work, float(way @ now.residual), float(way @ last.residual))
    return tried[-1]


def _iterate(step: _Step, last: _Reached, stiffness: Stiffness) -> Iterate:
    """Return a point as an iterate: with the step that a tangent leads to."""
    point, contact = last.point, step.equations.contact
    change = stiffness.pivoted.apply(last.residual[:, None])[:, 0]
    raised = _raised(step, point, change, stiffness.grow)
    way = np.append(change + raised * stiffness.grow, raised)
    if contact and stiffness.condensed:
        size = max(float(np.linalg.norm(last.residual)), TOLERANCE * point.size)
        held = step.target.by == "deflection"
        way = with_contact(stiffness.condensed, contact, point, way, size, held=held)
    return Iterate(np.append(point.unknowns, point.factor), way)


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
