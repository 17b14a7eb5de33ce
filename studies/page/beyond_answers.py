"""What paths past yield add to the ten answers, and what stands there where none was walked."""

from collections.abc import Iterator, Sequence

from loadcases.case import Case
from studies.collapse.record import allowed_set_mm
from studies.page.path_steps import either, load_words, move_words
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.collapse import CollapseRecord, UnloadingRecord
from studies.records.places import capitalised

COLLAPSE = "Collapse: "
"""How the sentence on the collapse begins in a record."""

NO_LOAD = (
    "At what load it collapses, and what set stays after a load, was not computed: "
    "`barwright collapse` does that."
)


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
    """Yield at what loads the bar yields for good and what it carries; else where to ask."""
    paths = [(case, case.collapse) for case in record.cases if case.collapse]
    if not paths:
        yield NO_LOAD
    for case, told in paths:
        yield f"Past yield, '{case.title}': {_springs(told)}; {_most(told)}."


def _springs(told: CollapseRecord) -> str:
    if told.yield_load_factor is None:
        buckles = told.bifurcation_from_factor is not None
        where = "not reached before it buckles" if buckles else "reached nowhere"
        return f"0.2 % plastic strain is {where}"
    strained = f"0.2 % plastic strain at {load_words(told, told.yield_load_factor)}"
    last = either(told.limit_load_deflection_mm, told.limit_load_rotation_deg)
    yielded = either(told.yield_load_deflection_mm, told.yield_load_rotation_deg)
    beyond = last is not None and yielded is not None and yielded > last
    return f"{strained}, past the largest load" if beyond else strained


def _most(told: CollapseRecord) -> str:
    if told.bifurcation_from_factor is not None:
        after, before = told.bifurcation_from_factor, told.bifurcation_to_factor
        return f"buckling between {load_words(told, after)} and {load_words(told, before)}"
    if told.limit_load_factor is not None:
        return f"{load_words(told, told.limit_load_factor)} carried at most"
    if told.strain_limit_load_factor is not None:
        load = load_words(told, told.strain_limit_load_factor)
        return f"the elongation used up at {load}, no limit before it"
    return f"no limit up to {load_words(told, told.max_load_factor)}, where the path ends"


def beyond_place(record: ResultsRecord) -> Iterator[str]:
    """Yield where the wall gives on each path."""
    for case in record.cases:
        if case.collapse and case.collapse.place:
            yield f"Past yield, '{case.title}': {case.collapse.place.text}."


def beyond_sure(record: ResultsRecord) -> Iterator[str]:
    """Yield whether the linear assessment and each path agree."""
    for case in record.cases:
        if case.collapse and case.collapse.assessment:
            yield f"'{case.title}': {case.collapse.assessment.text}"


def beyond_asked(record: CaseRecord, case: Case) -> Iterator[str]:
    """Yield the set after the load of a test that limits it."""
    allowed = allowed_set_mm(case)
    if allowed is None:
        return
    levels = record.collapse.unloadings if record.collapse else []
    own = next((level for level in levels if level.load_factor == 1), None)
    if record.collapse is None or own is None:
        yield "The set after this load was not computed: `barwright collapse` does that."
    else:
        yield capitalised(f"{_set(record.collapse, own)}; at most {allowed:g} mm is asked for.")


def _set(told: CollapseRecord, level: UnloadingRecord) -> str:
    load = load_words(told, level.load_factor)
    if not level.reached:
        return f"on the path the bar does not carry {load}"
    stays = either(level.permanent_set_mm, level.permanent_set_deg)
    if stays is None:
        return f"on the path the set after {load} is not known"
    return f"on the path a set of {move_words(told, stays)} stays after {load}"


def beyond_assumed(record: ResultsRecord) -> Iterator[str]:
    """Yield what a path takes otherwise than the linear answer."""
    titles = [f"'{case.title}'" for case in record.cases if case.collapse]
    if titles:
        yield (
            f"The path past yield of {' and '.join(titles)} alone is elastic-plastic, with large "
            "displacements."
        )
