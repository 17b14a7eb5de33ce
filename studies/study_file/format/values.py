"""The kinds of value that a study file holds, each with its limits.

The limits are wide: they catch a wrong unit (GPa for MPa, inches for mm) and
numbers that no bar can have, and leave the judgement to the checks of physics.
"""

import unicodedata
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from geometry.errors import Problem
from geometry.given_curve import STRAIN, STRESS
from geometry.limits import Range, number_problem

NAME_PATTERN = r"^[a-z0-9][a-z0-9._-]*$"
NAME_LENGTH = 64
TEXT_LENGTH = 200

#: These reorder the text round them, so a title could hide what it says.
_BIDI_CONTROLS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def broken(*problems: Problem) -> PydanticCustomError:
    """Return the error by which a rule of ours passes through the schema's validation."""
    pairs = [(problem.field, problem.sentence) for problem in problems]
    return PydanticCustomError("barwright", "rule", {"problems": pairs})


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


def _above(limits: Range) -> tuple[Any, ...]:
    """Return what holds a number above the low end of its limits, told in their own words."""

    def judge(value: float) -> float:
        if problem := number_problem("", value, limits):
            raise broken(problem)
        return value

    schema = {"type": "number", "exclusiveMinimum": limits.low, "maximum": limits.high}
    return Field(strict=True), AfterValidator(judge), WithJsonSchema(schema)


def _sweep_value(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise broken(Problem("", "a swept value is a number or a text; give one of them"))
    return value


def _number(*, ge: float | None = None, gt: float | None = None, le: float | None = None) -> Any:
    return Field(strict=True, allow_inf_nan=False, ge=ge, gt=gt, le=le)


_words = Field(strict=True, min_length=1, max_length=TEXT_LENGTH)
_name = Field(strict=True, min_length=1, max_length=NAME_LENGTH, pattern=NAME_PATTERN)

Text = Annotated[str, _words, AfterValidator(_plain_text)]
Name = Annotated[str, _name]
YesNo = Annotated[bool, Field(strict=True)]
Count = Annotated[int, BeforeValidator(_whole), Field(strict=True, ge=1, le=1_000_000_000)]
SweepCount = Annotated[int, BeforeValidator(_whole), Field(strict=True, ge=2, le=1000)]
SweepValue = Annotated[
    Any, AfterValidator(_sweep_value), WithJsonSchema({"type": ["number", "string"]})
]

Number = Annotated[float, _number(ge=-1e12, le=1e12)]
Place = Annotated[float, _number(ge=0, le=5000)]
SignedPlace = Annotated[float, _number(ge=-5000, le=5000)]
Radius = Annotated[float, _number(gt=0, le=5000)]
Diameter = Annotated[float, _number(ge=5, le=200)]
Wall = Annotated[float, _number(ge=0.1, le=50)]
Band = Annotated[float, _number(ge=2, le=500)]
ClampWidth = Annotated[float, _number(ge=5, le=3000)]
Blend = Annotated[float, _number(ge=0, le=100)]
Mass = Annotated[float, _number(ge=1, le=100_000)]
Turn = Annotated[float, _number(ge=-360, le=360)]
Roll = Annotated[float, _number(ge=-180, le=180)]
BendAngle = Annotated[float, _number(gt=0, le=360)]
SteererAngle = Annotated[float, _number(ge=30, le=90)]
Ovality = Annotated[float, _number(ge=0, le=100)]
Modulus = Annotated[float, _number(ge=1000, le=1_000_000)]
PoissonRatio = Annotated[float, _number(ge=0, le=0.49)]
Density = Annotated[float, _number(ge=500, le=25_000)]
Strength = Annotated[float, _number(ge=1, le=5000)]
TangentModulus = Annotated[float, _number(ge=0, le=500_000)]
Elongation = Annotated[float, _number(gt=0, le=100)]
Exponent = Annotated[float, _number(ge=2, le=200)]
NotchFactor = Annotated[float, _number(ge=1, le=5)]
Reliability = Annotated[float, _number(ge=0.5, le=1)]
LoadScale = Annotated[float, _number(gt=0, le=100)]
PathEnd = Annotated[float, _number(gt=0, le=1000)]
PathTurn = Annotated[float, _number(gt=0, le=180)]
Amplitude = Annotated[float, _number(ge=-100, le=100)]
BoltCount = Annotated[int, BeforeValidator(_whole), Field(strict=True, ge=1, le=16)]
Torque = Annotated[float, _number(gt=0, le=100)]
Thread = Annotated[float, _number(ge=2, le=20)]
NutFactor = Annotated[float, _number(ge=0.05, le=0.5)]
Scatter = Annotated[float, _number(ge=1, le=4)]
Friction = Annotated[float, _number(gt=0, le=1)]
GripStiffness = Annotated[float, _number(ge=1, le=10_000_000)]
Force = Annotated[float, _number(ge=-1_000_000, le=1_000_000)]
Moment = Annotated[float, _number(ge=-1e9, le=1e9)]

_three = _of_length(3, "three, [x, y, z]")

Point = Annotated[tuple[SignedPlace, SignedPlace, SignedPlace], _three]
ForceVector = Annotated[tuple[Force, Force, Force], _three]
MomentVector = Annotated[tuple[Moment, Moment, Moment], _three]

_pair = _of_length(2, "two, [strain, stress in MPa]")
TotalStrain = Annotated[float, *_above(STRAIN)]
CurveStress = Annotated[float, *_above(STRESS)]
CurvePoint = Annotated[tuple[TotalStrain, CurveStress], _pair]

Deviation = Annotated[float, _number(gt=0, le=1e12)]
Step = Annotated[float, _number(gt=0, le=1e12)]
Minimum = Annotated[float, _number(gt=0, le=1e6)]
Designs = Annotated[int, BeforeValidator(_whole), Field(strict=True, ge=2, le=10_000)]
Seed = Annotated[int, BeforeValidator(_whole), Field(strict=True, ge=0, le=2**32 - 1)]

CurveKind = Literal["engineering", "true"]
Acts = Literal["value", "factor", "shift"]
Mode = Literal["grid", "paired", "sampled"]
Sampler = Literal["latin-hypercube", "sobol"]
Side = Literal["left", "right"]
Axes = Literal["bar", "steerer", "gravity"]
ClampModel = Literal["elastic", "rigid"]
Pressure = Literal["uniform", "cosine"]
ImperfectionShape = Literal["ripple", "mode"]
MeshLevel = Literal["coarse", "standard", "fine"]
