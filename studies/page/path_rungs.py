"""Loads that a traced path has, as rungs of the ladder: they are lettered, and need no estimate.

A path takes the place of what a linear model estimates beyond first yield, so those rungs of its
case turn grey. What a repeated case is not judged for stands below the ladder in words.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from string import ascii_lowercase

from fea.stability.criteria import FATIGUE, STRESS_STRAIN_CURVE
from studies.page.evidence import fill_of
from studies.page.ladder import Axis, Ladder, Rung, ladder_on, limits_axis
from studies.page.limit_order import factor_words, short_place
from studies.page.path_steps import Place, read_off
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.collapse import CollapseRecord
from studies.records.places import capitalised

ON_PATH = "traced path"
PATH_FIELD = "plastic"

BAND_KEYS = {
    "yield load": "yield_load",
    "limit load": "limit_load",
    "strain limit (elongation)": "strain_limit_load",
}
"""Figures of a band by what is read off the path."""


@dataclass(frozen=True)
class Reached:
    """A load read off a path: its factor and place, the number of its case, and that case."""

    factor: float
    read: Place
    number: int
    case: CaseRecord
    collapse: CollapseRecord


def whole_ladder(record: ResultsRecord) -> Ladder:
    """Return the ladder of a study with the loads of its paths, the nearest first."""
    kinds = _kinds(record)
    axis = limits_axis([record], [one.factor for found in kinds for one in found])
    found = ladder_on(axis, record)
    traced = {case.id for case in record.cases if case.collapse}
    rungs = [replace(one, replaced=one.beyond and one.case[1] in traced) for one in found.rungs]
    paths = [_rung(ascii_lowercase[n], found, record, axis) for n, found in enumerate(kinds)]
    ordered = sorted([*rungs, *paths], key=lambda one: one.least)
    return replace(found, rungs=tuple(ordered), not_judged=tuple(_not_judged(record)))


def _kinds(record: ResultsRecord) -> list[Sequence[Reached]]:
    """Return the loads of each kind that paths reach, each kind's and all in rising order."""
    kinds: dict[str, list[Reached]] = {}
    for number, case in enumerate(record.cases, start=1):
        if case.collapse is None:
            continue
        for one in read_off(case.collapse):
            if one.factor is not None:
                reached = Reached(one.factor, one, number, case, case.collapse)
                kinds.setdefault(one.name, []).append(reached)
    ordered = [sorted(found, key=lambda one: one.factor) for found in kinds.values()]
    return sorted(ordered, key=lambda found: found[0].factor)


def _rung(letter: str, found: Sequence[Reached], record: ResultsRecord, axis: Axis) -> Rung:
    first, *others = found
    evidence = _evidence(first.case)
    return Rung(
        tag=letter,
        name=first.read.name,
        gloss=f"{first.read.rule}, {ON_PATH}" if first.read.rule else ON_PATH,
        factor=factor_words(first.factor),
        least=first.factor,
        at=axis.place(first.factor),
        whisker=_whisker(first, axis),
        others=tuple(axis.place(one.factor) for one in others),
        place=short_place(_place(first)) or "whole curve",
        case=(first.number, first.case.id),
        field=PATH_FIELD,
        surface="outer",
        weakest="stress-strain curve",
        evidence=evidence or "as given",
        fill=fill_of(evidence, measured=record.specimen is not None),
        below=first.factor < 1,
        beyond=False,
    )


def _place(one: Reached) -> str:
    """Return where a load is reached, as far as the path names it: at yield and at collapse."""
    places = {"yield-load": one.collapse.yield_place, "limit": one.collapse.place}
    found = places.get(one.read.style)
    return found.text if found else ""


def _evidence(case: CaseRecord) -> str | None:
    """Return what the curve rests on where a limit of the case names it as weak."""
    weak = (one for limit in case.limits for one in limit.weak_inputs)
    return next((one.evidence for one in weak if one.input == STRESS_STRAIN_CURVE), None)


def _whisker(one: Reached, axis: Axis) -> tuple[float, float] | None:
    """Return the band of a load at 95 %, where one was traced and the case has forces."""
    band, key = one.collapse.band, BAND_KEYS.get(one.read.name)
    if band is None or key is None:
        return None
    found = next((figure for figure in band.figures if figure.key == key), None)
    if found is None or not found.value:
        return None
    each = one.factor / found.value
    return axis.place(each * found.low), axis.place(each * found.high)


def _not_judged(record: ResultsRecord) -> Iterator[str]:
    """Yield repeated cases whose fatigue has no factor."""
    for number, case in enumerate(record.cases, start=1):
        if case.fatigue and case.fatigue.factor_range is None:
            yield f"{capitalised(FATIGUE.label)} of case {number}: not judged"
