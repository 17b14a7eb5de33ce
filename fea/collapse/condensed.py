"""Contact solved by itself within an iteration, on a bar that a kept tangent stands for.

A foot rolls on from point to point within a step, and each that touches or lets go is another
stiffness: Newton's method took a tangent of the whole bar for every few of them. But the bar itself
answers nearly linearly to forces at its points of contact. With a tangent K that has the slopes S
of the contact where it was made, W being the points' displacement over the unknowns, an iteration
from u with residual r is

    K d = r + W' q,    q = p(W (u + d)) - p(W u) + S W d,

the contact's forces p not linearised. Most points have next to no q: they are off before and after,
or on. Columns of K's inverse at the others make it a small problem for q, convex as the contact's
potential is; Newton's method solves it with a line search. Points that it brings into touch, or
takes out of it, get columns next, those first that miss most. So nothing else of an iteration
changes, and where it ends is the same.

Source: Schur's complement; semismooth Newton, e.g. Qi & Sun, Math. Prog. 58 (1993) 353-367, from
memory.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from scipy.sparse import csr_array

from fea.collapse.contact import Contact, forces_at, part_of, relative_mm, slopes_at
from fea.collapse.equilibrium import Equations, Point
from fea.collapse.line_search import share_of_step
from fea.solid.direct_solvers import Pivoted
from geometry.arrays import Floats, Ints

MOST, BATCH = 150, 12
"""Points that get columns of a tangent at most, else contact stays linear; how many at a time, or
as many again as have some."""

LEFT = 0.02
"""Share of the residual that may be missing at points without columns, for the next iteration."""

SOLVED, ITERATIONS = 1e-9, 40
"""Share of the forces that may be missing at the end of the small problem, and its iterations."""


@dataclass(frozen=True, eq=False)
class Near:
    """Points of contact that have columns of a tangent's inverse.

    Attributes:
        points: (m,) which.
        columns: (r + 1, 3 m) steps to a unit force on them, mm/N.
        gives: (3 m, 3 m) their displacement in these.
    """

    points: Ints
    columns: Floats
    gives: Floats


@dataclass(frozen=True, eq=False)
class Condensed:
    """A kept tangent as P points of contact see it.

    Attributes:
        moves: (3 P, r) displacement of the points over the unknowns.
        slopes: (P, 3, 3) of the contact in the tangent, N/mm.
        steps: From forces on the unknowns (r, k), N, to the steps of iterations (r + 1, k), and
            whether the deflection is held in these, so that the load gives way.
        near: What is known of its inverse, the last alone; empty where contact stays linear.
    """

    moves: csr_array
    slopes: Floats
    steps: Callable[[Floats, bool], Floats]
    near: list[Near] = field(default_factory=list)


@dataclass(frozen=True, eq=False)
class _Start:
    """P points where an iteration begins: displacement and anchors in mm, forces in N."""

    contact: Contact
    moved: Floats
    anchors: Floats
    forces: Floats
    slopes: Floats


def seen_by(
    equations: Equations, contact: Contact, point: Point, pivoted: Pivoted, grow: Floats
) -> Condensed:
    """Return what the points of contact see of a tangent.

    Args:
        equations: The bar, as the tangent was made.
        contact: Its contact.
        point: Where it was made.
        pivoted: The tangent, factorised.
        grow: (r,) its displacement for each unit of the load's factor, mm.

    Source: module docstring.
    """
    gather = equations.unknowns.gather
    gauge = gather(equations.gauge)
    # unknowns are some of the degrees of freedom: which
    unknowns = gather(np.arange(len(equations.gauge), dtype=float)).astype(int)
    moves, moved = contact.moves[:, unknowns], relative_mm(contact, point.displacement)

    def steps(forces: Floats, held: bool) -> Floats:
        change = pivoted.apply(forces)
        given = gauge @ change / (gauge @ grow) if held else np.zeros(forces.shape[1])
        return np.vstack([change - np.outer(grow, given), -given])

    none = Near(np.zeros(0, dtype=int), np.zeros((moves.shape[1] + 1, 0)), np.zeros((0, 0)))
    return Condensed(moves, slopes_at(contact, moved, point.before.anchors_mm), steps, [none])


def with_contact(
    condensed: Condensed,
    contact: Contact,
    point: Point,
    step: Floats,
    residual_n: float,
    *,
    held: bool,
) -> Floats:
    """Return the step (r + 1,) of an iteration, mm, in which contact is not linearised.

    Args:
        condensed: The tangent.
        contact: The points.
        point: Where the iteration begins.
        step: (r + 1,) the step with contact linearised, mm.
        residual_n: Size of the residual there, N.
        held: Whether the deflection is held.

    Source: module docstring.
    """
    start = _begun(condensed, contact, point)
    total = step
    pushed: Floats = np.zeros(0)
    while condensed.near:
        (near,) = condensed.near
        missing = _missing(start, (condensed.moves @ total[:-1]).reshape(-1, 3))
        missing[near.points[: len(pushed) // 3]] = 0.0
        sizes = np.linalg.norm(missing, axis=1)
        if np.linalg.norm(sizes) <= LEFT * residual_n:
            return total
        # those that already have columns come first: they are for nothing
        if 3 * len(near.points) == len(pushed):
            _extend(condensed, _worst(sizes, len(near.points)), held=held)
        if condensed.near:
            pushed, total = _pushed(condensed, start, step, pushed)
    return step


def _begun(condensed: Condensed, contact: Contact, point: Point) -> _Start:
    moved, anchors = relative_mm(contact, point.displacement), point.before.anchors_mm
    forces = forces_at(contact, moved, anchors)
    return _Start(contact, moved, anchors, forces, condensed.slopes)


def _pushed(
    condensed: Condensed, start: _Start, step: Floats, pushed: Floats
) -> tuple[Floats, Floats]:
    """Return q (3 m,) at the points with columns, from that at the first of them, and the step."""
    (near,) = condensed.near
    first = np.append(pushed, np.zeros(3 * len(near.points) - len(pushed)))
    alone = (_rows(condensed, near.points) @ step[:-1]).reshape(-1, 3)
    found = _solved(_part(start, near.points), alone, near.gives, first)
    return found, step + near.columns @ found


def _worst(sizes: Floats, known: int) -> Ints:
    """Return the points that miss most, those left out that miss next to nothing."""
    worst = np.argsort(-sizes)[: max(BATCH, known)]
    return np.asarray(worst[sizes[worst] > LEFT * sizes[worst[0]]])


def _missing(start: _Start, moves: Floats) -> Floats:
    """Return (P, 3) q where the points move on by `moves` (P, 3)."""
    linear = np.einsum("pij,pj->pi", start.slopes, moves)
    now = forces_at(start.contact, start.moved + moves, start.anchors)
    return np.asarray(now - start.forces + linear)


def _part(start: _Start, points: Ints) -> _Start:
    return _Start(
        part_of(start.contact, points),
        start.moved[points],
        start.anchors[points],
        start.forces[points],
        start.slopes[points],
    )


def _rows(condensed: Condensed, points: Ints) -> csr_array:
    return condensed.moves[(3 * points[:, None] + np.arange(3)).ravel()]


def _extend(condensed: Condensed, points: Ints, *, held: bool) -> None:
    """Give points columns too, or none at all where they would be too many."""
    (near,) = condensed.near
    condensed.near.clear()
    if len(near.points) + len(points) > MOST:
        return
    made = condensed.steps(_rows(condensed, points).toarray().T, held)
    columns, points = np.hstack([near.columns, made]), np.append(near.points, points)
    gives = np.asarray(_rows(condensed, points) @ columns[:-1])
    condensed.near.append(Near(points, columns, gives))


def _solved(start: _Start, alone: Floats, gives: Floats, pushed: Floats) -> Floats:
    """Return (3 m,) q at the m points of a small problem, N, from a first one.

    Args:
        start: The points where the iteration begins.
        alone: (m, 3) how they move without q.
        gives: (3 m, 3 m) how they move by it.
        pushed: (3 m,) q to begin with.
    """

    def misses(force: Floats) -> Floats:
        return _missing(start, alone + (gives @ force).reshape(-1, 3)).ravel() - force

    missed = misses(pushed)
    for _ in range(ITERATIONS):
        size = max(float(np.linalg.norm(pushed)), float(np.linalg.norm(start.forces)))
        if np.linalg.norm(missed) <= SOLVED * size:
            break
        at = start.moved + alone + (gives @ pushed).reshape(-1, 3)
        slopes = start.slopes - slopes_at(start.contact, at, start.anchors)
        less = (slopes @ gives.reshape(len(alone), 3, -1)).reshape(gives.shape)
        way = np.linalg.solve(np.eye(len(pushed)) - less, missed)
        pushed = pushed + _share(misses, pushed, way, gives) * way
        missed = misses(pushed)
    return pushed


def _share(misses: Callable[[Floats], Floats], pushed: Floats, way: Floats, gives: Floats) -> float:
    """Return the share of a step up to about where the potential is least along it."""
    moves = gives @ way

    def work(share: float) -> float:
        return float(moves @ misses(pushed + share * way))

    return share_of_step(work, work(0.0), work(1.0))
