"""The peak stress of a load case, never read at a singular point.

Away from clamp edges and load bands it is the recovered surface stress. Outside a clamp
edge the six components are extrapolated linearly from 0.4 and 1.0 walls to the edge,
1.67 sigma(0.4 t) - 0.67 sigma(1.0 t), and von Mises is taken of the result. The rule is
adapted from the structural hot-spot stress at weld toes (Hobbacher, IIW recommendations
for fatigue design of welded joints and components; from memory, unverified): a clamp edge
is no weld. With an elastic clamp the clamped length is searched too and the largest counts;
with a rigid clamp the edge is a strong singularity and its figure an upper bound.
Inside a load band the local effect of the band is reported separately.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from fea.solid.model import HOT_SPOT_PER_WALL, Model, edge_wall_mm
from fea.solid.recovery import SurfaceStress, von_mises_mpa
from geometry.arrays import Flags, Floats, Ints
from geometry.bar import nominal_wall_mm
from geometry.mesh import ONE_TURN
from loadcases.load import PlacedLoad

SurfaceName = Literal["outer", "inner"]
SURFACES: tuple[SurfaceName, ...] = ("outer", "inner")

RuleName = Literal["surface", "clamp edge", "load band"]
ON_SURFACE: RuleName = "surface"
AT_CLAMP_EDGE: RuleName = "clamp edge"
IN_LOAD_BAND: RuleName = "load band"
"""How a peak is read."""

MIN_APART = 0.3
"""Least distance of the two reading lines, in walls, for an extrapolation."""

PLACE_RAD = 1e-6
PLACE_MM = 1e-4
"""Two nodes closer than this along s lie on one mesh line."""


@dataclass(frozen=True)
class Peak:
    """A largest von Mises stress and where it is.

    Attributes:
        stress_mpa: The figure.
        s_mm: Arc length.
        theta_rad: Angle round the tube, in [0, 2 pi).
        surface: outer or inner.
        rule: How it was read: on the surface, extrapolated to a clamp edge, or in a load band.
    """

    stress_mpa: float
    s_mm: float
    theta_rad: float
    surface: SurfaceName
    rule: RuleName


@dataclass(frozen=True, eq=False)
class SurfaceReading:
    """Stress at the nodes of the sheet as the rules read it, in the tube's axes, MPa.

    Attributes:
        outer: (P, 6) on the outer surface, MPa.
        inner: (P, 6) on the inner surface, MPa.
        counted: (P,) places that count: none in a load band, or inside a rigid clamp.
        at_rigid_edge: (P,) places whose stress is that of a rigid clamp's edge, a singularity.

    Just outside a clamp edge, where no stress is read, it is that of the edge.
    """

    outer: Floats
    inner: Floats
    counted: Flags
    at_rigid_edge: Flags


def peak_stress(model: Model, stress: SurfaceStress, loads: Sequence[PlacedLoad]) -> Peak:
    """Return the peak of a load case outside its load bands, by the rules above."""
    s = model.mesh.sheet.nodes[:, 0]
    searched = ~in_bands(model, loads) & ~_near_edges(model)
    if model.clamp.model == "rigid":
        searched &= ~_inside_clamp(model, s)
    found = [_edge_peak(model, stress, edge_mm, outward) for edge_mm, outward in _edges(model)]
    # on a very short bar clamp and bands may leave nothing between them
    if searched.any():
        found.append(_largest(model, stress, np.flatnonzero(searched), ON_SURFACE))
    return max(found, key=lambda peak: peak.stress_mpa)


def nodes_read(model: Model, peak: Peak) -> tuple[Ints, Floats]:
    """Return the n sheet nodes (n,) that a peak is read at, and the weight (n,) of each, no unit.

    Source: module docstring.
    """
    nodes = model.mesh.sheet.nodes
    turn = np.abs((nodes[:, 1] - peak.theta_rad + np.pi) % ONE_TURN - np.pi)
    if peak.rule != AT_CLAMP_EDGE:
        return np.array([np.argmin(np.abs(nodes[:, 0] - peak.s_mm) + turn)]), np.ones(1)
    near, far, share = _edge_lines(model, peak.s_mm, 1 if peak.s_mm > 0 else -1)
    found = [line[np.argmin(turn[line])] for line in (near, far)]
    return np.array(found), np.array([1 + share, -share])


def read_surface(
    model: Model, stress: SurfaceStress, loads: Sequence[PlacedLoad]
) -> SurfaceReading:
    """Return the stress of every place by the same rules as the peak's, loads' bands left out."""
    s, theta = model.mesh.sheet.nodes.T
    counted, near = ~in_bands(model, loads), _near_edges(model)
    if model.clamp.model == "rigid":
        counted &= ~_inside_clamp(model, s) | near
    faces = {face: getattr(stress, face).copy() for face in SURFACES}
    for edge_mm, outward in _edges(model):
        nodes, read = _edge_reading(model, stress, edge_mm, outward)
        beside = np.flatnonzero(near & (np.sign(s) == outward))
        source = np.searchsorted(theta[nodes], theta[beside] - PLACE_RAD)
        for face in SURFACES:
            faces[face][beside] = read[face][source]
    rigid = near & (model.clamp.model == "rigid")
    return SurfaceReading(faces["outer"], faces["inner"], counted, rigid)


def band_peak(model: Model, stress: SurfaceStress, loads: Sequence[PlacedLoad]) -> Peak:
    """Return the peak inside the load bands and within one wall of them."""
    return _largest(model, stress, np.flatnonzero(_in_bands(model, loads)), IN_LOAD_BAND)


def in_bands(model: Model, loads: Sequence[PlacedLoad]) -> Flags:
    """Return (P,): which nodes of the sheet lie in a load band or within one wall of it.

    Of bands all round: a platen flattens the tube, and its stress is what it is there for.
    """
    return _in_bands(model, [load for load in loads if load.toward is None])


def _in_bands(model: Model, loads: Sequence[PlacedLoad]) -> Flags:
    s = model.mesh.sheet.nodes[:, 0]
    wall = nominal_wall_mm(model.bar, s)
    inside = np.zeros(len(s), dtype=bool)
    for load in loads:
        inside |= (s >= load.from_mm - wall) & (s <= load.to_mm + wall)
    return inside


def _largest(model: Model, stress: SurfaceStress, nodes: Ints, rule: RuleName) -> Peak:
    peaks = [
        _peak(model, von_mises_mpa(getattr(stress, face)[nodes]), nodes, face, rule)
        for face in SURFACES
    ]
    return max(peaks, key=lambda peak: peak.stress_mpa)


def _peak(model: Model, values: Floats, nodes: Ints, face: SurfaceName, rule: RuleName) -> Peak:
    worst = int(np.argmax(values))
    s, theta = model.mesh.sheet.nodes[nodes[worst]]
    return Peak(float(values[worst]), float(s), float(theta), face, rule)


def _edges(model: Model) -> tuple[tuple[float, int], ...]:
    """Return each edge of the clamp with the direction outwards from it."""
    return model.clamp.edges


def _edge_peak(model: Model, stress: SurfaceStress, edge_mm: float, outward: int) -> Peak:
    nodes, read = _edge_reading(model, stress, edge_mm, outward)
    peaks = [
        _peak(model, von_mises_mpa(read[face]), nodes, face, AT_CLAMP_EDGE) for face in SURFACES
    ]
    return max(peaks, key=lambda peak: peak.stress_mpa)


def _edge_reading(
    model: Model, stress: SurfaceStress, edge_mm: float, outward: int
) -> tuple[Ints, dict[SurfaceName, Floats]]:
    """Return the nodes on a clamp edge and the stress (k, 6) extrapolated there, each surface."""
    near, far, share = _edge_lines(model, edge_mm, outward)
    read = {
        face: (1 + share) * getattr(stress, face)[near] - share * getattr(stress, face)[far]
        for face in SURFACES
    }
    return mesh_line(model, edge_mm), read


def _edge_lines(model: Model, edge_mm: float, outward: int) -> tuple[Ints, Ints, float]:
    """Return the nodes of the two lines that an edge is read on, and the farther one's share."""
    near, far = (mesh_line(model, edge_mm + outward * d) for d in _distances(model, edge_mm))
    nodes = model.mesh.sheet.nodes
    first, second = (abs(float(nodes[line[0], 0]) - edge_mm) for line in (near, far))
    apart = MIN_APART * edge_wall_mm(model.bar, edge_mm)
    # a stub that ends within a wall of the edge leaves nothing to extrapolate from
    return near, far, first / (second - first) if second - first > apart else 0.0


def _distances(model: Model, edge_mm: float) -> tuple[float, float]:
    wall_mm = edge_wall_mm(model.bar, edge_mm)
    near, far = HOT_SPOT_PER_WALL
    return near * wall_mm, far * wall_mm


def mesh_line(model: Model, place_mm: float) -> Ints:
    """Return the nodes (k,) of the mesh line nearest to a place, ascending in theta."""
    nodes = model.mesh.sheet.nodes
    corners = np.unique(nodes[model.mesh.sheet.corner, 0])
    line_mm = corners[np.argmin(np.abs(corners - place_mm))]
    return np.flatnonzero(np.abs(nodes[:, 0] - line_mm) < PLACE_MM)


def _near_edges(model: Model) -> Flags:
    """Return (P,): nodes within one wall outside a clamp edge, where the edge rule reads."""
    s = model.mesh.sheet.nodes[:, 0]
    reach = HOT_SPOT_PER_WALL[1] * nominal_wall_mm(model.bar, s)
    away = np.maximum(model.clamp.from_mm - s, s - model.clamp.to_mm)
    near: Flags = (away > -PLACE_MM) & (away < reach - PLACE_MM)
    return near & model.clamp.holds


def _inside_clamp(model: Model, s_mm: Floats) -> Flags:
    inside: Flags = (s_mm >= model.clamp.from_mm) & (s_mm <= model.clamp.to_mm)
    return inside
