"""The fatigue life of a study's repeated cases, at every surface place of the bar.

Stress is read by the same rules as the peak's, on both surfaces, outside the load bands of every
case of the spectrum. Kf multiplies it on the outer surface at the edges of an elastic clamp and
within it, where clamp and tube have fretting contact. Steady are the clamps' nominal preload, and
every case that the study calls a preload.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.clamp.clamping import Clamping
from fea.fatigue.result import FatigueResult, fatigue_result
from fea.fatigue.stress_history import Stage, cyclic_stress
from fea.solid.hot_spot import PLACE_MM, SurfaceName, SurfaceReading, read_surface
from fea.solid.model import HOT_SPOT_PER_WALL, Model, edge_wall_mm
from fea.solid.recovery import AXIAL, HOOP, SHEAR, SurfaceStress
from geometry.arrays import Flags, Floats, Ints
from loadcases.case import PlacedCase, is_sustained
from loadcases.fatigue_inputs import FatigueInputs, SpectrumEntry

PLANE = [AXIAL, HOOP, SHEAR]
"""Stress components of a free surface."""


@dataclass(frozen=True)
class Life:
    """A fatigue result and where it is.

    Attributes:
        result: The worst place and plane.
        cases: Id and cycles of each stage.
        s_mm: The worst place.
        theta_rad: Likewise.
        surface: Likewise.
        kf: Notch factor there.
    """

    result: FatigueResult
    cases: tuple[tuple[str, float], ...]
    s_mm: float
    theta_rad: float
    surface: SurfaceName
    kf: float


@dataclass(frozen=True, eq=False)
class Repeated:
    """Inputs of all fatigue lives of a study.

    Attributes:
        model: The equations.
        inputs: Factors and spectrum.
        cases: All cases of the study.
        stresses: Their stress, in order.
        clamping: The preloaded clamps, None where no bolts are given.
    """

    model: Model
    inputs: FatigueInputs
    cases: Sequence[PlacedCase]
    stresses: Sequence[SurfaceStress]
    clamping: Clamping | None


def case_life(all_: Repeated, placed: PlacedCase) -> Life | None:
    """Return the life of one case alone; None without repetition or a number of cycles."""
    cycle = placed.case.cycle
    if cycle is None or cycle.preload or cycle.cycles is None:
        return None
    return _life(all_, (SpectrumEntry(placed.case.id, cycle.cycles),))


def study_life(all_: Repeated) -> Life | None:
    """Return the life under the study's spectrum, or else under all repeated cases in turn.

    None where there is no spectrum and fewer than two cases have a number of cycles.
    """
    stages = all_.inputs.spectrum or tuple(
        SpectrumEntry(placed.case.id, placed.case.cycle.cycles)
        for placed in all_.cases
        if placed.case.cycle and placed.case.cycle.cycles and not placed.case.cycle.preload
    )
    if not all_.inputs.spectrum and len(stages) < 2:
        return None
    return _life(all_, stages)


def _life(all_: Repeated, entries: Sequence[SpectrumEntry]) -> Life | None:
    """Return the life of stages, None where load bands leave no place to judge."""
    taking_part = _taking_part(all_, entries)
    loads = [load for placed in taking_part for load in placed.loads]

    def reading(stress: SurfaceStress) -> SurfaceReading:
        return read_surface(all_.model, stress, loads)

    read = {
        placed.case.id: reading(stress)
        for placed, stress in zip(all_.cases, all_.stresses, strict=True)
        if placed in taking_part
    }
    counted = next(iter(read.values())).counted
    if not counted.any():
        return None
    at = {name: _plane_stress(one, counted) for name, one in read.items()}
    steady = _steady(all_, at)
    if all_.clamping:
        steady = steady + _plane_stress(reading(all_.clamping.nominal), counted)
    nodes = np.flatnonzero(counted)
    kf = np.concatenate([_kf(all_)[nodes], np.ones(len(nodes))])
    stages = [_stage(all_, entry, at) for entry in entries]
    material = all_.model.bar.spec.material
    result = fatigue_result(
        cyclic_stress(stages, steady, kf), material, all_.inputs.reliability_factor
    )
    node, face = _place(nodes, result.place_index)
    s, theta = all_.model.mesh.sheet.nodes[node]
    named = tuple((entry.case, entry.cycles) for entry in entries)
    return Life(result, named, float(s), float(theta), face, float(kf[result.place_index]))


def _taking_part(all_: Repeated, entries: Sequence[SpectrumEntry]) -> list[PlacedCase]:
    """Return the cases of a spectrum, those at the other end of a cycle, and the steady ones."""
    names = {entry.case for entry in entries}
    by_id = {placed.case.id: placed for placed in all_.cases}
    names |= {cycle.other for name in names if (cycle := by_id[name].case.cycle) and cycle.other}
    return [placed for placed in all_.cases if placed.case.id in names or is_sustained(placed.case)]


def _stage(all_: Repeated, entry: SpectrumEntry, at: dict[str, Floats]) -> Stage:
    """Return a stage: to the cycle's other end, to the reverse, or without a cycle to zero."""
    cycle = next(placed.case.cycle for placed in all_.cases if placed.case.id == entry.case)
    first = entry.scale * at[entry.case]
    if cycle is None:
        return Stage(first, 0 * first, entry.cycles)
    second = entry.scale * at[cycle.other] if cycle.other else -first
    return Stage(first, second, entry.cycles)


def _steady(all_: Repeated, at: dict[str, Floats]) -> Floats:
    total: Floats = np.zeros_like(next(iter(at.values())))
    for placed in all_.cases:
        if is_sustained(placed.case):
            total = total + at[placed.case.id]
    return total


def _plane_stress(reading: SurfaceReading, counted: Flags) -> Floats:
    """Return (2 n, 3): axial, hoop and shear stress, outer surface first, then inner."""
    outer, inner = reading.outer[counted][:, PLANE], reading.inner[counted][:, PLANE]
    return np.concatenate([outer, inner])


def _kf(all_: Repeated) -> Floats:
    """Return (P,): the notch factor on the outer surface."""
    model = all_.model
    factors = np.ones(len(model.mesh.sheet.nodes))
    if model.clamp.model == "elastic":
        s, clamp = model.mesh.sheet.nodes[:, 0], model.clamp
        reach = [
            HOT_SPOT_PER_WALL[1] * edge_wall_mm(model.bar, edge) - PLACE_MM
            for edge in (clamp.from_mm, clamp.to_mm)
        ]
        # the lengths beside the edges whose stress is read at the edge belong to it
        in_clamp = (s > clamp.from_mm - reach[0]) & (s < clamp.to_mm + reach[1])
        factors[in_clamp] = all_.inputs.clamp_edge_factor
    return factors


def _place(nodes: Ints, index: int) -> tuple[int, SurfaceName]:
    if index < len(nodes):
        return int(nodes[index]), "outer"
    return int(nodes[index - len(nodes)]), "inner"
