"""Summary of a load case and of a study: governing limit, place, weakest inputs."""

from collections.abc import Sequence

from studies.assessment.limits import Limit
from studies.records.limit_text import range_and_decision
from studies.records.places import capitalised

MAX_FOLLOWING = 3
"""Limits named after the first."""

Cases = Sequence[tuple[str, Sequence[Limit]]]
"""Title and limits of cases."""

CLOSING = "This prepares a physical test and decides nothing."


def verdict(limits: Sequence[Limit]) -> str:
    """Return the summary of a load case, from its limits, the nearest first."""
    return _verdict(limits, [("", limits)])


def _verdict(limits: Sequence[Limit], cases: Cases) -> str:
    """Return the same; the nearest verified limit is that of any of the cases."""
    first, *others = limits
    verified = _verified(first, cases)
    sentences = [f"{_first(first)}.", verified, _following(others), _weak(first)]
    return " ".join(sentence for sentence in sentences if sentence)


def study_verdict(cases: Cases, together: Limit | None = None) -> str:
    """Return the summary of a study.

    Args:
        cases: Title and limits of each case.
        together: Fatigue limit of all repeated cases or of the spectrum, if there is one.
    """
    title, limits = min(cases, key=lambda case: case[1][0].load_factor)
    found = _verdict(limits, cases)
    if len(cases) > 1:
        found = f"Of {len(cases)} load cases '{title}' governs. {found}"
    if together and together.load_factor < limits[0].load_factor:
        found = f"All repeated loads together govern. {_first(together)}. {found}"
    return f"{found} {CLOSING}"


def _first(limit: Limit) -> str:
    place = f": {limit.place}" if limit.place else ""
    if limit.load_factor == 0:
        return f"{capitalised(limit.name)} without any load{place}"
    return f"{capitalised(limit.name)} at {range_and_decision(limit)}{place}"


def _verified(limit: Limit, cases: Cases) -> str:
    """Return the nearest verified limit beside a range that is not."""
    if limit.is_verified or limit.factor_range is None:
        return ""
    found = [(one, title) for title, limits in cases for one in limits if one.is_verified]
    if not found:
        return "No limit rests on verified inputs alone."
    nearest, title = min(found, key=lambda pair: pair[0].load_factor)
    under = f" under '{title}'" if len(cases) > 1 else ""
    return f"Among verified limits: {nearest.name} at {nearest.load_factor:.2f} x load{under}."


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
