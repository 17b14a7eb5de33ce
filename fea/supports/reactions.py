"""Which supports touch, stick or slide, and their reactions, of a bar that is linear.

The bar enters as the compliance of the supported rings, so this is the same for a solid and for a
beam. At each point, with the gap g along its normal and the force l there, the tangential
displacement s and the friction t,

    g >= 0, l >= 0, g l = 0;    s = 0 and |t| <= mu l, or t = -mu l s / |s|.

All gaps are closed at the start, so the answer is proportional to the load (receding contact).
States are found by an active set, one change at a time, and the direction of sliding by repetition.

Limits: monotonic loading from rest: no friction is left from an earlier load. With much friction
more than one answer can exist; the one next to free sliding is found.

Source: Signorini's and Coulomb's conditions, textbook; for receding contact Dundurs & Stippes,
J. Appl. Mech. 37 (1970) 965-970, from memory, unverified.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from geometry.arrays import Flags, Floats, Ints
from geometry.errors import SolveError
from loadcases.supports import PlacedSupport

State = Literal["open", "sticks", "slides"]

MAX_CHANGES = 400
SAME = 1e-9
"""Of a share of the largest force or displacement: less is round-off."""

CONTACT_COMPLIANCE = 1e-6
"""Of a point, over the bar's least at any along its normal: several points of one rigid ring would
have no single share of its force without it."""


@dataclass(frozen=True, eq=False)
class SupportedBar:
    """A linear bar as its n supports know it, with p points.

    Attributes:
        supports: The supports.
        compliance: (6 n, 6 n) mean motion of each ring (mm, rad) over unit forces and moments.
        free_motion: (6 n,) of the rings by the loads of the case, without any support.
        ram_force_n: Sum of the normal forces of a bed that all supports belong to; 0 where they
            stand still.
    """

    supports: tuple[PlacedSupport, ...]
    compliance: Floats
    free_motion: Floats
    ram_force_n: float = 0.0


@dataclass(frozen=True, eq=False)
class Reactions:
    """The reactions of the supports.

    Attributes:
        forces_n: (p, 3) of each point on the bar, in bar axes.
        states: Of each point.
        wrenches: (n, 6) force in N and moment in N mm about the centre-line point, of each support.
        travel_mm: Rise of the bed, 0 where the supports stand still.
        slides_mm: (p, 3) tangential displacement of each point.
    """

    forces_n: Floats
    states: tuple[State, ...]
    wrenches: Floats
    travel_mm: float
    slides_mm: Floats


@dataclass(frozen=True, eq=False)
class _Points:
    """All p points, one after the other.

    Attributes:
        owner: (p,) index of the support.
        rings: (p, 3, 6) displacement of the point over the motion of its ring.
        axes: (p, 3, 3) rows: normal and two tangents.
        friction: (p,)
        pulls: (p,)
        compliance: (3 p, 3 p) along the axes, mm/N.
        free: (3 p,) displacement along the axes by the loads, mm.
    """

    owner: Ints
    rings: Floats
    axes: Floats
    friction: Floats
    pulls: Flags
    compliance: Floats
    free: Floats


@dataclass(frozen=True, eq=False)
class _Sliding:
    """Directions (p, 2) in which points slide, and friction over the way slid (p,), N/mm."""

    toward: Floats
    drag: Floats


@dataclass(frozen=True, eq=False)
class _Unknown:
    """An unknown force: what it is along all axes (3 p,), and what it makes zero.

    That is the displacement `seen` (3 p,), and `compliance` times itself.
    """

    force: Floats
    seen: Floats
    compliance: float = 0.0


@dataclass(frozen=True, eq=False)
class _Found:
    """Forces (p, 3) and displacements (p, 3) along each point's axes, and the bed's rise."""

    forces: Floats
    moved: Floats
    travel: float


def reactions_of(bar: SupportedBar, friction_scale: float = 1.0) -> Reactions:
    """Return the reactions; `friction_scale` multiplies all coefficients of friction.

    Source: module docstring.

    Raises:
        SolveError: The states do not settle.
    """
    points = _points_of(bar, friction_scale)
    states: list[State] = ["slides"] * len(points.owner)
    sliding = _Sliding(np.zeros((len(states), 2)), np.zeros(len(states)))
    for _ in range(MAX_CHANGES):
        found = _solved(bar, points, states, sliding)
        changed = _changed(points, states, found, sliding.toward)
        turned = _turned(points, states, found, sliding)
        settled = changed == states
        if settled and np.abs(turned.toward - sliding.toward).max(initial=0.0) < SAME:
            return _reactions(bar, points, states, found)
        states, sliding = changed, turned if settled else sliding
    raise SolveError(
        f"the supports do not settle on which touch, stick or slide in {MAX_CHANGES} changes; "
        "give less friction"
    )


def without_friction(supports: Sequence[PlacedSupport]) -> tuple[PlacedSupport, ...]:
    """Return the supports as if all of them rolled.

    Source: definition.
    """
    return tuple(
        replace(one, points=tuple(replace(point, friction=0.0) for point in one.points))
        for one in supports
    )


def _points_of(bar: SupportedBar, friction_scale: float) -> _Points:
    every = [(n, point) for n, one in enumerate(bar.supports) for point in one.points]
    owner = np.array([n for n, _ in every])
    rings = np.array([_ring(np.array(point.offset_mm)) for _, point in every])
    axes: Floats = np.array([_axes(np.array(point.normal)) for _, point in every])
    placed = np.zeros((len(every), 3, len(bar.supports), 6))
    placed[np.arange(len(every)), :, owner] = axes @ rings
    reads = placed.reshape(3 * len(every), -1)
    compliance: Floats = reads @ bar.compliance @ reads.T
    own = CONTACT_COMPLIANCE * float(np.diagonal(compliance)[::3].min())
    return _Points(
        owner,
        rings,
        axes,
        friction_scale * np.array([point.friction for _, point in every]),
        np.array([point.pulls for _, point in every]),
        compliance + own * np.eye(len(compliance)),
        reads @ bar.free_motion,
    )


def _ring(offset: Floats) -> Floats:
    """Return (3, 6): displacement of a point over the motion of its ring, u + phi x r."""
    x, y, z = offset
    turn = np.array([[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]])
    return np.hstack([np.eye(3), turn])


def _axes(normal: Floats) -> Floats:
    """Return (3, 3): the normal and two tangents, as rows."""
    beside = np.eye(3)[np.abs(normal).argmin()]
    first: Floats = np.cross(normal, beside)
    first = first / np.linalg.norm(first)
    return np.stack([normal, first, np.cross(normal, first)])


def _solved(
    bar: SupportedBar, points: _Points, states: Sequence[State], sliding: _Sliding
) -> _Found:
    """Return the forces and displacements with given states and directions of sliding."""
    unknowns = [
        one for p, state in enumerate(states) for one in _unknowns(points, p, state, sliding)
    ]
    count, size, on_bed = len(states), len(unknowns), bar.ram_force_n > 0
    force = np.array([one.force for one in unknowns]).reshape(size, 3 * count).T
    seen = np.array([one.seen for one in unknowns]).reshape(size, 3 * count)
    normal = np.tile([1.0, 0.0, 0.0], count)
    matrix, right = np.zeros((size + on_bed, size + on_bed)), np.zeros(size + on_bed)
    matrix[:size, :size] = seen @ points.compliance @ force
    matrix[:size, :size] += np.diag([one.compliance for one in unknowns])
    right[:size] = -seen @ points.free
    if on_bed:
        matrix[:size, size], matrix[size, :size] = -seen @ normal, normal @ force
        right[size] = bar.ram_force_n
    try:
        values = np.linalg.solve(matrix, right)
    except np.linalg.LinAlgError:
        raise SolveError("no support is left to carry the ram; give other supports") from None
    travel = float(values[size]) if on_bed else 0.0
    forces = force @ values[:size]
    moved = points.free + points.compliance @ forces - travel * normal
    return _Found(forces.reshape(-1, 3), moved.reshape(-1, 3), travel)


def _unknowns(points: _Points, place: int, state: State, sliding: _Sliding) -> Iterator[_Unknown]:
    """Yield the unknown forces of a point, each with the displacement that it is found by.

    Friction t = -mu l s / |s| is linear in l along the direction d of the last round; beside it
    Newton's method adds -(mu l / |s|) (1 - d d') s, by which d turns.
    """
    if state == "open":
        return
    axes = np.eye(len(points.free))[3 * place : 3 * place + 3]
    (a, b), friction = sliding.toward[place], points.friction[place]
    if state == "sticks":
        yield from (_Unknown(axis, axis) for axis in axes)
        return
    yield _Unknown(axes[0] - friction * (a * axes[1] + b * axes[2]), axes[0])
    if drag := float(sliding.drag[place]):
        beside = a * axes[2] - b * axes[1]
        yield _Unknown(beside, beside, 1 / drag)


def _turned(points: _Points, states: Sequence[State], found: _Found, sliding: _Sliding) -> _Sliding:
    """Return the directions in which points slide, those of the last round where none do."""
    slides = found.moved[:, 1:]
    length = np.linalg.norm(slides, axis=1)
    moving = length > SAME * np.abs(found.moved).max(initial=0.0)
    moving &= np.einsum("pi,pi->p", slides, sliding.toward) >= 0
    safe = np.where(moving, length, 1.0)
    toward = np.where(moving[:, None], slides / safe[:, None], sliding.toward)
    rubs = np.array([state == "slides" for state in states]) & (points.friction > 0)
    drag = np.where(moving & rubs, points.friction * np.maximum(found.forces[:, 0], 0) / safe, 0.0)
    return _Sliding(np.where(rubs[:, None], toward, 0.0), drag)


def _changed(points: _Points, states: list[State], found: _Found, toward: Floats) -> list[State]:
    """Return the states with the one that is most wrong put right."""
    push, gap = found.forces[:, 0], found.moved[:, 0]
    largest, farthest = np.abs(push).max(initial=0.0), np.abs(found.moved).max(initial=0.0)
    touches = np.array([state != "open" for state in states])
    pulled = np.where(touches & ~points.pulls, -push, 0.0)
    if pulled.max(initial=0.0) > SAME * largest:
        return _with(states, int(pulled.argmax()), "open")
    pierced = np.where(touches, 0.0, -gap)
    if pierced.max(initial=0.0) > SAME * farthest:
        return _with(states, int(pierced.argmax()), "slides")
    drag = np.linalg.norm(found.forces[:, 1:], axis=1)
    sticking = np.array([state == "sticks" for state in states])
    excess = np.where(sticking, drag - points.friction * np.abs(push), 0.0)
    if excess.max(initial=0.0) > SAME * largest:
        return _with(states, int(excess.argmax()), "slides")
    backward = -np.einsum("pi,pi->p", found.moved[:, 1:], toward)
    backward = np.where(touches & ~sticking & (points.friction > 0), backward, 0.0)
    if backward.max(initial=0.0) > SAME * farthest:
        return _with(states, int(backward.argmax()), "sticks")
    return states


def _with(states: list[State], place: int, state: State) -> list[State]:
    return [*states[:place], state, *states[place + 1 :]]


def _reactions(
    bar: SupportedBar, points: _Points, states: Sequence[State], found: _Found
) -> Reactions:
    forces = np.einsum("pai,pa->pi", points.axes, found.forces)
    wrenches = np.zeros((len(bar.supports), 6))
    np.add.at(wrenches, points.owner, np.einsum("pia,pi->pa", points.rings, forces))
    slides = np.einsum("pai,pa->pi", points.axes[:, 1:], found.moved[:, 1:])
    return Reactions(forces, tuple(states), wrenches, found.travel, slides)
