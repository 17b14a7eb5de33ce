"""Stages of repeated stress, and their result on a material."""

from collections.abc import Sequence
from functools import partial

import numpy as np

from fea.fatigue.curve import amplitude_at_life_mpa
from fea.fatigue.range_widths import Judged
from fea.fatigue.result import FatigueResult, Group, Site, fatigue_result
from fea.fatigue.severity import Severities, Severity, severities
from fea.fatigue.stress_cycles import Stage, cyclic_stress
from geometry.arrays import Floats
from geometry.material import Material, load_material
from loadcases.fatigue_inputs import FatigueInputs

ALUMINIUM = load_material("al-6061-t6")
STRONG_ALUMINIUM = load_material("al-7075-t6")
STEEL = load_material("steel-4130-n")
TITANIUM = load_material("ti-cp2")

# 15.68 / 9.84 = 1.59350: 39.219 ksi, over 2^0.63 the 174.7 MPa of the handbook's row
AT_1E5_MPA = amplitude_at_life_mpa(ALUMINIUM.fatigue[0], 1e5)

# figures worked with four-digit logarithms; A2 = -9.84 makes ten times as much of it
BY_HAND = 2e-3

SMOOTH = Severity(1.0, 1.0)
PLAIN = Severities(SMOOTH, SMOOTH, SMOOTH)
"""Neither clamp nor finish: specimens of the handbook."""

Rows = Sequence[tuple[float, float, float]]


def stress(*rows: tuple[float, float, float]) -> Floats:
    """Return (P, 3) stress, one row of axial, hoop and shear a place."""
    return np.array(rows, dtype=float)


def reversed_stage(rows: Rows, cycles: float = 1e5) -> Stage:
    """Return a stage of fully reversed stress."""
    return Stage(stress(*rows), -stress(*rows), cycles)


def pulsating_stage(rows: Rows, cycles: float = 1e5) -> Stage:
    """Return a stage from no stress to the given one."""
    return Stage(stress(*rows), 0 * stress(*rows), cycles)


def group_of(
    *stages: Stage,
    levels: Severities = PLAIN,
    steady: Floats | None = None,
    at_clamp: bool = False,
    clamp_change: float = 0.0,
) -> Group:
    """Return the places of some stages, all at clamp edges or none."""
    places = len(stages[0].first_mpa)
    flags = np.full(places, at_clamp)
    change = np.full((len(stages), places), clamp_change)
    judged = Judged(cyclic_stress(stages, steady, flags), levels, change)
    outward = 1 if at_clamp else None
    return judged, [Site(float(s), 0.0, "outer", outward, ()) for s in range(places)]


def result(
    *stages: Stage,
    material: Material = ALUMINIUM,
    steady: Floats | None = None,
    reliability: float = 1.0,
    levels: Severities = PLAIN,
) -> FatigueResult:
    """Return the result of stages away from clamps, of smooth specimens if no levels are given."""
    return fatigue_result([group_of(*stages, levels=levels, steady=steady)], material, reliability)


def defaults(material: Material) -> Severities:
    """Return the levels of a study that gives none."""
    return severities(FatigueInputs(), material)


def default_result(
    *stages: Stage,
    at_clamp: bool,
    material: Material = ALUMINIUM,
    steady: Floats | None = None,
    reliability: float = 1.0,
    clamp_change: float = 0.0,
) -> FatigueResult:
    """Return the result of stages with the metal's own clamp factors or the surface factors."""
    group = group_of(
        *stages,
        levels=defaults(material),
        steady=steady,
        at_clamp=at_clamp,
        clamp_change=clamp_change,
    )
    return fatigue_result([group], material, reliability)


edge_result = partial(default_result, at_clamp=True)
"""At a clamp's edge."""

surface_result = partial(default_result, at_clamp=False)
"""Away from clamps."""
