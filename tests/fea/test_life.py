"""Lives of repeated cases on a straight bar: which stress, which cycle, which stages."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fea.clamp.clamping import preload_clamps
from fea.fatigue.curve import life_cycles
from fea.fatigue.life import Life, Repeated, case_life, study_life
from fea.solid.hot_spot import read_surface
from fea.solid.model import Model, build_model, mesh_for
from fea.solid.recovery import Recovery, SurfaceStress, build_recovery, surface_stress
from fea.solid.statics import factorise_model, solve_cases
from geometry.material import load_material
from geometry.source import Source
from loadcases.bolts import Bolts
from loadcases.case import Case, Cycle, PlacedCase
from loadcases.clamp import Clamp
from loadcases.fatigue_inputs import FatigueInputs, SpectrumEntry
from loadcases.load import PlacedLoad
from support.tubes import straight_bar

METAL = load_material("al-6061-t6")
NOWHERE = Source("practice", "for tests")
DOWN = PlacedLoad("right", 150.0, (0.0, 0.0, -450.0), (0.0, 0.0, 0.0), 20.0)
BOLTS = Bolts(4, 5.0, 5.0)


def case(name: str, cycle: Cycle | None, share: float = 1.0) -> PlacedCase:
    """Return a case of a force down at the right end."""
    force = (0.0, 0.0, share * DOWN.force_n[2])
    return PlacedCase(Case(name, name, (), NOWHERE, cycle=cycle), (replace(DOWN, force_n=force),))


@cache
def solved(clamp_model: str = "elastic") -> tuple[Model, Recovery, SurfaceStress]:
    """Return a bar in its clamp and the stress of the force."""
    clamp = (
        Clamp(40.0, bolts=BOLTS) if clamp_model == "elastic" else Clamp(40.0, "rigid", bolts=BOLTS)
    )
    bar = straight_bar(180.0, 25.4, 1.8, METAL)
    model = build_model(bar, clamp, mesh_for(bar, clamp, [DOWN], "coarse"))
    answer = solve_cases(model, [[DOWN]], factorise_model(model)).answers[0]
    recovery = build_recovery(bar, model.mesh)
    moved = answer.displacement_mm
    return model, recovery, surface_stress(recovery, model.mesh, model.grads, METAL, moved)


def repeated(
    cases: Sequence[PlacedCase], inputs: FatigueInputs | None = None, clamp_model: str = "elastic"
) -> Repeated:
    """Return cases with their stress, as large as their forces."""
    model, _, stress = solved(clamp_model)
    shares = [placed.loads[0].force_n[2] / DOWN.force_n[2] for placed in cases]
    stresses = [SurfaceStress(share * stress.outer, share * stress.inner) for share in shares]
    return Repeated(model, inputs or FatigueInputs(), cases, stresses, None)


def life_of(
    placed: PlacedCase, inputs: FatigueInputs | None = None, clamp_model: str = "elastic"
) -> Life:
    """Return the life of a single case."""
    found = case_life(repeated([placed], inputs, clamp_model), placed)
    if found is None:
        pytest.fail("no life")
    return found


REVERSED = case("swing", Cycle(cycles=1e5))
SMOOTH = FatigueInputs(clamp_edge_factor=1.0)


def test_a_reversed_force_swings_its_own_stress() -> None:
    """The largest axial stress of the reading is the amplitude, its mean zero, its life 5J's."""
    found, (model, _, stress) = life_of(REVERSED, SMOOTH).result, solved()
    read = read_surface(model, stress, [DOWN])
    largest = max(np.abs(face[read.counted][:, 0]).max() for face in (read.outer, read.inner))
    assert found.amplitude_mpa == pytest.approx(largest, rel=1e-9)
    assert found.mean_mpa == 0.0
    assert found.plane_deg == 0.0
    expected = life_cycles(METAL.fatigue[0], found.amplitude_mpa)
    assert found.life_cycles == pytest.approx(expected, rel=1e-9)


def test_the_notch_factor_acts_at_the_elastic_edge_only() -> None:
    """It multiplies the outer surface's stress at the clamp; a rigid clamp takes none."""
    smooth, notched = life_of(REVERSED, SMOOTH), life_of(REVERSED)
    assert notched.kf == 2.0
    assert notched.surface == "outer"
    assert abs(notched.s_mm) <= 20.0 + 1e-6
    assert notched.result.amplitude_mpa > 1.5 * smooth.result.amplitude_mpa
    rigid = FatigueInputs(clamp_edge_factor=3.0)
    assert life_of(REVERSED, rigid, "rigid").kf == 1.0


def test_a_cycle_between_two_cases() -> None:
    """From the force to a third of it: amplitude of a third, mean of two thirds where it pulls."""
    high = case("high", Cycle(other="low", cycles=1e5))
    low = case("low", None, 1 / 3)
    found = case_life(repeated([high, low], SMOOTH), high)
    swing = life_of(REVERSED, SMOOTH).result.amplitude_mpa
    assert found is not None
    assert found.result.amplitude_mpa == pytest.approx(swing / 3, rel=1e-9)
    assert found.result.mean_mpa == pytest.approx(2 * swing / 3, rel=1e-9)


def test_a_steady_case_shifts_the_mean() -> None:
    """Half of the force all the time: its stress is the mean."""
    steady = case("steady", Cycle(preload=True), 0.5)
    found = case_life(repeated([REVERSED, steady], SMOOTH), REVERSED)
    assert found is not None
    assert found.result.mean_mpa == pytest.approx(0.5 * found.result.amplitude_mpa, rel=1e-9)
    assert case_life(repeated([REVERSED, steady], SMOOTH), steady) is None


def test_preloaded_clamps_are_steady() -> None:
    """Their pressure leaves some tension along the tube at the edge: a mean, and a shorter life."""
    model, recovery, stress = solved()
    clamping = preload_clamps(model, (), recovery, "splu")
    given = Repeated(model, FatigueInputs(), [REVERSED], [stress], clamping)
    found = case_life(given, REVERSED)
    assert found is not None
    assert found.result.mean_mpa > 0
    assert found.result.life_cycles < life_of(REVERSED).result.life_cycles


def test_stages_add_up_in_the_same_place() -> None:
    """Two equal cases of 1e5 are one of 2e5: twice the damage, by Miner's sum."""
    twice = [REVERSED, case("again", Cycle(cycles=1e5))]
    both, one = study_life(repeated(twice)), life_of(REVERSED)
    assert both is not None
    assert both.result.damage == pytest.approx(2 * one.result.damage, rel=1e-9)
    assert both.result.cycles == 2e5
    assert [name for name, _ in both.cases] == ["swing", "again"]


def test_a_spectrum_scales_its_cases() -> None:
    """A case without a cycle comes and goes: half its stress as amplitude and as mean."""
    once = case("once", None)
    inputs = FatigueInputs(1.0, spectrum=(SpectrumEntry("once", 1e4, 1.5),))
    found = study_life(repeated([once], inputs))
    swing = life_of(REVERSED, SMOOTH).result.amplitude_mpa
    assert found is not None
    assert found.result.amplitude_mpa == pytest.approx(0.75 * swing, rel=1e-9)
    assert found.result.stress_ratio == pytest.approx(0.0, abs=1e-12)
    assert case_life(repeated([once], inputs), once) is None


def test_one_repeated_case_is_no_spectrum() -> None:
    """Its own life says it all."""
    assert study_life(repeated([REVERSED])) is None
