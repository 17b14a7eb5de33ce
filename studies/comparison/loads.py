"""Loads and clamps of a case in two designs: in words, and in what they differ."""

from collections.abc import Sequence
from math import dist, hypot

from studies.records.case import CaseRecord, LoadPointRecord, ResultsRecord
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


def clamp_text(design: ResultsRecord) -> str:
    """Return width, model, stiffness where it is the study's own, and torque of a clamp."""
    clamp = design.clamp
    if clamp.model == "none":
        return "none, the bar lies free"
    parts = [f"{clamp.width_mm:g} mm", clamp.model]
    if clamp.source is None and clamp.normal_n_per_mm3 is not None:
        parts.append(f"{clamp.normal_n_per_mm3:g} and {clamp.tangential_n_per_mm3:g} N/mm³")
    bolts = _bolts(design)
    if bolts:
        parts.append(f"{bolts['count']:g} bolts at {bolts['torque_nm']:g} N·m")
    return ", ".join(parts)


def clamp_differences(one: ResultsRecord, other: ResultsRecord) -> tuple[str, ...]:
    """Return in what the clamps of two designs differ: width, stiffness, bolts."""
    found = {
        "clamp width": one.clamp.width_mm != other.clamp.width_mm,
        "clamp stiffness": _stiffness(one) != _stiffness(other),
        "clamp bolts": _bolts(one) != _bolts(other),
    }
    return tuple(name for name, differs in found.items() if differs)


def _stiffness(design: ResultsRecord) -> tuple[str | float | None, ...]:
    clamp = design.clamp
    return clamp.model, clamp.normal_n_per_mm3, clamp.tangential_n_per_mm3


def _bolts(design: ResultsRecord) -> dict[str, float | str]:
    """Return the bolts of the clamp itself, which is at the middle; levers have their own."""
    found = [one.bolts for one in design.clamp_preload if one.at_mm == 0]
    return found[0] if found else {}


def load_differences(one: CaseRecord, other: CaseRecord) -> tuple[str, ...]:
    """Return in what the loads of two cases differ: source or class, force, place, cycles."""
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
        "source of the load": one.source != other.source,
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
