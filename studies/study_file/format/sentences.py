"""One sentence for each thing that the schema refuses, in words for the person at the bench."""

import re
from collections.abc import Iterator
from difflib import get_close_matches

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from geometry.errors import InputError, Problem
from studies.study_file.format.keys import UnknownKey, fields_of, table_at, unknown_key
from studies.study_file.format.wording import key_path, listed, quoted, shown, toml, unit_of

_NUMBER = "is {it.shown}; give a number{it.in_unit}{it.bare}"
_WHOLE = "is {it.shown}; give a whole number{it.in_unit}{it.bare}"
_TABLE = "is {it.shown}; give a table of keys and values"

_SENTENCES = {
    "missing": "is missing; give {it.the}{it.in_unit}{it.example}",
    "float_type": _NUMBER,
    "int_type": _WHOLE,
    "int_from_float": _WHOLE,
    "finite_number": "is {it.shown}; give a finite number{it.in_unit}",
    "string_type": "is {it.shown}; give a text in quotes{it.example}",
    "string_too_short": "is empty; give {it.the}{it.example}",
    "string_too_long": "has {it.count} characters; shorten it to at most {it.ctx[max_length]}",
    "string_pattern_mismatch": "is {it.quoted}, which cannot be a file name; begin with a "
    "lower-case letter or digit and go on with those, '.', '_' or '-'{it.slug}",
    "literal_error": "is {it.shown}; choose {it.choices}",
    "tuple_type": "is {it.shown}; give a list{it.example}",
    "model_type": _TABLE,
    "model_attributes_type": _TABLE,
    "too_long": "holds {it.entries}; the limit is {it.ctx[max_length]}, so shorten the list",
    "too_short": "holds {it.entries}; give at least {it.ctx[min_length]}",
    "bool_type": "is {it.shown}; give true or false",
}
"""What is said of each kind of error, in words of `_Refused`."""

_ANYTHING_ELSE = "is {it.shown}, not {it.the}; see `barwright schema study`"

_OF_KEYS = {
    ("bar", "missing"): "is missing; begin a table [bar] with material, stations and [bar.right]",
    ("use", "missing"): "is missing; give the id of a catalogue case (`barwright cases` lists "
    "them), or id and loads for a case of your own",
    ("material", "model_type"): "is {it.shown}; give a catalogue id in quotes or a table "
    "[bar.material]",
}
"""Where a key has words of its own."""

_BARE = " without quotes"
_DECIMAL_COMMA = re.compile(r"([-+]?\d{1,9}),(\d{1,9})")

_DOUBLE = frozenset({"cases", "gauges", "levers", "spectrum", "sweep"})


def problems_of(error: ValidationError) -> tuple[Problem, ...]:
    """Return the problems of a study table that the schema refused, one for each mistake."""
    details = error.errors(include_url=False)
    unknown = {d["loc"]: _unknown(d) for d in details if d["type"] == "extra_forbidden"}
    # `od_cm` for `od_mm` is one mistake, not an unknown key and a missing one
    answered = {(*loc[:-1], key.meant) for loc, key in unknown.items() if key.meant}
    return tuple(
        problem
        for detail in details
        if not (detail["type"] == "missing" and detail["loc"] in answered)
        and not _counts_good_entries(detail)
        for problem in _problems(detail)
    )


def _counts_good_entries(detail: ErrorDetails) -> bool:
    """Return whether a list is called short only because its bad entries were not counted."""
    return detail["type"] == "too_short" and len(detail["input"]) >= detail["ctx"]["min_length"]


def _problems(detail: ErrorDetails) -> Iterator[Problem]:
    path = key_path(detail["loc"])
    broken = detail.get("ctx", {}).get("error")
    if isinstance(broken, InputError):
        yield from broken.within(path).problems
    elif detail["type"] == "extra_forbidden":
        yield Problem(path, _unknown(detail).sentence)
    else:
        yield Problem(path, _Refused(detail).sentence)


def _unknown(detail: ErrorDetails) -> UnknownKey:
    return unknown_key(str(detail["loc"][-1]), table_at(detail["loc"][:-1]))


def _without_quotes(given: str) -> str:
    comma = _DECIMAL_COMMA.fullmatch(given.strip())
    return f" without quotes, {comma[1]}.{comma[2]} with a decimal point" if comma else _BARE


class _Refused:
    """A value that the schema refused, in the words that its sentence is made of."""

    def __init__(self, detail: ErrorDetails) -> None:
        loc = detail["loc"]
        while loc and (isinstance(loc[-1], int) or loc[-1].startswith("<")):
            loc = loc[:-1]
        table = table_at(loc[:-1])
        self.kind, self.given, self.ctx = detail["type"], detail["input"], detail.get("ctx", {})
        self.key = str(loc[-1]) if loc else ""
        self.field = fields_of(table).get(self.key) if table else None
        self.path = key_path(detail["loc"])
        self.shown = shown(self.given)
        self.quoted = quoted(str(self.given))
        self.count = len(self.given) if isinstance(self.given, str | list) else 0
        self.bare = _without_quotes(self.given) if isinstance(self.given, str) else ""

    @property
    def sentence(self) -> str:
        """The whole sentence."""
        sentence = _SENTENCES.get(self.kind, _ANYTHING_ELSE)
        if self.kind == "tuple_type" and isinstance(self.given, dict) and self.key in _DOUBLE:
            sentence = "is one table; begin each entry with double brackets, [[{it.key}]]"
        elif self.kind.startswith("model_") and isinstance(self.given, list):
            sentence = "is a list; begin a single table with single brackets, [{it.path}]"
        return _OF_KEYS.get((self.key, self.kind), sentence).format(it=self)

    @property
    def in_unit(self) -> str:
        """The unit of the key."""
        unit = unit_of(self.key)
        return f" in {unit}" if unit else ""

    @property
    def the(self) -> str:
        """What the value should be, with its article."""
        words = (self.field.description if self.field else None) or "value"
        return words if words[0].isupper() else f"the {words}"

    @property
    def example(self) -> str:
        """`, for example key = value`, "" where the schema names none."""
        known = self.field.examples if self.field else None
        return f", for example {self.key} = {toml(known[0])}" if known and known[0] != [] else ""

    @property
    def entries(self) -> str:
        """The number of entries of a list."""
        return f"{self.count or 'no'} {'entry' if self.count == 1 else 'entries'}"

    @property
    def slug(self) -> str:
        """A name that is near to a refused one."""
        name = re.sub(r"[^a-z0-9._-]+", "-", str(self.given).lower()).strip("-._")
        return f", such as {quoted(name)}" if name else ""

    @property
    def choices(self) -> str:
        """What there is to choose from, and the nearest of it."""
        known = re.findall(r"'([^']*)'", self.ctx["expected"])
        text = self.given.lower() if isinstance(self.given, str) else ""
        near = [f", the nearest is {quoted(name)}" for name in get_close_matches(text, known, n=1)]
        return listed(list(map(quoted, known)), "or") + "".join(near)
