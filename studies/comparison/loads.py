"""The loads of a case in two designs: in words, and in what they differ."""

from collections.abc import Sequence
from math import dist, hypot

from studies.records.case import CaseRecord, LoadPointRecord
from studies.records.load_text import loads_in_words
from studies.records.parts import has_ram, own_points
from studies.records.places import grouped
from studies.records.supports import SupportRecord, ram_text

SAME_LOAD = 0.005
"""Relative difference of two loads that is none: as large as the discretisation error."""

SAME_PLACE_MM = 0.5
"""Difference of two load places that is none: what the printed ruler resolves."""


def load_text(case: CaseRecord) -> str:
    """Return loads, their places and the cycles of a case."""
    if case.supports and has_ram(case):
        return ram_text(case.supports)
    text = loads_in_words(own_points(case))
    return f"{text}; {grouped(case.fatigue.cycles)} cycles" if case.fatigue else text


def load_differences(one: CaseRecord, other: CaseRecord) -> tuple[str, ...]:
    """Return in what the loads of two cases differ: force, place, cycles."""
    held, otherwise = _supports(one), _supports(other)
    if held != otherwise:
        return ("supports",)
    if has_ram(one):  # the rest are reactions
        return ()
    loads, others = _in_order(one), _in_order(other)
    if len(loads) != len(others):
        return ("number of loads",)
    pairs = list(zip(loads, others, strict=True))
    found = {
        "force": any(_differ(a.force_n, b.force_n) for a, b in pairs),
        "moment": any(_differ(a.moment_nmm, b.moment_nmm) for a, b in pairs),
        "place": any(abs(a.at_mm - b.at_mm) > SAME_PLACE_MM for a, b in pairs),
        "cycles": _cycles(one) != _cycles(other),
    }
    return tuple(name for name, differs in found.items() if differs)


def _supports(case: CaseRecord) -> list[tuple[str | float, ...]]:
    """Return what is given of a case's supports."""
    if case.supports is None:
        return []
    return [(case.supports.ram_force_n,), *map(_given, case.supports.supports)]


def _given(one: SupportRecord) -> tuple[str | float, ...]:
    # + 0.0: no -0.0 of a turned axis
    return one.kind, round(one.at_mm), one.friction, *(round(way, 3) + 0.0 for way in one.direction)


def _in_order(case: CaseRecord) -> list[LoadPointRecord]:
    return sorted(own_points(case), key=lambda load: load.at_mm)


def _differ(one: Sequence[float], other: Sequence[float]) -> bool:
    return dist(one, other) > SAME_LOAD * max(hypot(*one), hypot(*other))


def _cycles(case: CaseRecord) -> float | None:
    return case.fatigue.cycles if case.fatigue else None
