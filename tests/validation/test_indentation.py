"""The bar's own deflection under a ram, apart from dents, against beam theory; and by geometry.

Source: Timoshenko beam in three-point bending, w = P L^3 / 48EI + P L / (4 kappa G A), kappa after
Cowper; textbook. The ram's travel is a fifth more at D/t 20 and L/D 12.6: own note, derived.
"""

from dataclasses import replace
from math import pi
from pathlib import Path

import numpy as np
import pytest

from fea.collapse import indentation
from fea.collapse.collapse_mode import Rings, rings_of
from fea.collapse.equilibrium import Point
from fea.collapse.indentation import Indentation, indentation_of
from fea.collapse.initial_state import prepared
from fea.collapse.newton import StepTarget
from fea.collapse.path import attempted
from fea.collapse.path_model import PathModel, Standing, path_model_of
from fea.collapse.reading import reactions_n
from fea.solid.linear_solver import pivoting
from geometry.arrays import Floats
from studies.study_file.study import study_from_table

OD_MM, WALL_MM, LOAD_N = 30.0, 1.5, 1000.0
SPAN_MM = 12.6 * OD_MM
ROLLER_MM = 15.0

BEAM = 0.01
"""Large displacements and bands of contact: 0.3 % measured."""

SET_UP = tuple[PathModel, Point, Rings]


@pytest.fixture(scope="module")
def set_up() -> SET_UP:
    """Return a straight tube on two rollers, beneath a third one at its middle."""
    table = {
        "name": "tube",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": OD_MM, "wall_mm": WALL_MM}],
            "right": {"points_mm": [[0, 0, 0], [SPAN_MM / 2 + OD_MM, 0, 0]]},
        },
        "clamp": {"model": "none"},
        "cases": [{"use": "press.three-point-ram", "span_mm": SPAN_MM, "force_n": LOAD_N}],
    }
    study = study_from_table(table, Path("tube.toml"), "")
    (placed,) = study.cases
    standing = Standing(placed.supports, LOAD_N)
    drawn = path_model_of(study.bar, study.clamp, placed.loads, standing=standing)
    path_model, start = prepared(drawn)
    return path_model, start, rings_of(path_model.model.mesh)


def moved(set_up: SET_UP, displacement: Floats, rise_mm: float) -> Indentation:
    """Return the dents of a tube that is displaced from its seat by (N, 3), on a risen bed."""
    path_model, start, rings = set_up
    equations = path_model.equations
    full = equations.origin.copy()
    full[: equations.bar] += displacement.ravel()
    full[equations.bar] += rise_mm
    forces = np.array([[0, 0, 0.5], [0, 0, 0.5], [0, 0, -1.0]]) * equations.load[equations.bar]
    point = replace(start, displacement=full, factor=1.0)
    return indentation_of(path_model, rings, point, forces)


def test_own_deflection_is_that_of_a_beam(set_up: SET_UP) -> None:
    """And the ram's travel a fifth more, half of it or so under the ram."""
    path_model, start, rings = set_up
    step = attempted(path_model.equations, start, StepTarget("deflection", 0.5), pivoting("auto"))
    assert step is not None
    found = indentation_of(path_model, rings, step, reactions_n(path_model, step))
    assert found.total_mm is not None
    metal = path_model.model.bar.spec.material
    stiff, ratio, inner = metal.youngs_modulus_mpa, metal.poisson_ratio, OD_MM - 2 * WALL_MM
    second, area = pi * (OD_MM**4 - inner**4) / 64, pi * (OD_MM**2 - inner**2) / 4
    shear = 2 * (1 + ratio) / (4 + 3 * ratio) * stiff / (2 * (1 + ratio)) * area
    beam = SPAN_MM**3 / (48 * stiff * second) + SPAN_MM / (4 * shear)
    force = step.factor * LOAD_N
    assert 0.5 - found.total_mm == pytest.approx(beam * force, rel=BEAM)
    assert 0.5 / (beam * force) == pytest.approx(1.19, abs=0.02)
    # a concentrated force dents by itself: twice the force, nearly twice the dent
    right, left, ram = found.at_supports_mm
    assert right == pytest.approx(left, rel=1e-3)
    assert 1.6 < ram / right < 2.1


def test_flat_surfaces_are_read_along_their_way(
    set_up: SET_UP, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The way of surfaces that are no rollers, tried on rollers: the same while little turns.

    1 %: the ends turn by 0.004 rad.
    """
    path_model, start, rings = set_up
    step = attempted(path_model.equations, start, StepTarget("deflection", 0.5), pivoting("auto"))
    assert step is not None
    forces = reactions_n(path_model, step)
    round_ = indentation_of(path_model, rings, step, forces)
    monkeypatch.setattr(indentation, "ROUND", "")
    flat = indentation_of(path_model, rings, step, forces)
    assert flat.at_supports_mm == pytest.approx(round_.at_supports_mm, rel=0.01)


def test_a_tube_that_rises_with_its_bed_is_dented_by_the_ram_alone(set_up: SET_UP) -> None:
    """The whole travel is indentation, at the ram; a bed that rises further dents it there too."""
    up = np.zeros_like(set_up[0].model.mesh.points_mm)
    up[:, 2] = 0.2
    found = moved(set_up, up, 0.2)
    assert found.at_supports_mm == pytest.approx([0, 0, 0.2], abs=1e-9)
    # but for the seat's force, a thousandth
    assert found.total_mm == pytest.approx(0.2, rel=2e-3)
    assert moved(set_up, up, 0.4).at_supports_mm == pytest.approx([0.2, 0.2, 0.2], abs=1e-9)


def test_a_tube_that_turns_and_slides_on_a_roller_has_no_dent(set_up: SET_UP) -> None:
    """By 0.1 rad about a roller's axis, and 3 mm along itself: read straight up, 0.3 mm."""
    path_model, _, _ = set_up
    points, angle = path_model.model.mesh.points_mm, 0.1
    bent = points + path_model.equations.origin[: path_model.equations.bar].reshape(-1, 3)
    axis = np.array([SPAN_MM / 2, 0.0, -OD_MM / 2 - ROLLER_MM])
    turn = np.array(
        [[np.cos(angle), 0, np.sin(angle)], [0, 1, 0], [-np.sin(angle), 0, np.cos(angle)]]
    )
    slid = bent + np.array([3.0, 0.0, 0.0])
    found = moved(set_up, (slid - axis) @ turn.T + axis - bent, 0.0)
    assert found.at_supports_mm[0] == pytest.approx(0.0, abs=2e-3)


def test_an_oval_ring_has_not_moved(set_up: SET_UP) -> None:
    """The second harmonic, as a small dent is, is not in the ring's mean."""
    theta = set_up[0].model.mesh.block[:, 1]
    radial = np.column_stack([np.zeros_like(theta), np.sin(theta), np.cos(theta)])
    round_ = np.column_stack([np.zeros_like(theta), np.cos(theta), -np.sin(theta)])
    flat = 0.3 * (np.cos(2 * theta)[:, None] * radial - np.sin(2 * theta)[:, None] / 2 * round_)
    assert moved(set_up, flat, 0.0).at_supports_mm == pytest.approx([0, 0, 0], abs=1e-9)
