"""Where a number or a name must lie, and the sentence for one that does not."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from geometry.errors import Problem


@dataclass(frozen=True)
class Range:
    """The numbers that a field takes.

    Attributes:
        low: The least number, taken itself unless `above`.
        high: The greatest number, taken itself unless `below`.
        unit: Unit of the number, "" for a pure one.
        remedy: What to write instead, the second half of the sentence.
        above: Whether `low` itself is refused.
        below: Whether `high` itself is refused.
    """

    low: float
    high: float = math.inf
    unit: str = ""
    remedy: str = "correct the number"
    above: bool = False
    below: bool = False


def number_problem(field: str, value: object, limits: Range) -> Problem | None:
    """Return what is wrong with `value` as a finite number within `limits`, or None."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return Problem(field, f"is {value!r}, which is not a number; {limits.remedy}")
    if isinstance(value, float) and not math.isfinite(value):
        return Problem(field, f"is {value}, which is not a finite number; {limits.remedy}")
    low_kept = value > limits.low if limits.above else value >= limits.low
    high_kept = value < limits.high if limits.below else value <= limits.high
    if low_kept and high_kept:
        return None
    if low_kept:
        bound = f"{'below' if limits.below else 'at most'} {limits.high:.10g} {limits.unit}"
    else:
        bound = f"{'above' if limits.above else 'at least'} {limits.low:.10g} {limits.unit}"
    shown = f"{_digits(value)} {limits.unit}"
    sentence = f"is {shown.rstrip()} but must be {bound.rstrip()}; {limits.remedy}"
    return Problem(field, sentence)


def limit_problems(record: object, limits: Mapping[str, Range]) -> tuple[Problem, ...]:
    """Return what is wrong with the attributes of a record that have limits; None is left out."""
    found = (
        number_problem(name, value, limit)
        for name, limit in limits.items()
        if (value := getattr(record, name)) is not None
    )
    return tuple(problem for problem in found if problem)


def unknown_name(field: str, what: str, name: object, known: Iterable[str]) -> Problem:
    """Return the problem of a name that is none of `known`, with the nearest of them."""
    names = list(known)
    near = get_close_matches(str(name), names, n=3)
    if near:
        return Problem(field, f"no {what} is called {name!r}; nearest: {', '.join(near)}")
    return Problem(field, f"no {what} is called {name!r}; use one of {', '.join(names)}")


def _digits(value: float) -> str:
    huge = isinstance(value, int) and abs(value) > 1e300  # too large to be a float
    return "a number of hundreds of digits" if huge else f"{value:.10g}"
