"""One sentence for each thing that the schema refuses, in words for the person at the bench."""

import re
from collections.abc import Callable, Iterator
from difflib import get_close_matches

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from geometry.errors import InputError, Problem
from studies.study_file.format.keys import UnknownKey, fields_of, table_at, unknown_key
from studies.study_file.format.wording import (
    key_path,
    listed,
    quoted,
    shown,
    toml,
    unit_of,
)

Place = tuple[str | int, ...]


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
    if detail["type"] == "barwright":
        found = (Problem(*pair) for pair in detail["ctx"]["problems"])
        yield from InputError(*found).within(path).problems
    else:
        say = _SAYINGS.get(detail["type"], _anything_else)
        yield Problem(path, say(detail))


def _unknown(detail: ErrorDetails) -> UnknownKey:
    return unknown_key(str(detail["loc"][-1]), table_at(detail["loc"][:-1]))


def _key(detail: ErrorDetails) -> str:
    """Return the key that a refused value stands under, "" at the top."""
    names = [p for p in detail["loc"] if isinstance(p, str) and not p.startswith("<")]
    return names[-1] if names else ""


def _table(detail: ErrorDetails) -> type[BaseModel] | None:
    """Return the table whose key holds the refused value."""
    loc = detail["loc"]
    while loc and (isinstance(loc[-1], int) or loc[-1].startswith("<")):
        loc = loc[:-1]
    return table_at(loc[:-1])


def _the(detail: ErrorDetails) -> str:
    """Return what the refused value should be, with its article."""
    table = _table(detail)
    field = fields_of(table).get(_key(detail)) if table else None
    words = (field.description if field else None) or "value"
    return words if words[0].isupper() else f"the {words}"


def _example(detail: ErrorDetails) -> str:
    """Return `, for example key = value`, "" where the schema names none."""
    table = _table(detail)
    field = fields_of(table).get(_key(detail)) if table else None
    if not field or not field.examples or field.examples[0] in ([], "[bar]"):
        return ""
    return f", for example {_key(detail)} = {toml(field.examples[0])}"


def _in_unit(detail: ErrorDetails) -> str:
    unit = unit_of(_key(detail))
    return f" in {unit}" if unit else ""


def _missing(detail: ErrorDetails) -> str:
    if _key(detail) == "bar":
        return "is missing; begin a table [bar] with material, stations and [bar.right]"
    if _key(detail) == "use":
        return (
            "is missing; give the id of a catalogue case (`barwright cases` lists them), "
            "or id and loads for a case of your own"
        )
    return f"is missing; give {_the(detail)}{_in_unit(detail)}{_example(detail)}"


def _no_number(detail: ErrorDetails) -> str:
    quotes = " without quotes" if isinstance(detail["input"], str) else ""
    what = "a whole number" if detail["type"].startswith("int") else "a number"
    return f"is {shown(detail['input'])}; give {what}{_in_unit(detail)}{quotes}"


def _not_finite(detail: ErrorDetails) -> str:
    return f"is {shown(detail['input'])}; give a finite number{_in_unit(detail)}"


def _no_text(detail: ErrorDetails) -> str:
    return f"is {shown(detail['input'])}; give a text in quotes{_example(detail)}"


def _empty_text(detail: ErrorDetails) -> str:
    return f"is empty; give {_the(detail)}{_example(detail)}"


def _long_text(detail: ErrorDetails) -> str:
    given, limit = len(detail["input"]), detail["ctx"]["max_length"]
    return f"has {given} characters; shorten it to at most {limit}"


def _no_name(detail: ErrorDetails) -> str:
    text = str(detail["input"])
    slug = re.sub(r"[^a-z0-9._-]+", "-", text.lower()).strip("-._")
    instead = f", such as {quoted(slug)}" if slug else ""
    return (
        f"is {quoted(text)}, which cannot be a file name; begin with a lower-case letter or digit "
        f"and go on with those, '.', '_' or '-'{instead}"
    )


def _no_choice(detail: ErrorDetails) -> str:
    choices = re.findall(r"'([^']*)'", detail["ctx"]["expected"])
    given = detail["input"]
    near = get_close_matches(given.lower(), choices, n=1) if isinstance(given, str) else []
    nearest = f", the nearest is {quoted(near[0])}" if near else ""
    return f"is {shown(given)}; choose {listed(list(map(quoted, choices)), 'or')}{nearest}"


def _no_list(detail: ErrorDetails) -> str:
    key, index = _key(detail), detail["loc"][-1]
    if key in {"cases", "levers", "spectrum", "sweep"} and isinstance(detail["input"], dict):
        return f"is one table; begin each entry with double brackets, [[{key}]]"
    if key == "stress_strain" and isinstance(index, int):
        return f"is {shown(detail['input'])}; give a pair, [strain, stress in MPa]"
    if isinstance(index, int):
        return f"is {shown(detail['input'])}; give a list of three numbers, [x, y, z]"
    return f"is {shown(detail['input'])}; give a list{_example(detail)}"


def _no_table(detail: ErrorDetails) -> str:
    key = _key(detail)
    if key == "material":
        return (
            f"is {shown(detail['input'])}; give a catalogue id in quotes or a table [bar.material]"
        )
    if isinstance(detail["input"], list):
        return f"is a list; begin a single table with single brackets, [{key_path(detail['loc'])}]"
    return f"is {shown(detail['input'])}; give a table of keys and values"


def _long_list(detail: ErrorDetails) -> str:
    limit, given = detail["ctx"]["max_length"], detail["ctx"].get("actual_length")
    count = given or len(detail["input"])
    return f"holds {count} entries; the limit is {limit}, so shorten the list"


def _short_list(detail: ErrorDetails) -> str:
    limit, given = detail["ctx"]["min_length"], len(detail["input"])
    return f"holds {given or 'no'} {'entry' if given == 1 else 'entries'}; give at least {limit}"


def _no_yes_or_no(detail: ErrorDetails) -> str:
    return f"is {shown(detail['input'])}; give true or false"


def _anything_else(detail: ErrorDetails) -> str:
    return f"is {shown(detail['input'])}, not {_the(detail)}; see `barwright schema study`"


def _no_key(detail: ErrorDetails) -> str:
    return _unknown(detail).sentence


_SAYINGS: dict[str, Callable[[ErrorDetails], str]] = {
    "missing": _missing,
    "extra_forbidden": _no_key,
    "float_type": _no_number,
    "int_type": _no_number,
    "int_from_float": _no_number,
    "finite_number": _not_finite,
    "string_type": _no_text,
    "string_too_short": _empty_text,
    "string_too_long": _long_text,
    "string_pattern_mismatch": _no_name,
    "literal_error": _no_choice,
    "tuple_type": _no_list,
    "model_type": _no_table,
    "model_attributes_type": _no_table,
    "too_long": _long_list,
    "too_short": _short_list,
    "bool_type": _no_yes_or_no,
}
