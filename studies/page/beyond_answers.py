"""What paths past yield add to the answers, and what stands there where none was traced."""

from collections.abc import Iterator, Sequence

from loadcases.case import Case
from studies.collapse.record import allowed_set_mm
from studies.page.path_steps import either, load_words, move_words
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.collapse import CollapseRecord, UnloadingRecord
from studies.records.places import capitalised

COLLAPSE = "Collapse: "
"""How the sentence on the collapse begins in a record."""

NO_LOAD = "Limit load and permanent set: not computed; `barwright collapse` computes both."


def collapse_words(told: CollapseRecord) -> str:
    """Return the sentence on the collapse, as the record has it."""
    return next(one for one in told.text if one.startswith(COLLAPSE))


def collapses(cases: Sequence[CaseRecord]) -> tuple[str, ...]:
    """Return a sentence on the collapse of each case with a path, nearest limit first."""
    nearest = sorted(cases, key=lambda case: case.governing_factor)
    return tuple(
        f"Collapse under '{one.title}': {collapse_words(one.collapse).removeprefix(COLLAPSE)}"
        for one in nearest
        if one.collapse
    )


def beyond_load(record: ResultsRecord) -> Iterator[str]:
    """Yield the yield load and the limit load of each path; else how to compute them."""
    paths = [(case, case.collapse) for case in record.cases if case.collapse]
    if not paths:
        yield NO_LOAD
    for case, told in paths:
        yield f"Past yield, '{case.title}': {_yield_load(told)}; {_limit_load(told)}."


def _yield_load(told: CollapseRecord) -> str:
    if told.yield_load_factor is None:
        buckles = told.bifurcation_from_factor is not None
        where = "not reached before bifurcation" if buckles else "not reached"
        return f"yield load (0.2 % plastic strain) {where}"
    strained = f"yield load (0.2 % plastic strain) {load_words(told, told.yield_load_factor)}"
    last = either(told.limit_load_deflection_mm, told.limit_load_rotation_deg)
    yielded = either(told.yield_load_deflection_mm, told.yield_load_rotation_deg)
    beyond = last is not None and yielded is not None and yielded > last
    return f"{strained}, beyond the limit load" if beyond else strained


def _limit_load(told: CollapseRecord) -> str:
    if told.bifurcation_from_factor is not None:
        after, before = told.bifurcation_from_factor, told.bifurcation_to_factor
        return f"bifurcation between {load_words(told, after)} and {load_words(told, before)}"
    if told.limit_load_factor is not None:
        return f"limit load {load_words(told, told.limit_load_factor)}"
    if told.strain_limit_load_factor is not None:
        load = load_words(told, told.strain_limit_load_factor)
        return f"strain limit (elongation) {load}, no limit load before"
    return f"no limit load up to {load_words(told, told.max_load_factor)}, the end of the path"


def beyond_place(record: ResultsRecord) -> Iterator[str]:
    """Yield the place of the collapse mode on each path."""
    for case in record.cases:
        if case.collapse and case.collapse.place:
            yield f"Past yield, '{case.title}': {case.collapse.place.text}."


def beyond_accuracy(record: ResultsRecord) -> Iterator[str]:
    """Yield whether the linear assessment and each path agree."""
    for case in record.cases:
        if case.collapse and case.collapse.assessment:
            yield f"'{case.title}': {case.collapse.assessment.text}"


def beyond_required(record: CaseRecord, case: Case) -> Iterator[str]:
    """Yield the set after the load of a test that limits it."""
    allowed = allowed_set_mm(case)
    if allowed is None:
        return
    levels = record.collapse.unloadings if record.collapse else []
    own = next((level for level in levels if level.load_factor == 1), None)
    if record.collapse is None or own is None:
        yield "Permanent set: not computed; `barwright collapse` computes it."
    else:
        yield capitalised(f"{_set(record.collapse, own)}; allowed {allowed:g} mm.")


def _set(told: CollapseRecord, level: UnloadingRecord) -> str:
    load = load_words(told, level.load_factor)
    if not level.reached:
        return f"path: {load} not carried"
    stays = either(level.permanent_set_mm, level.permanent_set_deg)
    if stays is None:
        return f"path: permanent set after {load} not known"
    return f"path: permanent set {move_words(told, stays)} after {load}"


def beyond_assumed(record: ResultsRecord) -> Iterator[str]:
    """Yield what a path takes otherwise than the linear answer."""
    titles = [f"'{case.title}'" for case in record.cases if case.collapse]
    if titles:
        yield (f"Path past yield of {' and '.join(titles)}: elastic-plastic, large displacements.")
