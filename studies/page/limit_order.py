"""The limits of a study in the order of the ladder, and their words on page and view."""

import re
from collections.abc import Sequence

from fea.stability import criteria
from fea.stability.criteria import FATIGUE, YIELD
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.limit import LimitRecord

_WITH_FIELD = frozenset({FATIGUE.id, *(one.id for one in criteria.LOCAL)})
"""Criteria with a field over the bar: slip and buckling of the whole bar have none."""

INNER = "inner surface"
"""How a place says that it is inside."""

Found = Sequence[tuple[LimitRecord, int]]


def limit_numbers(record: ResultsRecord) -> dict[str, int]:
    """Return the number of each kind of limit on the ladder, by its name."""
    kinds = enumerate(limit_kinds(record.cases), start=1)
    return {found[0][0].name: number for number, found in kinds}


def limit_kinds(cases: Sequence[CaseRecord]) -> list[Found]:
    """Return the limits of each kind with the numbers of their cases, the nearest first."""
    kinds: dict[str, list[tuple[LimitRecord, int]]] = {}
    for number, case in enumerate(cases, start=1):
        for limit in case.limits:
            kinds.setdefault(limit.name, []).append((limit, number))
    ordered = [sorted(found, key=lambda one: one[0].load_factor) for found in kinds.values()]
    return sorted(ordered, key=lambda found: found[0][0].load_factor)


def has_field(limit: LimitRecord) -> bool:
    """Return whether a limit has a field of its own over the bar."""
    return limit.criterion in _WITH_FIELD


def field_of(limit: LimitRecord) -> str:
    """Return the field of a limit, that of first yield where it has none of its own."""
    return f"utilisation_{limit.criterion if has_field(limit) else YIELD.id}"


def surface_of(limit: LimitRecord) -> str:
    """Return the surface of a limit's place, outer or inner."""
    return "inner" if INNER in limit.place else "outer"


def factor_in_words(limit: LimitRecord) -> str:
    """Return a limit's factor, both ends of a range."""
    if limit.factor_range is None:
        return factor_words(limit.load_factor)
    low, high = limit.factor_range[0], limit.factor_range[2]
    return f"{factor_words(low)} to {factor_words(high)}"


def middle_factor(limit: LimitRecord) -> float:
    """Return the factor, the middle of a range."""
    return limit.factor_range[1] if limit.factor_range else limit.load_factor


def factor_words(factor: float) -> str:
    """Return a factor as the ladder writes it; 0 is no small number but preload alone."""
    if factor == 0:
        return "0"
    return f"{factor:.2f}" if factor < 10 else f"{factor:.1f}"


def short_place(place: str) -> str:
    """Return a place as tables write it: right and left as R and L, of the whole bar no more."""
    return re.sub(r"\b(right|left) (?=\d)", lambda side: f"{side[1][0].upper()} ", place).partition(
        ", mode"
    )[0]
