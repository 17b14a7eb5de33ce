"""Where a bar may touch its supports: points of its faces, and the supports' surfaces.

An open end touches its bed with its cut face and the tube's outer surface beside it; a roller, a
plate, a platen and a saddle touch the outer surface; a ball, a slider and a pin hold the mean of a
ring, a fixture its mean motion. Every surface is brought up until it touches the bar as it lies
when the ram begins to move.

Limits: plate and saddle end where their band of the tube ends, also when it slides along them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_array, csr_array, eye_array, hstack, kron, vstack

from fea.collapse.contact import PER_MM, Contact, Surface, gaps_mm
from fea.solid.free_hold import rigid_motions
from fea.solid.model import Model, band_name
from fea.solid.statics import band_modes
from fea.solid.surface import Face, face_rule
from geometry.arrays import Floats, Ints
from geometry.bar import Bar, nominal_od_mm, nominal_wall_mm
from geometry.centreline import locate
from geometry.errors import SolveError
from geometry.grading import Seed
from geometry.mesh import TubeMesh, end_faces
from loadcases.supports import ACROSS, HOLDING, PlacedSupport

ON_FACES = ("foot", *ACROSS)
"""Kinds that touch the bar's own faces."""

POINTS = 5
"""Gauss points each way on a face: a patch in contact is smaller than the face."""

REACH_PER_OD = 1.5
"""Length of tube on each side of a roller, and beside an open end, that may touch, in diameters."""

SHORT_PER_WALL = 0.8
"""Length of the elements that touch, in walls."""

RING_MM2, FIXED_MM2 = 30.0, 300.0
"""Area of the layer of a ring that is held as a whole: it gives way by a thousandth of what a stiff
bar does; and of one in a fixture, whose turning a long arm multiplies."""

MOST_MOVES, CLOSE_MM = 50, 1e-8
"""How often a surface may be moved to touch the bar, and the gap that is left."""


@dataclass(frozen=True, eq=False)
class Pad:
    """A surface and the p points that may touch it.

    Attributes:
        surface: The surface.
        places_mm: (p, 3) of the undeformed bar.
        moves: (3 p, 3 N) displacement of the points over that of N nodes.
        areas_mm2: (p,) of the points.
    """

    surface: Surface
    places_mm: Floats
    moves: csr_array
    areas_mm2: Floats


def contact_of(
    model: Model, supports: Sequence[PlacedSupport], displacement: Floats, *, bed: bool
) -> Contact:
    """Return the contact of a bar that lies as displaced with supports that just touch it.

    Args:
        model: The bar; its mesh has the bands of the supports.
        supports: The supports.
        displacement: (n,) of its degrees of freedom, mm; three more where there is a bed.
        bed: Whether the supports rise with a bed, whose rise is the first of those three.

    Source: module docstring.

    Raises:
        SolveError: A roller finds no place beside the tube.
    """
    pads = [pad for n, one in enumerate(supports) for pad in _pads(model, one, n)]
    owner = np.repeat(np.arange(len(pads)), [len(pad.areas_mm2) for pad in pads])
    held_by = [supports[pad.surface.support] for pad in pads]
    stiff = PER_MM * model.bar.spec.material.youngs_modulus_mpa
    contact = Contact(
        tuple(pad.surface for pad in pads),
        owner,
        np.concatenate([pad.places_mm for pad in pads]),
        _moves(pads, [np.array(one.direction) * (not one.of_ram) for one in held_by], bed=bed),
        stiff * np.concatenate([pad.areas_mm2 for pad in pads]),
        np.array([max(point.friction for point in one.points) for one in held_by])[owner],
        np.array([one.kind in HOLDING for one in held_by])[owner],
        np.zeros(len(owner)),
    )
    return _brought_up(contact, supports, displacement)


def contact_seeds(bar: Bar, supports: Sequence[PlacedSupport]) -> list[Seed]:
    """Return short elements where supports touch the tube: as long as its wall, or so."""
    return [
        Seed(at_mm, at_mm, SHORT_PER_WALL * float(nominal_wall_mm(bar, np.array(at_mm))))
        for one in supports
        if one.kind in ON_FACES
        for at_mm in _pressed_at_mm(bar, one)
    ]


def _pressed_at_mm(bar: Bar, support: PlacedSupport) -> list[float]:
    """Return where along the bar most of a support's pressure is: at both ends of a plate."""
    if support.kind == "foot":
        return [bar.line.right_end_mm if support.side == "right" else bar.line.left_end_mm]
    half_mm = 0.0 if support.kind == "roller" else support.band_mm / 2
    return sorted({support.at_mm - half_mm, support.at_mm + half_mm})


def held_rings(mesh: TubeMesh, supports: Sequence[PlacedSupport]) -> list[Ints]:
    """Return the nodes (k,) of each ring whose mean a support holds, ascending."""
    rings = (_ring(mesh, one) for one in supports if one.kind not in ON_FACES)
    return [np.unique(faces) for faces in rings]


def pad_on(points_mm: Floats, surface: Surface, rule: Face) -> Pad:
    """Return the points of a quadrature on faces of the nodes at `points_mm` (N, 3).

    Source: shape functions.
    """
    count, each = rule.areas_mm2.size, len(rule.values)
    nodes = np.repeat(rule.faces[:, None], each, axis=1)
    values = np.broadcast_to(rule.values, nodes.shape)
    rows = np.repeat(np.arange(count), nodes.shape[-1])
    shape = (count, len(points_mm))
    weights = csr_array(coo_array((values.ravel(), (rows, nodes.ravel())), shape=shape))
    return Pad(surface, rule.points_mm.reshape(-1, 3), _each_way(weights), rule.areas_mm2.ravel())


def _moves(pads: Sequence[Pad], rises: Sequence[Floats], *, bed: bool) -> csr_array:
    """Return (3 P, n) the displacement of points against their surfaces."""
    bar = vstack([pad.moves for pad in pads], format="csr")
    if not bed:
        return csr_array(bar)
    counts = [len(pad.areas_mm2) for pad in pads]
    rise = np.repeat(-np.array(rises), counts, axis=0).ravel()
    beds = np.column_stack([rise, np.zeros((len(rise), 2))])
    return csr_array(hstack([bar, csr_array(beds)], format="csr"))


def _pads(model: Model, support: PlacedSupport, number: int) -> Iterator[Pad]:
    """Yield what of a bar may touch a support, and the support's surfaces."""
    if support.kind in ACROSS:
        yield _on_faces(model, _across(model, support, number), support)
        return
    centre = locate(model.bar.line, np.array(support.at_mm)).position_mm
    for point in support.points:
        arm = np.array(point.offset_mm)
        surface = Surface(number, centre + arm, np.array(point.normal), np.zeros(3))
        if support.kind == "foot":
            # its other points are of the same plane
            yield _on_faces(model, surface, support)
            return
        if support.kind == "fixture":
            yield _on_motion(model, surface, support, arm)
        else:
            yield _on_ring(model, surface, _ring(model.mesh, support))


def _on_faces(model: Model, surface: Surface, support: PlacedSupport) -> Pad:
    points = model.mesh.points_mm
    return pad_on(points, surface, face_rule(points, _faces(model, support), POINTS))


def _across(model: Model, support: PlacedSupport, number: int) -> Surface:
    """Return the surface of a roller, plate or saddle that touches the undeformed tube."""
    middle = locate(model.bar.line, np.array(support.at_mm))
    way = np.array(support.direction)
    normal = way - (way @ middle.tangent) * middle.tangent
    normal /= np.linalg.norm(normal)
    place = (
        middle.position_mm - normal * float(nominal_od_mm(model.bar, np.array(support.at_mm))) / 2
    )
    radius = support.radius_mm
    if support.kind in ("plate", "platen"):
        return Surface(number, place, normal, np.zeros(3))
    if support.kind == "saddle":
        return Surface(number, place + radius * normal, normal, middle.tangent, radius, hollow=True)
    return Surface(
        number, place - radius * normal, normal, np.cross(normal, middle.tangent), radius
    )


def _faces(model: Model, support: PlacedSupport) -> Ints:
    """Return the faces (f, 8) that may touch a support."""
    mesh, at_mm = model.mesh, np.array(support.at_mm)
    if support.kind in ACROSS and support.kind != "roller":
        return _facing(model, support, _banded(mesh, support))
    reach = REACH_PER_OD * float(nominal_od_mm(model.bar, at_mm))
    s_mm = mesh.sheet.places[..., 0].mean(axis=1)
    beside: Ints = mesh.outer[np.abs(s_mm - support.at_mm) <= reach]
    if support.kind == "roller":
        return beside
    return np.concatenate([beside, end_faces(mesh, support.side)])


def _facing(model: Model, support: PlacedSupport, faces: Ints) -> Ints:
    """Return those of `faces` (f, 8) on the side of the tube where a support is."""
    centre = locate(model.bar.line, np.array(support.at_mm)).position_mm
    outward = model.mesh.points_mm[faces].mean(axis=1) - centre
    kept: Ints = faces[outward @ np.array(support.direction) < 0]
    return kept


def _ring(mesh: TubeMesh, support: PlacedSupport) -> Ints:
    """Return the faces (f, 8) whose mean a ball, a slider or a pin holds."""
    if support.kind == "ball":
        return end_faces(mesh, support.side)
    return _banded(mesh, support)


def _banded(mesh: TubeMesh, support: PlacedSupport) -> Ints:
    """Return the faces (f, 8) of the outer surface in a support's band."""
    faces: Ints = mesh.outer[mesh.sheet.regions[band_name(support.band)]]
    return faces


def _on_ring(model: Model, surface: Surface, faces: Ints) -> Pad:
    rule = face_rule(model.mesh.points_mm, faces)
    shares = (rule.areas_mm2 @ rule.values / rule.areas_mm2.sum()).ravel()
    shape = (1, len(model.mesh.points_mm))
    weights = csr_array(coo_array((shares, (0 * faces.ravel(), faces.ravel())), shape=shape))
    return Pad(surface, surface.through_mm[None], _each_way(weights), np.array([RING_MM2]))


def _on_motion(model: Model, surface: Surface, support: PlacedSupport, arm: Floats) -> Pad:
    """Return a point, `arm` (3,) mm off the centre line, that goes along with its ring's motion."""
    modes = band_modes(model, support.band)
    of_ring = np.linalg.solve(modes.gram, modes.forces.reshape(-1, 6).T)
    rows = rigid_motions(arm[None]) @ of_ring
    columns = (3 * modes.nodes[:, None] + np.arange(3)).ravel()
    shape = (3, model.mesh.points_mm.size)
    where = (np.repeat(np.arange(3), len(columns)), np.tile(columns, 3))
    moves = csr_array(coo_array((rows.ravel(), where), shape=shape))
    return Pad(surface, surface.through_mm[None], moves, np.array([FIXED_MM2]))


def _each_way(weights: csr_array) -> csr_array:
    return csr_array(kron(weights, eye_array(3), format="csr"))


def _brought_up(
    contact: Contact, supports: Sequence[PlacedSupport], displacement: Floats
) -> Contact:
    """Return the contact with every surface moved along its support's direction to touch."""
    for _ in range(MOST_MOVES):
        least = _least_gaps(contact, displacement) - CLOSE_MM
        if np.abs(least).max() <= CLOSE_MM / 2:
            return contact
        moved = (
            replace(one, through_mm=one.through_mm + gap * _way(one, supports[one.support]))
            for one, gap in zip(contact.surfaces, least, strict=True)
        )
        contact = replace(contact, surfaces=tuple(moved))
    msg = f"a support finds no place beside the bar; its gap is still {np.abs(least).max():.2g} mm"
    raise SolveError(msg)


def _way(surface: Surface, support: PlacedSupport) -> Floats:
    """Return (3,) along which a surface is moved by its gap: a plane along its normal."""
    return np.array(support.direction) if surface.radius_mm else surface.normal


def _least_gaps(contact: Contact, displacement: Floats) -> Floats:
    """Return (S,) the least distance of every surface from its points; `displacement` (n,), mm.

    Source: geometry.
    """
    gaps = gaps_mm(contact, displacement)
    least = np.full(len(contact.surfaces), np.inf)
    np.minimum.at(least, contact.owner, gaps)
    return least
