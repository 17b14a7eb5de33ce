"""From the [specimen] table to the specimen."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from geometry.bar import Bar, nominal_od_mm
from geometry.errors import Problem
from geometry.specimen import (
    READING_LIMITS,
    BoreReading,
    DiameterReading,
    Instrument,
    Specimen,
    WallReading,
)
from loadcases.load import half_length_mm
from studies.study_file.format.specimen_tables import ReadingTable, SpecimenTable
from studies.study_file.format.table import judged

LEAST_WALL_MM = READING_LIMITS["wall_mm"].low

LISTS: dict[str, Any] = {
    "diameters": DiameterReading,
    "bores": BoreReading,
    "wall_readings": WallReading,
    "instruments": Instrument,
}


def specimen_of(table: SpecimenTable | None, bar: Bar) -> Specimen | None:
    """Return the specimen of a table.

    Raises:
        InputError: A reading lies beyond the end of the bar, or its tube would have no wall or no
            bore there.
    """
    if table is None:
        return None
    lists = {
        name: tuple(make(**dict(one)) for one in getattr(table, name))
        for name, make in LISTS.items()
    }
    return judged(Specimen(**{**dict(table), **lists}), [*_beyond(table, bar), *_solid(table, bar)])


def _beyond(table: SpecimenTable, bar: Bar) -> Iterator[Problem]:
    for name in ("diameters", "bores", "wall_readings"):
        for index, one in enumerate(getattr(table, name)):
            end_mm = half_length_mm(bar.line, one.side)
            if one.at_mm > end_mm:
                sentence = (
                    f"is {one.at_mm:g} mm, beyond the end of the {one.side} half at "
                    f"{end_mm:.1f} mm; give the distance along the tube from the clamp centre"
                )
                yield Problem(f"{name}[{index}].at_mm", sentence)


def _solid(table: SpecimenTable, bar: Bar) -> Iterator[Problem]:
    """Yield walls and bores that do not fit into the outside of the tube."""
    for index, wall in enumerate(table.wall_readings):
        outside = _outside_mm(table, bar, wall)
        if wall.wall_mm > outside / 2:
            sentence = (
                f"is {wall.wall_mm:g} mm, but the outside there is {outside:.4g} mm and its half "
                f"{outside / 2:.4g} mm; check the reading and its place"
            )
            yield Problem(f"wall_readings[{index}].wall_mm", sentence)
    for index, bore in enumerate(table.bores):
        outside = _outside_mm(table, bar, bore)
        if bore.bore_mm > outside - 2 * LEAST_WALL_MM:
            sentence = (
                f"is {bore.bore_mm:g} mm, but the outside there is {outside:.4g} mm and the wall "
                f"at least {LEAST_WALL_MM:g} mm; check the reading and its place"
            )
            yield Problem(f"bores[{index}].bore_mm", sentence)


def _outside_mm(table: SpecimenTable, bar: Bar, read: ReadingTable) -> float:
    """Return the largest diameter read at a place, else that of the file."""
    place = read.side, read.at_mm
    there = [one.od_mm for one in table.diameters if (one.side, one.at_mm) == place]
    s_mm = np.array(read.at_mm if read.side == "right" else -read.at_mm)
    return max(there) if there else float(nominal_od_mm(bar, s_mm))
