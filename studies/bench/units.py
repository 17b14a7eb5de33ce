"""Units of a press record, and how the heads of its columns name them.

Source: `records/units.py` for inch and pound; 9.80665 N a kgf by definition; a psi follows.
"""

import re
from collections.abc import Iterator
from typing import Literal

from studies.records.units import INCH_MM, POUND_FORCE_N

Kind = Literal["pressure", "force", "travel"]

_KGF_N = 9.80665

FACTORS: dict[Kind, dict[str, float]] = {
    "pressure": {
        "bar": 0.1,
        "psi": POUND_FORCE_N / INCH_MM**2,
        "MPa": 1.0,
        "kPa": 1e-3,
        "kgf/cm2": _KGF_N / 100,
    },
    "force": {"N": 1.0, "kN": 1e3, "kgf": _KGF_N, "lbf": POUND_FORCE_N},
    "travel": {"mm": 1.0, "cm": 10.0, "in": INCH_MM},
}
"""MPa, N or mm for one of each unit."""

GAUGE_UNITS = (*FACTORS["pressure"], *FACTORS["force"])

_SPELLINGS = {
    "kg/cm2": "kgf/cm2",
    "kgf/cm²": "kgf/cm2",
    "kg/cm²": "kgf/cm2",
    "inch": "in",
    "lb": "lbf",
    "kp": "kgf",
}

_WORDS: dict[Kind, str] = {
    "pressure": r"pressure|druck|pression|presi[oó]n|press[aã]o|ci[sś]nienie|tlak|nyom[aá]s",
    "force": r"force|load|kraft|last|carico|forza|fuerza|carga|for[cç]a|kracht|si[lł]a|s[ií]la",
    "travel": r"travel|stroke|displacement|deflection|weg|hub|durchbiegung|verschiebung|course|"
    r"d[eé]placement|corsa|spostamento|recorrido|desplazamiento|slag|skok|droga|position",
}


def kind_of(unit: str) -> Kind:
    """Return what a known unit measures."""
    return next(kind for kind, factors in FACTORS.items() if unit in factors)


def unit_in(head: str) -> str | None:
    """Return the unit that the head of a column names, None without one.

    Brackets come first, then words from the last to the first; `in` is a word of other languages
    and counts in brackets or as the last word alone.
    """
    words = list(_words(head))
    last = words[-1] if words else ""
    for word in (*re.findall(r"[\[(]\s*([^\])]+?)\s*[\])]", head), last, *reversed(words[:-1])):
        unit = known(word)
        if unit and (unit != "in" or word == last or f"[{word}]" in head or f"({word})" in head):
            return unit
    return None


def known(word: str) -> str | None:
    """Return a unit as the tables above spell it, None for what is no unit."""
    units = {unit: unit for factors in FACTORS.values() for unit in factors}
    # one letter is a unit as a capital alone: `n` counts points
    lower = {unit.lower(): unit for unit in units if len(unit) > 1}
    spelt = _SPELLINGS.get(word.lower(), word)
    return units.get(spelt) or lower.get(spelt.lower())


def kind_in_words(head: str) -> Kind | None:
    """Return what the words of a head say that its column holds, None where they do not."""
    for kind, words in _WORDS.items():
        if re.search(words, head, re.IGNORECASE):
            return kind
    return None


def _words(head: str) -> Iterator[str]:
    yield from (word for word in re.split(r"[^\w/²\"]+|_", head) if word)
    # `p/bar` is a symbol over its unit
    yield from re.findall(r"/\s*(\w+)\s*$", head)
