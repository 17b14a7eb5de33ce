"""A load case and a study in one plain sentence: what comes first, where, how sure that is."""

from collections.abc import Sequence

from studies.assessment.limits import Limit

MOST_FOLLOWING = 3
"""Limits named after the first."""

CLOSING = "This prepares a physical test and decides nothing."


def verdict(limits: Sequence[Limit]) -> str:
    """Return what a load case comes to, from its limits, the nearest first."""
    first, *others = limits
    sentences = [_first(first), _following(others), _rests_on(first), CLOSING]
    return " ".join(sentence for sentence in sentences if sentence)


def study_verdict(
    cases: Sequence[tuple[str, Sequence[Limit]]], together: Limit | None = None
) -> str:
    """Return what a study comes to.

    Args:
        cases: Title and limits of each case.
        together: Fatigue limit of all repeated cases or of the spectrum, if there is one.
    """
    title, limits = min(cases, key=lambda case: case[1][0].load_factor)
    found = verdict(limits)
    if len(cases) > 1:
        found = f"Of {len(cases)} load cases '{title}' governs. {found}"
    if together and together.load_factor < limits[0].load_factor:
        place = f": {together.place}"
        share = f"at {together.load_factor:.2f} times their loads {together.event}{place}."
        found = f"All repeated loads together come before any case: {share} {found}"
    return found


def _first(limit: Limit) -> str:
    place = f": {limit.place}" if limit.place else ""
    if limit.load_factor == 0:
        return f"Without any load {limit.event}{place}."
    if limit.load_factor < 1:
        return (
            f"Before this load is reached, at {limit.load_factor:.2f} of it, {limit.event}{place}."
        )
    return f"At {limit.load_factor:.2f} times this load {limit.event}{place}."


def _following(limits: Sequence[Limit]) -> str:
    named = [f"{limit.name} at {limit.load_factor:.2f}" for limit in limits[:MOST_FOLLOWING]]
    return f"Then follow {_listed(named)} times this load." if named else ""


def _rests_on(limit: Limit) -> str:
    if not limit.rests_on:
        return ""
    return f"Remembered or estimated in the first: {'; '.join(limit.rests_on)}."


def _listed(words: Sequence[str]) -> str:
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last
