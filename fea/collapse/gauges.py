"""What dials and strain gauges read along a path past yield, on the deformed surface.

A gauge goes with the material. All readings are zero where the loads begin to grow.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np

from fea.solid.element import quad8
from fea.solid.gauges import GRID_POINTS, MICRO
from geometry.arrays import Floats, Ints
from geometry.bar import Bar
from geometry.errors import MeshError
from geometry.mesh import ONE_TURN, Sheet, TubeMesh
from loadcases.gauges import PlacedGauge, grid_ends

SAME = 1e-9
"""Of an element's size: a place this close to its border is in it."""


@dataclass(frozen=True, eq=False)
class Dial:
    """A dial on the outer surface.

    Attributes:
        nodes: (8,) of the face that it stands on.
        weights: (8,) shape functions there.
        direction: (3,) unit vector that it reads as positive.
    """

    nodes: Ints
    weights: Floats
    direction: Floats


@dataclass(frozen=True, eq=False)
class StrainGrid:
    """A strain gauge's grid on a surface, k places along it.

    Attributes:
        nodes: (k, 8) of the faces that it lies on.
        slopes: (k, 8) what makes of the nodes' places the vector of a unit length of the grid.
    """

    nodes: Ints
    slopes: Floats


GaugePlace = Dial | StrainGrid


def gauge_places(bar: Bar, mesh: TubeMesh, gauges: Sequence[PlacedGauge]) -> tuple[GaugePlace, ...]:
    """Return where gauges lie on a mesh of a bar, whose faces are rectangles in (s, theta).

    Raises:
        MeshError: A gauge lies on no face of the mesh.
    """
    return tuple(
        _dial(mesh, one) if one.gauge.kind == "dial" else _grid(bar, mesh, one) for one in gauges
    )


def gauges_read(
    places: Sequence[GaugePlace], points_mm: Floats, start_mm: Floats, displacement_mm: Floats
) -> tuple[float, ...]:
    """Return what gauges read: a dial in mm, a strain gauge in micrometres a metre.

    Args:
        places: Of the gauges.
        points_mm: (N, 3) places of the nodes, free of load.
        start_mm: (N, 3) displacement where the loads begin to grow.
        displacement_mm: (N, 3) displacement now.

    Source: definitions; a strain gauge reads the engineering strain of its grid, the change of the
    grid's length along the deformed surface over its length at the start.
    """
    start, now = points_mm + start_mm, points_mm + displacement_mm
    return tuple(_reading(one, start, now) for one in places)


def _reading(place: GaugePlace, start_mm: Floats, now_mm: Floats) -> float:
    if isinstance(place, Dial):
        moved = place.weights @ (now_mm[place.nodes] - start_mm[place.nodes])
        return float(moved @ place.direction)
    return MICRO * (_length(place, now_mm) / _length(place, start_mm) - 1)


def _length(grid: StrainGrid, points_mm: Floats) -> float:
    """Return the grid's length over that free of load."""
    vectors = np.einsum("kn,kni->ki", grid.slopes, points_mm[grid.nodes])
    return float(np.linalg.norm(vectors, axis=-1).mean())


def _dial(mesh: TubeMesh, placed: PlacedGauge) -> Dial:
    theta, way = radians(placed.gauge.theta_deg), np.array(placed.gauge.direction)
    quads, at, _ = _found(mesh.sheet, np.array([[placed.at_mm, theta]]))
    unit: Floats = way / np.linalg.norm(way)
    return Dial(mesh.outer[quads[0]], quad8(at).values[0], unit)


def _grid(bar: Bar, mesh: TubeMesh, placed: PlacedGauge) -> StrainGrid:
    start, end = np.array(grid_ends(placed, bar))
    # the middles of equal parts, so that each stands for as much of the grid
    share = (np.arange(GRID_POINTS) + 0.5) / GRID_POINTS
    quads, at, sizes = _found(mesh.sheet, start + share[:, None] * (end - start))
    nodes = (mesh.outer if placed.gauge.surface == "outer" else mesh.inner)[quads]
    both = np.einsum("kdn,kdc->kcn", quad8(at).slopes, sizes)
    along = _unit_rows(both, mesh.points_mm[nodes])
    angle = radians(placed.gauge.angle_deg)
    return StrainGrid(nodes, cos(angle) * along[:, 0] + sin(angle) * along[:, 1])


def _unit_rows(slopes: Floats, points_mm: Floats) -> Floats:
    """Return slopes (k, 2, 8) along s and theta, for a unit length of the surface there."""
    lengths = np.linalg.norm(np.einsum("kcn,kni->kci", slopes, points_mm), axis=-1)
    result: Floats = slopes / lengths[..., None]
    return result


def _found(sheet: Sheet, places: Floats) -> tuple[Ints, Floats, Floats]:
    """Return the faces (k,) of places (k, 2) in s, theta, and where each lies on its face.

    That is (k, 2) natural coordinates, and (k, 2, 2) their derivatives by s and theta.
    """
    wanted = np.column_stack([places[:, 0], places[:, 1] % ONE_TURN])
    corners = sheet.places[:, :4]
    low, high = corners.min(axis=1), corners.max(axis=1)
    room = SAME * (high - low)
    inside = (wanted[:, None] >= low - room) & (wanted[:, None] <= high + room)
    on = inside.all(axis=-1)
    if not on.any(axis=1).all():
        raise MeshError("a gauge lies on no face of the mesh; move it along the bar")
    quads = on.argmax(axis=1)
    sides = corners[quads][:, [1, 3]] - corners[quads][:, :1]
    by = np.asarray(sides / (sides**2).sum(axis=-1, keepdims=True))
    # axis-aligned sides: one of s and theta changes along each
    at = np.einsum("kdc,kc->kd", by, wanted - corners[quads][:, 0])
    return quads, at, by
