"""Summary of a load case and of a study: governing limit, place, weakest inputs."""

from collections.abc import Sequence

from studies.assessment.limits import Limit
from studies.records.places import capitalised

MAX_FOLLOWING = 3
"""Limits named after the first."""

CLOSING = "This prepares a physical test and decides nothing."


def verdict(limits: Sequence[Limit]) -> str:
    """Return the summary of a load case, from its limits, the nearest first."""
    first, *others = limits
    sentences = [f"{_first(first)}.", _following(others), _weak(first)]
    return " ".join(sentence for sentence in sentences if sentence)


def study_verdict(
    cases: Sequence[tuple[str, Sequence[Limit]]], together: Limit | None = None
) -> str:
    """Return the summary of a study.

    Args:
        cases: Title and limits of each case.
        together: Fatigue limit of all repeated cases or of the spectrum, if there is one.
    """
    title, limits = min(cases, key=lambda case: case[1][0].load_factor)
    found = verdict(limits)
    if len(cases) > 1:
        found = f"Of {len(cases)} load cases '{title}' governs. {found}"
    if together and together.load_factor < limits[0].load_factor:
        found = f"All repeated loads together govern. {_first(together)}. {found}"
    return f"{found} {CLOSING}"


def _first(limit: Limit) -> str:
    place = f": {limit.place}" if limit.place else ""
    if limit.load_factor == 0:
        return f"{capitalised(limit.name)} without any load{place}"
    below = ", below the load" if limit.load_factor < 1 else ""
    return f"{capitalised(limit.name)} at {limit.load_factor:.2f} x load{below}{place}"


def _following(limits: Sequence[Limit]) -> str:
    named = [f"{limit.name} at {limit.load_factor:.2f}" for limit in limits[:MAX_FOLLOWING]]
    return f"Further limits: {_listed(named)} x load." if named else ""


def _weak(limit: Limit) -> str:
    if not limit.weak_inputs:
        return ""
    inputs = (f"{one.input} ({one.evidence})" for one in limit.weak_inputs)
    return f"Weakest inputs: {'; '.join(inputs)}."


def _listed(words: Sequence[str]) -> str:
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last
