"""The part of results.json on the band of a path: what its inputs leave of it at 95 %."""

from pydantic import Field

from loadcases.uncertainty import Input
from studies.records.base import Record


class VariedRecord(Record):
    """The path with one input at the end of its interval."""

    input: Input
    factor: float = Field(description="On the input.")
    evidence: str = Field(description="What its interval rests on.")
    load_n: list[float] = Field(description="At the deflections of the band.")
    figures: dict[str, float] = Field(description="Those that this path has too, by their keys.")


class BandFigureRecord(Record):
    """A figure of the path with its interval."""

    key: str = Field(description="Stable name of the figure within its path.")
    name: str
    unit: str
    value: float
    low: float
    high: float
    terms: dict[Input, tuple[float, float]] = Field(
        description="What each input by itself leaves: downwards and upwards."
    )


class BandRecord(Record):
    """A path's band: the root of the sum of squares of what each input changes by itself."""

    deflection_mm: list[float]
    load_n: list[float] = Field(description="Of the path itself.")
    low_n: list[float]
    high_n: list[float]
    varied: list[VariedRecord]
    figures: list[BandFigureRecord]
