"""Preload pressure of a clamp on a tube: Lame's thick cylinder, and a ring under half waves.

Lame's stresses at the middle of a long clamp are those of a cylinder under external pressure in
axially free state (textbook): hoop -p ro^2/(ro^2 - ri^2) (1 + ri^2/r^2). The ring under the radial
pressure of two half shells, p1 |cos a|, is solved here by its Fourier series, not by this program:
|cos a| = 2/pi + sum of 4 (-1)^(k+1)/(pi (4 k^2 - 1)) cos 2 k a, and a thin ring of mean radius R
under p_n cos n a per area has the bending moment p_n R ro/(n^2 - 1) cos n a per length (from the
inextensional ring: w'''' + 2 w'' + w = p R^4/(E I)); plane strain only changes its stiffness.
"""

from collections.abc import Mapping

import numpy as np
import pytest

from fea.clamp.preload import PreloadPressure, preload_displacements
from fea.collapse.initial_state import prepared
from fea.collapse.path_model import path_model_of
from fea.solid.model import CLAMP, Model, build_model, mesh_for
from fea.solid.recovery import SurfaceStress, build_recovery, surface_stress
from loadcases.bolts import Bolts, Pressure
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.checks import Problem, Target, misses
from support.large import unyielding
from support.systems import metal
from support.tubes import straight_bar

OD_MM, WALL_MM, PRELOAD_N = 31.8, 1.5, 20000.0
OUTER_MM, INNER_MM = OD_MM / 2, OD_MM / 2 - WALL_MM


def preloaded_tube(
    half_mm: float, width_mm: float, pressure: Pressure
) -> tuple[Model, SurfaceStress]:
    """Return a tube and its stress under a clamp of 20 kN."""
    bar, clamp = straight_bar(half_mm, OD_MM, WALL_MM, metal(71e3, 0.33)), Clamp(width_mm)
    model = build_model(bar, clamp, mesh_for(bar, clamp, [], "standard"))
    preload_pressure = PreloadPressure(CLAMP, width_mm, OD_MM, pressure)
    moved = PRELOAD_N * preload_displacements(model, [preload_pressure], "splu")[0]
    recovery = build_recovery(bar, model.mesh)
    stress = surface_stress(recovery, model.mesh, model.grads, bar.spec.material, moved)
    return model, stress


def uniform(preload: float) -> Mapping[str, float]:
    """Return hoop stress over pressure at the middle of a long clamp, on both faces."""
    model, stress = preloaded_tube(120.0, 100.0, "uniform")
    middle = np.abs(model.mesh.sheet.nodes[:, 0]) < 1.0
    pressure = PRELOAD_N / (OD_MM * 100.0)
    return {
        face: preload * float(getattr(stress, face)[middle, 1].mean()) / pressure
        for face in ("outer", "inner")
    }


def narrowed(preload: float) -> Mapping[str, float]:
    """Return how far both faces move in at the middle of a long clamp, large displacements.

    It is the start of a path; the load that would follow is of no account.
    """
    bolts = Bolts(4, preload * PRELOAD_N / 4000, 5)
    load = PlacedLoad("right", 80.0, (0.0, 0.0, -1.0), (0.0, 0.0, 0.0), 20.0)
    bar = straight_bar(90.0, OD_MM, WALL_MM, metal(71e3, 0.33))
    made = path_model_of(bar, Clamp(100.0, bolts=bolts), (load,), preload=True)
    way, point = prepared(unyielding(made))
    mesh, moved = way.model.mesh, point.displacement.reshape(-1, 3)
    s, theta, zeta = mesh.block.T
    out = moved[:, 1] * np.sin(theta) + moved[:, 2] * np.cos(theta)
    middle = np.abs(s) < 5.0
    return {
        face: -float(out[middle & (zeta == at)].mean()) for face, at in (("outer", 1), ("inner", 0))
    }


def bending(preload: float) -> Mapping[str, float]:
    """Return the hoop bending moments in N under the shells' middles and at their split.

    The clamp covers all but 2 mm at each end, and the middle of it is read.
    """
    model, stress = preloaded_tube(62.0, 120.0, "cosine")
    s, theta = model.mesh.sheet.nodes.T
    found = {}
    for name, angle in (("middle", np.pi / 2), ("split", 0.0)):
        near = (np.abs(s) < 1.0) & (np.abs(theta - angle) < 1e-6)
        bent = (stress.outer[near, 1] - stress.inner[near, 1]).mean() / 2
        found[name] = preload * float(bent) * WALL_MM**2 / 6
    return found


def ring_moment(angle: float) -> float:
    """Return the series' moment at an angle from a shell's middle, positive pulling outside."""
    p1 = 4 * PRELOAD_N / (np.pi * OD_MM * 120.0)
    mean = (OUTER_MM + INNER_MM) / 2
    k = np.arange(1, 40)
    waves = 4 * (-1.0) ** (k + 1) / (np.pi * (4 * k**2 - 1))
    moments = waves / (4 * k**2 - 1) * np.cos(2 * k * angle)
    return float(-p1 * mean * OUTER_MM * moments.sum())


THICK = OUTER_MM**2 / (OUTER_MM**2 - INNER_MM**2)

LAME = Problem(
    "long clamp, uniform pressure",
    uniform,
    # 0.5 %: one element through the wall
    {
        "outer": Target(-THICK * (1 + INNER_MM**2 / OUTER_MM**2), 5e-3),
        "inner": Target(-2 * THICK, 5e-3),
    },
)


def lame_mm(radius_mm: float) -> float:
    """Return how far a radius of Lame's cylinder moves in."""
    pressure = PRELOAD_N / (OD_MM * 100.0)
    return pressure * THICK / 71e3 * ((1 - 0.33) * radius_mm + (1 + 0.33) * INNER_MM**2 / radius_mm)


NARROWED = Problem(
    "long clamp, large displacements",
    narrowed,
    # 0.5 %: strains of 1e-3 count twice, and the mean of what is near the middle
    {"outer": Target(lame_mm(OUTER_MM), 5e-3), "inner": Target(lame_mm(INNER_MM), 5e-3)},
    slow=True,
)

SHELLS = Problem(
    "two half shells, pressure like a cosine",
    bending,
    # 3 %: a thin ring against a wall of R/t 10, whose bending stress is not linear
    {"middle": Target(ring_moment(0.0), 0.03), "split": Target(ring_moment(np.pi / 2), 0.03)},
)

PROBLEMS = (LAME, NARROWED, SHELLS)


@pytest.mark.parametrize("problem", [LAME, SHELLS], ids=lambda problem: problem.title)
def test_clamp(problem: Problem) -> None:
    """Preload stress of a clamp, before any load acts."""
    assert misses(problem) == {}


@pytest.mark.slow
def test_clamp_at_the_start_of_a_path() -> None:
    """How far it narrows the tube, in the equations of large displacements."""
    assert misses(NARROWED) == {}
