"""Contact of the bar with rigid surfaces, and friction there, at points of its own faces.

A point of a face, at x, is pressed by the surface with k <-g> n: g is its distance from the surface
and n the surface's normal there. Along the surface a spring holds it where it touched, and lets it
slide where that would need more than a largest friction f:

    t = -min(k_t |d|, f) d/|d|,    d = P (r - a),    P = 1 - n n',

r being its displacement against the surface and a that at which friction is zero, which a step
begins with and a point that slides takes along. So what a step forgets or keeps is in a, and after
a reversal a point sticks first.

Coulomb's f is the coefficient of friction times the pressure, whose tangent is not symmetric. Here
a step takes f as known, which makes its potential convex, and finds it in rounds: from the pressure
at its beginning, then from that at the end of the round before. Its tangent is symmetric, and its
negative pivots are those of a bar with friction of that size.

Limits: k is that of a stiff layer, not of metal on metal: the points sink in by k's inverse times
the pressure. Over rollers that and elements wider than the patch in contact nearly cancel on a
coarse mesh: four times k on a standard one gives 1 % more force at the first tenths of a millimetre
(half span 90 mm, 24 x 1.6), and less later. A surface is a plane, or a round cylinder from outside
or inside. Where a point slides round a cylinder, the tangent leaves out that the friction turns
with it.

Source: penalty contact with a return map for friction, e.g. Wriggers, Computational Contact
Mechanics (2006), ch. 5 and 6; rounds of given friction after Panagiotopoulos, Ing.-Arch. 44 (1975)
421-432; from memory, and derived anew.
"""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from scipy.sparse import csr_array

from geometry.arrays import Flags, Floats, Ints

PER_MM = 4.5
"""Stiffness of the layer over Young's modulus: 3e5 N/mm3 for aluminium; half of it along it."""


@dataclass(frozen=True, eq=False)
class Surface:
    """A rigid surface at rest, in bar axes.

    Attributes:
        support: Index of the support that has it.
        through_mm: (3,) point of the plane, or of the cylinder's axis.
        normal: (3,) unit vector of the plane, into the bar; unused for a cylinder.
        axis: (3,) unit vector of the cylinder; unused for a plane.
        radius_mm: Of the cylinder, 0 for a plane.
        hollow: Whether the bar lies in the cylinder, not beside it.
    """

    support: int
    through_mm: Floats
    normal: Floats
    axis: Floats
    radius_mm: float = 0.0
    hollow: bool = False


@dataclass(frozen=True, eq=False)
class Contact:
    """P points of the bar that may touch surfaces.

    Attributes:
        surfaces: The surfaces.
        owner: (P,) index of the surface that each point may touch.
        places_mm: (P, 3) of the undeformed bar.
        moves: (3 P, n) displacement of each point against its surface over all degrees of freedom.
        stiffness: (P,) of each point, N/mm.
        friction: (P,) coefficient of friction.
        pulls: (P,) whether the surface pulls too.
        most_n: (P,) largest friction that is taken as known, N.
    """

    surfaces: tuple[Surface, ...]
    owner: Ints
    places_mm: Floats
    moves: csr_array
    stiffness: Floats
    friction: Floats
    pulls: Flags
    most_n: Floats


class _Touch(NamedTuple):
    """The points on their surfaces, P each.

    Attributes:
        moved: (P, 3) displacement against the surface.
        normal: (P, 3) of the surface.
        curved: (P,) inverse distance from a cylinder's axis, negative in a hollow one, 0 for a
            plane.
        axis: (P, 3) of the cylinder.
        push: (P,) force along the normal, N.
        drag: (P, 3) displacement along the surface from where friction is zero.
        size: (P,) of that, never 0.
        slides: (P,) whether the spring along the surface would need more than friction.
    """

    moved: Floats
    normal: Floats
    curved: Floats
    axis: Floats
    push: Floats
    drag: Floats
    size: Floats
    slides: Flags


def gaps_mm(contact: Contact, displacement: Floats) -> Floats:
    """Return (P,) the distance of every point from its surface, mm; `displacement` is (n,).

    Source: geometry.
    """
    return _distances(contact, contact.places_mm + relative_mm(contact, displacement))[0]


def relative_mm(contact: Contact, displacement: Floats) -> Floats:
    """Return (P, 3) the displacement of every point against its surface, mm.

    Source: definition; `displacement` is (n,), mm.
    """
    return np.asarray((contact.moves @ displacement).reshape(-1, 3))


def part_of(contact: Contact, points: Ints) -> Contact:
    """Return the contact of some of the points (k,), its `moves` still those of all.

    Source: definition.
    """
    return replace(
        contact,
        owner=contact.owner[points],
        places_mm=contact.places_mm[points],
        stiffness=contact.stiffness[points],
        friction=contact.friction[points],
        pulls=contact.pulls[points],
        most_n=contact.most_n[points],
    )


def contact_forces(contact: Contact, displacement: Floats, anchors: Floats) -> Floats:
    """Return (P, 3) the force on the bar at every point, N.

    Args:
        contact: The points.
        displacement: (n,) of all degrees of freedom, mm.
        anchors: (P, 3) displacement against the surface at which friction is zero, mm.

    Source: module docstring.
    """
    return forces_at(contact, relative_mm(contact, displacement), anchors)


def forces_at(contact: Contact, moved: Floats, anchors: Floats) -> Floats:
    """Return (P, 3) as `contact_forces`, N, from the points' own displacement.

    Args:
        contact: The points.
        moved: (P, 3) their displacement against their surfaces, mm.
        anchors: (P, 3) as for `contact_forces`, mm.

    Source: module docstring.
    """
    touch = _touch(contact, moved, anchors)
    return np.asarray(touch.push[:, None] * touch.normal + _friction(contact, touch))


def slopes_at(contact: Contact, moved: Floats, anchors: Floats) -> Floats:
    """Return (P, 3, 3) how the force of each point falls with its own displacement, N/mm.

    Args:
        contact: The points.
        moved: (P, 3) their displacement against their surfaces, mm.
        anchors: (P, 3) as for `contact_forces`, mm.

    Source: module docstring.
    """
    blocks = np.zeros((len(moved), 3, 3))
    touch = _touch(contact, moved, anchors)
    # friction that is taken as known acts on a point that has just lifted off, until the next round
    on = np.flatnonzero((touch.push != 0) | (contact.most_n > 0))
    if len(on):
        blocks[on] = _slopes(
            part_of(contact, on), _touch(part_of(contact, on), moved[on], anchors[on])
        )
    return blocks


def contact_slope(contact: Contact, displacement: Floats, anchors: Floats) -> csr_array:
    """Return (n, n) the stiffness of the contact, N/mm, symmetric.

    Args:
        contact: The points.
        displacement: (n,) of all degrees of freedom, mm.
        anchors: (P, 3) as for `contact_forces`, mm.

    Source: module docstring.
    """
    blocks = slopes_at(contact, relative_mm(contact, displacement), anchors)
    on = np.flatnonzero(blocks.any(axis=(1, 2)))
    rows = contact.moves[(3 * on[:, None] + np.arange(3)).ravel()]
    middle = csr_array(
        (blocks[on].ravel(), _columns(len(on)), np.arange(0, 9 * len(on) + 1, 3)),
        shape=(3 * len(on), 3 * len(on)),
    )
    return csr_array(rows.T @ middle @ rows)


def rubbing(contact: Contact, displacement: Floats) -> Contact:
    """Return the contact with the largest friction of its pressure, `displacement` being (n,) mm.

    Source: Coulomb.
    """
    push = -contact.stiffness * np.minimum(gaps_mm(contact, displacement), 0.0)
    return replace(contact, most_n=contact.friction * push)


def anchors_after(contact: Contact, displacement: Floats, anchors: Floats) -> Floats:
    """Return (P, 3) the anchors of the next step, mm, where a step ends.

    A point that does not touch has none: it sticks where it comes down.

    Args:
        contact: The points.
        displacement: (n,) of all degrees of freedom, mm.
        anchors: (P, 3) of the step itself, mm.

    Source: module docstring.
    """
    contact = rubbing(contact, displacement)
    touch = _touch(contact, relative_mm(contact, displacement), anchors)
    spring = np.where(touch.push > 0, contact.stiffness / 2, np.inf)
    along = _friction(contact, touch)
    return np.asarray(touch.moved + along / spring[:, None])


def _slopes(contact: Contact, touch: _Touch) -> Floats:
    """Return (P, 3, 3) the slopes of points that touch, or have friction that is taken as known."""
    normal, stiff = touch.normal, contact.stiffness[:, None, None]
    across = np.eye(3) - _outer(normal)
    block = np.where((touch.push != 0)[:, None, None], stiff * _outer(normal), 0.0)
    block -= (touch.push * touch.curved)[:, None, None] * (across - _outer(touch.axis))
    limit = np.where(touch.slides, contact.most_n / touch.size, 0.0)[:, None, None]
    beside = across - _outer(touch.drag / touch.size[:, None])
    block += np.where(touch.slides[:, None, None], limit * beside, stiff / 2 * across)
    return np.asarray(block)


def _touch(contact: Contact, moved: Floats, anchors: Floats) -> _Touch:
    gap, normal, curved, axis = _distances(contact, contact.places_mm + moved)
    push = -contact.stiffness * np.where(contact.pulls, gap, np.minimum(gap, 0.0))
    drag = moved - anchors
    drag -= np.einsum("pi,pi->p", drag, normal)[:, None] * normal
    size = np.maximum(np.linalg.norm(drag, axis=1), np.finfo(float).tiny)
    slides = contact.stiffness / 2 * size >= contact.most_n
    return _Touch(moved, normal, curved, axis, push, drag, size, slides)


def _friction(contact: Contact, touch: _Touch) -> Floats:
    """Return (P, 3) the force of friction at every point, N."""
    held = np.minimum(contact.stiffness / 2 * touch.size, contact.most_n)
    return np.asarray(-(held / touch.size)[:, None] * touch.drag)


def _distances(contact: Contact, places: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return distance, normal, inverse distance from the axis, and axis, of P places (P, 3)."""
    gap, curved = np.empty(len(places)), np.zeros(len(places))
    normal, axis = np.empty_like(places), np.zeros_like(places)
    for number, surface in enumerate(contact.surfaces):
        own = contact.owner == number
        from_it = places[own] - surface.through_mm
        if not surface.radius_mm:
            gap[own], normal[own] = from_it @ surface.normal, surface.normal
            continue
        from_it = from_it - np.outer(from_it @ surface.axis, surface.axis)
        far = np.linalg.norm(from_it, axis=1)
        way = -1.0 if surface.hollow else 1.0
        gap[own], normal[own] = way * (far - surface.radius_mm), way * from_it / far[:, None]
        curved[own], axis[own] = way / far, surface.axis
    return gap, normal, curved, axis


def _outer(vectors: Floats) -> Floats:
    """Return (k, 3, 3) the product of each of `vectors` (k, 3) with itself."""
    return np.asarray(vectors[:, :, None] * vectors[:, None, :])


def _columns(count: int) -> Ints:
    """Return the columns of `count` blocks (3, 3) along the diagonal, row by row."""
    return np.asarray(np.repeat(3 * np.arange(count), 9) + np.tile(np.arange(3), 3 * count))
