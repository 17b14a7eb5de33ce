"""The kinds of value that a study file holds; limits stand with the tables, see `Table.limits`."""

import re
import unicodedata
from datetime import date, datetime
from math import isfinite
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema

from geometry.errors import refuse
from loadcases.case import NAME_LENGTH, NAME_PATTERN
from studies.study_file.format.wording import quoted, shown

TEXT_LENGTH = 200

_LABEL = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
"""What a path can name beside numbers and `*`."""

#: These reorder the text round them, so a title could hide what it says.
_BIDI_CONTROLS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def _plain_text(text: str) -> str:
    """Refuse characters that would reach a terminal or a page as commands."""
    for place, character in enumerate(text):
        kind = unicodedata.category(character)
        if kind in {"Cc", "Zl", "Zp"} or character in _BIDI_CONTROLS:
            sentence = (
                f"character {place + 1} is the control character U+{ord(character):04X}; "
                "write the text in one line of letters, digits and signs"
            )
            raise refuse("", sentence)
    if not text.strip():
        raise refuse("", "the text holds only blanks; write a few words")
    return text


def _label(text: str) -> str:
    if not _LABEL.fullmatch(text):
        sentence = "which a path cannot name; begin with a letter and go on with letters, digits,"
        raise refuse("", f"is {quoted(text)}, {sentence} '_' or '-'")
    return text


def _whole(value: object) -> object:
    """Let 1e5 stand for 100000, as people write numbers of cycles."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _of_length(count: int, number: str, what: str, parts: str) -> BeforeValidator:
    def judge(value: object) -> object:
        if not isinstance(value, list | tuple):
            raise refuse("", f"is {shown(value)}; give {what}, {parts}")
        if len(value) != count:
            raise refuse("", f"{len(value)} numbers are given; give {number}, {parts}")
        return value

    return BeforeValidator(judge)


def _ascending(levels: tuple[float, float, float]) -> tuple[float, float, float]:
    if list(levels) != sorted(levels):
        raise refuse("", f"{list(levels)} does not ascend; give [low, middle, high]")
    return levels


def _sweep_value(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise refuse("", "a swept value is a number or a text; give one of them")
    if not isinstance(value, str) and not _is_finite(value):
        raise refuse("", f"a swept value is {shown(value)}; give a finite one, up to 1e308")
    return value


def _day(value: object) -> date:
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    try:
        return date.fromisoformat(value if isinstance(value, str) else "")
    except ValueError:
        raise refuse("", f"is {shown(value)}; give a day such as 2026-03-01") from None


def _name_or_number(value: object) -> object:
    if isinstance(value, str):
        return _label(value)
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise refuse("", f"is {shown(value)}; give a name in quotes, or a number of 1 or more")
    return value


def _is_finite(value: float) -> bool:
    try:
        return isfinite(value)
    except OverflowError:  # a whole number of hundreds of digits
        return False


_words = Field(strict=True, min_length=1, max_length=TEXT_LENGTH)
_name = Field(strict=True, min_length=1, max_length=NAME_LENGTH, pattern=NAME_PATTERN)

Text = Annotated[str, _words, AfterValidator(_plain_text)]
Name = Annotated[str, _name]
Label = Annotated[str, _words, AfterValidator(_label)]
YesNo = Annotated[bool, Field(strict=True)]
Real = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Whole = Annotated[int, BeforeValidator(_whole), Field(strict=True)]

Vector = Annotated[
    tuple[Real, Real, Real], _of_length(3, "three", "a list of three numbers", "[x, y, z]")
]
Levels = Annotated[
    tuple[Real, Real, Real],
    _of_length(3, "three", "a list of three numbers", "[low, middle, high]"),
    AfterValidator(_ascending),
]
CurvePoint = Annotated[tuple[Real, Real], _of_length(2, "two", "a pair", "[strain, stress in MPa]")]
SweepValue = Annotated[
    Any, AfterValidator(_sweep_value), WithJsonSchema({"type": ["number", "string"]})
]
NameOrNumber = Annotated[
    Any, AfterValidator(_name_or_number), WithJsonSchema({"type": ["string", "integer"]})
]
Day = Annotated[Any, AfterValidator(_day), WithJsonSchema({"type": "string", "format": "date"})]

Acts = Literal["value", "factor", "shift"]
SizeActs = Literal["value", "factor"]
Mode = Literal["grid", "paired", "sampled"]
Sampler = Literal["latin-hypercube", "sobol"]
