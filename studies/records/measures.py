"""The measures by which designs are compared, each read from a case's record."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from fea.stability import criteria
from fea.stability.criteria import (
    CLAMP_SLIP,
    ELASTIC_BUCKLING,
    FATIGUE,
    LOCAL_BUCKLING,
    YIELD,
    LocalCriterion,
)
from studies.records.assessed import OF_LIMITS, Part, Parts
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.limit import LimitRecord
from studies.records.parts import gauge_mm, governing_case

Way = Literal["less", "more", ""]
"""Which way a figure is better; neither for what a rider or maker must choose."""


@dataclass(frozen=True)
class Measure:
    """A figure of a load case.

    Attributes:
        key: Name in tables that programs read, with its unit.
        name: In words, with its unit.
        decimals: Shown.
        better: Which way.
        of: Reads it from a case; None where the case has none.
        needs: Parts of the assessment without which it would be another figure.
    """

    key: str
    name: str
    decimals: int
    better: Way
    of: Callable[[CaseRecord], float | None]
    needs: Parts = frozenset()


@dataclass(frozen=True)
class Governing:
    """The governing limit of a bar.

    Attributes:
        factor: Multiple of the load.
        limit: Name of the limit.
        case: Id of the case; that of all repeated loads together is `ALL_REPEATED`.
    """

    factor: float
    limit: str
    case: str


ALL_REPEATED = "all repeated loads"

FIRST_YIELD = f"{YIELD.label} factor"
"""The smaller of those without and with bolt preload."""

_LIFE, _FATIGUE = f"{FATIGUE.label} life", f"{FATIGUE.label} factor"
_SLIP = f"{CLAMP_SLIP.label} factor"

_OF_CLAMP, _OF_BUCKLING, _OF_LIFE = (
    frozenset({part}) for part in (Part.CLAMP, Part.BUCKLING, Part.LIFE)
)

BARE_YIELD = f"{YIELD.label} factor without bolt preload"


def governing(record: ResultsRecord) -> Governing:
    """Return the nearest limit of a study: of a case, or of all repeated loads together."""
    case = governing_case(record.cases)
    together = record.fatigue.low_factor if record.fatigue else None
    if together is not None and together < case.governing_factor:
        return Governing(together, FATIGUE.label, ALL_REPEATED)
    return Governing(case.governing_factor, case.nearest_limit.name, case.id)


def governing_verified(record: ResultsRecord) -> Governing | None:
    """Return the nearest limit whose inputs are all verified, None where there is none."""
    found = [(limit, case) for case in record.cases if (limit := case.nearest_verified)]
    if not found:
        return None
    limit, case = min(found, key=lambda pair: pair[0].load_factor)
    return Governing(limit.load_factor, limit.name, case.id)


def not_verified(record: ResultsRecord) -> list[tuple[LimitRecord, CaseRecord]]:
    """Return the limits that are left out where only verified ones count, the nearest first."""
    found = [(one, case) for case in record.cases for one in case.limits if not one.verified]
    return sorted(found, key=lambda pair: pair[0].load_factor)


def first_yield_factor(case: CaseRecord) -> float:
    """Return the smaller of the yield factors without and with bolt preload.

    An upper bound of the preload's stress, as of a cosine pressure, does not count.
    """
    limits = [limit.load_factor for limit in case.limits if limit.criterion == YIELD.id]
    return min(case.yield_factor, *limits)


def without_verified(record: ResultsRecord) -> list[str]:
    """Return the ids of the cases in which no limit rests on verified inputs alone."""
    return [case.id for case in record.cases if case.nearest_verified is None]


def _life(case: CaseRecord) -> float | None:
    return case.fatigue.life_cycles if case.fatigue else None


def _fatigue_factor(case: CaseRecord) -> float | None:
    return case.fatigue.factor if case.fatigue else None


def _low_fatigue_factor(case: CaseRecord) -> float | None:
    return case.fatigue.low_factor if case.fatigue else None


def _low_life(case: CaseRecord) -> float | None:
    ends = case.fatigue.life_range_cycles if case.fatigue else None
    return ends[0] if ends else None


def _slip(case: CaseRecord) -> float | None:
    return case.clamp.slip_factor if case.clamp else None


def _low_slip(case: CaseRecord) -> float | None:
    ends = case.clamp.slip_factor_range if case.clamp else None
    return ends[0] if ends else None


def _linear(criterion: LocalCriterion) -> Measure:
    """Return the factor of a criterion whose limit is the load over its largest utilisation."""

    def factor(case: CaseRecord) -> float | None:
        worst = [zone for zone in case.buckling.worst if zone.limit == criterion.id]
        return 1 / worst[0].utilisation if worst else None

    return Measure(f"{criterion.id}_factor", f"{criterion.label} factor", 2, "more", factor)


MEASURES = (
    Measure(
        "governing_factor",
        "governing factor",
        2,
        "more",
        lambda case: case.governing_factor,
        OF_LIMITS,
    ),
    Measure("deflection_mm", "deflection, mm", 2, "", lambda case: case.deflection_mm),
    Measure("stiffness_n_per_mm", "stiffness, N/mm", 1, "", lambda case: case.stiffness_n_per_mm),
    Measure("peak_stress_mpa", "peak stress, MPa", 0, "less", lambda case: case.peak_stress_mpa),
    Measure("first_yield_factor", FIRST_YIELD, 2, "more", first_yield_factor, _OF_CLAMP),
    Measure("yield_factor", BARE_YIELD, 2, "more", lambda case: case.yield_factor),
    Measure("ultimate_factor", "ultimate factor", 2, "more", lambda case: case.ultimate_factor),
    Measure(
        "wrinkling_factor",
        "wrinkling factor",
        2,
        "more",
        lambda case: case.buckling.wrinkling_factor,
    ),
    *(_linear(one) for one in criteria.LOCAL if one.linear),
    Measure(
        "elastic_factor",
        f"{ELASTIC_BUCKLING.label} factor",
        1,
        "more",
        lambda case: case.buckling.elastic_factor,
        _OF_BUCKLING,
    ),
    Measure("life_cycles", f"{_LIFE}, middle, cycles", 0, "more", _life, _OF_LIFE),
    Measure("life_low_cycles", f"{_LIFE}, low end, cycles", 0, "more", _low_life, _OF_LIFE),
    Measure("fatigue_factor", f"{_FATIGUE}, middle", 2, "more", _fatigue_factor, _OF_LIFE),
    Measure("fatigue_factor_low", f"{_FATIGUE}, low end", 2, "more", _low_fatigue_factor, _OF_LIFE),
    Measure("slip_factor", f"{_SLIP}, middle", 2, "more", _slip, _OF_CLAMP),
    Measure("slip_factor_low", f"{_SLIP}, low end", 2, "more", _low_slip, _OF_CLAMP),
)
"""What a comparison shows of each case."""


def _cycles_required(case: CaseRecord) -> float | None:
    return case.fatigue.cycles if case.fatigue else None


FURTHER = (
    Measure(
        "governing_factor_mid",
        "governing factor, middle",
        2,
        "more",
        lambda case: case.governing_factor_mid,
        OF_LIMITS,
    ),
    Measure(
        "governing_verified",
        "governing factor of verified limits",
        2,
        "more",
        lambda case: case.governing_verified,
        OF_LIMITS,
    ),
    Measure("cycles_required", "cycles required", 0, "", _cycles_required, _OF_LIFE),
    Measure("displacement_along_force_mm", "displacement along the load, mm", 2, "", gauge_mm),
    Measure(
        "wall_utilisation",
        f"{LOCAL_BUCKLING.label} utilisation",
        2,
        "less",
        lambda case: case.buckling.utilisation,
    ),
    Measure(
        "stress_error_percent",
        "discretisation error of the stress, %",
        2,
        "",
        lambda case: case.error_estimate.stress_percent,
    ),
    Measure(
        "deflection_error_percent",
        "discretisation error of the deflection, %",
        3,
        "",
        lambda case: case.error_estimate.deflection_percent,
    ),
)
"""What a sweep can store beside them."""

ALL_MEASURES = MEASURES + FURTHER

USUAL = ("governing_factor", "deflection_mm", "stiffness_n_per_mm", "peak_stress_mpa")
"""What a sweep stores of each case, whatever else it names."""

RENAMED = {
    "cycles_asked": "cycles_required",
    "gauge_mm": "displacement_along_force_mm",
    "wall_used": "wall_utilisation",
}
"""The keys of earlier versions with the keys of now."""
