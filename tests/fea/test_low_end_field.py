"""Fatigue utilisation place by place: its largest is the record's low factor, clamps are blank."""

from dataclasses import replace

import numpy as np
import pytest

from fea.fatigue.edges import is_clear
from fea.fatigue.estimate import by_endurance, by_life_equation, low_factors
from fea.fatigue.life import Life
from fea.fatigue.low_end_field import LowEndField, low_end_field
from fea.fatigue.severity import severities
from fea.fatigue.strength import strength_of
from fea.solid.hot_spot import in_bands
from geometry.material import Material
from loadcases.bolts import Bolts
from loadcases.case import Cycle
from loadcases.fatigue_inputs import FatigueInputs
from loadcases.levers import LeverClamp
from support.fatigue_bars import REVERSED, case, clamped, life_of, repeated, solved
from support.fatigue_stages import STEEL, TITANIUM, group_of, reversed_stage, stress

LEVER = LeverClamp(110.0, 20.0, Bolts(2, 5.0, 4.0))


def field_of(life: Life) -> LowEndField:
    """Return the field, which there must be."""
    found = low_end_field(solved()[0], life)
    assert found is not None
    return found


def largest(field: LowEndField) -> float:
    """Return the largest utilisation of surfaces and edges."""
    edges = [edge.value for edge in field.edges]
    return float(np.nanmax([*field.outer, *field.inner, *edges]))


@pytest.mark.parametrize("bolts", [False, True])
@pytest.mark.parametrize("levers", [(), (LEVER,)])
def test_the_largest_is_one_over_the_low_factor(bolts: bool, levers: tuple[LeverClamp]) -> None:
    """With and without the bolts' steady stress, which needs the search."""
    clamping = clamped() if bolts else None
    life = life_of(repeated([REVERSED], levers=levers, clamping=clamping), REVERSED)
    assert life.result.factor is not None
    field = field_of(life)
    assert largest(field) == pytest.approx(1 / life.result.factor.low, rel=1e-5)
    assert field.largest == largest(field)


def test_each_edge_has_its_own_number_and_the_worst_is_the_records() -> None:
    """The right edge is bent, the left one not: the load is on the right."""
    life = life_of(repeated([REVERSED], levers=(LEVER,)), REVERSED)
    edges = {edge.s_mm: edge.value for edge in field_of(life).edges}
    assert sorted(edges) == [-20.0, 20.0, 100.0, 120.0]
    assert edges[-20.0] == 0
    # moments at the edges are as their distances from the load
    assert edges[100.0] / edges[20.0] == pytest.approx(50 / 130, rel=0.03)
    edge = life.result.edge
    assert edge is not None
    assert edge.estimate.factor is not None
    assert edges[20.0] == pytest.approx(1 / edge.estimate.factor.low, rel=1e-9)


def test_nothing_is_told_in_clamps_and_bands() -> None:
    """NaN exactly where the life does not judge the solid."""
    model = solved()[0]
    field = field_of(life_of(repeated([REVERSED], levers=(LEVER,)), REVERSED))
    judged = is_clear(model, [LEVER]) & ~in_bands(model, REVERSED.loads)
    np.testing.assert_array_equal(np.isnan(field.outer), ~judged)
    np.testing.assert_array_equal(np.isnan(field.inner), ~judged)
    s = model.mesh.sheet.nodes[:, 0]
    assert np.isnan(field.outer[np.abs(s) <= 20]).all()
    assert np.isfinite(field.outer[(s > 40) & (s < 90)]).all()


def test_a_place_that_is_not_bent_is_not_used() -> None:
    """0 on the unloaded arm, and twice the load is twice the use."""
    double = case("double", Cycle(cycles=1e5), share=2.0)
    given = repeated([REVERSED, double])
    one, two = (field_of(life_of(given, placed)) for placed in (REVERSED, double))
    s = solved()[0].mesh.sheet.nodes[:, 0]
    assert np.nanmax(one.outer[s < -60]) < 1e-3 * np.nanmax(one.outer)
    np.testing.assert_allclose(two.outer, 2 * one.outer, rtol=1e-6, atol=1e-6)


def test_no_field_without_a_factor() -> None:
    """Where nothing is known of the metal nothing is coloured."""
    life = life_of(repeated([REVERSED]), REVERSED)
    assert (
        low_end_field(solved()[0], replace(life, result=replace(life.result, factor=None))) is None
    )


@pytest.mark.parametrize("material", [STEEL, TITANIUM])
@pytest.mark.parametrize("at_clamp", [False, True])
def test_the_least_low_factor_is_the_estimates(material: Material, at_clamp: bool) -> None:
    """By life equation and by listed endurance, at an edge and elsewhere, under a steady stress."""
    rows, levels = [(100.0, 0.0, 0.0), (60.0, 20.0, 40.0)], severities(FatigueInputs(), material)
    steady = stress((30.0, 0.0, 0.0), (90.0, 0.0, 0.0))
    stage = reversed_stage(rows, 1e5)
    judged, _ = group_of(stage, levels=levels, steady=steady, at_clamp=at_clamp, clamp_change=0.01)
    if material is TITANIUM:
        assert material.endurance
        told = by_endurance(judged, material.endurance, material.ultimate_stress_mpa, 1.0)
    else:
        told = by_life_equation(judged, strength_of(material))
    low = low_factors(judged, material, 1.0)
    assert told.factor is not None
    assert low.shape == (2,)
    assert low.min() == pytest.approx(told.factor.low, rel=1e-5)
