"""A case of the catalogue as its file writes it: parameters, tables, figures, limits, sources."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from geometry.limits import Range
from geometry.source import Source
from loadcases.axes import Axes
from loadcases.case import Cycle, Figure
from loadcases.load import Load
from loadcases.supports import Support

ParameterKind = Literal["number", "choice"]


@dataclass(frozen=True)
class Parameter:
    """What a study may set in a catalogue case.

    Attributes:
        name: Key in the study file, with its unit.
        meaning: What it is, in words.
        kind: "number" or "choice".
        default: Value where the study gives none; None makes the parameter required.
        choices: The words that a choice takes.
        unit: Unit of a number, "" for a pure one.
        limits: Range of a number.
        source: Where the default or the choices come from.
    """

    name: str
    meaning: str
    kind: ParameterKind
    default: float | str | None
    choices: tuple[str, ...]
    unit: str
    limits: Range
    source: Source

    @property
    def required(self) -> bool:
        """Return whether a study must give it."""
        return self.default is None


@dataclass(frozen=True)
class ChoiceTable:
    """A number for each word of a choice, such as a test force for each type of bicycle.

    Attributes:
        name: Name under which the mechanics read the number.
        meaning: What it is, in words.
        unit: Unit of the numbers.
        by: Name of the choice parameter.
        values: (word, number) for each word.
        source: Where the numbers come from.
    """

    name: str
    meaning: str
    unit: str
    by: str
    values: tuple[tuple[str, float], ...]
    source: Source


@dataclass(frozen=True)
class CaseTemplate:
    """A case of the catalogue before its parameters are known.

    Attributes:
        id: Catalogue id.
        title: In words.
        axes: What its forces are written in.
        place: Name of the figure or parameter that says how far from the end a load stands.
        source: Of the case as a whole.
        parameters: What a study may set.
        tables: Numbers that hang on a choice.
        figures: Numbers that are the same for all.
        limits: Requirements of the test.
        cycle: How it repeats, None for a load that comes once.
        notes: Sentences that belong to the case, its decisions among them.
        free: Whether it is of a bar that lies free of any clamp.
    """

    id: str
    title: str
    axes: Axes
    place: str
    source: Source
    parameters: tuple[Parameter, ...]
    tables: tuple[ChoiceTable, ...]
    figures: tuple[Figure, ...]
    limits: tuple[Figure, ...]
    cycle: Cycle | None
    notes: tuple[str, ...]
    free: bool = False


@dataclass(frozen=True)
class Given:
    """Every number and every word that the mechanics of a case may read, by name."""

    numbers: Mapping[str, float]
    choices: Mapping[str, str]


@dataclass(frozen=True)
class Built:
    """The result of a case's mechanics: loads, supports, and sentences on how they were built."""

    loads: tuple[Load, ...]
    notes: tuple[str, ...] = ()
    supports: tuple[Support, ...] = ()
    ram_force_n: float = 0.0


def read_template(case_id: str, table: Mapping[str, Any]) -> CaseTemplate:
    """Return the template that the table of a case file describes."""
    return CaseTemplate(
        id=case_id,
        title=table["title"],
        axes=table["axes"],
        place=table["place"],
        source=Source(**table["source"]),
        parameters=tuple(_parameter(*item) for item in table["parameters"].items()),
        tables=tuple(_choice_table(*item) for item in table.get("tables", {}).items()),
        figures=tuple(_figure(*item) for item in table.get("figures", {}).items()),
        limits=tuple(_figure(*item) for item in table.get("limits", {}).items()),
        cycle=_cycle(table["cycle"]) if "cycle" in table else None,
        notes=tuple(table["notes"]),
        free=table.get("free", False),
    )


def _parameter(name: str, table: Mapping[str, Any]) -> Parameter:
    default, unit = table.get("default"), table.get("unit", "")
    number = table["kind"] == "number"
    remedy = f"give {table['meaning']}" + (f", by default {default:g} {unit}" if number else "")
    return Parameter(
        name=name,
        meaning=table["meaning"],
        kind=table["kind"],
        default=float(table["default"]) if number else default,
        choices=tuple(table.get("choices", ())),
        unit=unit,
        limits=Range(table["low"], table["high"], unit, remedy.rstrip()) if number else Range(0),
        source=Source(**table["source"]),
    )


def _choice_table(name: str, table: Mapping[str, Any]) -> ChoiceTable:
    return ChoiceTable(
        name=name,
        meaning=table["meaning"],
        unit=table["unit"],
        by=table["by"],
        values=tuple((word, float(value)) for word, value in table["values"].items()),
        source=Source(**table["source"]),
    )


def _figure(name: str, table: Mapping[str, Any]) -> Figure:
    value = float(table["value"]) if "value" in table else None
    source = Source(**table["source"])
    return Figure(name, table["meaning"], value, table.get("unit", ""), source)


def _cycle(table: Mapping[str, Any]) -> Cycle:
    return Cycle(cycles=float(table["cycles"]), source=Source(**table["source"]))
