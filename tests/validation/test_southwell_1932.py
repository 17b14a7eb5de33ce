"""R. V. Southwell, Proc. Roy. Soc. A 135 (1932) 601-616: what an initial shape grows to.

An elastic body that is free of stress in the shape of its own buckling mode moves on in that shape,
and its whole departure from the perfect one grows by 1/(1 - P/P_critical). So does the bow of a
column, Timoshenko & Gere, Theory of elastic stability, and so do the ripples of a cylinder pressed
along its axis, at their classical half wave. All from memory, unverified; of the equation
D w'''' + N w'' + E t w/R^2 = -N a'' with a = A cos(q x) the second is one line.
"""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from fea.collapse.equilibrium import Point, point_at
from fea.collapse.imperfection import Imperfection
from fea.collapse.initial_state import prepared
from fea.collapse.newton import StepTarget, balanced
from fea.collapse.path_model import path_model_of
from fea.collapse.plastic import virgin
from fea.solid.linear_solver import pivoting
from fea.solid.surface import RigidModes, mean_displacement
from geometry.arrays import Floats
from geometry.bar import position_mm
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.blocks import Block, on_side
from support.checks import Problem, Target, misses
from support.large import equations_of
from support.large import metal as flowing
from support.pure_bending import between, rolled
from support.ripples import rippled_slice
from support.systems import metal
from support.tubes import straight_bar

SHARES = (0.3, 0.6)
"""Of the critical load."""

RADIUS, WALL, E_MPA, RATIO, PERCENT = 100.0, 1.0, 2e5, 0.3, 1.0

OD_MM, WALL_MM, ROOT_MM, PLACE_MM, COLUMN_MPA, COLUMN_RATIO = 31.8, 1.5, 20.0, 610.0, 107e3, 0.32


def pressed(scale: float) -> Mapping[str, float]:
    """Return by how much ripples grow at shares of the classical load, the load scaled."""
    block = rippled_slice(RADIUS, WALL, RATIO, PERCENT, (1, 8, 8))
    classical_n = E_MPA * WALL / (RADIUS * np.sqrt(3 * (1 - RATIO**2))) * np.pi * RADIUS * WALL
    load = np.zeros_like(block.points_mm)
    # all nodes of the end move as one along the tube
    load[np.flatnonzero(on_side(block, 2, 1))[0], 2] = -classical_n
    equations = equations_of(block, flowing(E_MPA, RATIO), between(block, 0.0), load)
    start = virgin(len(block.cells), 8)
    point, found = point_at(equations, rolled(block, 0.0), 0.0, start), {}
    for share in SHARES:
        goal = StepTarget("factor", scale * share)
        point = balanced(equations, point, goal, point.response.state, pivoting())
        found[f"at {share:g}"] = _amplitude(block, point) / (PERCENT / 100 * WALL)
    return found


def _amplitude(block: Block, point: Point) -> float:
    placed = block.points_mm + point.displacement.reshape(-1, 3)
    radius = np.hypot(placed[:, 0], placed[:, 1])
    inner, outer = (radius[on_side(block, 2, end)].mean() for end in (0, 1))
    return float(outer - inner) / 2


def bowed(scale: float) -> Mapping[str, float]:
    """Return by how much a column's bow grows at shares of its critical load, the load scaled."""
    strong = replace(metal(COLUMN_MPA, COLUMN_RATIO), proof_stress_mpa=1e6, ultimate_stress_mpa=1e6)
    bar = straight_bar(PLACE_MM + 10.0, OD_MM, WALL_MM, strong)
    push = PlacedLoad("right", PLACE_MM, (-_critical_n(), 0.0, 0.0), (0.0, 0.0, 0.0), 20.0)
    clamp = Clamp(2 * ROOT_MM, "rigid")
    way = path_model_of(bar, clamp, (push,), imperfection=Imperfection("mode", 100.0))
    mesh = way.model.mesh
    across = partial(_across, way.modes[0])
    bow = across(mesh.points_mm - position_mm(bar, *mesh.block.T))
    way, point = prepared(way)
    found = {}
    for share in SHARES:
        goal = StepTarget("factor", scale * share)
        point = balanced(way.equations, point, goal, point.response.state, pivoting())
        whole = bow + across(point.displacement.reshape(-1, 3))
        found[f"at {share:g}"] = float(np.linalg.norm(whole) / np.linalg.norm(bow))
    return found


def _across(modes: RigidModes, moved: Floats) -> Floats:
    return mean_displacement(modes, moved)[1:]


def _critical_n() -> float:
    """Return the load of a column held at its foot, with its shear (Engesser; Cowper 1966)."""
    inner, length = OD_MM - 2 * WALL_MM, PLACE_MM - ROOT_MM
    i_mm4, area_mm2 = np.pi * (OD_MM**4 - inner**4) / 64, np.pi * (OD_MM**2 - inner**2) / 4
    euler = np.pi**2 * COLUMN_MPA * i_mm4 / (4 * length**2)
    return float(euler / (1 + euler / (0.534346 * COLUMN_MPA / 2.64 * area_mm2)))


GROWTH = {share: 1 / (1 - share) for share in SHARES}

CYLINDER = Problem(
    "ripples of a pressed cylinder",
    pressed,
    # 0.6 %: the equation is a thin wall's, 0.1 % off at R/t 100 and half the load (two layers),
    # and one layer of elements adds twice that
    {f"at {share:g}": Target(growth, 6e-3) for share, growth in GROWTH.items()},
)

COLUMN = Problem(
    "bow of a column",
    bowed,
    # 1 %: the clamp holds the outer surface only, so the root gives (0.25 % of the load, which
    # counts by share/(1 - share)); measured 0.06 % and 0.26 %
    {f"at {share:g}": Target(growth, 1e-2) for share, growth in GROWTH.items()},
    slow=True,
)

PROBLEMS = (CYLINDER, COLUMN)


def test_ripples() -> None:
    """At three and six tenths of the classical load."""
    assert misses(CYLINDER) == {}


@pytest.mark.slow
def test_bow() -> None:
    """Likewise of Euler's."""
    assert misses(COLUMN) == {}
