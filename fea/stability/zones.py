"""Zones: neighbouring places of the sheet above a threshold, each with its worst place."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from fea.stability import criteria
from fea.stability.criteria import LocalCriterion, Mode
from fea.stability.local_map import LocalMap
from geometry.arrays import Flags, Ints
from geometry.mesh import Sheet

THRESHOLD = 0.5
"""Utilisation from which a place belongs to a zone; practice, unsourced: half of the wall's
strength leaves little margin for a dent, a scratch or a thin spot."""


@dataclass(frozen=True)
class Zone:
    """A zone, or the worst place of a criterion that makes none.

    Attributes:
        criterion: Which one.
        mode: The largest part of the criterion at its worst place, itself where it has none.
        utilisation: There, no unit.
        s_mm: Its worst place.
        theta_rad: Likewise.
        s_from_mm: Where the zone begins.
        s_to_mm: Where it ends.
    """

    criterion: LocalCriterion
    mode: Mode
    utilisation: float
    s_mm: float
    theta_rad: float
    s_from_mm: float
    s_to_mm: float


def zones_of(sheet: Sheet, local: LocalMap) -> tuple[Zone, ...]:
    """Return the zones of all local criteria, largest utilisation first; each has its own."""
    found = [
        _zone(sheet, local, one, members)
        for one in criteria.LOCAL
        for members in _connected(sheet, local.used[one.id] >= THRESHOLD)
    ]
    return tuple(sorted(found, key=lambda zone: -zone.utilisation))


def worst_places(sheet: Sheet, local: LocalMap) -> tuple[Zone, ...]:
    """Return the place of largest utilisation of each criterion that has any, zone or not."""
    used = [one for one in criteria.LOCAL if local.used[one.id].any()]
    return tuple(
        replace(found, s_from_mm=found.s_mm, s_to_mm=found.s_mm)
        for found in (_zone(sheet, local, one, np.arange(len(sheet.nodes))) for one in used)
    )


def _connected(sheet: Sheet, inside: Flags) -> list[Ints]:
    """Return the nodes of each connected part of the flagged ones, along the quads' edges."""
    edges = sheet.quads[:, [0, 4, 1, 5, 2, 6, 3, 7]]
    first, second = edges.ravel(), np.roll(edges, -1, axis=1).ravel()
    kept = inside[first] & inside[second]
    shape = (len(inside), len(inside))
    links = coo_array((np.ones(kept.sum()), (first[kept], second[kept])), shape=shape)
    _, label = connected_components(links, directed=False)
    members = np.flatnonzero(inside)
    return [members[label[members] == part] for part in np.unique(label[members])]


def _zone(sheet: Sheet, local: LocalMap, one: LocalCriterion, members: Ints) -> Zone:
    used, s = local.used[one.id][members], sheet.nodes[members, 0]
    # beside a clamp's edge the stress is that of the edge itself, so of equals take the inmost
    equal = used >= (1 - 1e-12) * used.max()
    worst = int(members[equal][np.argmin(np.abs(s[equal]))])
    mode = one.parts[int(np.argmax(local.parts[one.id][worst]))] if one.parts else one
    at_s, theta = sheet.nodes[worst]
    ends = float(s.min()), float(s.max())
    return Zone(one, mode, float(used.max()), float(at_s), float(theta), *ends)
