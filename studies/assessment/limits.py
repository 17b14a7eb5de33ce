"""What could end a load case, each at a multiple of the load, and what the figure rests on."""

from collections.abc import Iterator
from dataclasses import dataclass

from fea.fatigue.life import Life
from fea.stability.stress_strain import curve_source
from fea.stability.zones import Zone
from geometry.source import MARKS, Source
from studies.assessment.run import CaseRun, StudyRun
from studies.records.places import (
    facing_in_words,
    grouped,
    on_ruler,
    place_in_words,
    reach_in_words,
)

LETS_GO = "hold of the clamp"

UNSURE = ("secondary", "derived", "practice", "memory")
"""Marks that a reader must be told of."""

WRINKLING_SOURCE = Source(
    "memory", "plastic wrinkling of a cylinder, derived anew and checked by a second route"
)

ALWAYS, FAR = ("first yield", "elastic buckling", "slip in the clamp", "fatigue", LETS_GO), 10.0
"""Limits that are always told, and multiples of first yield beyond which others are not."""

WORTH_TELLING = 0.999
"""Preload that lowers first yield by less than a thousandth does not move its place."""

PRELOAD = ("the preload of the bolts (scatter, nut factor: seen in secondary sources)",)


@dataclass(frozen=True)
class Limit:
    """Something that ends the use of a bar.

    Attributes:
        name: What it is called.
        event: What happens, as the end of a sentence that begins with the load.
        load_factor: Multiple of the load case at which it happens.
        place: Where, in words; empty for the bar as a whole.
        s_mm: Where along the tube, None for the bar as a whole.
        theta_rad: Where round it, None where it has no such place.
        rests_on: What in it is remembered or estimated, one phrase each.
    """

    name: str
    event: str
    load_factor: float
    place: str
    s_mm: float | None
    theta_rad: float | None
    rests_on: tuple[str, ...]


def limits_of(run: StudyRun, case: CaseRun) -> tuple[Limit, ...]:
    """Return the limits of a load case, the nearest first."""
    found = [*_yield(run, case), *_stability(run, case), *_elastic(run, case)]
    found += [*_slip(case), *_fatigue(run, case)]
    yields = found[0].load_factor
    # of limits read from linear stress those far beyond yield say nothing
    near = [limit for limit in found if limit.name in ALWAYS or limit.load_factor <= FAR * yields]
    return tuple(sorted(near, key=lambda limit: limit.load_factor))


def zone_in_words(run: StudyRun, zone: Zone) -> str:
    """Return a zone on the ruler, and where its worst place looks."""
    facing = facing_in_words(run.study.bar, zone.s_mm, zone.theta_rad)
    return f"{reach_in_words(zone.s_from_mm, zone.s_to_mm)}, {facing}"


def marked(what: str, source: Source) -> tuple[str, ...]:
    """Return a phrase for a value whose source is less than read, or nothing."""
    if source.kind not in UNSURE:
        return ()
    return (f"{what} ({MARKS[source.kind]}: {source.reference})",)


def _yield(run: StudyRun, case: CaseRun) -> Iterator[Limit]:
    """Yield first yield as it is nearest: by the load, with the clamps' preload, or lifted off."""
    material, lifted = run.study.bar.spec.material, case.clamp and case.clamp.contact_only_peak
    peak = max((case.peak, lifted or case.peak), key=lambda one: one.stress_mpa)
    factor = material.proof_stress_mpa / peak.stress_mpa
    rests = marked("the proof stress", material.source)
    if peak.rule == "clamp edge":
        rests += ("how firmly the stem holds (estimated)", "the reading rule at a clamp edge")
    at, event = (peak.s_mm, peak.theta_rad, peak.surface), "the metal first yields"
    clamp = None if _squeezed_by_a_cosine(run) else case.clamp
    if clamp and clamp.yield_factor < WORTH_TELLING * factor:
        factor, at = clamp.yield_factor, (clamp.s_mm, clamp.theta_rad, clamp.surface)
        event += " under load and tightened clamps together" if factor else " from the clamps alone"
        rests += PRELOAD
    place = place_in_words(run.study.bar, *at)
    yield Limit("first yield", event, factor, place, at[0], at[1], rests)


def _squeezed_by_a_cosine(run: StudyRun) -> bool:
    """Return whether a clamp's stress is an upper figure that must not govern."""
    clamps = run.clamping.clamps if run.clamping else ()
    return any(clamp.bolts.pressure == "cosine" for clamp in clamps)


def _stability(run: StudyRun, case: CaseRun) -> Iterator[Limit]:
    stable = case.stability
    rests = (
        *marked("the wrinkling stress", WRINKLING_SOURCE),
        *marked("the curve", curve_source(run.study.bar.spec.material)),
        "a perfect, straight tube",
    )
    if stable.wrinkling_factor is not None and stable.wrinkling_at is not None:
        zone = stable.wrinkling_at
        event = {
            "wrinkling": "the wall wrinkles",
            "hoop compression": "the wall yields or gives way under hoop compression",
            "shear": "the wall gives way under shear",
        }[zone.driver]
        if zone.driver != "wrinkling":
            rests = ("the figure of a very long tube, low for a short arm", *rests[1:])
        yield _at_zone(run, zone, zone.driver, event, stable.wrinkling_factor, rests)
    proof = marked("the proof stress", run.study.bar.spec.material.source)
    event = "the flattening of the section reaches its limit"
    for zone in stable.worst:
        if zone.limit == "ovalisation":
            yield _at_zone(run, zone, "ovalisation", event, 1 / zone.utilisation, proof)


def _at_zone(
    run: StudyRun, zone: Zone, name: str, event: str, factor: float, rests_on: tuple[str, ...]
) -> Limit:
    words = zone_in_words(run, zone)
    return Limit(name, event, factor, words, zone.s_mm, zone.theta_rad, rests_on)


def _elastic(run: StudyRun, case: CaseRun) -> Iterator[Limit]:
    stable = case.stability
    if stable.mode_s_mm is None:
        return
    at_mm = stable.mode_s_mm
    place = f"whole bar, mode shape largest at {on_ruler(at_mm)}"
    factor, rests = float(stable.elastic.factors[0]), ("a perfect bar that never yields",)
    yield Limit("elastic buckling", "the elastic bar buckles", factor, place, at_mm, None, rests)


def _slip(case: CaseRun) -> Iterator[Limit]:
    if case.clamp and case.clamp.lets_go_from is not None:
        event = (
            "the clamp begins to let go of the bar; what it still holds at the whole load could "
            "not be established"
        )
        yield Limit(LETS_GO, event, case.clamp.lets_go_from, "", 0.0, None, PRELOAD)
    if case.clamp is None or case.clamp.slip_factor is None:
        return
    rests = (*PRELOAD, "friction of clamp on tube (from memory, unverified, unless given)")
    event = "the bar slips in its clamp, at the least preload"
    yield Limit("slip in the clamp", event, case.clamp.slip_factor, "", 0.0, None, rests)


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
    event = f"a crack is due within the {grouped(life.result.cycles)} cycles asked for"
    if life.result.endurance:
        listed = grouped(life.result.endurance.cycles)
        event = f"the stress reaches the amplitude listed for {listed} cycles"
    at = life.s_mm, life.theta_rad
    return Limit("fatigue", event, factor, place, *at, _life_rests(run, life))


def _life_rests(run: StudyRun, life: Life) -> tuple[str, ...]:
    inputs, result = run.study.fatigue, life.result
    found: tuple[str, ...] = ()
    if life.kf > 1:
        found += marked(f"the notch factor {life.kf:g} at the clamp", inputs.clamp_edge_source)
        found += ("how firmly the stem holds (estimated)",)
    if result.endurance:
        found += marked("the endurance of the metal", result.endurance.source)
    if result.reliability_factor == 1:
        found += ("a median curve: half of all specimens fail earlier",)
    return found
