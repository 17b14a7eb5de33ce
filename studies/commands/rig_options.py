"""Options that describe a ram and its gauge, as several commands take them."""

from pathlib import Path
from typing import Annotated

import typer

from geometry.errors import Problem, refuse

OTHER_NAMES = {"gauge_class_percent": "--gauge-class"}
"""Options that are not called like the field that they fill."""

BoreMm = Annotated[float | None, typer.Option(help="Bore of the ram, for a gauge of pressure.")]
AreaMm2 = Annotated[float | None, typer.Option(help="Or its area.")]
GaugeClass = Annotated[
    float | None, typer.Option(help="Class of the gauge, percent of full scale.")
]
FullScale = Annotated[float | None, typer.Option(help="Full scale of the gauge, in its unit.")]
Resolution = Annotated[
    float | None, typer.Option(help="Smallest step read off the gauge, in its unit.")
]
Friction = Annotated[
    str | None,
    typer.Option(
        metavar="LOW:HIGH",
        help="Friction of the ram's seals, percent of the force. [default: 0:5 for a gauge of "
        "pressure, from memory]",
    ),
]
RigPath = Annotated[
    Path | None,
    typer.Option(
        metavar="FILE", help="The press in a file, keys as these options. [default: none]"
    ),
]


def friction_band(text: str | None) -> tuple[float, float] | None:
    """Return the least and the largest friction, None where none is given.

    Raises:
        InputError: The text holds no two numbers.
    """
    if text is None:
        return None
    low, _, high = text.partition(":")
    try:
        return float(low), float(high)
    except ValueError:
        raise refuse(
            "friction_percent", f"is '{text}'; give the least and the largest friction as 0:5"
        ) from None


def by_option(problem: Problem) -> Problem:
    """Return a problem with the option in the place of the field that it fills."""
    from studies.bench.rig import Rig

    field = problem.field
    if field in {*Rig.__dataclass_fields__, "bore_mm", "offset_mm", "mass_g"}:
        field = OTHER_NAMES.get(field, f"--{field.replace('_', '-')}")
    return Problem(field, problem.sentence)
