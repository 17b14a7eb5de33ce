"""Nominal stress at the edges of all clamps, and how far a bend nearby raises it.

The factors of clamped tubes are over nominal stress, so at an edge the beam's stress counts: of
tension, bending and torsion on the outer circle of the local section. An arm is statically
determinate, so it is the same whatever the clamp's stiffness. A bend nearby raises the solid's
stress over the beam's: by B = max(1, a_solid / a_beam), each the largest amplitude round the outer
surface, read 3 sqrt(r t) beyond the edge, where the edge's own wave has died out (at half of that
it still takes 6 to 9 % off on straight tubes). B is 1 where the beam's amplitude there is under a
fifth of the edge's, in a load band, in another clamp and beyond the end of the bar.

Source: derived here; 3 and 1.5 sqrt(r t) by tries on straight tubes and a riser bar.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.beam.section import fibre_stress_mpa, torsion_stress_mpa
from fea.beam.statics import arm_resultants
from fea.fatigue.stress_cycles import amplitude_mpa
from fea.solid.hot_spot import in_bands, mesh_line
from fea.solid.model import Model
from fea.solid.recovery import AXIAL, HOOP, SHEAR, SurfaceStress
from geometry.arrays import Flags, Floats, Ints
from geometry.bar import nominal_od_mm, nominal_wall_mm
from loadcases.clamp import Clamp
from loadcases.levers import LeverClamp
from loadcases.load import PlacedLoad

PLANE = [AXIAL, HOOP, SHEAR]
"""Components that a free surface carries."""

BEYOND, CLEAR = 3.0, 1.5
"""Distances from an edge in sqrt(r t): of the station for B, and of the solid's first place."""

LEAST_SHARE = 0.2
"""Share of the edge's amplitude under which the beam's at the station says nothing of it."""

AROUND: Floats = np.radians(np.arange(0.0, 360.0, 2.0))
"""(C,) angles round the tube: the largest bending stress is missed by at most 0.02 %."""


@dataclass(frozen=True)
class Edge:
    """The edge of a clamp.

    Attributes:
        s_mm: Where it is.
        outward: +1 or -1, away from the clamp.
    """

    s_mm: float
    outward: int


@dataclass(frozen=True, eq=False)
class Stations:
    """The edges of all clamps, and where beyond each the solid is compared with the beam.

    Attributes:
        edges: E edges.
        nodes: Nodes of the sheet on the mesh line of each station, none where there is no station.
        at_mm: (E,) place of that line, that of the edge itself where there is none.
    """

    edges: tuple[Edge, ...]
    nodes: tuple[Ints, ...]
    at_mm: Floats


def clamps_of(model: Model, levers: Sequence[LeverClamp]) -> list[Clamp | LeverClamp]:
    """Return the stem's clamp, if there is one, and the levers'."""
    return [*([model.clamp] if model.clamp.holds else []), *levers]


def clamp_edges(model: Model, levers: Sequence[LeverClamp]) -> tuple[Edge, ...]:
    """Return the edges of the stem's clamp and of the levers' that lie on the bar."""
    line = model.bar.line
    ends = [(clamp.from_mm, clamp.to_mm) for clamp in clamps_of(model, levers)]
    edges = [Edge(s, outward) for both in ends for s, outward in zip(both, (-1, 1), strict=True)]
    return tuple(e for e in edges if line.left_end_mm < e.s_mm < line.right_end_mm)


def decay_mm(model: Model, s_mm: Floats) -> Floats:
    """Return sqrt(r t) in mm at places `s_mm`, of the same shape: how far an edge's wave reaches.

    Source: bending of cylindrical shells, textbook; r is the mean radius.
    """
    wall = nominal_wall_mm(model.bar, s_mm)
    result: Floats = np.sqrt((nominal_od_mm(model.bar, s_mm) - wall) / 2 * wall)
    return result


def is_clear(model: Model, levers: Sequence[LeverClamp]) -> Flags:
    """Return (P,): nodes of the sheet where the solid's stress counts, away from all clamps."""
    s = model.mesh.sheet.nodes[:, 0]
    clear: Flags = np.ones(len(s), dtype=bool)
    for clamp in clamps_of(model, levers):
        ends = np.array([clamp.from_mm, clamp.to_mm])
        reach = CLEAR * decay_mm(model, ends)
        clear &= (s <= ends[0] - reach[0]) | (s >= ends[1] + reach[1])
    return clear


def stations_of(
    model: Model, levers: Sequence[LeverClamp], loads: Sequence[PlacedLoad]
) -> Stations:
    """Return the edges and their stations, none in a band of `loads` or in a clamp."""
    edges, bands = clamp_edges(model, levers), in_bands(model, loads)
    nodes, places = [], []
    for edge in edges:
        line = _station(model, levers, edge)
        line = line[:0] if line.size and bands[line].any() else line
        nodes.append(line)
        places.append(model.mesh.sheet.nodes[line[0], 0] if line.size else edge.s_mm)
    return Stations(edges, tuple(nodes), np.array(places, dtype=float))


def nominal_stress_mpa(model: Model, cases: Sequence[Sequence[PlacedLoad]], s_mm: Floats) -> Floats:
    """Return (cases, n, C, 3): axial, hoop and shear stress of the beam round places `s_mm` (n,).

    On the outer circle at `AROUND`, MPa. Source: elementary beam theory.
    """
    found = np.zeros((len(cases), len(s_mm), len(AROUND), 3))
    for case, resultants in enumerate(arm_resultants(model.bar, model.clamp, cases, s_mm)):
        found[case, ..., 0] = fibre_stress_mpa(model.bar, s_mm, resultants, AROUND)
        found[case, ..., 2] = torsion_stress_mpa(model.bar, s_mm, resultants)[:, None]
    return found


def bend_factors(
    stations: Stations,
    solid_half_range: Sequence[Floats],
    beam_half_range: Floats,
    edge_half_range: Floats,
    cycles: float,
) -> Floats:
    """Return (E,) the factor B (no unit) of a stage at each edge.

    Args:
        stations: The edges.
        solid_half_range: For each edge (k, 3) half ranges of the solid's outer surface at its
            station.
        beam_half_range: (E, C, 3) those of the beam there.
        edge_half_range: (E, C, 3) those of the beam at the edge.
        cycles: Cycles required.

    Source: module docstring.
    """
    beam = amplitude_mpa(beam_half_range, cycles).max(axis=1)
    edge = amplitude_mpa(edge_half_range, cycles).max(axis=1)
    factors = np.ones(len(stations.edges))
    for index, solid in enumerate(solid_half_range):
        if len(solid) and beam[index] > 0 and beam[index] >= LEAST_SHARE * edge[index]:
            largest = float(amplitude_mpa(solid, cycles).max())
            factors[index] = max(1.0, largest / beam[index])
    return factors


def station_stress_mpa(stations: Stations, stress: SurfaceStress) -> list[Floats]:
    """Return for each edge (k, 3) axial, hoop and shear stress of the solid at its station."""
    return [stress.outer[line][:, PLANE] for line in stations.nodes]


def _station(model: Model, levers: Sequence[LeverClamp], edge: Edge) -> Ints:
    """Return the nodes of the mesh line at a station, none beyond the bar or in another clamp."""
    reach = BEYOND * float(decay_mm(model, np.array([edge.s_mm]))[0])
    at_mm = edge.s_mm + edge.outward * reach
    line = model.bar.line
    held = any(c.from_mm <= at_mm <= c.to_mm for c in clamps_of(model, levers))
    if held or not line.left_end_mm < at_mm < line.right_end_mm:
        return np.array([], dtype=int)
    return mesh_line(model, at_mm)
