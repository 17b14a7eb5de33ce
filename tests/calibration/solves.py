"""A random bar solved on its mesh and on a much finer one, and the true error of its peak."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.interpolate import CubicSpline, RegularGridInterpolator

from calibration.bars import Setup
from fea.solid.hot_spot import AT_CLAMP_EDGE, PLACE_MM, Peak, peak_stress, read_surface
from fea.solid.model import CLAMP, Model, band_name, build_model, edge_seeds, mesh_for
from fea.solid.peak_error import PeakError, peak_error
from fea.solid.recovery import SurfaceStress, build_recovery, surface_stress, von_mises_mpa
from fea.solid.statics import factorise_model, solve_cases
from geometry.arrays import Floats
from geometry.bar import nominal_od_mm, nominal_wall_mm
from geometry.centreline import arcs
from geometry.grading import Level, LevelName, Seed, bar_seeds, element_size_mm, mesh_lines_mm
from geometry.mesh import ONE_TURN, TubeMesh, extruded, flat_sheet
from geometry.section import kinks_mm

ROUND: dict[LevelName, int] = {"coarse": 28, "standard": 30, "fine": 36}
"""Elements round the tube of the reference: beyond them a peak moves by 0.1 %."""


@dataclass(frozen=True)
class Row:
    """A bar's peak, its true error and the parts of the estimate, %."""

    kind: str
    level: str
    place: str
    error: float
    parts: PeakError


@dataclass(frozen=True, eq=False)
class Solved:
    """A solution with its peak and the parts of the peak's error."""

    model: Model
    stress: SurfaceStress
    peak: Peak
    error: PeakError


def row_of(setup: Setup) -> Row:
    """Return the true error of a bar's peak where it is reported, and the estimate's parts."""
    found, fine = solved(setup), solved(setup, reference_mesh(setup))
    true = read_at(setup, fine, found.peak)
    error = 100 * abs(found.peak.stress_mpa / true - 1)
    return Row(setup.kind, setup.level, place_of(setup, found.peak), error, found.error)


def solved(setup: Setup, mesh: TubeMesh | None = None) -> Solved:
    """Return the solution of a bar, on the mesh of its level where none is given."""
    bar, loads = setup.bar, [setup.load]
    mesh = mesh or mesh_for(bar, setup.clamp, loads, setup.level)
    model = build_model(bar, setup.clamp, mesh)
    answer = solve_cases(model, [loads], factorise_model(model)).answers[0]
    recovery = build_recovery(bar, mesh)
    moved = answer.displacement_mm
    stress = surface_stress(recovery, mesh, model.grads, bar.spec.material, moved)
    peak = peak_stress(model, stress, loads)
    return Solved(model, stress, peak, peak_error(model, recovery, answer, peak))


def reference_mesh(
    setup: Setup, round_count: int | None = None, scale: float = 1.1, layers: int = 2
) -> TubeMesh:
    """Return a mesh of two layers, its elements short against the bending of the wall."""
    bar, clamp, load = setup.bar, setup.clamp, setup.load
    bands = {band_name(load): (load.from_mm, load.to_mm)}
    regions = {CLAMP: (clamp.from_mm, clamp.to_mm), **bands}
    longest, *own = bar_seeds(bar)
    limits = [Seed(a, b, b - a) for a, b in regions.values()]
    every = (longest, *_fine_seeds(setup), *limits, *(_finer(setup, one) for one in own))
    lines = mesh_lines_mm(bar, every)
    level = Level(round_count or ROUND[setup.level], scale, 0.5)
    sheet = flat_sheet(lines, element_size_mm(bar, every, level), level.round, regions)
    return extruded(bar, sheet, layers)


def _fine_seeds(setup: Setup) -> list[Seed]:
    """Return short elements at the loaded clamp edge, the load's band and the kinks."""
    # nothing loads the stub beyond the other edge
    edges = [
        one if one.from_mm > 0 else replace(one, size_mm=4 * one.size_mm)
        for one in edge_seeds(setup.bar, setup.clamp)
    ]
    ends = setup.load.from_mm, setup.load.to_mm
    od_mm = float(nominal_od_mm(setup.bar, np.array(setup.load.from_mm)))
    kinks = [
        Seed(at - 2 * b, at + 2 * b, 0.45 * bending_mm(setup, at))
        for at, b in kinks_mm(setup.bar.profile)
    ]
    return [*edges, *(Seed(at, at, 0.06 * od_mm) for at in ends), *kinks]


def _finer(setup: Setup, seed: Seed) -> Seed:
    return replace(seed, size_mm=min(seed.size_mm / 2, 0.75 * bending_mm(setup, seed.from_mm)))


def bending_mm(setup: Setup, at_mm: float) -> float:
    """Return sqrt(R t), over which the bending of a wall dies away."""
    at = np.array(at_mm)
    od, wall = float(nominal_od_mm(setup.bar, at)), float(nominal_wall_mm(setup.bar, at))
    return float(np.sqrt((od - wall) / 2 * wall))


def read_at(setup: Setup, fine: Solved, peak: Peak) -> float:
    """Return the von Mises stress of another solution where a peak is, MPa."""
    s, theta, stress = _grid(setup, fine, peak)
    if peak.rule == AT_CLAMP_EDGE:
        line = stress[np.argmin(np.abs(s - peak.s_mm))]
        return float(von_mises_mpa(CubicSpline(theta, line)(peak.theta_rad)))
    # a few lines to each side: farther ones lie beyond kinks
    at = int(np.searchsorted(s, peak.s_mm))
    near = slice(max(0, at - 4), at + 4)
    read = RegularGridInterpolator((s[near], theta), stress[near], method="cubic")
    return float(von_mises_mpa(read([[peak.s_mm, peak.theta_rad]])[0]))


def _grid(setup: Setup, fine: Solved, peak: Peak) -> tuple[Floats, Floats, Floats]:
    """Return s (n,), theta (k,) and the stress (n, k, 6) of the corners, theta beyond a turn."""
    sheet = fine.model.mesh.sheet
    corner = np.flatnonzero(sheet.corner)
    s, theta = sheet.nodes[corner].T
    # ascending in s already; noise of a line's s is less than the distance of two lines
    count = int(np.sum(s - s[0] < PLACE_MM))
    lines = s.reshape(-1, count).mean(axis=1)
    order = np.lexsort((theta, np.repeat(lines, count)))
    read = getattr(read_surface(fine.model, fine.stress, [setup.load]), peak.surface)
    stress = read[corner[order]].reshape(len(lines), count, 6)
    turn = theta[order][:count]
    around = np.concatenate([turn[-4:] - ONE_TURN, turn, turn[:4] + ONE_TURN])
    return lines, around, np.concatenate([stress[:, -4:], stress, stress[:, :4]], axis=1)


def place_of(setup: Setup, peak: Peak) -> str:
    """Return the kind of place of a peak: rigid edge, edge, bend, kink or away from them."""
    if peak.rule == AT_CLAMP_EDGE:
        return "rigid edge" if setup.clamp.model == "rigid" else "elastic edge"
    reach = float(nominal_od_mm(setup.bar, np.array(peak.s_mm))) / 2
    if any(a.s_from_mm - reach <= peak.s_mm <= a.s_to_mm + reach for a in arcs(setup.bar.line)):
        return "bend"
    kinks = kinks_mm(setup.bar.profile)
    away = min((abs(peak.s_mm - at) - b for at, b in kinks), default=np.inf)
    return "kink" if away < 2 * bending_mm(setup, peak.s_mm) else "away"
