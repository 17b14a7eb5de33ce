"""How the pages write numbers, vectors and JSON: the filters of their templates."""

import json
from collections.abc import Sequence

from markupsafe import Markup

from fea.stability.criteria import gloss_of
from studies.page.chart import significant
from studies.page.limit_order import short_place
from studies.records.fatigue_text import (
    brief_decision,
    brief_life,
    decision_text,
    factor_text,
    life_text,
)
from studies.records.limit import LimitRecord
from studies.records.limit_text import failure_text, range_text, says_of_load
from studies.records.measures import first_yield_factor
from studies.records.parts import gauge_mm, governing_case, own_points
from studies.records.places import (
    capitalised,
    grouped,
    percent,
    rounded_cycles,
    utilisation_in_words,
)


def fixed(value: float | None, decimals: int = 2) -> str:
    """Return a number with so many decimals, a dash where there is none."""
    return "\u2013" if value is None else f"{value + 0.0:.{decimals}f}".replace("-", "\u2212")


def figures(value: float | None, digits: int = 3) -> str:
    """Return a number with so many significant digits, a dash where there is none."""
    return "\u2013" if value is None else significant(value, digits)


def cycles(value: float | None) -> str:
    """Return a number of cycles with two significant digits, thousands apart."""
    return "\u2013" if value is None else rounded_cycles(value)


def vector(values: Sequence[float], decimals: int = 0) -> str:
    """Return a vector as (x, y, z)."""
    # adding zero turns a rounded -0 into 0
    return f"({', '.join(fixed(round(value, decimals) + 0.0, decimals) for value in values)})"


def factor_ends(limit: LimitRecord) -> str:
    """Return both ends of a limit's factor, for a column whose head says of what."""
    return range_text(limit).removesuffix(" x load")


def sentences(text: str) -> list[str]:
    """Return the sentences of a verdict, each to stand on a line of its own."""
    parts = text.replace(". ", ".\n").split("\n")
    return [part for part in parts if part]


def island(content: object) -> Markup:
    """Return JSON that an element of a page can hold: no text in it can end that element."""
    text = json.dumps(content, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)  # noqa: S704 every sign that HTML could obey was written out above


def value(content: object, decimals: int) -> str:
    """Return what a table of mixed columns shows: numbers short, texts as they are."""
    if content is None:
        return "\u2013"
    return (
        significant(round(content, max(decimals, 2)), 5)
        if isinstance(content, float)
        else str(content)
    )


FILTERS = {
    "fixed": fixed,
    "figures": figures,
    "percent": percent,
    "cycles": cycles,
    "vector": vector,
    "grouped": grouped,
    "capitalised": capitalised,
    "island": island,
    "governing_case": governing_case,
    "gauge_mm": gauge_mm,
    "own_points": own_points,
    "first_yield_factor": first_yield_factor,
    "value": value,
    "gloss": gloss_of,
    "utilisation": utilisation_in_words,
    "decision_text": decision_text,
    "brief_decision": brief_decision,
    "short_place": short_place,
    "factor_ends": factor_ends,
    "factor_text": factor_text,
    "failure_text": failure_text,
    "says_of_load": says_of_load,
    "life_text": life_text,
    "brief_life": brief_life,
}
