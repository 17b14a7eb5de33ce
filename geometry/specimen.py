"""A bar as it lies on the table: what was measured on it, and within what.

Every "within" is half of the interval that holds the true value in 95 of 100: of a scale or gauge
that is its class or its last digit, whichever is more.
"""

from dataclasses import dataclass

from geometry.limits import Range

SPECIMEN_LIMITS = {
    "mass_g": Range(5, 5000, "g", "give the mass on the scale, 150 to 700 commonly"),
    "mass_within_g": Range(0, 100, "g", "give that of the scale, 0.5 or 1 commonly"),
    "od_within_mm": Range(0, 1, "mm", "give that of the calliper, 0.03 commonly"),
    "length_within_mm": Range(0, 20, "mm", "give that of the developed length, 1 to 3 commonly"),
    "density_within_percent": Range(0, 10, "%", "give that of the alloy's density, 1 commonly"),
}


@dataclass(frozen=True)
class Specimen:
    """A certain bar.

    Attributes:
        id: Its mark.
        mass_g: On the scale, without grips, plugs or paint.
        mass_within_g: Of the scale.
        od_within_mm: Of the diameters in the study file.
        length_within_mm: Of the developed length.
        density_within_percent: Of the metal's density.
        walls: Path of the walls that are to give the mass, None for all.
    """

    id: str
    mass_g: float
    mass_within_g: float = 1.0
    od_within_mm: float = 0.04
    length_within_mm: float = 1.5
    density_within_percent: float = 1.0
    walls: str | None = None
