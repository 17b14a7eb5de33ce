"""Fatigue utilisation place by place, at the careful end of the range: one over the low factor.

Away from clamps it is the solid's, on both surfaces; at each clamp edge one number by nominal
stress, for there the solid's stress does not count. The largest of all is one over the low factor
of the result.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.fatigue.edges import AROUND
from fea.fatigue.estimate import low_factors
from fea.fatigue.life import Life, SurfaceSites
from fea.fatigue.range_widths import Judged
from fea.fatigue.result import Group, Site
from fea.solid.model import Model
from geometry.arrays import Floats
from geometry.material import Material


@dataclass(frozen=True)
class EdgeUtilisation:
    """The utilisation of a clamp edge.

    Attributes:
        s_mm: Where the edge is.
        theta_rad: Where round it the utilisation is largest.
        value: That one, no unit.
    """

    s_mm: float
    theta_rad: float
    value: float


@dataclass(frozen=True, eq=False)
class LowEndField:
    """Fatigue utilisation of the whole bar, no unit.

    Attributes:
        outer: (P,) at the nodes of the sheet, on the outer surface; NaN where nothing is judged.
        inner: (P,) on the inner surface, likewise.
        edges: Of every clamp edge on the bar, from left to right.
    """

    outer: Floats
    inner: Floats
    edges: tuple[EdgeUtilisation, ...]

    @property
    def largest(self) -> float:
        """The largest of all places (no unit), 0 where none is judged."""
        surfaces = np.nanmax([self.outer, self.inner], initial=0.0)
        return max(float(surfaces), *(edge.value for edge in self.edges), 0.0)


def low_end_field(model: Model, life: Life) -> LowEndField | None:
    """Return the utilisation (no unit) at the low end of the factor, None without a factor.

    Both surfaces are (P,) over the nodes of the sheet. NaN in a clamp, near its edges and in load
    bands; inf where the steady stress alone is beyond what is known of the metal.

    Source: `estimate`, one over its low factor at each place.
    """
    if life.result.factor is None:
        return None
    return field_at(model, life.places, life.result.reliability_factor)


def field_at(model: Model, places: Sequence[Group], reliability_factor: float) -> LowEndField:
    """Return the utilisation (no unit) of judged places, of a metal with a curve or endurance.

    Shapes and source: as `low_end_field`.
    """
    outer, inner = np.full((2, len(model.mesh.sheet.nodes)), np.nan)
    edges: tuple[EdgeUtilisation, ...] = ()
    for judged, sites in places:
        used = _utilisation(judged, model.bar.spec.material, reliability_factor)
        if isinstance(sites, SurfaceSites):
            outer[sites.nodes], inner[sites.nodes] = used.reshape(2, -1)
        else:
            edges = _by_edge(sites, used)
    return LowEndField(outer, inner, tuple(sorted(edges, key=lambda edge: edge.s_mm)))


def _utilisation(judged: Judged, material: Material, reliability_factor: float) -> Floats:
    """Return (P,) one over the low factor, 0 where nothing varies."""
    low = low_factors(judged, material, reliability_factor)
    used: Floats = np.divide(1.0, low, out=np.full(len(low), np.inf), where=low > 0)
    return used


def _by_edge(sites: Sequence[Site], used: Floats) -> tuple[EdgeUtilisation, ...]:
    by_edge = used.reshape(-1, len(AROUND))
    worst = np.arange(len(by_edge)) * len(AROUND) + by_edge.argmax(axis=1)
    return tuple(
        EdgeUtilisation(sites[at].s_mm, sites[at].theta_rad, float(used[at])) for at in worst
    )
