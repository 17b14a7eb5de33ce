"""The kinds of value that a study file holds, from the limits and choices of the mechanics.

What no mechanics reads, such as texts and the numbers of a sweep, has its limits here.
"""

import unicodedata
from functools import partial
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema

from geometry.bend_table import COORDINATE_LIMITS
from geometry.errors import Problem
from geometry.given_curve import STRAIN, STRESS
from geometry.limits import Range, number_problem
from loadcases.case import NAME_LENGTH, NAME_PATTERN
from loadcases.load import COMPONENT_LIMITS
from studies.study_file.format.table import broken, judged

TEXT_LENGTH = 200

#: These reorder the text round them, so a title could hide what it says.
_BIDI_CONTROLS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def number(limits: Range) -> tuple[Any, ...]:
    """Return what holds a number within limits, refused in their own words."""
    return (
        Field(strict=True, allow_inf_nan=False),
        AfterValidator(partial(_within, limits)),
        WithJsonSchema({"type": "number", **_bounds(limits)}),
    )


def whole(limits: Range) -> tuple[Any, ...]:
    """Return what holds a whole number within limits, refused in their own words."""
    return (
        BeforeValidator(_whole),
        Field(strict=True),
        AfterValidator(partial(_within, limits)),
        WithJsonSchema({"type": "integer", **_bounds(limits)}),
    )


def _within(limits: Range, value: float) -> float:
    problem = number_problem("", value, limits)
    return judged(value, [problem] if problem else [])


def _bounds(limits: Range) -> dict[str, float]:
    low = "exclusiveMinimum" if limits.above else "minimum"
    high = "exclusiveMaximum" if limits.below else "maximum"
    return {low: limits.low, high: limits.high}


def _plain_text(text: str) -> str:
    """Refuse characters that would reach a terminal or a page as commands."""
    for place, character in enumerate(text):
        kind = unicodedata.category(character)
        if kind in {"Cc", "Zl", "Zp"} or character in _BIDI_CONTROLS:
            sentence = (
                f"character {place + 1} is the control character U+{ord(character):04X}; "
                "write the text in one line of letters, digits and signs"
            )
            raise broken(Problem("", sentence))
    if not text.strip():
        raise broken(Problem("", "the text holds only blanks; write a few words"))
    return text


def _whole(value: object) -> object:
    """Let 1e5 stand for 100000, as people write numbers of cycles."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _of_length(count: int, words: str) -> BeforeValidator:
    def judge(value: object) -> object:
        if isinstance(value, (list, tuple)) and len(value) != count:
            raise broken(Problem("", f"{len(value)} numbers are given; give {words}"))
        return value

    return BeforeValidator(judge)


def _sweep_value(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise broken(Problem("", "a swept value is a number or a text; give one of them"))
    return value


_words = Field(strict=True, min_length=1, max_length=TEXT_LENGTH)
_name = Field(strict=True, min_length=1, max_length=NAME_LENGTH, pattern=NAME_PATTERN)

Text = Annotated[str, _words, AfterValidator(_plain_text)]
Name = Annotated[str, _name]
YesNo = Annotated[bool, Field(strict=True)]

_three = _of_length(3, "three, [x, y, z]")
_Coordinate = Annotated[float, *number(COORDINATE_LIMITS)]
_Force = Annotated[float, *number(COMPONENT_LIMITS["force_n"])]
_Moment = Annotated[float, *number(COMPONENT_LIMITS["moment_nmm"])]
Point = Annotated[tuple[_Coordinate, _Coordinate, _Coordinate], _three]
ForceVector = Annotated[tuple[_Force, _Force, _Force], _three]
MomentVector = Annotated[tuple[_Moment, _Moment, _Moment], _three]

_pair = _of_length(2, "two, [strain, stress in MPa]")
_Strain = Annotated[float, *number(STRAIN)]
_Stress = Annotated[float, *number(STRESS)]
CurvePoint = Annotated[tuple[_Strain, _Stress], _pair]

_ABOVE_ZERO = Range(0, 1e12, "", "give a number above zero", above=True)
Number = Annotated[float, *number(Range(-1e12, 1e12, "", "give a smaller number"))]
AboveZero = Annotated[float, *number(_ABOVE_ZERO)]
Constraint = Annotated[float, *number(Range(0, 1e6, "", "give a number above zero", above=True))]
SweepCount = Annotated[int, *whole(Range(2, 1000, "", "give the number of values"))]
Designs = Annotated[int, *whole(Range(2, 10_000, "", "give the number of samples"))]
Seed = Annotated[int, *whole(Range(0, 2**32 - 1, "", "give a whole number such as 1"))]
SweepValue = Annotated[
    Any, AfterValidator(_sweep_value), WithJsonSchema({"type": ["number", "string"]})
]

Acts = Literal["value", "factor", "shift"]
Mode = Literal["grid", "paired", "sampled"]
Sampler = Literal["latin-hypercube", "sobol"]
