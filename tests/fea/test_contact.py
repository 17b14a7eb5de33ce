"""A clamp that can only press, on a short bar whose end is pushed down hard."""

from functools import cache

import numpy as np
import pytest

from fea.clamp.contact import Contact, contact_loss_share, foundation_pressure_mpa, solve_contact
from fea.clamp.preload import PreloadPressure, unit_pressure_mpa
from fea.clamp.preloaded_yield import yield_multiple
from fea.solid.linear_solver import Factor
from fea.solid.model import CLAMP, Model, build_model, mesh_for
from fea.solid.recovery import von_mises_mpa
from fea.solid.statics import factorise_model, solve_cases
from geometry.arrays import Flags, Floats
from geometry.errors import SolveError
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.systems import metal
from support.tubes import straight_bar

LOAD = PlacedLoad("right", 150.0, (0.0, 0.0, -1500.0), (0.0, 0.0, 0.0), 20.0)


@cache
def elastic_model() -> tuple[Model, Factor]:
    """Return a tube 31.8 x 2 in a clamp of 40 mm, on a coarse mesh."""
    bar, clamp = straight_bar(180.0, 31.8, 2.0, metal(71e3, 0.33)), Clamp(40.0)
    model = build_model(bar, clamp, mesh_for(bar, clamp, [LOAD], "coarse"))
    return model, factorise_model(model)


def unit() -> Floats:
    """Return the clamp's pressure at 1 N of preload."""
    return unit_pressure_mpa(elastic_model()[0], PreloadPressure(CLAMP, 40.0, 31.8, "uniform"))[1]


@cache
def answer(preload_n: float, seed: int | None = None) -> Contact:
    """Return the contact answer, begun from everywhere or from a random half of the face."""
    start: Flags | None = None
    if seed is not None:
        start = np.random.default_rng(seed).random(unit().shape) > 0.5
    return solve_contact(*elastic_model(), [LOAD], preload_n * unit(), start)


def test_a_firm_clamp_changes_nothing() -> None:
    """Where the preload exceeds every pull the answer is the foundation's, in one round."""
    model, factor = elastic_model()
    linear = solve_cases(model, [[LOAD]], factor).answers[0].displacement_mm
    firm = answer(500e3)
    assert (firm.contact_loss_share, firm.rounds) == (0.0, 1)
    np.testing.assert_allclose(firm.displacement_mm, linear, atol=1e-8 * np.abs(linear).max())


@pytest.mark.parametrize("preload_n", [4e3, 8e3, 15e3])
def test_nothing_pulls_and_nothing_overlaps(preload_n: float) -> None:
    """Complementarity at every Gauss point: pressure or gap is zero, neither is negative."""
    found, model = answer(preload_n), elastic_model()[0]
    whole = preload_n * unit() + foundation_pressure_mpa(model, found.displacement_mm)
    gap_mm = np.where(found.closed, 0.0, -whole / model.clamp.normal_n_per_mm3)
    assert found.contact_loss_share > 0
    assert found.pressure_mpa.min() >= 0
    assert gap_mm.min() >= 0
    assert np.all((found.pressure_mpa == 0) | (gap_mm == 0))
    np.testing.assert_allclose(found.pressure_mpa[found.closed], whole[found.closed])


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("preload_n", [4e3, 8e3])
def test_every_start_ends_in_the_same_contact(preload_n: float, seed: int) -> None:
    """From everywhere and from two random halves of the face."""
    first, second = answer(preload_n), answer(preload_n, seed)
    assert np.array_equal(first.closed, second.closed)
    scale = np.abs(first.displacement_mm).max()
    np.testing.assert_allclose(first.displacement_mm, second.displacement_mm, atol=1e-6 * scale)


def test_the_bar_is_in_balance() -> None:
    """The clamp's traction adds up to the load: springs and, out of contact, the lost preload."""
    model, found, preload_n = elastic_model()[0], answer(8e3), 8e3
    face, clamp = model.clamped, model.clamp
    shift = np.einsum("qk,nki->nqi", face.values, found.displacement_mm[face.faces])
    across = np.einsum("nqi,nqi->nq", shift, face.normals)[..., None] * face.normals
    springs = clamp.normal_n_per_mm3 * across + clamp.tangential_n_per_mm3 * (shift - across)
    lost = preload_n * unit()[..., None] * face.normals
    pull = np.where(found.closed[..., None], -springs, lost)
    total = np.einsum("nq,nqi->i", face.areas_mm2, pull)
    np.testing.assert_allclose(total, [0.0, 0.0, 1500.0], atol=1e-3 * 1500)


def test_less_preload_lifts_more_and_bends_more() -> None:
    """Share off and deflection grow as the bolts are slackened."""
    found = [answer(n) for n in (15e3, 8e3, 4e3)]
    assert np.all(np.diff([one.contact_loss_share for one in found]) > 0)
    assert np.all(np.diff([np.abs(one.displacement_mm).max() for one in found]) > 0)


def test_loss_of_contact_raises() -> None:
    """Pulled out of its clamp sideways with hardly a preload, the bar is not supported."""
    model, factor = elastic_model()
    nothing = np.zeros(unit().shape, dtype=bool)
    with pytest.raises(SolveError, match="loss of contact in the clamp"):
        solve_contact(model, factor, [LOAD], unit(), nothing)


def test_lifted_share_is_by_area() -> None:
    """Half of the points of equal area is half of the face."""
    model = elastic_model()[0]
    closed = np.ones(model.clamped.areas_mm2.shape, dtype=bool)
    closed[: len(closed) // 2] = False
    share = model.clamped.areas_mm2[: len(closed) // 2].sum() / model.clamped.areas_mm2.sum()
    assert contact_loss_share(model, closed) == pytest.approx(share)


def test_the_multiple_that_yields_with_a_steady_stress() -> None:
    """Von Mises of steady + multiple x load is the proof stress, whatever the two are."""
    rng = np.random.default_rng(4)
    steady, load = 60 * rng.standard_normal((200, 6)), 100 * rng.standard_normal((200, 6))
    multiple = yield_multiple(steady, load, 455.0)
    np.testing.assert_allclose(von_mises_mpa(steady + multiple[:, None] * load), 455.0, rtol=1e-9)
    assert yield_multiple(10 * steady, load, 100.0).max() == 0.0
    nothing = yield_multiple(0 * steady, load, 455.0)
    np.testing.assert_allclose(nothing, 455.0 / von_mises_mpa(load), rtol=1e-9)
