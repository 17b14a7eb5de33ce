"""Zones: neighbouring places of the sheet above a threshold, each with its worst place."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from fea.stability.local_buckling import LIMITS, LimitName, LocalMap
from geometry.arrays import Flags, Ints
from geometry.mesh import Sheet

THRESHOLD = 0.5
"""Utilisation from which a place belongs to a zone; common practice, no source: half of what
the wall stands leaves little for a dent, a scratch or a thin spot."""

PARTS = ("wrinkling", "hoop compression", "shear")


@dataclass(frozen=True)
class Zone:
    """A zone, or the worst place of a limit that makes none.

    Attributes:
        limit: yield, stability or ovalisation.
        driver: What drives it at its worst place; for stability the largest part.
        utilisation: There.
        s_mm: Its worst place.
        theta_rad: Likewise.
        s_from_mm: Where the zone begins.
        s_to_mm: Where it ends.
    """

    limit: LimitName
    driver: str
    utilisation: float
    s_mm: float
    theta_rad: float
    s_from_mm: float
    s_to_mm: float


def zones_of(sheet: Sheet, local: LocalMap) -> tuple[Zone, ...]:
    """Return the zones of all limits, the most used first; each limit makes its own."""
    found = [
        _zone(sheet, local, limit, members)
        for limit in LIMITS
        for members in _connected(sheet, local.used[limit] >= THRESHOLD)
    ]
    return tuple(sorted(found, key=lambda zone: -zone.utilisation))


def worst_places(sheet: Sheet, local: LocalMap) -> tuple[Zone, ...]:
    """Return the most used place of each limit used at all, whether or not it makes a zone."""
    used = [limit for limit in LIMITS if local.used[limit].any()]
    return tuple(
        replace(found, s_from_mm=found.s_mm, s_to_mm=found.s_mm)
        for found in (_zone(sheet, local, limit, np.arange(len(sheet.nodes))) for limit in used)
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


def _zone(sheet: Sheet, local: LocalMap, limit: LimitName, members: Ints) -> Zone:
    used, s = local.used[limit][members], sheet.nodes[members, 0]
    # beside a clamp's edge stands the stress of the edge itself, so of equals take the inmost
    equal = used >= (1 - 1e-12) * used.max()
    worst = int(members[equal][np.argmin(np.abs(s[equal]))])
    driver = PARTS[int(np.argmax(local.parts[worst]))] if limit == "stability" else limit
    at_s, theta = sheet.nodes[worst]
    ends = float(s.min()), float(s.max())
    return Zone(limit, driver, float(used.max()), float(at_s), float(theta), *ends)
