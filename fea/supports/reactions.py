"""Which supports touch, stick or slide, and their reactions, of a bar that is linear.

The bar enters as the compliance of the supported rings, so this is the same for a solid and for a
beam. At each point, with the gap g along its normal and the force l there, the tangential
displacement s and the friction t,

    g >= 0, l >= 0, g l = 0;    s = 0 and |t| <= mu l, or t = -mu l s / |s|.

All gaps are closed at the start, so the answer is proportional to the load (receding contact).
Each point is given a stiffness far above the bar's. Where the largest friction of every point is
known, the motion of the rings then makes a convex energy least, which Newton's method with a line
search finds; the largest friction follows from the forces, in rounds.

Limits: monotonic loading from rest: no friction is left from an earlier load. With much friction
more than one answer can exist; that which the rounds reach from none is found.

Source: Signorini's and Coulomb's conditions, textbook; rounds of given friction after
Panagiotopoulos, Ing.-Arch. 44 (1975) 421-432; receding contact after Dundurs & Stippes, J. Appl.
Mech. 37 (1970) 965-970; both from memory, unverified.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from fea.solid.free_hold import rigid_motions
from fea.supports.free_body import FreeBody, beside_its_hold, ring_stiffness, steadied
from fea.supports.rings import shared_rings
from geometry.arrays import Flags, Floats, Ints
from geometry.errors import SolveError
from loadcases.supports import PlacedSupport

State = Literal["open", "sticks", "slides"]

CONTACT_COMPLIANCE = 1e-6
"""Of a point, over the bar's least at any along its normal."""

MOST_ROUNDS, CALMED_AFTER, CALMER = 400, 60, 0.96
"""Of friction; later ones go half of the way, then less, which ends a swing between two answers."""

MOST_STEPS, MOST_HALVINGS = 200, 40
"""Of Newton's method in a round, and of a step that goes too far."""

CREEP = 1e-10
"""Of a free bar: share of a point's stiffness at which its friction still grows while it slides.
Frictions that oppose each other would let the bar lie anywhere between two places."""

BALANCED, SAME = 1e-7, 1e-6
"""Shares of the forces: of what Newton's method leaves, and of a change between rounds."""


@dataclass(frozen=True, eq=False)
class SupportedBar:
    """A linear bar as its n supports know it, with p points.

    Attributes:
        supports: The supports.
        compliance: (6 n, 6 n) mean motion of each ring (mm, rad) over unit forces and moments.
        free_motion: (6 n,) of the rings by the loads of the case, without any support.
        ram_force_n: Force along their direction of a bed that all supports belong to but the ram's;
            0 where they stand still.
        free: What a bar that no clamp holds has beside these, None of one in its clamp.
    """

    supports: tuple[PlacedSupport, ...]
    compliance: Floats
    free_motion: Floats
    ram_force_n: float = 0.0
    free: FreeBody | None = None


@dataclass(frozen=True, eq=False)
class Reactions:
    """The reactions of the supports.

    Attributes:
        forces_n: (p, 3) of each point on the bar, in bar axes.
        states: Of each point.
        wrenches: (n, 6) force in N and moment in N mm about the centre-line point, of each support.
        pushes: (n, 6) the part of these along the normals, without friction.
        travel_mm: Rise of the bed, 0 where the supports stand still.
        slides_mm: (p, 3) tangential displacement of each point.
        shift: (6,) rigid motion about s = 0, mm and rad, by which a free bar on supports that stand
            still moves beside its displacements in the hold by which it is known; else zeros.
    """

    forces_n: Floats
    states: tuple[State, ...]
    wrenches: Floats
    pushes: Floats
    travel_mm: float
    slides_mm: Floats
    shift: Floats


@dataclass(frozen=True, eq=False)
class _Contact:
    """All p points, one after the other, and the r unknowns.

    Those are the motions of the rings beside those by the loads, and the rise of a bed.

    Attributes:
        owner: (p,) index of the support.
        rings: (p, 3, 6) displacement of the point over the motion of its ring.
        axes: (p, 3, 3) rows: normal and two tangents.
        friction: (p,) coefficients.
        pulls: (p,) whether the support pulls too.
        moves: (p, 3, r) displacement along the axes, against the bed, over the unknowns.
        free: (p, 3) displacement along the axes by the loads, mm.
        stiffness: (r, r) of the bar, N/mm.
        load: (r,) on the unknowns, N: that of the ram, and of a free bar that of its loads.
        point_stiffness: Of every point, N/mm.
        creep: Share of it at which friction still grows while a point slides.
    """

    owner: Ints
    rings: Floats
    axes: Floats
    friction: Floats
    pulls: Flags
    moves: Floats
    free: Floats
    stiffness: Floats
    load: Floats
    point_stiffness: float
    creep: float

    @property
    def start(self) -> Floats:
        """Return (r,) where Newton's method begins: a bed that touches everywhere."""
        return np.where(np.arange(len(self.load)) < len(self.load) // 6 * 6, 0.0, 1.0)


def reactions_of(bar: SupportedBar, friction_scale: float = 1.0) -> Reactions:
    """Return the reactions; `friction_scale` multiplies all coefficients of friction.

    Source: module docstring.

    Raises:
        SolveError: Friction does not settle, or nothing carries the ram.
    """
    contact = _contact_of(bar, friction_scale)
    unknowns: Floats = contact.start
    most: Floats = np.zeros(len(contact.owner))
    for count in range(MOST_ROUNDS):
        unknowns = _balanced(contact, unknowns, most)
        push = -_forces(contact, unknowns, most)[:, 0]
        rubs: Floats = contact.friction * np.maximum(push, 0.0)
        if np.abs(rubs - most).max() <= SAME * np.abs(push).max():
            return _reactions(bar, contact, unknowns, rubs)
        share = 1.0 if count < CALMED_AFTER else CALMER ** (count - CALMED_AFTER) / 2
        most = most + share * (rubs - most)
    raise SolveError(
        f"the friction of the supports does not settle in {MOST_ROUNDS} rounds; give less of it"
    )


def _contact_of(bar: SupportedBar, friction_scale: float) -> _Contact:
    every = [(n, point) for n, one in enumerate(bar.supports) for point in one.points]
    owner = np.array([n for n, _ in every])
    rings = np.array([rigid_motions(np.array([point.offset_mm])) for _, point in every])
    axes: Floats = np.array([_axes(np.array(point.normal)) for _, point in every])
    ring_of, first = shared_rings(bar.compliance, [one.at_mm for one in bar.supports])
    kept = (6 * first[:, None] + np.arange(6)).ravel()
    compliance, free_motion = bar.compliance[np.ix_(kept, kept)], bar.free_motion[kept]
    count, on_bed = len(kept), bar.ram_force_n > 0
    known, carried = ring_stiffness(compliance, bar.free, kept)
    placed = np.zeros((len(every), 3, len(first), 6))
    placed[np.arange(len(every)), :, ring_of[owner]] = axes @ rings
    moves = np.zeros((len(every), 3, count + on_bed))
    moves[:, :, :count] = placed.reshape(len(every), 3, -1)
    if on_bed:
        rising = [0.0 if bar.supports[n].of_ram else 1.0 for n in owner]
        (bed, *_) = (one for one in bar.supports if not one.of_ram)
        moves[:, :, count] = -np.array(rising)[:, None] * (axes @ np.array(bed.direction))
    normal = moves[:, 0, :count]
    yields = np.einsum("pi,ij,pj->p", normal, compliance, normal)
    # a point at the ring that holds a free bar hardly yields, by the choice of that ring
    least = float(yields.max() if bar.free else yields.min())
    stiffness = np.zeros((count + on_bed, count + on_bed))
    stiffness[:count, :count] = known + steadied(bar.free, kept, normal, least)
    load = np.append(carried, [bar.ram_force_n] * on_bed)
    free = moves[:, :, :count] @ free_motion
    friction = friction_scale * np.array([point.friction for _, point in every])
    pulls = np.array([point.pulls for _, point in every])
    stiff = 1 / (CONTACT_COMPLIANCE * least)
    creep = CREEP if bar.free else 0.0
    return _Contact(owner, rings, axes, friction, pulls, moves, free, stiffness, load, stiff, creep)


def _axes(normal: Floats) -> Floats:
    """Return (3, 3): the normal and two tangents, as rows."""
    beside = np.eye(3)[np.abs(normal).argmin()]
    first: Floats = np.cross(normal, beside)
    first = first / np.linalg.norm(first)
    return np.stack([normal, first, np.cross(normal, first)])


def _balanced(contact: _Contact, unknowns: Floats, most: Floats) -> Floats:
    """Return the unknowns that make the energy least, where (p,) is the largest friction."""
    for _ in range(MOST_STEPS):
        slope, bend = _slope(contact, unknowns, most)
        step = -np.linalg.solve(bend, slope)
        there = _forces(contact, unknowns + step, most)
        if np.abs(there - _forces(contact, unknowns, most)).max() <= BALANCED * np.abs(there).max():
            return unknowns + step
        unknowns = _least_along(contact, unknowns, most, step)
    raise SolveError(f"the supports find no balance in {MOST_STEPS} steps; give others")


def _least_along(contact: _Contact, unknowns: Floats, most: Floats, step: Floats) -> Floats:
    """Return the unknowns where the energy is least along a step, at most after all of it.

    One that only lowers it is not enough: at the kinks of friction steps then get ever shorter.
    """

    def falls(share: float) -> bool:
        return float(step @ _slope(contact, unknowns + share * step, most)[0]) <= 0

    if falls(1.0):
        return unknowns + step
    low, high = 0.0, 1.0
    for _ in range(MOST_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if falls(middle) else (low, middle)
    return unknowns + high * step


def _slope(contact: _Contact, unknowns: Floats, most: Floats) -> tuple[Floats, Floats]:
    """Return the slope (r,) of the energy and its curvature (r, r)."""
    moved = contact.free + contact.moves @ unknowns
    forces = _forces(contact, unknowns, most)
    stiff, slide = contact.point_stiffness, moved[:, 1:]
    way = np.linalg.norm(slide, axis=1)
    sticks = stiff * way <= most
    touches = (moved[:, 0] < 0) | contact.pulls
    bends = np.zeros((len(moved), 3, 3))
    bends[:, 0, 0] = stiff * touches
    safe = np.where(sticks, 1.0, way)
    along = slide / safe[:, None]
    beside = np.eye(2) - along[:, :, None] * along[:, None, :]
    kept = stiff * np.eye(2)
    bends[:, 1:, 1:] = np.where(
        sticks[:, None, None],
        kept,
        (most / safe)[:, None, None] * beside + (contact.creep * (most > 0))[:, None, None] * kept,
    )
    slope = (
        contact.stiffness @ unknowns - contact.load + np.einsum("pir,pi->r", contact.moves, forces)
    )
    bend = np.einsum("pir,pij,pjs->rs", contact.moves, bends, contact.moves)
    return slope, contact.stiffness + bend + _held(contact)


def _held(contact: _Contact) -> Floats:
    """Return a stiffness of nothing that keeps a bed without contact from having none at all."""
    return np.asarray(1e-12 * contact.point_stiffness * np.eye(len(contact.load)))


def _forces(contact: _Contact, unknowns: Floats, most: Floats) -> Floats:
    """Return the forces (p, 3) that the points exert on their supports, along their axes."""
    moved = contact.free + contact.moves @ unknowns
    forces = contact.point_stiffness * moved
    forces[:, 0] = np.where(contact.pulls, forces[:, 0], np.minimum(forces[:, 0], 0.0))
    drag = np.linalg.norm(forces[:, 1:], axis=1)
    slack = np.where(drag > most, most / np.where(drag > 0, drag, 1.0), 1.0)
    forces[:, 1:] *= (slack + (1 - slack) * contact.creep * (most > 0))[:, None]
    return forces


def _reactions(bar: SupportedBar, contact: _Contact, unknowns: Floats, most: Floats) -> Reactions:
    along = -_forces(contact, unknowns, most)
    moved = contact.free + contact.moves @ unknowns
    none = BALANCED * np.abs(along).max(initial=0.0)
    along[np.abs(along[:, 0]) <= none] = 0.0
    drag = contact.point_stiffness * np.linalg.norm(moved[:, 1:], axis=1)
    states: tuple[State, ...] = tuple(
        "open" if not force.any() else "slides" if pull > rub or not rub else "sticks"
        for force, pull, rub in zip(along, drag, most, strict=True)
    )
    forces = np.einsum("pai,pa->pi", contact.axes, along)
    pushed = contact.axes[:, 0] * along[:, :1]
    slides = np.einsum("pai,pa->pi", contact.axes[:, 1:], moved[:, 1:])
    wrenches, pushes = (_summed(bar, contact, each) for each in (forces, pushed))
    travel = float(unknowns[-1]) if bar.ram_force_n else 0.0
    shift: Floats = np.zeros(6)
    if bar.free and not bar.ram_force_n:
        rings, _ = shared_rings(bar.compliance, [one.at_mm for one in bar.supports])
        there = unknowns.reshape(-1, 6)[rings].ravel()
        shift = beside_its_hold(bar.free, there - bar.compliance @ wrenches.ravel())
    return Reactions(forces, states, wrenches, pushes, travel, slides, shift)


def _summed(bar: SupportedBar, contact: _Contact, forces: Floats) -> Floats:
    """Return (n, 6): the wrenches on the rings of forces (p, 3) at their contact."""
    wrenches = np.zeros((len(bar.supports), 6))
    np.add.at(wrenches, contact.owner, np.einsum("pia,pi->pa", contact.rings, forces))
    return wrenches
