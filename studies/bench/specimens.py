"""Press records of several specimens over each other: each figure, and each over the mass.

Two bars are compared as they were pressed: only figures that both records hold, none of which is
corrected for another set-up. Two differ where their distance is above two standard deviations of
both, taken as independent; bars pressed with one gauge share its error, so that is cautious. Sets
and loops are compared of unloadings from about the same load.
"""

from collections.abc import Sequence
from math import hypot
from typing import Literal

from pydantic import Field

from studies.bench.against import SAME_LOAD
from studies.bench.interval import COVERAGE
from studies.bench.record import PressRecord
from studies.bench.record_text import Found, stored_figures
from studies.records.base import Record

LETTERS = "ABCDEFGH"

BY_MASS = ("Stiffness", "Offset load", "Largest load", "Energy")
"""Figures by which bars are judged over their mass; a set or a loop is none of them."""


class SpecimenValueRecord(Record):
    """A figure of one specimen."""

    value: float
    half_width: float = Field(description="Of the 95 % interval.")
    per_gram: float | None = Field(description="Over its mass; null where that is not known.")
    percent: float | None = Field(description="Above that of the first specimen.")
    deviations: float | None = Field(description="That in standard deviations of both.")


class SpecimenFigureRecord(Record):
    """A figure of all specimens, null where a record has none."""

    name: str
    unit: str
    values: list[SpecimenValueRecord | None]


class PressedRecord(Record):
    """A specimen and its record."""

    letter: str
    id: str = Field(description="Of the specimen, else the record's file.")
    mass_g: float | None
    file: str
    sha256: str = Field(description="Of the record's bytes.")


class SpecimensRecord(Record):
    """What `barwright specimens` writes."""

    format: Literal["barwright-specimens"] = "barwright-specimens"
    format_version: Literal[1] = 1
    barwright_version: str
    specimens: list[PressedRecord]
    figures: list[SpecimenFigureRecord]


def specimens_record(records: Sequence[PressRecord], version: str) -> SpecimensRecord:
    """Return the figures of specimens beside each other, differences against the first."""
    tables = [{one.alike: one for one in stored_figures(record)} for record in records]
    masses = [record.specimen.mass_g for record in records]
    names = dict.fromkeys(name for table in tables for name in table)
    return SpecimensRecord(
        barwright_version=version,
        specimens=[
            PressedRecord(
                letter=letter,
                id=record.specimen.id or record.record.file,
                mass_g=record.specimen.mass_g,
                file=record.record.file,
                sha256=record.record.sha256,
            )
            for letter, record in zip(LETTERS, records, strict=False)
        ],
        figures=[_figure(name, [table.get(name) for table in tables], masses) for name in names],
    )


def _figure(
    name: str, found: Sequence[Found | None], masses: Sequence[float | None]
) -> SpecimenFigureRecord:
    first = found[0]
    unit = next(one.unit for one in found if one)
    values = [_value(one, mass, first) for one, mass in zip(found, masses, strict=True)]
    return SpecimenFigureRecord(name=name, unit=unit, values=values)


def _value(
    one: Found | None, mass_g: float | None, first: Found | None
) -> SpecimenValueRecord | None:
    if one is None or one.value is None:
        return None
    value, width = one.value.value / one.scale, one.value.half_width / one.scale
    percent = deviations = None
    if first and first.value and first is not one and _from_the_same(one, first):
        apart = one.value.value - first.value.value
        both = hypot(one.value.half_width, first.value.half_width) / COVERAGE
        percent = 100 * apart / first.value.value if first.value.value else None
        deviations = apart / both if both else None
    per_gram = value / mass_g if mass_g and one.alike.startswith(BY_MASS) else None
    return SpecimenValueRecord(
        value=value,
        half_width=width,
        per_gram=per_gram,
        percent=percent,
        deviations=deviations,
    )


def _from_the_same(one: Found, first: Found) -> bool:
    """Return whether two figures are of unloadings from about the same load, or of none."""
    if one.from_n is None or first.from_n is None:
        return True
    return abs(one.from_n - first.from_n) <= SAME_LOAD * first.from_n
