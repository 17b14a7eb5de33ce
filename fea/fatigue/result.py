"""What a spectrum comes to on a bar: at its clamp edges, elsewhere, and both together.

Stress at places goes in (`stress_cycles`), ranges of life and of the multiple that uses it up come
out (`estimate`), by the metal's life equation, or without it by a listed endurance. A stress that
the curves do not reach is no error: its record has no figure and says why.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Literal

import numpy as np

from fea.fatigue.curve import GREATEST_LIFE, LEAST_LIFE
from fea.fatigue.estimate import Estimate, by_endurance, by_life_equation, unjudged
from fea.fatigue.range_widths import Judged
from fea.fatigue.strength import (
    Strength,
    deciding_row,
    is_below_rows,
    strength_of,
)
from fea.fatigue.stress_cycles import NOTHING_MPA, amplitude_mpa
from fea.solid.hot_spot import SurfaceName
from geometry.errors import InputError
from geometry.limits import Range, number_problem
from geometry.material import Endurance, FatigueCurve, Material
from loadcases.levels import Levels

Basis = Literal["life equation", "listed endurance", "no data"]

STEADY_TRIED_MPA = 50.0
"""Steady tension at clamp edges tried beside the factor, for the true one is unknown."""

_RELIABILITY = Range(
    0, 1, remedy="give 1 for the median, or a lower share of its stress", above=True
)


class Decision(StrEnum):
    """What the range of the factor says of the cycles required."""

    NO_CRACK = "no crack expected"
    CRACK = "crack expected"
    OPEN = "not decided"


@dataclass(frozen=True)
class Site:
    """A surface place that is judged.

    Attributes:
        s_mm: Where along the tube.
        theta_rad: Where round it.
        surface: outer or inner.
        outward: At a clamp edge +1 or -1, away from the clamp; None elsewhere.
        bend_factors: At a clamp edge the factor B of each stage for a bend nearby; else empty.
    """

    s_mm: float
    theta_rad: float
    surface: SurfaceName
    outward: int | None
    bend_factors: tuple[float, ...]


@dataclass(frozen=True)
class SiteLife:
    """The worst of some places.

    Attributes:
        site: The place of the shortest middle life.
        estimate: Ranges over all of them.
        amplitude_mpa: Amplitude there in the stage that does most damage, without clamp or surface
            factor; at a clamp edge with B.
        stress_factor: Factored amplitude over it, at the cycles required.
    """

    site: Site
    estimate: Estimate
    amplitude_mpa: float
    stress_factor: float


@dataclass(frozen=True)
class FatigueResult:
    """What a spectrum comes to.

    Attributes:
        cycles: Cycles of all stages in one repetition of the spectrum: those required.
        reliability_factor: Allowable over median stress.
        edge: The worst clamp edge, None where no clamp edge is judged.
        surface: The worst place elsewhere, None where none is left.
        worst: Of the two the one of the shorter middle life.
        factor: Multiple of the repeated loads that uses the life up in one repetition: low, middle
            and high, the least over both; None where nothing is known or nothing varies.
        life: Cycles of all stages together until Miner's sum is 1, likewise; 0 stands for less than
            1e3, and lives end at 1e8. None without a life equation.
        damage: Miner's sum of one repetition at the worst place, middle; None without an equation.
        decision: What the range says of the cycles required, None without a factor.
        steady_factor: Middle factor at the clamp edges with `STEADY_TRIED_MPA` of steady tension in
            addition; None where it is not known.
        basis: What life and factor rest on.
        curve: Row of the life equation that decides at the worst place, None on another basis.
        endurance: The listed amplitude, None on another basis.
    """

    cycles: float
    reliability_factor: float
    edge: SiteLife | None
    surface: SiteLife | None
    worst: SiteLife
    factor: Levels | None = None
    life: Levels | None = None
    damage: float | None = None
    decision: Decision | None = None
    steady_factor: float | None = None
    basis: Basis = "no data"
    curve: FatigueCurve | None = None
    endurance: Endurance | None = None


Group = tuple[Judged, Sequence[Site]]
"""Places with what bears on them, and where each is: clamp edges, or all others."""


def fatigue_result(
    groups: Sequence[Group], material: Material, reliability_factor: float = 1.0
) -> FatigueResult:
    """Return what a spectrum comes to at some groups of places, at least one.

    Valid for stress that stays elastic; the order of the stages does not count. Outside are welds,
    corrosion, residual stress, overloads and the radius of a clamp's edge.

    Raises:
        InputError: The reliability factor is not above 0 and at most 1.

    Source: as `fea.fatigue.estimate`.
    """
    problem = number_problem("reliability_factor", reliability_factor, _RELIABILITY)
    if problem:
        raise InputError(problem)
    judge = _judge_of(material, reliability_factor)
    sites = [_site_life(group, judge(group[0])) for group in groups]
    worst = min(sites, key=_shortness)
    edge = next((one for one in sites if one.site.outward is not None), None)
    result = FatigueResult(
        cycles=groups[0][0].cyclic.required_cycles,
        reliability_factor=reliability_factor,
        edge=edge,
        surface=next((one for one in sites if one.site.outward is None), None),
        worst=worst,
        damage=worst.estimate.damage,
    )
    result = _on_basis(_with_ranges(result, sites), material)
    return replace(result, steady_factor=_steady_factor(groups, judge))


def _judge_of(material: Material, reliability: float) -> Callable[[Judged], Estimate]:
    """Return how places are judged: by life equation, by listed endurance, or not at all."""
    endurance, ultimate = material.endurance, material.ultimate_stress_mpa
    if material.fatigue:
        strength = strength_of(material, reliability)
        return lambda judged: by_life_equation(judged, strength)
    if endurance:
        return lambda judged: by_endurance(judged, endurance, ultimate, reliability)
    return unjudged


def _site_life(group: Group, estimate: Estimate) -> SiteLife:
    judged, sites = group
    worst = estimate.worst
    here = judged.cyclic.half_range_mpa[worst.stage, worst.place]
    plain = float(amplitude_mpa(here, judged.cyclic.required_cycles))
    if plain <= NOTHING_MPA:
        still = replace(estimate, factor=None, life=None, damage=None)
        return SiteLife(sites[worst.place], still, 0.0, 1.0)
    shown = replace(estimate, life=estimate.life and _shown(estimate.life))
    return SiteLife(sites[worst.place], shown, plain, worst.amplitude_mpa / plain)


def _shortness(one: SiteLife) -> tuple[float, float, float]:
    """Return what orders places: middle life, middle factor, amplitude; the least is the worst."""
    estimate = one.estimate
    life = estimate.life.middle if estimate.life else np.inf
    factor = estimate.factor.middle if estimate.factor else np.inf
    return life, factor, -one.amplitude_mpa * one.stress_factor


def _with_ranges(result: FatigueResult, sites: Sequence[SiteLife]) -> FatigueResult:
    """Return the result with the least of each factor and life over its places."""
    moving = [one.estimate for one in sites if one.amplitude_mpa > 0]
    factors, lives = [one.factor for one in moving], [one.life for one in moving]
    if not moving or not all(factors):
        return result
    factor, life = _least(factors), _least(lives) if all(lives) else None
    return replace(result, factor=factor, life=life, decision=_decision(factor))


def _least(levels: Sequence[Levels | None]) -> Levels:
    return Levels(*(min(ends) for ends in zip(*(one for one in levels if one), strict=True)))


def _shown(life: Levels) -> Levels:
    """Return lives as far as the curves reach: 0 below them, 1e8 beyond."""
    ends = (0.0 if end < LEAST_LIFE else min(end, GREATEST_LIFE) for end in life)
    return Levels(*ends)


def _decision(factor: Levels) -> Decision:
    if factor.low >= 1:
        return Decision.NO_CRACK
    return Decision.CRACK if factor.high < 1 else Decision.OPEN


def _on_basis(result: FatigueResult, material: Material) -> FatigueResult:
    """Return the result with what it rests on, and without figures that mean nothing."""
    if material.fatigue:
        return _on_curve(result, strength_of(material, result.reliability_factor))
    if material.endurance:
        # a listed amplitude has no curve, so a high end below the load decides nothing
        decision = Decision.OPEN if result.decision is Decision.CRACK else result.decision
        found = replace(result, basis="listed endurance", endurance=material.endurance)
        return replace(found, decision=decision)
    return result


def _on_curve(result: FatigueResult, strength: Strength) -> FatigueResult:
    worst = result.worst.estimate.worst
    row = deciding_row(strength, worst.amplitude_mpa, worst.ratio)
    found = replace(result, basis="life equation", curve=row)
    if is_below_rows(strength.rows, np.asarray(worst.ratio)):
        return replace(found, factor=None, life=None, damage=None, decision=None)
    return found


def _steady_factor(groups: Sequence[Group], judge: Callable[[Judged], Estimate]) -> float | None:
    """Return the middle factor of the clamp edges with steady tension in addition."""
    edges = next((judged for judged, sites in groups if sites[0].outward is not None), None)
    if edges is None:
        return None
    steady = edges.cyclic.steady_mpa + np.array([STEADY_TRIED_MPA, 0.0, 0.0])
    factor = judge(replace(edges, cyclic=replace(edges.cyclic, steady_mpa=steady))).factor
    return factor.middle if factor and np.isfinite(factor.middle) else None
