"""A short straight bar in its clamp, solved once, and the lives of cases on it."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Literal

import pytest

from fea.clamp.clamping import Clamping, preload_clamps
from fea.fatigue.life import Life, Repeated, case_life
from fea.solid.model import Model, build_model, mesh_for
from fea.solid.recovery import Recovery, SurfaceStress, build_recovery, surface_stress
from fea.solid.statics import factorise_model, solve_cases, solve_scaled_clamps
from geometry.material import load_material
from geometry.source import Source
from loadcases.bolts import Bolts
from loadcases.case import Case, Cycle, PlacedCase
from loadcases.clamp import Clamp
from loadcases.fatigue_inputs import FatigueInputs
from loadcases.levers import LeverClamp
from loadcases.load import PlacedLoad
from support.tubes import straight_bar

METAL = load_material("al-6061-t6")
NOWHERE = Source("practice", "for tests")
DOWN = PlacedLoad("right", 150.0, (0.0, 0.0, -450.0), (0.0, 0.0, 0.0), 20.0)
OD, WALL = 25.4, 1.8
BOLTS = Bolts(4, 5.0, 5.0)

Held = Literal["elastic", "rigid"]


def case(name: str, cycle: Cycle | None, share: float = 1.0) -> PlacedCase:
    """Return a case of a force down at the right end."""
    force = (0.0, 0.0, share * DOWN.force_n[2])
    return PlacedCase(Case(name, name, (), NOWHERE, cycle=cycle), (replace(DOWN, force_n=force),))


REVERSED = case("reversed", Cycle(cycles=1e5))


@cache
def solved(held: Held = "elastic") -> tuple[Model, Recovery, tuple[SurfaceStress, ...]]:
    """Return a bar in its clamp and the force's stress, also for a softer and a stiffer clamp."""
    clamp = Clamp(40.0, held, bolts=BOLTS)
    bar = straight_bar(180.0, OD, WALL, METAL)
    model = build_model(bar, clamp, mesh_for(bar, clamp, [DOWN], "coarse"))
    factor, recovery = factorise_model(model), build_recovery(bar, model.mesh)
    linear = solve_cases(model, [[DOWN]], factor)
    elastic = held == "elastic"
    scaled = (model, [[DOWN]], factor, linear, (1 / 3, 3.0))
    others = solve_scaled_clamps(*scaled) if elastic else []
    answers = [solution.answers[0] for solution in (linear, *others)]
    stresses = tuple(
        surface_stress(recovery, model.mesh, model.grads, METAL, answer.displacement_mm)
        for answer in answers
    )
    return model, recovery, stresses


@cache
def clamped() -> Clamping:
    """Return the bar's clamp tightened."""
    model, recovery, _ = solved()
    return preload_clamps(model, (), recovery, factorise_model(model))


def repeated(
    cases: Sequence[PlacedCase],
    inputs: FatigueInputs | None = None,
    held: Held = "elastic",
    scale: int = 0,
    levers: Sequence[LeverClamp] = (),
    clamping: Clamping | None = None,
) -> Repeated:
    """Return cases with their stress, as large as their forces, at a stiffness of the clamp."""
    model, _, stresses = solved(held)
    shares = [placed.loads[0].force_n[2] / DOWN.force_n[2] for placed in cases]
    all_stresses = [
        [SurfaceStress(share * one.outer, share * one.inner) for share in shares]
        for one in stresses
    ]
    others = [one for index, one in enumerate(all_stresses) if index != scale]
    inputs = inputs or FatigueInputs()
    return Repeated(model, inputs, cases, all_stresses[scale], clamping, levers, others)


def life_of(given: Repeated, placed: PlacedCase) -> Life:
    """Return the life of a case, which it must have."""
    found = case_life(given, placed)
    if found is None:
        pytest.fail("no life")
    return found
