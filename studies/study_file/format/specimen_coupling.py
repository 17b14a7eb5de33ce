"""From the [specimen] table to the specimen."""

from collections.abc import Iterator
from typing import Any

from geometry.bar import Bar
from geometry.errors import Problem
from geometry.specimen import BoreReading, DiameterReading, Instrument, Specimen, WallReading
from loadcases.load import half_length_mm
from studies.study_file.format.specimen_tables import SpecimenTable
from studies.study_file.format.table import judged

LISTS: dict[str, Any] = {
    "diameters": DiameterReading,
    "bores": BoreReading,
    "wall_readings": WallReading,
    "instruments": Instrument,
}


def specimen_of(table: SpecimenTable | None, bar: Bar) -> Specimen | None:
    """Return the specimen of a table.

    Raises:
        InputError: A reading lies beyond the end of the bar.
    """
    if table is None:
        return None
    lists = {
        name: tuple(make(**dict(one)) for one in getattr(table, name))
        for name, make in LISTS.items()
    }
    return judged(Specimen(**{**dict(table), **lists}), _beyond(table, bar))


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
