"""The fatigue life of a study's repeated cases, at every clamp edge and every other surface place.

At the edges of all clamps the beam's nominal stress counts, times B for a bend nearby; the bolts'
preload does not, for the tests behind the clamp factor have their contact pressure in them.
Elsewhere it is the solid's recovered stress on both surfaces, outside the load bands of every case
that takes part, with the clamps' nominal preload as a steady stress. Steady is also every case that
the study calls a preload. Inside a clamp nothing is judged but its edges.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from fea.clamp.clamping import Clamping
from fea.fatigue.edges import (
    AROUND,
    PLANE,
    Stations,
    bend_factors,
    is_clear,
    nominal_stress_mpa,
    station_stress_mpa,
    stations_of,
)
from fea.fatigue.range_widths import Judged
from fea.fatigue.result import FatigueResult, Group, Site, fatigue_result
from fea.fatigue.severity import Severities, severities
from fea.fatigue.stages import case_stages, study_stages
from fea.fatigue.stress_cycles import Stage, amplitude_mpa, cyclic_stress
from fea.solid.hot_spot import SURFACES, SurfaceName, in_bands
from fea.solid.model import Model
from fea.solid.recovery import SurfaceStress
from geometry.arrays import Floats, Ints
from loadcases.case import PlacedCase, is_sustained
from loadcases.fatigue_inputs import FatigueInputs, SpectrumEntry
from loadcases.levers import LeverClamp
from loadcases.load import PlacedLoad

LEAST_CHANGE_SHARE = 0.2
"""Share of the largest amplitude under which a place's change with the clamp is not read."""

Ends = tuple[Floats, Floats]
"""Stress at the two ends of a cycle."""


@dataclass(frozen=True, eq=False)
class Life:
    """A fatigue result and the stages it is of.

    Attributes:
        result: What the stages come to.
        cases: Id and cycles of each stage.
        places: All places that were judged: clamp edges, and `SurfaceSites`.
    """

    result: FatigueResult
    cases: tuple[tuple[str, float], ...]
    places: tuple[Group, ...] = ()


@dataclass(frozen=True, eq=False)
class Repeated:
    """What all lives of a study need.

    Attributes:
        model: The equations.
        inputs: Factors and spectrum.
        cases: All cases of the study.
        stresses: Their stress, in order.
        clamping: The tightened clamps, None where no bolts are given.
        levers: The levers' clamps.
        scaled: Stress of all cases at each other clamp stiffness; empty for a rigid clamp.
    """

    model: Model
    inputs: FatigueInputs
    cases: Sequence[PlacedCase]
    stresses: Sequence[SurfaceStress]
    clamping: Clamping | None
    levers: Sequence[LeverClamp] = ()
    scaled: Sequence[Sequence[SurfaceStress]] = ()


def case_life(all_: Repeated, placed: PlacedCase) -> Life | None:
    """Return the life of one case alone; None where it comes once or how often is not known."""
    return _life(all_, case_stages(placed))


def study_life(all_: Repeated) -> Life | None:
    """Return the life under the study's spectrum, or else under all repeated cases in turn.

    None where there is no spectrum and fewer than two cases have a number of cycles.
    """
    return _life(all_, study_stages(all_.inputs, all_.cases))


def judged_places(all_: Repeated, entries: Sequence[SpectrumEntry]) -> tuple[Group, ...]:
    """Return the places that stages are judged at: clamp edges, and surfaces elsewhere."""
    taking_part = _taking_part(all_, entries)
    loads = list(chain.from_iterable(placed.loads for placed in taking_part))
    stations = stations_of(all_.model, all_.levers, loads)
    found = [_edges(all_, entries, stations), _surface(all_, entries, loads)]
    return tuple(group for group in found if group)


def _life(all_: Repeated, entries: Sequence[SpectrumEntry]) -> Life | None:
    if not entries:
        return None
    groups = judged_places(all_, entries)
    result = fatigue_result(
        groups,
        all_.model.bar.spec.material,
        all_.inputs.reliability_factor,
    )
    return Life(result, tuple((entry.case, entry.cycles) for entry in entries), groups)


def _edges(
    all_: Repeated, entries: Sequence[SpectrumEntry], stations: Stations
) -> tuple[Judged, Sequence[Site]] | None:
    """Return the places round all clamp edges, None where no edge lies on the bar."""
    if not stations.edges:
        return None
    at_mm = np.array([edge.s_mm for edge in stations.edges])
    loads = [placed.loads for placed in all_.cases]
    at_edge = _by_case(all_, nominal_stress_mpa(all_.model, loads, at_mm))
    at_station = _by_case(all_, nominal_stress_mpa(all_.model, loads, stations.at_mm))
    factors = _bend_factors(all_, entries, stations, all_.stresses, (at_station, at_edge))
    others = [
        _bend_factors(all_, entries, stations, stresses, (at_station, at_edge))
        for stresses in all_.scaled
    ]
    change = np.zeros_like(factors)
    for other in others:
        change = np.maximum(change, np.abs(np.log10(other / factors)))
    stages = [
        _edge_stage(_ends(all_, entry, at_edge), bends, entry.cycles)
        for entry, bends in zip(entries, factors, strict=True)
    ]
    count = len(at_mm) * len(AROUND)
    cyclic = cyclic_stress(stages, _flat(_sustained(all_, at_edge)), np.ones(count, dtype=bool))
    sites = [
        Site(edge.s_mm, float(theta), "outer", edge.outward, tuple(factors[:, index]))
        for index, edge in enumerate(stations.edges)
        for theta in AROUND
    ]
    changes = np.repeat(change, len(AROUND), axis=1)
    return Judged(cyclic, _severities(all_), changes), sites


def _surface(
    all_: Repeated, entries: Sequence[SpectrumEntry], loads: Sequence[PlacedLoad]
) -> tuple[Judged, Sequence[Site]] | None:
    """Return the places of both surfaces away from clamps and bands, None where there are none."""
    counted = is_clear(all_.model, all_.levers) & ~in_bands(all_.model, loads)
    nodes = np.flatnonzero(counted)
    if not nodes.size:
        return None
    at = _by_case(all_, [_both(stress, nodes) for stress in all_.stresses])
    stages = [Stage(*_ends(all_, entry, at), entry.cycles) for entry in entries]
    steady = _sustained(all_, at)
    if all_.clamping:
        steady = steady + _both(all_.clamping.nominal, nodes)
    cyclic = cyclic_stress(stages, steady)
    change = _surface_change(all_, entries, nodes, cyclic.half_range_mpa)
    return Judged(cyclic, _severities(all_), change), SurfaceSites(all_.model, nodes)


def _edge_stage(ends: Ends, bends: Floats, cycles: float) -> Stage:
    """Return a stage from stress (E, C, 3) at both ends of the cycle, times B (E,)."""
    first, second = (_flat(bends[:, None, None] * end) for end in ends)
    return Stage(first, second, cycles)


class SurfaceSites(Sequence[Site]):
    """The places of both surfaces, made when one is looked at: there are tens of thousands.

    Attributes:
        nodes: (n,) nodes of the sheet, the same on both surfaces; the outer surface comes first.
    """

    def __init__(self, model: Model, nodes: Ints) -> None:
        """Keep where the places are."""
        self.nodes, self._places = nodes, model.mesh.sheet.nodes[nodes]

    def __len__(self) -> int:
        """Return how many places both surfaces have."""
        return len(SURFACES) * len(self.nodes)

    def __getitem__(self, index: int) -> Site:  # type: ignore[override]
        """Return a place."""
        face, node = divmod(int(index), len(self.nodes))
        s, theta = self._places[node]
        name: SurfaceName = SURFACES[face]
        return Site(float(s), float(theta), name, None, ())


def _severities(all_: Repeated) -> Severities:
    return severities(all_.inputs, all_.model.bar.spec.material)


def _bend_factors(
    all_: Repeated,
    entries: Sequence[SpectrumEntry],
    stations: Stations,
    stresses: Sequence[SurfaceStress],
    beam: tuple[Mapping[str, Floats], Mapping[str, Floats]],
) -> Floats:
    """Return (S, E) the factor B of each stage at each edge, by some stress of the cases."""
    at_station, at_edge = beam
    by_edge = list(zip(*(station_stress_mpa(stations, stress) for stress in stresses), strict=True))
    solid = [_by_case(all_, rows) for rows in by_edge]
    required = sum(entry.cycles for entry in entries)
    return np.array(
        [
            bend_factors(
                stations,
                [_half_range(all_, entry, at) for at in solid],
                _half_range(all_, entry, at_station),
                _half_range(all_, entry, at_edge),
                required,
            )
            for entry in entries
        ]
    )


def _surface_change(
    all_: Repeated, entries: Sequence[SpectrumEntry], nodes: Ints, half_range_mpa: Floats
) -> Floats:
    """Return (S, P) |log10| of how the other clamp stiffnesses move each place's amplitude."""
    required = sum(entry.cycles for entry in entries)
    base = amplitude_mpa(half_range_mpa, required)
    change = np.zeros_like(base)
    read = base > LEAST_CHANGE_SHARE * base.max()
    for stresses in all_.scaled:
        at = _by_case(all_, [_both(stress, nodes) for stress in stresses])
        moved = np.array([_half_range(all_, entry, at) for entry in entries])
        other = amplitude_mpa(moved, required)
        ratio = np.divide(other, base, out=np.ones_like(base), where=read & (other > 0))
        change = np.maximum(change, np.abs(np.log10(ratio)))
    return change


def _taking_part(all_: Repeated, entries: Sequence[SpectrumEntry]) -> list[PlacedCase]:
    """Return the cases of a spectrum, those at the other end of a cycle, and the sustained ones."""
    names = {entry.case for entry in entries}
    by_id = {placed.case.id: placed for placed in all_.cases}
    names |= {cycle.other for name in names if (cycle := by_id[name].case.cycle) and cycle.other}
    return [placed for placed in all_.cases if placed.case.id in names or is_sustained(placed.case)]


def _ends(all_: Repeated, entry: SpectrumEntry, at: Mapping[str, Floats]) -> Ends:
    """Return both ends of a cycle: with its other end, the reverse, or without a cycle nothing."""
    cycle = next(placed.case.cycle for placed in all_.cases if placed.case.id == entry.case)
    first = entry.scale * at[entry.case]
    if cycle is None:
        return first, 0 * first
    return first, entry.scale * at[cycle.other] if cycle.other else -first


def _half_range(all_: Repeated, entry: SpectrumEntry, at: Mapping[str, Floats]) -> Floats:
    first, second = _ends(all_, entry, at)
    half: Floats = (first - second) / 2
    return half


def _sustained(all_: Repeated, at: Mapping[str, Floats]) -> Floats:
    total: Floats = np.zeros_like(next(iter(at.values())))
    for placed in all_.cases:
        if is_sustained(placed.case):
            total = total + at[placed.case.id]
    return total


def _by_case(all_: Repeated, rows: Sequence[Floats] | Floats) -> dict[str, Floats]:
    return {placed.case.id: row for placed, row in zip(all_.cases, rows, strict=True)}


def _both(stress: SurfaceStress, nodes: Ints) -> Floats:
    """Return (2 n, 3): axial, hoop and shear stress, outer surface first, then inner."""
    return np.concatenate([getattr(stress, face)[nodes][:, PLANE] for face in SURFACES])


def _flat(stress: Floats) -> Floats:
    """Return (E C, 3) of stress (E, C, 3)."""
    return stress.reshape(-1, 3)
