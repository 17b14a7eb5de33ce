"""Lives on a straight bar: clamp edges by nominal stress, the rest by the solid."""

from dataclasses import replace

import numpy as np
import pytest

from fea.fatigue.edges import clamp_edges, stations_of
from fea.fatigue.life import case_life, study_life
from fea.fatigue.result import FatigueResult, SiteLife
from fea.solid.recovery import SurfaceStress
from loadcases.bolts import Bolts
from loadcases.case import Cycle
from loadcases.fatigue_inputs import FatigueInputs, SpectrumEntry
from loadcases.levels import Levels
from loadcases.levers import LeverClamp
from support.fatigue_bars import (
    DOWN,
    OD,
    REVERSED,
    WALL,
    case,
    clamped,
    life_of,
    repeated,
    solved,
)

INERTIA = np.pi * (OD**4 - (OD - 2 * WALL) ** 4) / 64
# 450 N at 130 mm from the edge
NOMINAL_MPA = 450 * 130 * OD / 2 / INERTIA
# where the solid is read first beyond the edge
CLEAR_MM = 20 + 1.5 * np.sqrt((OD - WALL) / 2 * WALL)
PLAIN = FatigueInputs(Levels(1, 1, 1), surface_factor=Levels(1, 1, 1))


def edge_of(result: FatigueResult) -> SiteLife:
    """Return the worst clamp edge."""
    assert result.edge is not None
    return result.edge


def surface_of(result: FatigueResult) -> SiteLife:
    """Return the worst place elsewhere."""
    assert result.surface is not None
    return result.surface


def factor_of(one: SiteLife) -> Levels:
    """Return the range of the factor, which there must be."""
    assert one.estimate.factor is not None
    return one.estimate.factor


def test_the_edge_takes_the_beams_stress() -> None:
    """M r / I at the right edge, on top or below, and B = 1 within a few per cent."""
    edge = edge_of(life_of(repeated([REVERSED]), REVERSED).result)
    assert (edge.site.s_mm, edge.site.outward, edge.site.surface) == (20.0, 1, "outer")
    assert abs(np.sin(edge.site.theta_rad)) < 1e-9
    (bend,) = edge.site.bend_factors
    assert 1 <= bend < 1.03
    assert edge.amplitude_mpa == pytest.approx(bend * NOMINAL_MPA, rel=1e-9)
    assert edge.stress_factor == pytest.approx(1.5)


def test_four_clamp_models_agree_at_the_edge() -> None:
    """Elastic, a third, three times, rigid: the edge's factor within 2 %."""
    results = [life_of(repeated([REVERSED], scale=k), REVERSED).result for k in range(3)]
    results.append(life_of(repeated([REVERSED], held="rigid"), REVERSED).result)
    factors = np.array([factor_of(edge_of(result)) for result in results])
    assert np.all(np.ptp(factors, axis=0) < 0.02 * factors.min(axis=0))


def test_elsewhere_the_solid_counts_beyond_the_edges_wave() -> None:
    """The largest stress of both surfaces from 1.5 sqrt(r t) outside the clamp, without factors."""
    found = surface_of(life_of(repeated([REVERSED], PLAIN), REVERSED).result)
    model, _, (stress, *_) = solved()
    s = model.mesh.sheet.nodes[:, 0]
    counted = (np.abs(s) >= CLEAR_MM) & (np.abs(s - 150) > 10 + WALL)
    largest = max(np.abs(face[counted][:, 0]).max() for face in (stress.outer, stress.inner))
    assert CLEAR_MM <= found.site.s_mm < CLEAR_MM + 15
    assert found.amplitude_mpa == pytest.approx(largest, rel=0.03)
    assert found.amplitude_mpa >= largest
    assert found.stress_factor == pytest.approx(1)


def test_the_result_is_the_least_of_edge_and_elsewhere() -> None:
    """Each end of factor and life, and the worst place by the middle life."""
    found = life_of(repeated([REVERSED]), REVERSED).result
    sites = [edge_of(found), surface_of(found)]
    assert found.factor == tuple(np.min([factor_of(one) for one in sites], axis=0))
    lives = [one.estimate.life for one in sites]
    assert found.worst is min(sites, key=lambda one: one.estimate.life or Levels(0, 0, 0))
    assert found.life == tuple(np.minimum(np.min([life for life in lives if life], axis=0), 1e8))


def test_preloaded_bolts_do_not_count_at_the_edge_but_elsewhere() -> None:
    """Their pressure is in the tests behind the clamp factor."""
    loose = life_of(repeated([REVERSED]), REVERSED).result
    tight = life_of(repeated([REVERSED], clamping=clamped()), REVERSED).result
    assert edge_of(tight).estimate.life == edge_of(loose).estimate.life
    assert edge_of(tight).estimate.worst.mean_mpa == 0
    assert factor_of(surface_of(tight)) != factor_of(surface_of(loose))


def test_a_sustained_case_shifts_the_mean_at_the_edge() -> None:
    """Half of the force all the time: its nominal stress is the mean, without the clamp factor."""
    sustained = case("sustained", Cycle(preload=True), 0.5)
    given = repeated([REVERSED, sustained])
    edge = edge_of(life_of(given, REVERSED).result)
    assert edge.estimate.worst.mean_mpa == pytest.approx(0.5 * NOMINAL_MPA, rel=1e-9)
    assert (
        factor_of(edge).middle
        < factor_of(edge_of(life_of(repeated([REVERSED]), REVERSED).result)).middle
    )
    assert case_life(given, sustained) is None


def test_a_cycle_between_two_cases() -> None:
    """From the force to a third of it: amplitude of a third, mean of two thirds where it pulls."""
    high, low = case("high", Cycle(other="low", cycles=1e5)), case("low", None, 1 / 3)
    edge = edge_of(life_of(repeated([high, low], PLAIN), high).result)
    amplitude = edge.amplitude_mpa
    assert amplitude == pytest.approx(NOMINAL_MPA / 3, rel=0.03)
    assert edge.estimate.worst.mean_mpa == pytest.approx(2 * amplitude, rel=1e-9)


def test_stages_add_up_in_the_same_place() -> None:
    """Two equal cases of 1e5 are one of 2e5: twice the damage, by Miner's sum."""
    twice = [REVERSED, case("again", Cycle(cycles=1e5))]
    both, one = study_life(repeated(twice)), life_of(repeated([REVERSED]), REVERSED)
    assert both is not None
    assert one.result.damage
    assert both.result.damage == pytest.approx(2 * one.result.damage, rel=1e-9)
    assert both.result.cycles == 2e5
    assert [name for name, _ in both.cases] == ["reversed", "again"]


def test_a_spectrum_scales_its_cases() -> None:
    """A case without a cycle comes and goes: half its stress as amplitude and as mean."""
    once = case("once", None)
    spectrum = (SpectrumEntry("once", 1e4, 1.5),)
    found = study_life(repeated([once], replace(PLAIN, spectrum=spectrum)))
    assert found is not None
    edge = edge_of(found.result)
    assert edge.amplitude_mpa == pytest.approx(0.75 * NOMINAL_MPA, rel=0.03)
    assert edge.estimate.worst.ratio == pytest.approx(0.0, abs=1e-12)
    assert case_life(repeated([once], replace(PLAIN, spectrum=spectrum)), once) is None


def test_one_repeated_case_is_no_spectrum() -> None:
    """Its own life says it all."""
    assert study_life(repeated([REVERSED])) is None


def lever(at_mm: float) -> LeverClamp:
    """Return a lever's clamp on the bar."""
    return LeverClamp(at_mm, 20.0, Bolts(2, 5.0, 4.0))


@pytest.mark.parametrize("at_mm", [100.0, -100.0])
def test_lever_edges_are_edges_too(at_mm: float) -> None:
    """Both edges of each clamp, those of the stem's and of a lever's on either arm."""
    edges = clamp_edges(solved()[0], [lever(at_mm)])
    found = {(edge.s_mm, edge.outward) for edge in edges}
    assert found == {(-20.0, -1), (20.0, 1), (at_mm - 10, -1), (at_mm + 10, 1)}


def test_an_edge_beyond_the_bars_end_is_none() -> None:
    """A lever flush with the end of the bar has one edge."""
    edges = clamp_edges(solved()[0], [lever(170.0)])
    assert [edge.s_mm for edge in edges] == [-20.0, 20.0, 160.0]


def test_a_levers_edge_decides_where_it_bends_most() -> None:
    """450 N and a couple that frees the stem's edge: 450 x 90 N mm at the lever's outer edge."""
    pair = replace(DOWN, moment_nmm=(0.0, -450.0 * 130, 0.0))
    placed = replace(REVERSED, loads=(pair,))
    given = repeated([placed], levers=[lever(100.0)])
    # without stress of the solid no bend raises the beam's
    still = SurfaceStress(0 * given.stresses[0].outer, 0 * given.stresses[0].inner)
    edge = edge_of(life_of(replace(given, stresses=[still], scaled=()), placed).result)
    assert edge.site.s_mm == 110.0
    assert edge.amplitude_mpa == pytest.approx(NOMINAL_MPA * 90 / 130, rel=1e-9)
    assert edge.stress_factor == pytest.approx(1.5)


@pytest.mark.parametrize(("lever_mm", "load_mm"), [(40.0, 150.0), (100.0, 36.0), (170.0, 150.0)])
def test_no_bend_factor_without_a_free_station(lever_mm: float, load_mm: float) -> None:
    """B is 1 where its station lies in a lever's clamp, in a load band, beyond the bar's end."""
    model, _, _ = solved()
    stations = stations_of(model, [lever(lever_mm)], [replace(DOWN, at_mm=load_mm)])
    empty = {
        edge.s_mm
        for edge, line in zip(stations.edges, stations.nodes, strict=True)
        if not line.size
    }
    expected = {40.0: {20.0, 30.0}, 100.0: {20.0}, 170.0: {160.0}}[lever_mm]
    assert expected <= empty
    assert -20.0 not in empty
