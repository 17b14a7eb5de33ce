"""Limits of a load case, each at a multiple of the load, with its weak inputs."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain

from fea.fatigue.life import Life
from fea.fatigue.range_widths import SCATTER, Cause
from fea.fatigue.result import FatigueResult
from fea.fatigue.severity import clamp_factor_of
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
from geometry.material import Material
from geometry.source import UNSURE, Source
from loadcases.bolts import friction_band
from loadcases.fatigue_inputs import OWN_FATIGUE_SOURCE, FatigueInputs
from loadcases.levels import Levels
from studies.assessment.run import CaseRun, StudyRun
from studies.records.places import (
    facing_in_words,
    on_ruler,
    place_in_words,
    reach_in_words,
)

VERIFIED = frozenset({UNSURE["derived"]})
"""Evidence of inputs that are shown and yet leave a limit verified."""

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
        load_factor: Multiple of the load case at which it happens; the low end of a range.
        place: Where, in words; empty for the bar as a whole.
        s_mm: Where along the tube, None for the bar as a whole.
        theta_rad: Where round it, None where it has no such place.
        weak_inputs: Inputs of it that a reader must know of.
        factor_range: Low end, middle and high end of the factor, None where no range is stated.
        moment_ratio: Of a wrinkling section: its moment there over its full plastic moment.
    """

    criterion: Criterion
    name: str
    load_factor: float
    place: str
    s_mm: float | None
    theta_rad: float | None
    weak_inputs: tuple[WeakInput, ...]
    factor_range: tuple[float, float, float] | None = None
    moment_ratio: float | None = None

    @property
    def is_verified(self) -> bool:
        """Return whether all inputs of its strength are read, derived or the user's own."""
        return all(one.evidence in VERIFIED for one in self.weak_inputs)

    @property
    def middle_factor(self) -> float:
        """Return the middle of the factor's range, the factor itself where none is stated."""
        return self.factor_range[1] if self.factor_range else self.load_factor


def limits_of(run: StudyRun, case: CaseRun) -> tuple[Limit, ...]:
    """Return the limits of a load case, the nearest first."""
    found = [_yield(run, case), *_local(run, case), *_elastic(case)]
    found += [*_slip(run, case), *_fatigue(run, case)]
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
    clamp = None if run.clamping and run.clamping.has_cosine_pressure else case.clamp
    if clamp and clamp.yield_factor < WORTH_TELLING * factor:
        factor, at = clamp.yield_factor, (clamp.s_mm, clamp.theta_rad, clamp.surface)
        weak += (BOLT_PRELOAD,)
    place = place_in_words(run.study.bar, *at)
    return Limit(YIELD, YIELD.label, factor, place, at[0], at[1], weak)


def _local(run: StudyRun, case: CaseRun) -> Iterator[Limit]:
    """Yield local buckling by its own load, the linear criteria at their largest utilisation."""
    stable = case.stability
    if stable.wrinkling_factor is not None and stable.wrinkling_at is not None:
        limit = _at_zone(run, stable.wrinkling_at, stable.wrinkling_factor)
        yield replace(limit, moment_ratio=stable.moment_ratio)
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


def _slip(run: StudyRun, case: CaseRun) -> Iterator[Limit]:
    if case.clamp and case.clamp.contact_loss_factor is not None:
        yield _whole(CONTACT_LOSS, case.clamp.contact_loss_factor)
    if case.clamp and case.clamp.slip is not None:
        slip, weak = case.clamp.slip, _friction(run, case.clamp.slip)
        whole = _whole(CLAMP_SLIP, slip.low)
        yield replace(whole, factor_range=slip, weak_inputs=(*weak, *whole.weak_inputs))


def _friction(run: StudyRun, slip: Levels) -> tuple[WeakInput, ...]:
    """Return contact and friction, which make the range of slip, the wider one first."""
    stem = run.clamping.stem if run.clamping else None
    if stem is None:
        return ()
    low, high = friction_band(stem.bolts)
    contact = WeakInput("clamp contact", "estimated, two lines to full")
    if low == high:
        return (contact,)
    per_friction = slip.middle / stem.bolts.friction
    moved = low * per_friction, high * per_friction
    return contact, WeakInput("friction of clamp on tube", UNSURE["memory"], (low, high), moved)


def _fatigue(run: StudyRun, case: CaseRun) -> Iterator[Limit]:
    limit = life_limit(run, case.life)
    if limit:
        yield limit


def life_limit(run: StudyRun, life: Life | None) -> Limit | None:
    """Return the limit of a life, None where there is none or its factor is not known."""
    factor = life.result.factor if life else None
    if life is None or factor is None:
        return None
    site = life.result.worst.site
    place = place_in_words(run.study.bar, site.s_mm, site.theta_rad, site.surface)
    return Limit(
        FATIGUE,
        FATIGUE.label,
        factor.low,
        place,
        site.s_mm,
        site.theta_rad,
        weak_inputs_of_life(run, life.result),
        (factor.low, factor.middle, factor.high),
    )


def weak_inputs_of_life(run: StudyRun, result: FatigueResult) -> tuple[WeakInput, ...]:
    """Return what a life rests on, that which moves its factor most first."""
    inputs, worst, metal = run.study.fatigue, result.worst.estimate, run.study.bar.spec.material
    middle = worst.factor.middle if worst.factor else 0.0
    found: list[tuple[float, WeakInput]] = []
    for cause, (down, up) in worst.worst.widths.items():
        moved = middle * 10**-down, middle * 10**up
        behind = _of_cause(inputs, metal, result, cause)
        found += [(down, replace(one, factor_range=moved)) for one in behind]
    ordered = sorted(found, key=lambda pair: -pair[0])
    return tuple(one for _, one in ordered)


def _of_cause(
    inputs: FatigueInputs, metal: Material, result: FatigueResult, cause: Cause
) -> Iterator[WeakInput]:
    """Yield the input behind a cause of a range, nothing where it is verified or has no part."""
    if cause == "clamp factor":
        levels, source = clamp_factor_of(inputs, metal), inputs.clamp_source
        yield from _levels("clamp factor", levels, source)
    elif cause == "surface factor":
        levels, source = inputs.surface_factor, inputs.surface_source
        yield from _levels("surface factor", levels, source)
    elif cause == "scatter of lives" and result.endurance:
        ends = result.endurance.amplitude_from_mpa, result.endurance.amplitude_to_mpa
        for one in weak_input("endurance of the metal", result.endurance.source):
            yield replace(one, range=ends)
    elif cause == "scatter of lives" and result.reliability_factor == 1:
        yield WeakInput("scatter of lives", UNSURE["memory"], (1 / SCATTER, SCATTER))


def _levels(name: str, levels: Levels, source: Source) -> Iterator[WeakInput]:
    # a factor that the study gives is the user's own
    if source != OWN_FATIGUE_SOURCE:
        for one in weak_input(name, source):
            yield replace(one, range=(levels.low, levels.high))
