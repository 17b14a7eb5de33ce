"""Some of a study's cases, with those that belong to them."""

from collections.abc import Sequence
from dataclasses import replace

from geometry.errors import InputError, Problem
from geometry.limits import unknown_name
from loadcases.case import is_sustained
from loadcases.fatigue_inputs import for_cases
from studies.study_file.errors import StudyError
from studies.study_file.study import Study

SPECTRUM_LEFT_OUT = "The spectrum is left out: not all of its cases are among those chosen."


def require_cases(study: Study) -> None:
    """Refuse a study without load cases, which can be checked and not run.

    Raises:
        StudyError: There is no case.
    """
    if not study.cases:
        sentence = "is missing; a run needs at least one [[cases]], see `barwright cases`"
        raise StudyError(study.path, Problem("cases", sentence))


def with_cases(study: Study, ids: Sequence[str] | None) -> Study:
    """Return the study with the named cases only, in the study's order; None keeps all.

    The other ends of their cycles and the steady loads stay with them, or a life would be
    another. A spectrum goes if one of its cases goes, with a warning.

    Raises:
        InputError: The study has no case of that id; the nearest is named.
    """
    if not ids:
        return study
    known = [placed.case.id for placed in study.cases]
    problems = [unknown_name("--case", "case", name, known) for name in ids if name not in known]
    if problems:
        raise InputError(*problems)
    kept = _with_partners(study, ids)
    fatigue = for_cases(study.fatigue, sorted(kept))
    lost = () if fatigue == study.fatigue else (SPECTRUM_LEFT_OUT,)
    return replace(
        study,
        cases=tuple(p for p in study.cases if p.case.id in kept),
        path_controls={name: one for name, one in study.path_controls.items() if name in ids},
        fatigue=fatigue,
        warnings=study.warnings + lost,
    )


def _with_partners(study: Study, ids: Sequence[str]) -> set[str]:
    """Return the ids of cases with those of their cycles' other ends and of the steady loads.

    The other end of a cycle may have another end of its own.
    """
    cycles = {placed.case.id: placed.case.cycle for placed in study.cases}
    found, left = set(ids), list(ids)
    while left:
        cycle = cycles[left.pop()]
        if cycle and cycle.other and cycle.other not in found:
            found.add(cycle.other)
            left.append(cycle.other)
    if any(cycles[name] for name in found):
        found |= {placed.case.id for placed in study.cases if is_sustained(placed.case)}
    return found
