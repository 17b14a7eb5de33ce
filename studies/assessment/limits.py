"""Limits of a load case, each at a multiple of the load, with its weak inputs."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from fea.fatigue.life import Life
from fea.solid.hot_spot import AT_CLAMP_EDGE
from fea.stability.criteria import (
    BOLT_PRELOAD,
    CLAMP_SLIP,
    CONTACT_LOSS,
    ELASTIC_BUCKLING,
    FATIGUE,
    PROOF_STRESS,
    STRESS_STRAIN_CURVE,
    YIELD,
    Criterion,
    Mode,
    WeakInput,
)
from fea.stability.stress_strain import curve_source
from fea.stability.zones import Zone
from geometry.source import UNSURE, Source
from studies.assessment.run import CaseRun, StudyRun
from studies.records.places import (
    facing_in_words,
    on_ruler,
    place_in_words,
    reach_in_words,
)

FAR = 10.0
"""Multiple of first yield beyond which limits are left out that are not always reported."""

WORTH_TELLING = 0.999
"""Preload that lowers first yield by less than a thousandth does not change its place."""

CLAMP_STIFFNESS = WeakInput("clamp stiffness", "estimated")


@dataclass(frozen=True)
class Limit:
    """A limit of the use of a bar.

    Attributes:
        criterion: What is reached.
        name: Its label, or that of the part of it that is reached.
        load_factor: Multiple of the load case at which it happens.
        place: Where, in words; empty for the bar as a whole.
        s_mm: Where along the tube, None for the bar as a whole.
        theta_rad: Where round it, None where it has no such place.
        weak_inputs: Inputs of it that are not verified.
    """

    criterion: Criterion
    name: str
    load_factor: float
    place: str
    s_mm: float | None
    theta_rad: float | None
    weak_inputs: tuple[WeakInput, ...]


def limits_of(run: StudyRun, case: CaseRun) -> tuple[Limit, ...]:
    """Return the limits of a load case, the nearest first."""
    found = [_yield(run, case), *_local(run, case), *_elastic(case)]
    found += [*_slip(case), *_fatigue(run, case)]
    yields = found[0].load_factor
    # limits read from linear stress are meaningless far beyond yield
    near = [one for one in found if one.criterion.always or one.load_factor <= FAR * yields]
    return tuple(sorted(near, key=lambda limit: limit.load_factor))


def zone_in_words(run: StudyRun, zone: Zone) -> str:
    """Return a zone on the ruler, and where its worst place faces."""
    facing = facing_in_words(run.study.bar, zone.s_mm, zone.theta_rad)
    return f"{reach_in_words(zone.s_from_mm, zone.s_to_mm)}, {facing}"


def weak_input(what: str, source: Source) -> tuple[WeakInput, ...]:
    """Return an input whose source is less than read, or nothing."""
    return (WeakInput(what, UNSURE[source.kind]),) if source.kind in UNSURE else ()


def _weak(run: StudyRun, mode: Mode) -> tuple[WeakInput, ...]:
    """Return what is not verified of a criterion's strength: by its own formula, by the metal."""
    material = run.study.bar.spec.material
    sources = {PROOF_STRESS: material.source, STRESS_STRAIN_CURVE: curve_source(material)}
    found = (weak_input(name, sources[name]) for name in mode.strengths)
    return (*mode.weak_inputs, *chain.from_iterable(found))


def _yield(run: StudyRun, case: CaseRun) -> Limit:
    """Return the nearest first yield: by the load, with preload, or with loss of contact."""
    material = run.study.bar.spec.material
    contact_peak = case.clamp and case.clamp.contact_only_peak
    peak = max((case.peak, contact_peak or case.peak), key=lambda one: one.stress_mpa)
    factor = material.proof_stress_mpa / peak.stress_mpa
    weak = _weak(run, YIELD)
    if peak.rule == AT_CLAMP_EDGE:
        weak += (CLAMP_STIFFNESS, WeakInput("hot-spot rule at the clamp edge", "estimated"))
    at = peak.s_mm, peak.theta_rad, peak.surface
    clamp = None if _has_cosine_preload(run) else case.clamp
    if clamp and clamp.yield_factor < WORTH_TELLING * factor:
        factor, at = clamp.yield_factor, (clamp.s_mm, clamp.theta_rad, clamp.surface)
        weak += (BOLT_PRELOAD,)
    place = place_in_words(run.study.bar, *at)
    return Limit(YIELD, YIELD.label, factor, place, at[0], at[1], weak)


def _has_cosine_preload(run: StudyRun) -> bool:
    """Return whether a clamp's stress is an upper bound that must not govern."""
    clamps = run.clamping.clamps if run.clamping else ()
    return any(clamp.bolts.pressure == "cosine" for clamp in clamps)


def _local(run: StudyRun, case: CaseRun) -> Iterator[Limit]:
    """Yield local buckling by its own load, the linear criteria at their largest utilisation."""
    stable = case.stability
    if stable.wrinkling_factor is not None and stable.wrinkling_at is not None:
        yield _at_zone(run, stable.wrinkling_at, stable.wrinkling_factor)
    for zone in stable.worst:
        if zone.criterion.linear:
            yield _at_zone(run, zone, 1 / zone.utilisation)


def _at_zone(run: StudyRun, zone: Zone, factor: float) -> Limit:
    place, weak = zone_in_words(run, zone), _weak(run, zone.mode)
    at = zone.s_mm, zone.theta_rad
    return Limit(zone.criterion, zone.mode.label, factor, place, *at, weak)


def _elastic(case: CaseRun) -> Iterator[Limit]:
    stable = case.stability
    if stable.mode_s_mm is None:
        return
    at_mm = stable.mode_s_mm
    place = f"whole bar, mode shape largest at {on_ruler(at_mm)}"
    yield _whole(ELASTIC_BUCKLING, float(stable.elastic.factors[0]), place, at_mm)


def _whole(criterion: Criterion, factor: float, place: str = "", s_mm: float = 0.0) -> Limit:
    weak = criterion.weak_inputs
    return Limit(criterion, criterion.label, factor, place, s_mm, None, weak)


def _slip(case: CaseRun) -> Iterator[Limit]:
    if case.clamp and case.clamp.contact_loss_factor is not None:
        yield _whole(CONTACT_LOSS, case.clamp.contact_loss_factor)
    if case.clamp and case.clamp.slip_factor is not None:
        yield _whole(CLAMP_SLIP, case.clamp.slip_factor)


def _fatigue(run: StudyRun, case: CaseRun) -> Iterator[Limit]:
    limit = life_limit(run, case.life)
    if limit:
        yield limit


def life_limit(run: StudyRun, life: Life | None) -> Limit | None:
    """Return the limit of a life, None where there is none or its stress factor is not known."""
    factor = life.result.stress_factor if life else None
    if life is None or factor is None:
        return None
    place = place_in_words(run.study.bar, life.s_mm, life.theta_rad, life.surface)
    at = life.s_mm, life.theta_rad
    return Limit(FATIGUE, FATIGUE.label, factor, place, *at, _weak_in_life(run, life))


def _weak_in_life(run: StudyRun, life: Life) -> tuple[WeakInput, ...]:
    inputs, result = run.study.fatigue, life.result
    found: tuple[WeakInput, ...] = ()
    if life.kf > 1:
        found += weak_input(f"notch factor {life.kf:g} at the clamp", inputs.clamp_edge_source)
        found += (CLAMP_STIFFNESS,)
    if result.endurance:
        found += weak_input("endurance of the metal", result.endurance.source)
    if result.reliability_factor == 1:
        found += (WeakInput("fatigue curve", "median: half of all specimens fail earlier"),)
    return found
