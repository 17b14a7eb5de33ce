"""What a run's page shows before anything is scrolled: sentence, cases, figures."""

from dataclasses import dataclass
from math import cos, hypot, radians

from fea.stability.criteria import FATIGUE, YIELD
from studies.page.limit_order import factor_in_words, field_of, surface_of
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.limit import LimitRecord
from studies.records.limit_text import BELOW
from studies.records.load_text import loads_in_words
from studies.records.measures import (
    ALL_REPEATED,
    first_yield_factor,
    governing,
    governing_verified,
)
from studies.records.parts import gauge_mm, governing_case, has_ram, own_points
from studies.records.places import capitalised
from studies.records.supports import ram_text

MOST_IN_THREE = 999.5
"""From here on three digits would need a power of ten."""


@dataclass(frozen=True)
class Headline:
    """The governing limit in a sentence of three parts, and a line on what it rests on.

    Attributes:
        before: Up to the factor.
        factor: The factor with its unit.
        after: From the factor on.
        below: Whether the careful end lies below the load.
        weakest: The weakest input and what its range does; empty without one.
        verified: The nearest limit of verified inputs alone, where another governs.
    """

    before: str
    factor: str
    after: str
    below: bool
    weakest: str
    verified: str


@dataclass(frozen=True)
class CaseButton:
    """A case in the strip; field, surface and where that faces are of its nearest limit."""

    number: int
    id: str
    title: str
    load: str
    factor: str
    limit: str
    below: bool
    governs: bool
    field: str
    surface: str
    faces: str


@dataclass(frozen=True)
class KeyFigure:
    """A figure of the study with unit, name and where it is from."""

    value: str
    unit: str
    name: str
    source: str
    below: bool = False


def headline(record: ResultsRecord) -> Headline:
    """Return the sentence on what ends the bar first."""
    case, nearest = governing_case(record.cases), governing(record)
    limit, life = case.nearest_limit, record.fatigue
    if nearest.case == ALL_REPEATED and life:
        low, high = life.factor_range or (nearest.factor, nearest.factor)
        factor = f"{low:.2f} to {high:.2f} × the load"
        place = f" of all repeated cases together: at {life.at.text}"
        below, weakest = nearest.factor < 1, ""
        before = f"{capitalised(FATIGUE.label)} governs at "
    else:
        factor = f"{factor_in_words(limit)} × the load"
        before = f"{capitalised(limit.name)} governs at "
        place = f" of {case.title} ({_brief(case)})"
        place += f": {limit.place}" if limit.place else ""
        below, weakest = limit.load_factor < 1, _weakest(limit)
    return Headline(before, factor, f"{place}{_decided(case)}.", below, weakest, _verified(record))


def _brief(case: CaseRecord) -> str:
    """Return the ram's force or a case's largest, or its largest moment where it has no force."""
    if case.supports and has_ram(case):
        return f"{case.supports.ram_force_n:.0f} N"
    points = own_points(case)
    force = max(hypot(*point.force_n) for point in points)
    if force:
        return f"{force:.0f} N"
    return f"{max(hypot(*point.moment_nmm) for point in points) / 1000:.3g} N·m"


def _decided(case: CaseRecord) -> str:
    """Return what the factor of the nearest limit says of the load itself.

    Of fatigue without a life its record says it: stress over a fatigue limit is no crack yet.
    """
    limit, life = case.nearest_limit, case.fatigue
    high = limit.factor_range[2] if limit.factor_range else limit.load_factor
    if limit.load_factor >= 1:
        return ""
    if limit.criterion == FATIGUE.id and life and life.life_cycles is None:
        return "; not decided by this model, no life curve"
    return f"; {BELOW}" if high < 1 else "; not decided by this model"


def _weakest(limit: LimitRecord) -> str:
    if not limit.weak_inputs:
        return ""
    one = limit.weak_inputs[0]
    words = f"{one.input}, {one.evidence}"
    if one.range and one.factor_range:
        low, high = one.range
        ends = f"{one.factor_range[0]:.2f} to {one.factor_range[1]:.2f}"
        return f"{words}; {low:.3g} to {high:.3g} gives {ends} × the load"
    return f"{words}; range unknown"


def _verified(record: ResultsRecord) -> str:
    found, nearest = governing_verified(record), governing(record)
    if found is None:
        return "none"
    if found == nearest:
        return ""
    case = next(one for one in record.cases if one.id == found.case)
    return f"{found.limit} {found.factor:.2f} × the load of {case.title}"


def case_strip(record: ResultsRecord) -> list[CaseButton]:
    """Return the cases in their order."""
    first = governing_case(record.cases)
    return [
        CaseButton(
            number,
            case.id,
            case.title,
            _load(case),
            factor_in_words(case.nearest_limit),
            case.nearest_limit.name,
            case.governing_factor < 1,
            case is first,
            field_of(case.nearest_limit),
            surface_of(case.nearest_limit),
            _faces(case.nearest_limit),
        )
        for number, case in enumerate(record.cases, start=1)
    ]


def _faces(limit: LimitRecord) -> str:
    """Return where the surface looks at the place of a limit: up or down."""
    return "down" if limit.theta_deg is not None and cos(radians(limit.theta_deg)) < 0 else "up"


def _load(case: CaseRecord) -> str:
    cycles = f", {case.fatigue.cycles:,.0f} cycles".replace(",", " ") if case.fatigue else ""
    return f"{_loads(case)}{cycles}"


def _loads(case: CaseRecord) -> str:
    if case.supports and has_ram(case):
        return ram_text(case.supports)
    return loads_in_words(own_points(case))


def key_figures(record: ResultsRecord) -> list[KeyFigure]:
    """Return the same four figures of every study, so that pages can be laid side by side."""
    nearest, weakest = governing(record), min(record.cases, key=first_yield_factor)
    numbers = {case.id: f"case {n}" for n, case in enumerate(record.cases, start=1)}
    limit = governing_case(record.cases).nearest_limit
    ranged = nearest.case != ALL_REPEATED and limit.factor_range
    factor = factor_in_words(limit) if ranged else f"{nearest.factor:.2f}"
    where = numbers.get(nearest.case, nearest.case)
    proof = record.material.proof_stress_mpa
    peak = f"{weakest.peak_stress_mpa:.0f} of {proof:.0f} MPa, {numbers[weakest.id]}"
    return [
        KeyFigure(
            factor, "× load", "Governing factor", f"{nearest.limit}, {where}", nearest.factor < 1
        ),
        KeyFigure(
            f"{first_yield_factor(weakest):.2f}",
            "× load",
            f"{capitalised(YIELD.label)} factor",
            peak,
            first_yield_factor(weakest) < 1,
        ),
        _stiffness(record.cases[0]),
        _mass(record),
    ]


def _stiffness(case: CaseRecord) -> KeyFigure:
    value = case.stiffness_n_per_mm
    source = f"{case.deflection_mm:.3g} mm at {_brief(case)}, case 1"
    along = gauge_mm(case)
    if value is None or along is None:
        return KeyFigure("–", "N/mm", "Stiffness", f"moments alone; {source}")
    figure = f"{value:.3g}" if value < MOST_IN_THREE else f"{value:.0f}"
    return KeyFigure(figure, "N/mm", "Stiffness", source)


def _mass(record: ResultsRecord) -> KeyFigure:
    bar = record.bar
    if bar.measured_mass_g is None:
        return KeyFigure(f"{bar.mass_g:.0f}", "g", "Mass", "computed; not weighed")
    return KeyFigure(
        f"{bar.measured_mass_g:.0f}", "g", "Mass", f"weighed; computed {bar.mass_g:.0f} g"
    )
