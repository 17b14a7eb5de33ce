"""What a dial or a strain gauge reads on a solution."""

from collections.abc import Sequence
from math import cos, hypot, radians, sin

import numpy as np

from fea.solid.cross_sections import reader_at
from fea.solid.model import Model
from fea.solid.recovery import AXIAL, HOOP, SHEAR, SurfaceStress
from geometry.arrays import Floats
from geometry.bar import Bar
from geometry.material import Material
from loadcases.gauges import Gauge, PlacedGauge, grid_ends

GRID_POINTS = 9
"""Along a strain gauge's grid, whose mean it reads."""

MICRO = 1e6


def gauge_readings(
    model: Model,
    gauges: Sequence[PlacedGauge],
    displacement_mm: Floats,
    stress: SurfaceStress,
) -> tuple[float, ...]:
    """Return what gauges read: a dial in mm, a strain gauge in micrometres a metre.

    Args:
        model: The equations.
        gauges: At their places.
        displacement_mm: (N, 3) of every node.
        stress: (P, 6) recovered on both surfaces.

    Between mesh lines values are linear. A bonded gauge reads strain from where it was bonded: the
    stress of a clamp's preload before is not in it.

    Source: definition; strain by Hooke's law of plane stress, e = ea cos^2 a + eh sin^2 a +
    g sin a cos a, textbook.
    """
    places = [_places(model.bar, one) for one in gauges]
    ends = np.cumsum([len(one) for one in places])[:-1]
    reader = reader_at(model.mesh.sheet, *np.concatenate(places).T)
    fields = _on_outer(model, displacement_mm), stress.outer, stress.inner
    means = [[part.mean(axis=0) for part in np.split(reader @ field, ends)] for field in fields]
    return tuple(
        _reading(one.gauge, model.bar.spec.material, *each)
        for one, *each in zip(gauges, *means, strict=True)
    )


def _places(bar: Bar, placed: PlacedGauge) -> Floats:
    """Return (n, 2): where a gauge reads, s in mm and theta in radians."""
    if placed.gauge.kind == "dial":
        return np.array([[placed.at_mm, radians(placed.gauge.theta_deg)]])
    start, end = np.array(grid_ends(placed, bar))
    return np.asarray(np.linspace(start, end, GRID_POINTS))


def _reading(
    gauge: Gauge, material: Material, moved_mm: Floats, outer: Floats, inner: Floats
) -> float:
    """Return a reading from the means of displacement (3,) and of both surfaces' stress (6,)."""
    if gauge.kind == "dial":
        return float(moved_mm @ gauge.direction) / hypot(*gauge.direction)
    stress = outer if gauge.surface == "outer" else inner
    axial, hoop, shear = (float(stress[one]) for one in (AXIAL, HOOP, SHEAR))
    nu, angle = material.poisson_ratio, radians(gauge.angle_deg)
    c, s = cos(angle), sin(angle)
    turned = (axial - nu * hoop) * c**2 + (hoop - nu * axial) * s**2
    return MICRO * (turned + 2 * (1 + nu) * shear * s * c) / material.youngs_modulus_mpa


def _on_outer(model: Model, displacement_mm: Floats) -> Floats:
    """Return (P, 3): the displacement of the outer surface at the sheet's nodes."""
    mesh = model.mesh
    nodes = np.zeros(len(mesh.sheet.nodes), dtype=np.int64)
    nodes[mesh.owner[mesh.outer]] = mesh.outer
    return np.asarray(displacement_mm[nodes])
