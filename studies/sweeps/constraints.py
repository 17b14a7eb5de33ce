"""The constraints of an optimised bar, and the margins of a design."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from math import isfinite, log

from fea.stability.criteria import LOCAL_BUCKLING
from geometry.errors import InputError, Problem, refuse
from geometry.limits import unknown_name
from loadcases.case import PlacedCase
from loadcases.gauges import PlacedGauge
from studies.records.gauge_measures import gauge_measure
from studies.records.measures import ALL_REPEATED, FIRST_YIELD, Way
from studies.study_file.format.sweep_tables import GaugeLimitTable, OptimiseTable
from studies.sweeps.rows import DesignRow

INFEASIBLE = -5.0
"""Margin of a design that has no figures."""

LEAST_READING = 0.01
"""Share of its limit below which a reading counts as this share: a margin of 4.6."""

TOGETHER = "repeated_factor"

LOW_FATIGUE = "fatigue_factor_low"

WALL = f"{LOCAL_BUCKLING.label} utilisation"

FATIGUE = (LOW_FATIGUE, "governing_factor")
"""Figures that the fatigue of repeated loads is part of, by the low end of its range."""


@dataclass(frozen=True)
class Constraint:
    """A figure of every case that must not fall below, or rise above, a limit.

    Attributes:
        key: Key of the figure among `ALL_MEASURES`.
        name: In words.
        limit: The limit.
        better: "more" for a minimum, "less" for a maximum.
        signed: Whether the figure may be below zero and its size is meant.
    """

    key: str
    name: str
    limit: float
    better: Way
    signed: bool = False


@dataclass(frozen=True)
class Margin:
    """By how much a design meets a constraint in a case.

    Attributes:
        constraint: The constraint.
        case: Id of the case, or `ALL_REPEATED`.
        value: The design's figure, None where it has none.
        margin: Natural logarithm of figure over limit (limit over figure for a greatest value):
            nearly linear in the logarithm of a wall, and below 0 where the constraint is violated.
    """

    constraint: Constraint
    case: str
    value: float | None
    margin: float

    def __str__(self) -> str:
        """Return figure and limit in words."""
        value = "unknown" if self.value is None else f"{self.value:.4g}"
        side = "minimum" if self.constraint.better == "more" else "maximum"
        return f"{self.constraint.name} of {self.case}: {value}, {side} {self.constraint.limit:g}"


def constraints_of(
    table: OptimiseTable, gauges: Sequence[PlacedGauge] = ()
) -> tuple[Constraint, ...]:
    """Return the constraints of a study with these `gauges`.

    Raises:
        InputError: There is none, so the lightest bar would be no bar; or no gauge has such a name.
    """
    options: list[tuple[str, str, float | None, Way]] = [
        ("first_yield_factor", FIRST_YIELD, table.min_yield_factor, "more"),
        (*_governing(table), table.min_governing_factor, "more"),
        (LOW_FATIGUE, "fatigue factor, low end", table.min_fatigue_factor, "more"),
        ("wall_utilisation", WALL, table.max_wall_utilisation, "less"),
        ("deflection_mm", "deflection in mm", table.max_deflection_mm, "less"),
    ]
    found = tuple(Constraint(k, name, limit, way) for k, name, limit, way in options if limit)
    found += _of_gauges(table.max_gauges, gauges)
    if not found:
        sentence = "has no constraint, so the thinnest bar would do; give min_yield_factor or"
        raise refuse("optimise", f"{sentence} another")
    return found


def _of_gauges(
    limits: Sequence[GaugeLimitTable], gauges: Sequence[PlacedGauge]
) -> tuple[Constraint, ...]:
    """Return the constraints of readings, whichever sign they have."""
    kinds = {one.gauge.name: one.gauge.kind for one in gauges}
    problems = [
        _unknown_gauge(f"optimise.max_gauges[{index}].name", one.name, kinds)
        for index, one in enumerate(limits)
        if one.name not in kinds
    ]
    if problems:
        raise InputError(*problems)
    measures = [gauge_measure(one.name, kinds[one.name]) for one in limits]
    return tuple(
        Constraint(measure.key, measure.name, one.reading, "less", signed=True)
        for measure, one in zip(measures, limits, strict=True)
    )


def _unknown_gauge(field: str, name: str, known: Collection[str]) -> Problem:
    if not known:
        return Problem(field, f"is {name!r}, but the study has no gauge; give it in [[gauges]]")
    return unknown_name(field, "gauge", name, known)


def _governing(table: OptimiseTable) -> tuple[str, str]:
    """Return key and name of the governing figure: of all limits, or of the verified ones."""
    if table.verified:
        return "governing_verified", "governing factor of verified limits"
    return "governing_factor", "governing factor"


def check_judged(constraints: Sequence[Constraint], cases: Sequence[PlacedCase]) -> None:
    """Refuse a constraint of fatigue where no case is repeated.

    Raises:
        InputError: There is no such case.
    """
    given = any(constraint.key == LOW_FATIGUE for constraint in constraints)
    repeated = [p for p in cases if p.case.cycle and p.case.cycle.cycles]
    if given and not repeated:
        sentence = "is given, but no case is repeated; give one a [cases.cycle] with cycles"
        raise InputError(Problem("optimise.min_fatigue_factor", sentence))


def margins_of(constraints: Sequence[Constraint], row: DesignRow) -> tuple[Margin, ...]:
    """Return by how much a design meets each constraint in each case that has the figure.

    A repeated case whose fatigue is not judged meets no constraint of fatigue.
    """
    if row.status != "computed":
        return ()
    return tuple(margin for constraint in constraints for margin in _margins(constraint, row))


def worst(margins: Sequence[Margin]) -> float:
    """Return the smallest margin, `INFEASIBLE` for a design without figures."""
    return min((margin.margin for margin in margins), default=INFEASIBLE)


def _margins(constraint: Constraint, row: DesignRow) -> Iterator[Margin]:
    for case, figures in row.cases.items():
        value = figures.get(constraint.key)
        if constraint.key in FATIGUE and figures.get("cycles_required"):
            # a repeated case whose fatigue is not judged meets no constraint
            value = value if figures.get(LOW_FATIGUE) is not None else None
        elif constraint.key == LOW_FATIGUE:
            continue
        yield Margin(constraint, case, value, _margin(constraint, value))
    together = row.bar.get(TOGETHER)
    if together is not None and constraint.key in FATIGUE:
        yield Margin(constraint, ALL_REPEATED, together, _margin(constraint, together))


def _margin(constraint: Constraint, value: float | None) -> float:
    if constraint.signed and value is not None:
        # a gauge that does not move is far within, by no more than a search can use
        value = max(abs(value), LEAST_READING * constraint.limit)
    if value is None or value <= 0 or not isfinite(value):
        return INFEASIBLE
    way = 1 if constraint.better == "more" else -1
    return max(INFEASIBLE, way * log(value / constraint.limit))
