"""Which units a command prints: SI, or SI with inch units beside.

The choice is a command's option and holds for what that command prints: all its sentences and
tables go through this file, so none of the functions between has to hand it on.
"""

from collections.abc import Iterator, Sequence
from contextvars import ContextVar
from enum import StrEnum
from typing import Annotated

import typer

from studies.records.units import COUNTERPARTS, beside, counterparts, replaced, unit_at_end


class Units(StrEnum):
    """Units of what is printed."""

    SI = "si"
    INCH = "inch"


_PRINTED: ContextVar[Units] = ContextVar("units", default=Units.SI)


def _chosen(units: Units) -> Units:
    _PRINTED.set(units)
    return units


PrintUnits = Annotated[
    Units,
    typer.Option(
        "--units",
        callback=_chosen,
        help="With inch, print in, lbf and ksi beside SI; files, JSON and pages stay SI, a gauge "
        "keeps its unit.",
    ),
]


def in_inches() -> bool:
    """Return whether inch units are printed beside SI."""
    return _PRINTED.get() is Units.INCH


def shown(text: str) -> str:
    """Return a sentence as it is printed, its quantities with their units in words."""
    return beside(text) if in_inches() else text


def shown_bare(numbers: str, unit: str) -> str:
    """Return numbers whose unit is not printed, for others of that unit stand before them."""
    if not in_inches() or unit not in COUNTERPARTS:
        return numbers
    return f"{numbers} ({counterparts(numbers, unit)} {COUNTERPARTS[unit][0]})"


def shown_within(numbers: str, unit: str) -> str:
    """Return such numbers as they are printed within brackets."""
    if not in_inches():
        return numbers
    return f"{numbers}, {counterparts(numbers, unit)} {COUNTERPARTS[unit][0]}"


def second_line(text: str) -> str:
    """Return what stands below a cell with words: the same in inch units, empty without any."""
    other = replaced(text)
    return other if in_inches() and other != text else ""


def inch_rows(units: Sequence[str], cells: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """Yield the row below a row of numbers with their SI units, none where SI alone is printed.

    A cell that is its own unit becomes the inch one; one without a unit to convert is empty.
    """
    if in_inches():
        yield tuple(_inch_cell(unit, cell) for unit, cell in zip(units, cells, strict=True))


def _inch_cell(unit: str, cell: str) -> str:
    """Return the first number of a cell, in its place, in inch units; `unit` is its column's."""
    known, number = unit_at_end(unit.partition(" ")[0]), cell.partition(" ")[0]
    if known is None:
        return ""
    other = COUNTERPARTS[known][0] if cell == unit else counterparts(number, known)
    return other + " " * (len(cell) - len(number))
