"""Solutions with another clamp from the factor of the own one, against a factor of the other."""

from dataclasses import replace
from functools import cache

import numpy as np

from fea.clamp.contact import solve_contact
from fea.clamp.preload import (
    PreloadPressure,
    preload_by_factor,
    preload_displacements,
    unit_pressure_mpa,
)
from fea.solid import clamp_space
from fea.solid.clamp_space import combined, empty_space
from fea.solid.linear_solver import Factor, factorise
from fea.solid.model import CLAMP, Model, build_model, mesh_for
from fea.solid.recovery import stress_mpa
from fea.solid.statics import Solution, factorise_model, solve_cases, solve_scaled_clamps
from geometry.arrays import Floats
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.systems import metal
from support.tubes import straight_bar

SCALES = 1 / 3, 3.0
CASES = [
    [PlacedLoad("right", 100.0, force, (0.0, 0.0, 0.0), 20.0)]
    for force in ((0.0, 0.0, -1500.0), (300.0, 800.0, 0.0))
]
MOST_SOLVED, ROOM = 14, 1.15
"""Vectors solved for both stiffnesses of both cases as of now (24 by conjugate gradients of each
stiffness alone, ten times less exact), and room for another machine's round-off."""

MOST_CONTACT = 14
"""Likewise for one contact (34)."""


MOST_PRELOAD = 14
"""Likewise for a clamp's preload, which else takes a factor of its own."""

UNIFORM = PreloadPressure(CLAMP, 40.0, 31.8, "uniform")


@cache
def system() -> tuple[Model, Factor, Solution]:
    """Return a tube 31.8 x 2 in a clamp of 40 mm, its factor and its linear solutions."""
    bar, clamp = straight_bar(120.0, 31.8, 2.0, metal(71e3, 0.33)), Clamp(40.0)
    every = [load for case in CASES for load in case]
    model = build_model(bar, clamp, mesh_for(bar, clamp, every, "coarse"))
    factor = factorise_model(model, "splu")
    return model, factor, solve_cases(model, CASES, factor)


def counted() -> tuple[Factor, list[int]]:
    """Return the factor, and the number of vectors of each solution by it."""
    factor, widths = system()[1], []

    def apply(loads: Floats) -> Floats:
        widths.append(loads.shape[1])
        return factor.apply(loads)

    return replace(factor, apply=apply), widths


def test_other_stiffnesses_are_those_of_their_own_factor() -> None:
    """Displacements and energies, of both stiffnesses, with the fewest solutions."""
    model, _, linear = system()
    factor, widths = counted()
    found = solve_scaled_clamps(model, CASES, factor, linear, SCALES)
    assert sum(widths) <= ROOM * MOST_SOLVED
    for scale, solution in zip(SCALES, found, strict=True):
        own = factorise(model.stiffness + scale * model.foundation, "splu")
        direct = solve_cases(model, CASES, own).answers
        for answer, exact in zip(solution.answers, direct, strict=True):
            moved = exact.displacement_mm
            error = np.abs(answer.displacement_mm - moved).max()
            assert error <= 1e-4 * np.abs(moved).max()
            assert abs(answer.work_nmm / exact.work_nmm - 1) <= 1e-6


def test_the_space_is_orthonormal_and_in_balance() -> None:
    """Its columns are what its forces cause, of unit energy and none on another's."""
    model, factor, _ = system()
    space = empty_space(model)
    rng = np.random.default_rng(2)
    for width in (3, 1, 2):
        forces = rng.standard_normal((len(space.held), width))
        space, _ = clamp_space._grown(space, factor, forces)  # noqa: SLF001 the step itself
    columns = combined(space, np.eye(6))
    np.testing.assert_allclose(columns.T @ (factor.matrix @ columns), np.eye(6), atol=1e-9)
    forces = factor.matrix @ columns
    np.testing.assert_allclose(forces[space.held], space.forces_n, atol=1e-6 * np.abs(forces).max())
    np.testing.assert_array_equal(columns[space.held], space.there_mm)


def test_a_contact_takes_few_solutions() -> None:
    """All sets of points in contact share one space, and only the last of them is exact."""
    model = system()[0]
    factor, widths = counted()
    unit = unit_pressure_mpa(model, UNIFORM)[1]
    found = solve_contact(model, factor, CASES[0], 8e3 * unit)
    assert found.rounds > 3
    assert sum(widths) <= ROOM * MOST_CONTACT


def test_a_preload_needs_no_factor_of_its_own() -> None:
    """Without its foundation the tube has the stress that it has on six constraints."""
    model = system()[0]
    factor, widths = counted()
    found = preload_by_factor(model, [UNIFORM], factor)[0]
    on_supports = preload_displacements(model, [UNIFORM], "splu")[0]
    stresses = [
        stress_mpa(model.grads, model.bar.spec.material, moved[model.mesh.cells])
        for moved in (found, on_supports)
    ]
    assert np.abs(stresses[0] - stresses[1]).max() <= 1e-5 * np.abs(stresses[1]).max()
    assert sum(widths) <= ROOM * MOST_PRELOAD
