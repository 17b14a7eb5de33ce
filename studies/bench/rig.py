"""The press and its gauge, as the person at it describes them."""

from dataclasses import dataclass
from math import pi

from geometry.errors import InputError, Problem, refuse
from geometry.limits import Range, limit_problems, unknown_name
from studies.bench.units import FACTORS, GAUGE_UNITS, Kind, kind_of

SEALS_PERCENT = (0.0, 5.0)
"""Friction of a ram's seals where nothing is given: from memory, unverified."""


@dataclass(frozen=True)
class Rig:
    """What a record does not say by itself; None is what is not known.

    Attributes:
        force_column: Head, part of it, or number from 1, of the column with the gauge's reading.
        travel_column: Likewise of the ram's travel.
        force_unit: Of the gauge: bar, psi, MPa, kPa, kgf/cm2, N, kN, kgf or lbf.
        travel_unit: mm, cm or in.
        area_mm2: Of the ram, where the gauge reads pressure.
        gauge_class_percent: Largest error of the gauge in percent of its full scale.
        full_scale: Of the gauge, in its unit.
        resolution: Smallest step that is read off it, in its unit.
        travel_resolution_mm: Smallest step of travel.
        friction_percent: Least and largest friction of the ram's seals, in percent of the force.
    """

    force_column: str | None = None
    travel_column: str | None = None
    force_unit: str | None = None
    travel_unit: str | None = None
    area_mm2: float | None = None
    gauge_class_percent: float | None = None
    full_scale: float | None = None
    resolution: float | None = None
    travel_resolution_mm: float | None = None
    friction_percent: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Refuse numbers and units that no press has, all of them together.

        Raises:
            InputError: One sentence for each.
        """
        problems = [*limit_problems(self, LIMITS), *_unit_problems(self), *_friction_problems(self)]
        if self.gauge_class_percent is not None and self.full_scale is None:
            problems.append(
                Problem("full_scale", "is not given; a gauge's class is a share of its full scale")
            )
        if problems:
            raise InputError(*problems)


LIMITS = {
    "area_mm2": Range(1.0, 1e6, "mm²", "give the area or bore of the ram that the gauge feeds"),
    "gauge_class_percent": Range(0.0, 10.0, "%", "give the class printed on the gauge"),
    "full_scale": Range(0.0, above=True, remedy="give the gauge's full scale in its own unit"),
    "resolution": Range(0.0, above=True, remedy="give the smallest step read off the gauge"),
    "travel_resolution_mm": Range(0.0, 5.0, "mm", "give the smallest step of travel", above=True),
}

_SHARES = Range(0.0, 30.0, "%", "give the least and the largest friction as 0:5")


def bore_area_mm2(bore_mm: float) -> float:
    """Return the area of a round ram, mm2.

    Raises:
        InputError: No ram has this bore.
    """
    if not 1.0 <= bore_mm <= 1000.0:
        raise refuse("bore_mm", f"is {bore_mm:g} mm but must be 1 to 1000 mm; correct the number")
    return pi * bore_mm**2 / 4


def force_factor_n(rig: Rig, unit: str) -> float:
    """Return the force of one unit of the gauge, N.

    Raises:
        InputError: The gauge reads pressure, and the ram's area is not given.
    """
    if kind_of(unit) == "force":
        return FACTORS["force"][unit]
    if rig.area_mm2 is None:
        raise refuse(
            "area_mm2",
            f"is not given, and the gauge reads {unit}; give --bore-mm or --area-mm2 of the ram",
        )
    return FACTORS["pressure"][unit] * rig.area_mm2


def friction_of(rig: Rig, unit: str) -> tuple[float, float]:
    """Return least and largest friction of the seals as shares of the force.

    Of a gauge that reads force they are nothing, for it stands beside the bar and not behind seals.
    """
    default = SEALS_PERCENT if kind_of(unit) == "pressure" else (0.0, 0.0)
    low, high = rig.friction_percent or default
    return low / 100, high / 100


def _unit_problems(rig: Rig) -> list[Problem]:
    given: tuple[tuple[str, str | None, tuple[str, ...]], ...] = (
        ("force_unit", rig.force_unit, GAUGE_UNITS),
        ("travel_unit", rig.travel_unit, units_of("travel")),
    )
    return [
        unknown_name(field, "unit of it", unit, units)
        for field, unit, units in given
        if unit is not None and unit not in units
    ]


def _friction_problems(rig: Rig) -> list[Problem]:
    low, high = rig.friction_percent or (0.0, 0.0)
    if _SHARES.low <= low <= high <= _SHARES.high:
        return []
    sentence = f"is {low:g} to {high:g} % but must rise within 0 to 30 %; {_SHARES.remedy}"
    return [Problem("friction_percent", sentence)]


def units_of(kind: Kind) -> tuple[str, ...]:
    """Return the names of the units of a kind."""
    return tuple(FACTORS[kind])
