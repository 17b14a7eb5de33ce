"""A bar as it lies on the table: what was measured on it, and within what.

Every "within" is half of the interval that holds the true value in 95 of 100: of a scale or gauge
that is its class or its last digit, whichever is more. Those of single readings do not depend on
each other; what a wall gauge errs by in all of them, such as a sound velocity that is not quite
that of the metal, is `wall_scale_within_percent`.
"""

from dataclasses import dataclass
from datetime import date

from geometry.limits import Range
from geometry.out_of_square import Side

_AT = Range(0, 5000, "mm", "give the distance from the clamp centre along the bar")
_THETA = Range(-360, 360, "deg", "give the angle round the tube, 0 on top, 90 in front")
_LENGTH = Range(30, 1500, "mm", "give the developed length from the clamp centre to the end")
SPECIMEN_LIMITS = {
    "mass_g": Range(5, 5000, "g", "give the mass on the scale, 150 to 700 commonly"),
    "mass_within_g": Range(0, 100, "g", "give that of the scale, 0.5 or 1 commonly"),
    "od_within_mm": Range(0, 1, "mm", "give that of the calliper, 0.03 commonly"),
    "bore_within_mm": Range(0, 1, "mm", "give that of the bore gauge, 0.03 commonly"),
    "wall_within_mm": Range(0, 1, "mm", "give that of the wall gauge, 0.05 commonly"),
    "wall_scale_within_percent": Range(0, 10, "%", "give that of the wall gauge, 0.5 commonly"),
    "length_within_mm": Range(0, 20, "mm", "give that of the developed length, 1 to 3 commonly"),
    "density_within_percent": Range(0, 10, "%", "give that of the alloy's density, 1 commonly"),
    "right_length_mm": _LENGTH,
    "left_length_mm": _LENGTH,
    "out_of_square_tolerance_mm": Range(
        0, 100, "mm", "give the most that an end may lie off, 2 commonly", above=True
    ),
}
READING_LIMITS = {
    "at_mm": _AT,
    "theta_deg": _THETA,
    "od_mm": Range(5, 250, "mm", "give the outer diameter in mm, 22.2 or 31.8 commonly"),
    "bore_mm": Range(1, 250, "mm", "give the bore in mm, 18 to 28 commonly"),
    "wall_mm": Range(0.1, 50, "mm", "give the wall thickness in mm, 1.2 to 3 commonly"),
    "within_mm": Range(0, 1, "mm", "give that of the wall gauge, 0.05 commonly", above=True),
}


@dataclass(frozen=True)
class DiameterReading:
    """An outer diameter: of the two points at `theta_deg` and opposite."""

    side: Side
    at_mm: float
    theta_deg: float
    od_mm: float


@dataclass(frozen=True)
class BoreReading:
    """A bore, read from the open end as deep as it is reached."""

    side: Side
    at_mm: float
    theta_deg: float
    bore_mm: float


@dataclass(frozen=True)
class WallReading:
    """A wall by a gauge on the outside; `within_mm` is that of the specimen where it is None."""

    side: Side
    at_mm: float
    theta_deg: float
    wall_mm: float
    within_mm: float | None = None


@dataclass(frozen=True)
class Instrument:
    """What a reading was taken with, and when it was last calibrated, None where unknown."""

    id: str
    kind: str
    calibrated: date | None = None


@dataclass(frozen=True)
class Specimen:
    """A certain bar.

    Attributes:
        id: Its mark.
        mass_g: On the scale, without grips, plugs or paint.
        mass_within_g: Of the scale.
        od_within_mm: Of the diameters in the study file, and of `diameters`.
        length_within_mm: Of the developed length, of the bar and of a half.
        density_within_percent: Of the metal's density.
        walls: Path of the walls that are to give the mass, None for all.
        diameters: Outer diameters at angles.
        bores: Bores at angles.
        bore_within_mm: Of the bores.
        wall_readings: Walls at angles.
        wall_within_mm: Of the walls.
        wall_scale_within_percent: Of all walls together.
        right_length_mm: Developed length of the right half, None where not measured.
        left_length_mm: That of the left half.
        out_of_square_tolerance_mm: Most that one end may lie off the mirror image of the other.
        instruments: What it was measured with.
        operator: Mark of who measured it.
    """

    id: str
    mass_g: float
    mass_within_g: float = 1.0
    od_within_mm: float = 0.04
    length_within_mm: float = 1.5
    density_within_percent: float = 1.0
    walls: str | None = None
    diameters: tuple[DiameterReading, ...] = ()
    bores: tuple[BoreReading, ...] = ()
    bore_within_mm: float = 0.05
    wall_readings: tuple[WallReading, ...] = ()
    wall_within_mm: float = 0.05
    wall_scale_within_percent: float = 0.5
    right_length_mm: float | None = None
    left_length_mm: float | None = None
    out_of_square_tolerance_mm: float | None = None
    instruments: tuple[Instrument, ...] = ()
    operator: str | None = None
