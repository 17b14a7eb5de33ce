"""What a specimen's readings come to as a whole: its two mean walls, and whether it is square."""

from dataclasses import dataclass
from math import hypot
from typing import Literal

import numpy as np

from geometry.bar import Bar, nominal_wall_mm
from geometry.out_of_square import OutOfSquare
from geometry.round_fit import SIGMAS
from geometry.specimen import Specimen
from studies.study_file.as_measured import walls_as_read
from studies.study_file.readings import LEAST_WITHIN_MM, WallPlace
from studies.study_file.study import Study
from studies.study_file.wall_from_mass import WallFromMass, with_factor

Squareness = Literal["inside", "outside", "undecided"]


@dataclass(frozen=True)
class TwoWalls:
    """The mean wall of the bar by readings and by mass, over its developed length.

    Attributes:
        read_mm: By the readings.
        read_within_mm: Half of its 95 % interval: of the places read, not of those between.
        mass_mm: By the mass.
        mass_within_mm: Half of its interval.
    """

    read_mm: float
    read_within_mm: float
    mass_mm: float
    mass_within_mm: float

    @property
    def deviations(self) -> float:
        """Return how far they lie apart, in standard deviations of their difference."""
        within = max(hypot(self.read_within_mm, self.mass_within_mm), LEAST_WITHIN_MM)
        return abs(self.read_mm - self.mass_mm) * SIGMAS / within


def two_walls(
    study: Study, specimen: Specimen, walls: tuple[WallPlace, ...], by_mass: WallFromMass
) -> TwoWalls:
    """Return both mean walls of a specimen.

    Raises:
        StudyError: The walls read are not possible.
    """
    read_mm = _mean_mm(walls_as_read(study, walls).bar)
    mass_mm, thicker = (
        _mean_mm(with_factor(study, by_mass.factor + more).bar) for more in (0.0, by_mass.within)
    )
    return TwoWalls(read_mm, _within(specimen, walls) * read_mm, mass_mm, thicker - mass_mm)


def squareness(read: OutOfSquare, tolerance_mm: float) -> Squareness:
    """Return whether every difference of the ends lies inside a tolerance, whatever the interval.

    A difference without an interval counts by itself.
    """
    pairs = (
        (read.height_mm, read.height_within_mm),
        (read.fore_aft_mm, read.fore_aft_within_mm),
        (read.length_mm, read.length_within_mm),
    )
    if any(abs(value) - (within or 0.0) > tolerance_mm for value, within in pairs):
        return "outside"
    if all(abs(value) + (within or 0.0) <= tolerance_mm for value, within in pairs):
        return "inside"
    return "undecided"


def _mean_mm(bar: Bar) -> float:
    s = np.linspace(bar.line.left_end_mm, bar.line.right_end_mm, 4001)
    return float(nominal_wall_mm(bar, s).mean())


def _within(specimen: Specimen, walls: tuple[WallPlace, ...]) -> float:
    """Return half of the relative interval of the mean of all places."""
    gauge = specimen.wall_scale_within_percent / 100
    shared = [0.0 if one.by_bore else gauge for one in walls]
    own = (
        max(0.0, (one.fit.mean_within / one.fit.mean) ** 2 - together**2)
        for one, together in zip(walls, shared, strict=True)
    )
    # what all walls by the gauge err by together does not get less with their number
    return hypot(sum(own) ** 0.5, sum(shared)) / len(walls)
