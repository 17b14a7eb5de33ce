"""Whether metal yields beside a support alone: under a roller, or at a foot's edge."""

from collections.abc import Sequence

import numpy as np

from fea.collapse.indentation import dents_tube
from fea.collapse.strain import StrainPeak
from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm, position_mm
from geometry.centreline import locate
from loadcases.supports import PlacedSupport, only_platens
from studies.records.places import on_ruler

UNDER_OD, EDGE_OD = 0.9, 0.5
"""Distance in diameters within which a place is local: of what presses on the tube's outer surface,
so that the opposite side of the tube is not, and of a foot's edge. Judgement."""


def local_in_words(bar: Bar, supports: Sequence[PlacedSupport], peak: StrainPeak) -> str:
    """Return beside which support a place is local, empty where it is not."""
    place = position_mm(bar, *(np.array([at]) for at in (peak.s_mm, peak.theta_rad, peak.zeta)))[0]
    if only_platens(supports):
        # it is meant to yield there
        return ""
    nearest = min(supports, key=lambda one: _away(bar, one, peak.s_mm, place), default=None)
    if nearest is None or _away(bar, nearest, peak.s_mm, place) >= 1:
        return ""
    return f", local, {_beside(nearest)}"


def _away(bar: Bar, support: PlacedSupport, s_mm: float, place: Floats) -> float:
    """Return how far a place (3,) is from a support, over the distance within which it is local."""
    reach = UNDER_OD if dents_tube(support) else EDGE_OD if support.kind == "foot" else 0.0
    if not reach:
        return np.inf
    od_mm = float(nominal_od_mm(bar, np.array(support.at_mm)))
    touched = _touched_mm(bar, support, s_mm)
    return float(np.linalg.norm(touched - place, axis=1).min()) / (reach * od_mm)


def _touched_mm(bar: Bar, support: PlacedSupport, s_mm: float) -> Floats:
    """Return (n, 3) where a support touches the bar as drawn; one as long as its band, near s."""
    half = 0.0 if support.kind in ("foot", "roller") else support.band_mm / 2
    near = np.clip(s_mm, support.at_mm - half, support.at_mm + half)
    offsets = np.array([point.offset_mm for point in support.points])
    return np.asarray(locate(bar.line, near).position_mm + offsets)


def _beside(support: PlacedSupport) -> str:
    if support.kind == "foot":
        return f"at the edge of the {support.side} foot"
    return f"under the {support.kind} at {on_ruler(support.at_mm)}"
