"""What to measure on the real bar before its physical test, and what to look at after it.

How each kind of end is looked for is common practice, no source.
"""

from collections.abc import Iterator

from fea.stability.criteria import ELASTIC_BUCKLING, FATIGUE, every_mode
from studies.assessment.run import StudyRun
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.parts import governing_case
from studies.records.places import capitalised

MOST = 9

PRACTICE = (
    "How to look is common practice, no source. Whatever cracks, dents, wrinkles or takes a set is "
    "out of use for good; what is not seen may still be there."
)


def inspections(run: StudyRun, record: ResultsRecord) -> tuple[str, ...]:
    """Return what to look at and what to measure, the most telling first, and the caution last."""
    looks = [*_together(record), *_limits(record)]
    found = list(dict.fromkeys([*looks, *_measures(run, record)]))
    return (*found[:MOST], PRACTICE)


def _together(record: ResultsRecord) -> Iterator[str]:
    if record.fatigue and record.fatigue.factor is not None:
        yield FATIGUE.inspection.format(place=capitalised(record.fatigue.at.text))


def _limits(record: ResultsRecord) -> Iterator[str]:
    """Yield a look for the nearest limit of each kind, the nearest kind first."""
    nearest: dict[str, tuple[float, str]] = {}
    for case in record.cases:
        for limit in case.limits:
            factor, place = limit.load_factor, limit.place or "The bar as a whole"
            if factor < nearest.get(limit.name, (float("inf"), ""))[0]:
                nearest[limit.name] = (factor, place)
    looks = {mode.label: mode.inspection for mode in every_mode()}
    within = sorted(nearest.items(), key=lambda item: item[1][0])
    for name, (_, place) in within:
        # a bar buckles elastically only where nothing else ends it long before
        if name != ELASTIC_BUCKLING.label or name == within[0][0]:
            yield looks[name].format(place=capitalised(place))
    yield from _lifted(record)


def _lifted(record: ResultsRecord) -> Iterator[str]:
    zones = [
        case.clamp.contact_loss for case in record.cases if case.clamp and case.clamp.contact_loss
    ]
    if zones:
        words = zones[0][0].text
        yield f"Under the clamp, {words}: look for fretting marks; the clamp lets go here."


def _measures(run: StudyRun, record: ResultsRecord) -> Iterator[str]:
    case = governing_case(record.cases)
    yield f"Before the test measure the wall near its governing place: {_place(case)}."
    if record.bar.measured_mass_g is None:
        yield f"Weigh the bar: {record.bar.mass_g:.0f} g is what the sections come to."
    effects = run.study.bar.spec.effects
    if effects.ovality_percent == 0 and run.study.bar.spec.right.bend_radii_mm:
        yield "Measure how oval the bends are: 0 % was taken."
    bolts = run.study.clamp.bolts
    yield (
        f"Tighten the stem's bolts with a torque wrench to the {bolts.torque_nm:g} N m computed."
        if bolts
        else "Note the stem's bolts and their torque, which were not given here."
    )


def _place(case: CaseRecord) -> str:
    first = case.limits[0]
    return first.place or "in the clamp"
