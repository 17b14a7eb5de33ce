"""What to measure on the real bar before its physical test, and what to inspect after it.

Inspection methods are common practice, unsourced.
"""

from collections.abc import Iterator

from fea.stability.criteria import ELASTIC_BUCKLING, FATIGUE, every_mode
from studies.assessment.run import StudyRun
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.fatigue import FatigueRecord
from studies.records.parts import governing_case
from studies.records.places import capitalised

MOST = 9

AT_EDGE = "from 3 mm inside to 1 mm outside of the edge, on both sides of the bending axis"
"""Where a crack at a clamp edge is looked for (judgement)."""

PRACTICE = (
    "Inspection methods: practice, unsourced. A bar with a crack, dent, wrinkle or permanent set "
    "must never be used again. Damage may be there without being visible."
)


def inspections(run: StudyRun, record: ResultsRecord) -> tuple[str, ...]:
    """Return what to inspect and what to measure, nearest limits first, and the caution last."""
    places = [*_together(record), *_limits(record)]
    found = list(dict.fromkeys([*places, *_measures(run, record)]))
    return (*found[:MOST], PRACTICE)


def _together(record: ResultsRecord) -> Iterator[str]:
    if record.fatigue and record.fatigue.factor is not None:
        yield from _cracks(record.fatigue)


def _cracks(life: FatigueRecord) -> Iterator[str]:
    """Yield where to look for cracks: the worst clamp edge and the worst other place, worst first.

    Cracks of press fits start a little inside the edge; where exactly is judgement.
    """
    sites = [site for site in (life.clamp_edge, life.elsewhere) if site and site.factor is not None]
    for site in sorted(sites, key=lambda site: site.at != life.at):
        place = capitalised(site.at.text)
        if site is life.clamp_edge:
            place = f"Clamp edge at {site.at.text}, {AT_EDGE}"
        yield FATIGUE.inspection.format(place=place)


def _limits(record: ResultsRecord) -> Iterator[str]:
    """Yield the inspection for the nearest limit of each kind, the nearest kind first."""
    nearest: dict[str, tuple[float, str]] = {}
    for case in record.cases:
        for limit in case.limits:
            factor, place = limit.load_factor, limit.place or "Whole bar"
            if factor < nearest.get(limit.name, (float("inf"), ""))[0]:
                nearest[limit.name] = (factor, place)
    methods = {mode.label: mode.inspection for mode in every_mode()}
    within = sorted(nearest.items(), key=lambda item: item[1][0])
    for name, (_, place) in within:
        # a bar buckles elastically only where nothing else ends it long before
        if name == FATIGUE.label:
            yield from _cracks(_nearest_life(record))
        elif name != ELASTIC_BUCKLING.label or name == within[0][0]:
            yield methods[name].format(place=capitalised(place))
    yield from _contact_loss(record)


def _nearest_life(record: ResultsRecord) -> FatigueRecord:
    """Return the life of the case of the least factor, of those that have one."""
    lives = [case.fatigue for case in record.cases if case.fatigue]
    return min(lives, key=lambda life: float("inf") if life.low_factor is None else life.low_factor)


def _contact_loss(record: ResultsRecord) -> Iterator[str]:
    zones = [
        case.clamp.contact_loss for case in record.cases if case.clamp and case.clamp.contact_loss
    ]
    if zones:
        words = zones[0][0].text
        yield f"Under the clamp, {words}: look for fretting marks (loss of contact)."


def _measures(run: StudyRun, record: ResultsRecord) -> Iterator[str]:
    case = governing_case(record.cases)
    yield f"Measure the wall near the governing place before the test: {_place(case)}."
    if record.bar.measured_mass_g is None:
        yield f"Weigh the bar: {record.bar.mass_g:.0f} g computed."
    effects = run.study.bar.spec.effects
    if effects.ovality_percent == 0 and run.study.bar.spec.right.bend_radii_mm:
        yield "Measure the ovality of the bends: 0 % assumed."
    bolts = run.study.clamp.bolts
    yield (
        f"Tighten the clamp's bolts with a torque wrench to {bolts.torque_nm:g} N·m, as computed."
        if bolts
        else "Record the clamp's bolts and their torque: not given here."
    )


def _place(case: CaseRecord) -> str:
    first = case.nearest_limit
    return first.place or "clamp"
