"""Results of paths past yield among the answers, and what stands there without a path."""

from collections.abc import Iterator, Sequence

from loadcases.case import Case
from studies.collapse.requirements import allowed_set_mm
from studies.page.path_steps import deflection_words, either, load_words
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.collapse import CollapseRecord, UnloadingRecord
from studies.records.places import capitalised

COLLAPSE = "Collapse: "
"""How the sentence on the collapse begins in a record."""

NO_LOAD = "Limit load and permanent set: not computed; `barwright collapse` computes both"
OF_OTHERS = ", of cases without supports"


def collapse_words(collapse: CollapseRecord) -> str:
    """Return the sentence on the collapse, as the record has it."""
    return next(one for one in collapse.text if one.startswith(COLLAPSE))


def collapses(cases: Sequence[CaseRecord]) -> tuple[str, ...]:
    """Return a sentence on the collapse of each case with a path, nearest limit first."""
    nearest = sorted(cases, key=lambda case: case.governing_factor)
    return tuple(
        f"Collapse under '{one.title}': {collapse_words(one.collapse).removeprefix(COLLAPSE)}"
        for one in nearest
        if one.collapse
    )


def path_loads(record: ResultsRecord) -> Iterator[str]:
    """Yield the yield load and the limit load of each path; else how to compute them."""
    paths = [(case, case.collapse) for case in record.cases if case.collapse]
    if not paths and not all(case.supports for case in record.cases):
        held = any(case.supports for case in record.cases)
        yield f"{NO_LOAD}{OF_OTHERS}." if held else f"{NO_LOAD}."
    for case, collapse in paths:
        yield f"Past yield, '{case.title}': {_yield_load(collapse)}; {_limit_load(collapse)}."


def _yield_load(collapse: CollapseRecord) -> str:
    if collapse.yield_load_factor is None:
        bifurcates = collapse.bifurcation_from_factor is not None
        where = "not reached before bifurcation" if bifurcates else "not reached"
        return f"yield load (0.2 % plastic strain) {where}"
    words = f"yield load (0.2 % plastic strain) {load_words(collapse, collapse.yield_load_factor)}"
    last = either(collapse.limit_load_deflection_mm, collapse.limit_load_rotation_deg)
    yielded = either(collapse.yield_load_deflection_mm, collapse.yield_load_rotation_deg)
    beyond = last is not None and yielded is not None and yielded > last
    return f"{words}, beyond the limit load" if beyond else words


def _limit_load(collapse: CollapseRecord) -> str:
    if collapse.bifurcation_from_factor is not None:
        after, before = collapse.bifurcation_from_factor, collapse.bifurcation_to_factor
        return (
            f"bifurcation between {load_words(collapse, after)} and {load_words(collapse, before)}"
        )
    if collapse.limit_load_factor is not None:
        return f"limit load {load_words(collapse, collapse.limit_load_factor)}"
    if collapse.strain_limit_load_factor is not None:
        load = load_words(collapse, collapse.strain_limit_load_factor)
        return f"strain limit (elongation) {load}, no limit load before"
    return (
        f"no limit load up to {load_words(collapse, collapse.max_load_factor)}, the end of the path"
    )


def path_places(record: ResultsRecord) -> Iterator[str]:
    """Yield the place of the collapse mode on each path."""
    for case in record.cases:
        if case.collapse and case.collapse.place:
            yield f"Past yield, '{case.title}': {case.collapse.place.text}."


def path_accuracy(record: ResultsRecord) -> Iterator[str]:
    """Yield whether the linear assessment and each path agree."""
    for case in record.cases:
        if case.collapse and case.collapse.assessment:
            yield f"'{case.title}': {case.collapse.assessment.text}"


def path_requirement(record: CaseRecord, case: Case) -> Iterator[str]:
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


def _set(collapse: CollapseRecord, level: UnloadingRecord) -> str:
    load = load_words(collapse, level.load_factor)
    if not level.reached:
        return f"path: {load} not reached"
    permanent_set = either(level.permanent_set_mm, level.permanent_set_deg)
    if permanent_set is None:
        return f"path: permanent set after {load} not known"
    return f"path: permanent set {deflection_words(collapse, permanent_set)} after {load}"


def path_assumptions(record: ResultsRecord) -> Iterator[str]:
    """Yield the assumptions of a path that differ from those of the linear run."""
    titles = [f"'{case.title}'" for case in record.cases if case.collapse]
    if titles:
        yield (f"Path past yield of {' and '.join(titles)}: elastic-plastic, large displacements.")
