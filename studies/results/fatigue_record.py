"""The content of results.json on fatigue."""

from fea.fatigue.life import Life
from fea.fatigue.notes import notes_of
from fea.fatigue.result import SiteLife
from fea.fatigue.severity import clamp_factor_of
from fea.solid.hot_spot import ON_SURFACE
from studies.assessment.run import StudyRun
from studies.records.fatigue import FatigueRecord, FatigueSiteRecord, StageRecord
from studies.records.parts import ends_of, middle_of, place_record, source_record

AT_EDGE = "nominal, clamp edge"
"""How the stress at a clamp edge is read."""


def fatigue_record(run: StudyRun, life: Life | None) -> FatigueRecord | None:
    """Return a fatigue life as results.json holds it."""
    if life is None:
        return None
    result, inputs = life.result, run.study.fatigue
    return FatigueRecord(
        cycles=result.cycles,
        stages=[StageRecord(case=case, cycles=cycles) for case, cycles in life.cases],
        at=place_record(run.study.bar, result.worst.site, _rule(result.worst)),
        factor=middle_of(result.factor),
        factor_range=ends_of(result.factor),
        life_cycles=middle_of(result.life),
        life_range_cycles=ends_of(result.life),
        decided=result.decision and result.decision.value,
        damage=result.damage,
        clamp_edge=_site(run, result.edge),
        elsewhere=_site(run, result.surface),
        clamp_factor=clamp_factor_of(inputs, run.study.bar.spec.material),
        surface_factor=inputs.surface_factor,
        reliability_factor=result.reliability_factor,
        basis=result.basis,
        curve=source_record(result.curve.source) if result.curve else None,
        notes=list(notes_of(result, run.study.bar.spec.material)),
    )


def _site(run: StudyRun, one: SiteLife | None) -> FatigueSiteRecord | None:
    if one is None:
        return None
    estimate, worst = one.estimate, one.estimate.worst
    factors = one.site.bend_factors
    return FatigueSiteRecord(
        at=place_record(run.study.bar, one.site, _rule(one)),
        amplitude_mpa=one.amplitude_mpa,
        mean_mpa=worst.mean_mpa,
        stress_ratio=worst.ratio,
        bend_factor=float(factors[worst.stage]) if factors else None,
        fatigue_factor=one.stress_factor,
        factor=middle_of(estimate.factor),
        factor_range=ends_of(estimate.factor),
        life_cycles=middle_of(estimate.life),
        life_range_cycles=ends_of(estimate.life),
    )


def _rule(one: SiteLife) -> str:
    return ON_SURFACE if one.site.outward is None else AT_EDGE
