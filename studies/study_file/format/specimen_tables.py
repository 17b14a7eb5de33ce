"""The [specimen] table: a certain bar, as it was weighed and measured."""

from typing import ClassVar

from geometry.out_of_square import Side
from geometry.specimen import READING_LIMITS, SPECIMEN_LIMITS, Specimen
from studies.study_file.format import values as v
from studies.study_file.format.table import Table, key

MAX_READINGS = 200
MAX_INSTRUMENTS = 20


class ReadingTable(Table):
    """A reading at a place of the bar."""

    limits: ClassVar = READING_LIMITS

    side: Side = key("half that it is on", example="right")
    at_mm: v.Real = key("distance along the bar from the clamp centre", example=150)
    theta_deg: v.Real = key("angle round the tube, 0 on top, 90 in front", 0.0)


class DiameterTable(ReadingTable):
    """An outer diameter."""

    od_mm: v.Real = key("outer diameter", example=22.2)


class BoreTable(ReadingTable):
    """A bore."""

    bore_mm: v.Real = key("inner diameter", example=18.6)


class WallTable(ReadingTable):
    """A wall, by a gauge on the outside."""

    wall_mm: v.Real = key("wall thickness", example=1.6)
    within_mm: v.Real | None = key("half width of this reading at 95 %", None, 0.05)


class InstrumentTable(Table):
    """What was measured with."""

    id: v.Text = key("mark of the instrument", example="UT-1")
    kind: v.Text = key("kind of instrument", example="ultrasonic wall gauge")
    calibrated: v.Day | None = key("day of its calibration", None, "2026-03-01")


class SpecimenTable(Table):
    """A certain bar, as it was weighed and measured."""

    limits: ClassVar = SPECIMEN_LIMITS

    id: v.Text = key("mark of the specimen", example="HB-07")
    mass_g: v.Real = key("mass on the scale, without grips, plugs or paint", example=262.4)
    mass_within_g: v.Real = key("half width of the mass at 95 %", Specimen.mass_within_g)
    od_within_mm: v.Real = key("half width of the diameters at 95 %", Specimen.od_within_mm)
    length_within_mm: v.Real = key(
        "half width of the developed length at 95 %", Specimen.length_within_mm
    )
    density_within_percent: v.Real = key(
        "half width of the metal's density at 95 %", Specimen.density_within_percent
    )
    walls: v.Text | None = key(
        "path of the walls that are to give the mass, by default all",
        None,
        "bar.stations[2,3].wall_mm",
    )
    diameters: tuple[DiameterTable, ...] = key(
        "outer diameters at angles", (), max_length=MAX_READINGS
    )
    bores: tuple[BoreTable, ...] = key("bores at angles", (), max_length=MAX_READINGS)
    bore_within_mm: v.Real = key("half width of the bores at 95 %", Specimen.bore_within_mm)
    wall_readings: tuple[WallTable, ...] = key("walls at angles", (), max_length=MAX_READINGS)
    wall_within_mm: v.Real = key("half width of the walls at 95 %", Specimen.wall_within_mm)
    wall_scale_within_percent: v.Real = key(
        "half width of what all walls err by together at 95 %", Specimen.wall_scale_within_percent
    )
    right_length_mm: v.Real | None = key("developed length of the right half", None, 386)
    left_length_mm: v.Real | None = key("developed length of the left half", None, 386)
    out_of_square_tolerance_mm: v.Real | None = key(
        "most that one end may lie off the mirror image of the other", None, 2
    )
    instruments: tuple[InstrumentTable, ...] = key(
        "what it was measured with", (), max_length=MAX_INSTRUMENTS
    )
    operator: v.Text | None = key("mark of who measured it", None, "K2")
