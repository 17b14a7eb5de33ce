"""The ladder of limits: every kind of limit of a study over multiples of the load, nearest first.

A mark is the nearest case of its kind, at the middle where a range is stated; ticks are the other
cases. A whisker is the limit's own range, else what its weakest input's range does to the factor:
no confidence interval. What a mark is filled with says what its weakest input rests on.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import log

from fea.stability.criteria import YIELD, gloss_of
from studies.page.evidence import Fill, fill_of
from studies.page.limit_order import (
    Found,
    factor_in_words,
    field_of,
    has_field,
    limit_kinds,
    middle_factor,
    short_place,
    surface_of,
)
from studies.records.case import ResultsRecord
from studies.records.limit import LimitRecord
from studies.records.measures import first_yield_factor

LOW, HIGH = 0.5, 30.0
"""Ends of the axis, which is widened where a limit lies beyond."""

TICKS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)
LEAST_APART = 11.0
"""Between two words on the axis, percent of it."""

LEFT_EDGE = 0.02
"""Least factor that has a place: a limit at 0 stands on the left edge."""


@dataclass(frozen=True)
class Rung:
    """A kind of limit.

    Attributes:
        tag: Its number from 1, the nearest first; a letter for the load of a path.
        name: Of the limit.
        gloss: Its meaning in a few words.
        factor: In words, a range with both ends.
        least: The low end, by which rungs are ordered.
        at: Of its mark, percent of the axis.
        whisker: From and to, percent of the axis; None where no range is stated.
        others: Of the other cases, percent of the axis.
        place: On the bar.
        case: Number of the nearest case, from 1, and its id.
        field: Of the view, that shows it; empty where it has none of its own.
        surface: Of its place, outer or inner.
        weakest: Its weakest input, "none" where no input is weak.
        evidence: What that, or else the dimensions, rest on, in a word or two.
        fill: Of its mark.
        below: Whether the careful end lies below the load.
        beyond: Whether it lies beyond first yield of its own case, an estimate.
        replaced: Whether a traced path takes its place.
    """

    tag: str
    name: str
    gloss: str
    factor: str
    least: float
    at: float
    whisker: tuple[float, float] | None
    others: tuple[float, ...]
    place: str
    case: tuple[int, str]
    field: str
    surface: str
    weakest: str
    evidence: str
    fill: Fill
    below: bool
    beyond: bool
    replaced: bool = False


@dataclass(frozen=True)
class Ladder:
    """All rungs on one axis.

    Attributes:
        rungs: The nearest first.
        ticks: (words, percent of the axis) of round multiples.
        load: Percent of the axis of the load itself.
        not_judged: Sentences on limits that have no factor.
    """

    rungs: tuple[Rung, ...]
    ticks: tuple[tuple[str, float], ...]
    load: float
    not_judged: tuple[str, ...] = ()


@dataclass(frozen=True)
class Axis:
    """The logarithmic axis of all rungs, from a low to a high factor."""

    low: float
    high: float

    def place(self, factor: float) -> float:
        """Return a factor in percent of a logarithmic axis."""
        share = log(max(factor, LEFT_EDGE) / self.low) / log(self.high / self.low)
        return 100 * min(max(share, 0.0), 1.0)


def ladder(record: ResultsRecord) -> Ladder:
    """Return the ladder of a study."""
    return ladders([record])[0]


def ladders(records: Sequence[ResultsRecord]) -> list[Ladder]:
    """Return the ladder of each study, all on one axis."""
    axis = limits_axis(records)
    return [ladder_on(axis, record) for record in records]


def ladder_on(axis: Axis, record: ResultsRecord) -> Ladder:
    """Return the ladder of a study on an axis."""
    kinds = enumerate(limit_kinds(record.cases), start=1)
    rungs = tuple(_rung(n, found, record, axis) for n, found in kinds)
    return Ladder(rungs, _ticks(axis), axis.place(1))


def _ticks(axis: Axis) -> tuple[tuple[str, float], ...]:
    """Return round factors with their places, from 1 outwards as far apart as their words need."""
    within = [one for one in TICKS if axis.low <= one <= axis.high]
    kept = [1.0]
    for one in sorted(within, key=lambda one: abs(log(one))):
        if all(abs(axis.place(one) - axis.place(other)) >= LEAST_APART for other in kept):
            kept.append(one)
    return tuple((f"{one:g}", axis.place(one)) for one in sorted(kept))


def limits_axis(records: Sequence[ResultsRecord], more: Sequence[float] = ()) -> Axis:
    """Return an axis for the limits of several studies, and for more factors.

    A limit at 0, where preload alone yields, stands on its left edge and widens nothing.
    """
    limits = [limit for record in records for case in record.cases for limit in case.limits]
    ends = [end for one in limits for end in (one.load_factor, *(one.factor_range or ()))]
    every = [end for end in (*ends, *more) if end > 0]
    return Axis(
        max(LEFT_EDGE, min([LOW, *(0.9 * one for one in every)])),
        max([HIGH, *(1.1 * one for one in every)]),
    )


def _rung(number: int, found: Found, record: ResultsRecord, axis: Axis) -> Rung:
    (limit, case), *others = found
    own = record.cases[case - 1]
    weak = limit.weak_inputs[0] if limit.weak_inputs else None
    measured = record.specimen is not None
    source = "measured" if measured else "as given"
    return Rung(
        f"{number}",
        limit.name,
        gloss_of(limit.criterion).partition(";")[0],
        factor_in_words(limit),
        limit.load_factor,
        axis.place(middle_factor(limit)),
        _whisker(limit, axis),
        tuple(axis.place(middle_factor(one)) for one, _ in others),
        short_place(limit.place) or "clamp",
        (case, own.id),
        field_of(limit) if has_field(limit) else "",
        surface_of(limit),
        weak.input if weak else "none",
        weak.evidence.partition(",")[0] if weak else f"dimensions {source}",
        fill_of(weak.evidence if weak else None, measured=measured),
        limit.load_factor < 1,
        limit.criterion != YIELD.id and first_yield_factor(own) < limit.load_factor,
    )


def _whisker(limit: LimitRecord, axis: Axis) -> tuple[float, float] | None:
    ends = next(_ranges(limit), None)
    return (axis.place(ends[0]), axis.place(ends[1])) if ends else None


def _ranges(limit: LimitRecord) -> Iterator[tuple[float, float]]:
    if limit.factor_range:
        yield limit.factor_range[0], limit.factor_range[2]
    yield from (one.factor_range for one in limit.weak_inputs if one.factor_range)
