"""Dents under rams and rollers along a path, apart from the bar's own deflection.

The ram's force F is the sum of the bed's reactions along its rise, so by virtual work its travel
tau is conjugate to it:

    F dtau = sum R_i . dx_i,

over all supports, with R_i the force of a support on the bar and x_i the bar's surface there. With
c_i the mean of the tube's ring, x_i = c_i + (x_i - c_i), and the travel has two parts:

    bar's own deflection = sum (R_i/F) . c_i,    indentation = sum (R_i/F) . (x_i - c_i).

The ring's mean is that of its nodes, evenly round it, through the wall. Its radial displacement and
its tangential one are sums of cos n theta and sin n theta: the mean takes n = 1 alone, the rigid
motion of the section, to which shear forces of a beam are conjugate. A small dent is what n > 1
has, and none of it is in the mean. A dent of a finite depth w moves the mean by the order of w^2/D.

Under a roller the movement is read as what the tube's centre line, the line through these means,
loses of its distance from the roller's axis, along the normal there: so a tube that turns and
slides on its roller has no dent. Elsewhere it is read along the support's direction, at the mean
of the places that touch, weighed by their forces.

Limits: shares R_i/F that change along the path (more supports than statics need) would have to be
integrated; here each dent counts with the share of its step. The mean of a dented ring is itself
vague, by some 1.5 % of the dent. What gives at a foot's edge, in a clamp, in a held ring and by
friction counts as the bar's own. All is counted from the seat, as travel is.

Source: principle of virtual work, derived; checked in `test_indentation.py`.
"""

from typing import NamedTuple

import numpy as np

from fea.collapse.collapse_mode import Rings
from fea.collapse.contact import Contact, gaps_mm
from fea.collapse.equilibrium import Point, moved_mm
from fea.collapse.friction import ram_n
from fea.collapse.path_model import PathModel
from fea.collapse.touching import ON_FACES, REACH_PER_OD
from geometry.arrays import Floats
from geometry.bar import nominal_od_mm
from loadcases.supports import PlacedSupport, only_platens

ROUND = "roller"


class Indentation(NamedTuple):
    """What a ram's travel has beside the bar's own deflection.

    Attributes:
        total_mm: Part of the travel; None where no ram presses, or nothing on the outer surface.
        at_supports_mm: (supports,) movement into the tube at each, 0 where it has no dent.
    """

    total_mm: float | None
    at_supports_mm: Floats


class _Heights(NamedTuple):
    """Centre line over supports: heights (supports,) in mm, unit normals (supports, 3)."""

    heights_mm: Floats
    normals: Floats


def dents_tube(support: PlacedSupport) -> bool:
    """Return whether a support presses on the tube's outer surface.

    Source: `touching`; a foot stands on an edge, other kinds hold the mean of a ring.
    """
    return support.kind in ON_FACES and support.kind != "foot"


def indentation_of(
    path_model: PathModel, rings: Rings, point: Point, reactions_n: Floats
) -> Indentation:
    """Return the indentation at a point of a path, counted from where its loads began to grow.

    Args:
        path_model: The bar on its supports.
        rings: Of its mesh.
        point: The point.
        reactions_n: (supports, 3) force of each support on the bar there, N.

    Source: module docstring.
    """
    equations, supports = path_model.equations, path_model.standing.supports
    # between platens alone nothing bends, and all travel is a dent
    bent = not only_platens(supports)
    dented = path_model.standing.ram_force_n and bent and any(map(dents_tube, supports))
    if not dented or equations.contact is None:
        return Indentation(None, np.zeros(len(supports)))
    first = _heights(path_model, rings, equations.origin, equations.contact)
    now = _heights(path_model, rings, point.displacement, equations.contact)
    dents = first.heights_mm - now.heights_mm
    pushes = np.einsum("si,si->s", reactions_n, now.normals)
    return Indentation(float(pushes @ dents) / ram_n(equations, point.factor), dents)


def _heights(
    path_model: PathModel, rings: Rings, displacement: Floats, contact: Contact
) -> _Heights:
    supports = path_model.standing.supports
    centres = _centres_mm(path_model, rings, displacement)
    rise, found = float(displacement[path_model.equations.bar]), []
    for number, support in enumerate(supports):
        way = np.array(support.direction)
        raised = (0.0 if support.of_ram else rise) * way
        if not dents_tube(support):
            found.append((0.0, way))
        elif support.kind == ROUND:
            surface = next(one for one in contact.surfaces if one.support == number)
            od_mm = float(nominal_od_mm(path_model.model.bar, np.array(support.at_mm)))
            near = np.abs(rings.s_mm - support.at_mm) <= 2 * REACH_PER_OD * od_mm
            found.append(_from_axis(centres[near] - raised, surface.through_mm, surface.axis))
        else:
            s_mm = _touched_mm(path_model, contact, displacement, number)
            centre = [np.interp(s_mm, rings.s_mm, column) for column in centres.T]
            found.append((float((np.array(centre) - raised) @ way), way))
    return _Heights(np.array([one for one, _ in found]), np.array([way for _, way in found]))


def _centres_mm(path_model: PathModel, rings: Rings, displacement: Floats) -> Floats:
    """Return (R, 3) the mean of every ring, in space."""
    places = path_model.model.mesh.points_mm + moved_mm(path_model.equations, displacement)
    both: Floats = (places[rings.outer] + places[rings.inner]).mean(axis=1) / 2
    return both


def _from_axis(line_mm: Floats, through_mm: Floats, axis: Floats) -> tuple[float, Floats]:
    """Return the least distance of a broken line (k, 3) from an axis, and the normal there."""
    from_it = line_mm - through_mm
    from_it = from_it - np.outer(from_it @ axis, axis)
    start, along = from_it[:-1], np.diff(from_it, axis=0)
    share = -np.einsum("ki,ki->k", start, along) / np.einsum("ki,ki->k", along, along)
    nearest = start + np.clip(share, 0.0, 1.0)[:, None] * along
    far = np.linalg.norm(nearest, axis=1)
    least = int(np.argmin(far))
    return float(far[least]), np.asarray(nearest[least] / far[least])


def _touched_mm(
    path_model: PathModel, contact: Contact, displacement: Floats, number: int
) -> float:
    """Return the place along the bar where a support touches it, the mean by force."""
    support = path_model.standing.supports[number]
    own = np.array([contact.surfaces[one].support == number for one in contact.owner])
    push = contact.stiffness[own] * np.maximum(-gaps_mm(contact, displacement)[own], 0.0)
    if not push.any():
        return support.at_mm
    at_nodes = path_model.model.mesh.block[:, 0]
    # a place of a face is interpolated as its displacement is
    at_points = contact.moves[::3, : 3 * len(at_nodes) : 3] @ at_nodes
    return float(push @ at_points[own] / push.sum())
