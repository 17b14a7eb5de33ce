"""What a dial or a strain gauge reads on a solution."""

from collections.abc import Sequence
from math import cos, hypot, radians, sin

import numpy as np

from fea.solid.cross_sections import lines_round
from fea.solid.model import Model
from fea.solid.recovery import AXIAL, HOOP, SHEAR, SurfaceStress
from geometry.arrays import Floats, Ints
from geometry.mesh import ONE_TURN, Sheet
from loadcases.gauges import PlacedGauge, grid_ends

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
    lines = lines_round(model.mesh.sheet)
    surface = _on_outer(model, displacement_mm)
    return tuple(
        _dial(model.mesh.sheet, lines, one, surface)
        if one.gauge.kind == "dial"
        else _strain(model, lines, one, stress)
        for one in gauges
    )


def _dial(sheet: Sheet, lines: Sequence[Ints], placed: PlacedGauge, surface: Floats) -> float:
    gauge = placed.gauge
    moved = _at(sheet, lines, (placed.at_mm, radians(gauge.theta_deg)), surface)
    return float(moved @ gauge.direction) / hypot(*gauge.direction)


def _strain(
    model: Model, lines: Sequence[Ints], placed: PlacedGauge, stress: SurfaceStress
) -> float:
    gauge, material = placed.gauge, model.bar.spec.material
    of_surface = stress.outer if gauge.surface == "outer" else stress.inner
    ends = np.array(grid_ends(placed, model.bar))
    places = np.linspace(ends[0], ends[1], GRID_POINTS)
    mean = np.mean([_at(model.mesh.sheet, lines, place, of_surface) for place in places], axis=0)
    axial, hoop, shear = (float(mean[one]) for one in (AXIAL, HOOP, SHEAR))
    nu, modulus, angle = (
        material.poisson_ratio,
        material.youngs_modulus_mpa,
        radians(gauge.angle_deg),
    )
    c, s = cos(angle), sin(angle)
    turned = (axial - nu * hoop) * c**2 + (hoop - nu * axial) * s**2
    return MICRO * (turned + 2 * (1 + nu) * shear * s * c) / modulus


def _on_outer(model: Model, displacement_mm: Floats) -> Floats:
    """Return (P, 3): the displacement of the outer surface at the sheet's nodes."""
    mesh = model.mesh
    nodes = np.zeros(len(mesh.sheet.nodes), dtype=np.int64)
    nodes[mesh.owner[mesh.outer]] = mesh.outer
    return np.asarray(displacement_mm[nodes])


def _at(
    sheet: Sheet, lines: Sequence[Ints], place: tuple[float, float] | Floats, values: Floats
) -> Floats:
    """Return nodal `values` (P, k) at a place (s, theta): along the bar between two lines."""
    s_mm, theta = float(place[0]), float(place[1])
    at = np.array([sheet.nodes[line[0], 0] for line in lines])
    after = int(np.clip(np.searchsorted(at, s_mm), 1, len(at) - 1))
    share = (s_mm - at[after - 1]) / (at[after] - at[after - 1])
    before, beyond = (_round(sheet, lines[n], theta, values) for n in (after - 1, after))
    result: Floats = before + np.clip(share, 0.0, 1.0) * (beyond - before)
    return result


def _round(sheet: Sheet, line: Ints, theta: float, values: Floats) -> Floats:
    """Return `values` (P, k) on a line round the tube at an angle, between two nodes."""
    angles = sheet.nodes[line, 1]
    ahead = int(np.searchsorted(angles, theta % ONE_TURN)) % len(line)
    gap = (angles[ahead] - angles[ahead - 1]) % ONE_TURN
    share = ((theta - angles[ahead - 1]) % ONE_TURN) / gap
    result: Floats = values[line[ahead - 1]] * (1 - share) + values[line[ahead]] * share
    return result
