"""The error estimate against refined solves of bent bars."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest

from fea.solid.error_estimate import ErrorEstimate, estimate_error
from fea.solid.hot_spot import ON_SURFACE, Peak, peak_stress
from fea.solid.model import build_model, mesh_for
from fea.solid.recovery import build_recovery, surface_stress
from fea.solid.statics import StaticAnswer, factorise_model, solve_cases
from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_table import Bend, BendTable, polyline_from_table
from geometry.grading import LevelName
from geometry.section import Station
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.systems import metal
from support.tubes import straight_bar

METAL = metal(107e3, 0.32)
CLAMP = Clamp(46.0)


def riser() -> Bar:
    """Return a bar with two bends in one plane and a taper."""
    table = BendTable((Bend(60, 70, 25, 65), Bend(40, 180, 25, 65)), 160)
    stations = (Station(0, 31.8, 2.0), Station(50, 31.8, 2.0), Station(110, 22.2, 1.6))
    return build_bar(BarSpec("riser", polyline_from_table(table), stations, METAL))


def drop() -> Bar:
    """Return a bar with two long bends in two planes and a thin wall."""
    table = BendTable((Bend(100, 0, 80, 60), Bend(30, -70, 100, 70)), 100)
    stations = (Station(0, 31.8, 1.2), Station(40, 31.8, 1.2), Station(80, 24, 1.0))
    return build_bar(BarSpec("drop", polyline_from_table(table), stations, METAL))


BARS = {"riser": riser, "drop": drop}


@dataclass(frozen=True, eq=False)
class Run:
    """One case on one mesh."""

    answer: StaticAnswer
    error: ErrorEstimate
    peak: Peak


@cache
def run(name: str, level: LevelName) -> Run:
    """Return a downward load near the right end."""
    bar = BARS[name]()
    load = PlacedLoad("right", bar.line.right_end_mm - 50, (0, 0, -600), (0, 0, 0), 30)
    model = build_model(bar, CLAMP, mesh_for(bar, CLAMP, [load], level))
    answer = solve_cases(model, [[load]], factorise_model(model, "splu")).answers[0]
    recovery = build_recovery(bar, model.mesh)
    stress = surface_stress(recovery, model.mesh, model.grads, METAL, answer.displacement_mm)
    peak = peak_stress(model, stress, [load])
    return Run(answer, estimate_error(model, recovery, answer, peak), peak)


def effectivity(name: str, level: LevelName, reference: LevelName) -> float:
    """Return estimated over true error in the energy norm, the true one from a finer mesh.

    Work is a lower bound, so half the squared error norm is the work that a mesh misses.
    """
    coarse, fine = run(name, level), run(name, reference)
    missing = fine.answer.work_nmm - coarse.answer.work_nmm
    assert missing > 0
    return float((coarse.error.squared_nmm.sum() / (2 * missing)) ** 0.5)


@pytest.mark.slow
@pytest.mark.parametrize("name", BARS)
@pytest.mark.parametrize("level", ["coarse", "standard"])
def test_effectivity_against_a_fine_mesh(name: str, level: LevelName) -> None:
    """Bent bars, coarse and standard against fine: estimate over error within a factor of two."""
    assert 0.5 < effectivity(name, level, "fine") < 2


@pytest.mark.slow
def test_effectivity_of_a_coarse_mesh() -> None:
    """A riser, coarse against standard: the same within a factor of two."""
    assert 0.5 < effectivity("riser", "coarse", "standard") < 2


def test_estimate_adds_up() -> None:
    """The percentage of a deflection is the squared error over twice the energy."""
    found = run("riser", "coarse")
    percent = 100 * found.error.squared_nmm.sum() / (2 * found.answer.energy_nmm)
    assert found.error.deflection_percent == pytest.approx(percent, rel=1e-12)
    assert found.error.squared_nmm.min() >= 0


@pytest.mark.parametrize("stress_mpa", [(100.0, 0.0), (0.0, 80.0), (100.0, 80.0), (100.0, -60.0)])
def test_the_energy_of_a_uniform_stress(stress_mpa: tuple[float, float]) -> None:
    """A straight tube pulled along and evenly across, the recovered stress made twice too large.

    The error is then the stress itself, and its squared energy norm sigma : strain times volume,
    with the strains that Hooke's law gives the two pulls one by one. Half of it is the strain
    energy, so the estimate is a whole deflection.
    """
    along, across = stress_mpa
    e, nu = METAL.youngs_modulus_mpa, METAL.poisson_ratio
    stretch, swell = along / e - 2 * nu * across / e, across / e - nu * (along + across) / e
    bar = straight_bar(60, 25.4, 2.0, METAL)
    model = build_model(bar, CLAMP, mesh_for(bar, CLAMP, [], "coarse"))
    squared = (along * stretch + 2 * across * swell) * model.grads.volumes_mm3.sum()
    moved = model.mesh.points_mm * np.array([stretch, swell, swell])
    recovery = build_recovery(bar, model.mesh)
    answer = StaticAnswer(moved, (), squared / 2, squared / 2, np.zeros(3), np.zeros(3))
    twice = replace(recovery, fit=2 * recovery.fit)
    found = estimate_error(model, twice, answer, Peak(0.0, 30.0, 1.0, "outer", ON_SURFACE))
    assert found.squared_nmm.sum() == pytest.approx(squared, rel=1e-9)
    assert found.deflection_percent == pytest.approx(100, rel=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("name", BARS)
def test_stress_estimate_covers_the_change(name: str) -> None:
    """The peak's change from standard to fine is no more than twice the estimate plus 1 %."""
    standard, fine = run(name, "standard"), run(name, "fine")
    change = abs(fine.peak.stress_mpa / standard.peak.stress_mpa - 1)
    # the peak sits at a node of either mesh: up to 1 % of it is a place between nodes
    assert 100 * change < 2 * standard.error.stress_percent + 1
    assert change < 0.03
