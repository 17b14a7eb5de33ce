"""The [bar.out_of_square] table: what was read at the end that deviates, or coordinates of it."""

from collections.abc import Iterator
from typing import ClassVar, Self

from pydantic import model_validator

from geometry.errors import Problem
from geometry.out_of_square import OUT_OF_SQUARE_LIMITS, OutOfSquare, Side
from geometry.table_datum import TABLE_LIMITS
from studies.study_file.format import values as v
from studies.study_file.format.table import Table, judged, key

DIFFERENCES = frozenset(OUT_OF_SQUARE_LIMITS)


class TableCoordinatesTable(Table):
    """Points of the centre line on a flat table: x about to the rider's right, y forward, z up."""

    limits: ClassVar = TABLE_LIMITS

    clamp_left_mm: v.Vector = key("left edge of the clamp zone", example=[-23, 0, 50])
    clamp_right_mm: v.Vector = key("right edge of the clamp zone", example=[23, 0, 50])
    left_end_mm: v.Vector = key("left end of the centre line", example=[-380, -37, 82])
    right_end_mm: v.Vector = key("right end of the centre line", example=[380, -37, 80])
    within_mm: v.Real | None = key("half width of each coordinate at 95 %", None, 0.05)


class OutOfSquareTable(Table):
    """How far one end lies off the mirror image of the other."""

    limits: ClassVar = OUT_OF_SQUARE_LIMITS

    side: Side = key("half that deviates", OutOfSquare.side)
    height_mm: v.Real = key(
        "height of its end above the mirror image of the other", OutOfSquare.height_mm
    )
    fore_aft_mm: v.Real = key(
        "way of its end forward of the mirror image of the other", OutOfSquare.fore_aft_mm
    )
    length_mm: v.Real = key(
        "way of its end outward of the mirror image of the other", OutOfSquare.length_mm
    )
    height_within_mm: v.Real | None = key("half width of the height at 95 %", None, 0.3)
    fore_aft_within_mm: v.Real | None = key("half width of the fore-aft at 95 %", None, 0.3)
    length_within_mm: v.Real | None = key("half width of the length at 95 %", None, 0.5)
    bend: v.NameOrNumber | None = key(
        "bend that takes it up, by name or number from the clamp; by default the least turns",
        None,
        2,
    )
    table_coordinates: TableCoordinatesTable | None = key(
        "points on a flat table, in place of the differences", None
    )

    @model_validator(mode="after")
    def _read_once(self) -> Self:
        return judged(self, tuple(_beside_coordinates(self)))


def _beside_coordinates(table: OutOfSquareTable) -> Iterator[Problem]:
    if table.table_coordinates is None:
        return
    for name in sorted(DIFFERENCES & table.model_fields_set):
        sentence = "stands beside table_coordinates, which give it; drop one of both"
        yield Problem(name, sentence)
