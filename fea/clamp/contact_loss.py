"""Loss of contact in a clamp: connected parts of its face without contact."""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from fea.solid.model import CLAMP, Model
from geometry.arrays import Flags, Floats, Ints


@dataclass(frozen=True)
class ContactLossZone:
    """A part of the clamped face without contact.

    Attributes:
        s_from_mm: Where it begins.
        s_to_mm: Where it ends.
        s_mm: Where the foundation's tension would be largest.
        theta_rad: Likewise.
        share: Its fraction of the clamped face, by area.
    """

    s_from_mm: float
    s_to_mm: float
    s_mm: float
    theta_rad: float
    share: float


def contact_loss_zones(
    model: Model, closed: Flags, tension_mpa: Floats
) -> tuple[ContactLossZone, ...]:
    """Return the parts without contact, the largest first.

    Args:
        model: The equations.
        closed: (n, q) where clamp and tube are in contact at the clamped face's Gauss points.
        tension_mpa: (n, q) tension of a foundation that keeps contact there.
    """
    is_open = ~closed
    open_quads = np.flatnonzero(is_open.any(axis=1))
    quads = model.mesh.sheet.regions[CLAMP]
    groups = _connected(model.mesh.sheet.quads[quads[open_quads]])
    found = [
        _zone(model, open_quads[groups == group], is_open, tension_mpa)
        for group in np.unique(groups)
    ]
    return tuple(sorted(found, key=lambda zone: -zone.share))


def _connected(quads: Ints) -> Ints:
    """Return (n,): the number of the connected part that each quad (n, 8) belongs to."""
    count = len(quads)
    rows = np.repeat(np.arange(count), quads.shape[1])
    shape = (count, int(quads.max(initial=0)) + 1)
    uses = coo_array((np.ones(len(rows)), (rows, quads.ravel())), shape=shape).tocsr()
    _, label = connected_components(uses @ uses.T, directed=False)
    return np.asarray(label)


def _zone(model: Model, members: Ints, is_open: Flags, tension_mpa: Floats) -> ContactLossZone:
    face, sheet = model.clamped, model.mesh.sheet
    places = np.einsum("qk,nkc->nqc", face.values, sheet.places[sheet.regions[CLAMP][members]])
    inside = is_open[members]
    share = face.areas_mm2[members][inside].sum() / face.areas_mm2.sum()
    s, theta = places[inside].T
    worst = int(np.argmax(tension_mpa[members][inside]))
    ends = float(s.min()), float(s.max())
    theta_rad = float(theta[worst]) % (2 * np.pi)
    return ContactLossZone(*ends, float(s[worst]), theta_rad, float(share))
