"""Elastic buckling of several cases: multiples of one another share a solution, others do not."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fea.solid.hot_spot import SurfaceReading, read_surface
from fea.solid.linear_solver import Factor
from fea.solid.model import Model, build_model, mesh_for
from fea.solid.recovery import build_recovery, surface_stress
from fea.solid.statics import factorise_model, solve_cases
from fea.stability import buckling, eigen, local_map
from fea.stability.buckling import Buckling, buckle, buckle_cases
from fea.stability.criteria import LocalCriterion
from fea.stability.local_buckling import Walls
from fea.stability.stability import walls_of_model
from geometry.arrays import Floats
from geometry.material import load_material
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.tubes import straight_bar

MULTIPLES = 1.0, -0.5
"""Of the first load; the second of the two loads is another."""


@cache
def solved() -> tuple[Model, Factor, Floats, Floats]:
    """Return a thin arm, and its displacement under a force with thrust and under another."""
    bar = straight_bar(80.0, 25.4, 1.2, load_material("al-7075-t6"))
    loads = [
        PlacedLoad("right", 65.0, force, (0.0, 0.0, 0.0), 30.0)
        for force in ((-900.0, 0.0, -300.0), (-900.0, 0.0, -301.0))
    ]
    clamp = Clamp(30.0)
    model = build_model(bar, clamp, mesh_for(bar, clamp, loads[:1], "coarse"))
    factor = factorise_model(model, "splu")
    one, other = solve_cases(model, [[load] for load in loads], factor).answers
    return model, factor, one.displacement_mm, other.displacement_mm


def columns(cases: list[Floats]) -> tuple[tuple[Buckling, ...], int]:
    """Return the buckling of cases and how many vectors were solved for."""
    model, factor, _, _ = solved()
    widths: list[int] = []

    def apply(loads: Floats) -> Floats:
        widths.append(loads.shape[1])
        return factor.apply(loads)

    return buckle_cases(model, replace(factor, apply=apply), cases), sum(widths)


def test_multiples_share_one_solution() -> None:
    """Both multiples cost what one does, whichever comes first, and are what each is alone."""
    model, factor, first, _ = solved()
    cases = [share * first for share in MULTIPLES]
    found, cost = columns(cases)
    turned, same = columns(cases[::-1])
    assert cost == same == columns([first])[1]
    for case, each, again in zip(cases, found, turned[::-1], strict=True):
        alone = buckle(model, factor, case)
        for name in ("factors", "reversed_factors"):
            np.testing.assert_allclose(getattr(each, name), getattr(alone, name), rtol=1e-6)
            np.testing.assert_array_equal(getattr(each, name), getattr(again, name))
        assert each.modes_mm.shape == alone.modes_mm.shape


def test_cases_nearly_alike_are_solved_each() -> None:
    """A force a third of a percent off has modes of its own."""
    _, _, first, other = solved()
    found, cost = columns([first, other])
    assert cost > 1.5 * columns([first])[1]
    assert abs(found[0].factors[0] / found[1].factors[0] - 1) > 1e-4


def test_a_multiple_tells_no_factor_beyond_the_largest(monkeypatch: pytest.MonkeyPatch) -> None:
    """A quarter of a load has its first factor above a limit that the load itself is below."""
    _, _, first, _ = solved()
    whole = columns([first])[0][0].factors
    monkeypatch.setattr(buckling, "MAX_FACTOR", float(2 * whole[0]))
    load, quarter = columns([first, 0.25 * first])[0]
    assert len(load.factors)
    assert not len(quarter.factors)
    assert not len(quarter.modes_mm)


def test_factors_are_those_of_a_tight_residual(monkeypatch: pytest.MonkeyPatch) -> None:
    """0.05 %, of both signs and all modes told."""
    model, factor, first, _ = solved()
    found = buckle(model, factor, first)
    monkeypatch.setattr(eigen, "MAX_RESIDUAL", 1e-4)
    exact = buckle(model, factor, first)
    np.testing.assert_allclose(found.factors, exact.factors, rtol=5e-4)
    np.testing.assert_allclose(found.reversed_factors, exact.reversed_factors, rtol=5e-4)


def test_local_buckling_is_sought_only_where_it_can_be_first(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The same multiple as of all sections at each trial, with far fewer judged."""
    model, _, first, _ = solved()
    material = model.bar.spec.material
    stress = surface_stress(
        build_recovery(model.bar, model.mesh), model.mesh, model.grads, material, first
    )
    load = PlacedLoad("right", 65.0, (-900.0, 0.0, -300.0), (0.0, 0.0, 0.0), 30.0)
    walls, reading = walls_of_model(model), read_surface(model, stress, [load])
    judged: list[int] = []
    used_at = local_map.utilisation_at

    def counting(
        criterion: LocalCriterion, some: tuple[Walls, ...], reading: SurfaceReading, factor: float
    ) -> Floats:
        judged.append(sum(len(each.axial_strain) for each in some))
        return used_at(criterion, some, reading, factor)

    monkeypatch.setattr(local_map, "utilisation_at", counting)
    few = local_map.local_buckling_factor(walls, reading)
    cost = sum(judged)
    monkeypatch.setattr(local_map, "sections_reaching", lambda some, _: some)
    assert few is not None
    assert few == local_map.local_buckling_factor(walls, reading)
    assert cost < 0.6 * (sum(judged) - cost)
