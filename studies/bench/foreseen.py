"""The curve that a test is expected to follow: load over travel, its band, and what is read off it.

A load is that of one place: of the ram, or the largest single force of the case, in N; of moments
alone the moment of one end, in N·m. Travel is the ram's, or the displacement along the loads, in
mm; of moments the rotation, in degrees.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, hypot
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from studies.records.case import CaseRecord, LoadPointRecord
from studies.records.collapse import CollapseRecord, OffsetRecord
from studies.records.parts import has_ram, own_points

LoadUnit = Literal["N", "N·m"]
TravelUnit = Literal["mm", "deg"]

FIXED_MM = 1.0
"""Shift of the offset load about which steps are finer: the path's second rule."""


@dataclass(frozen=True)
class Place:
    """A point of the curve, and what it is."""

    name: str
    load: float
    travel: float


@dataclass(frozen=True)
class Level:
    """A load from which the bar is unloaded, and the permanent set after it; None: not known."""

    load: float
    permanent_set: float | None


@dataclass(frozen=True, eq=False)
class Band:
    """Load between its bounds (n,) at travels (n,), at 95 %."""

    travel: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, eq=False)
class Foreseen:
    """A prediction.

    Attributes:
        load_unit: Of loads.
        travel_unit: Of travels.
        case_load: The load of the case itself.
        travel: (n,) rising from 0.
        load: (n,) at those.
        band: None where none was traced.
        straight_to: Load at which the linear run first yields, without bolt preload.
        top: Where the curve ends or is largest, None for a linear prediction.
        offset: Where it crosses its first slope shifted by 1 mm, None where that is not known.
        levels: Loads of unloadings.
    """

    load_unit: LoadUnit
    travel_unit: TravelUnit
    case_load: float
    travel: Floats
    load: Floats
    band: Band | None
    straight_to: float
    top: Place | None
    offset: Place | None
    levels: tuple[Level, ...]

    @property
    def traced(self) -> bool:
        """Return whether it is a path past yield."""
        return self.top is not None


def linear_foreseen(case: CaseRecord) -> Foreseen:
    """Return the straight line to first yield."""
    load, unit = reference(case)
    travel, travel_unit = _linear_travel(case, unit)
    ends = np.array([0.0, case.yield_factor])
    return Foreseen(
        load_unit=unit,
        travel_unit=travel_unit,
        case_load=load,
        travel=travel * ends,
        load=load * ends,
        band=None,
        straight_to=load * case.yield_factor,
        top=None,
        offset=None,
        levels=(),
    )


def path_foreseen(case: CaseRecord, path: CollapseRecord) -> Foreseen:
    """Return the curve of a path of the case past yield."""
    load, unit = reference(case)
    factor, travel = _envelope(path)
    return Foreseen(
        load_unit=unit,
        travel_unit="mm" if unit == "N" else "deg",
        case_load=load,
        travel=travel,
        load=load * factor,
        band=_band(path, load),
        straight_to=load * case.yield_factor,
        top=_top(path, load),
        offset=_offset(path, load),
        levels=tuple(
            Level(load * one.load_factor, _first(one.permanent_set_mm, one.permanent_set_deg))
            for one in path.unloadings
            if one.reached
        ),
    )


def reference(case: CaseRecord) -> tuple[float, LoadUnit]:
    """Return the load of the case itself, at one place, and its unit."""
    if case.supports and has_ram(case):
        return case.supports.ram_force_n, "N"
    points = own_points(case)
    if force := max(hypot(*one.force_n) for one in points):
        return force, "N"
    return max(_moments_nmm(points)) / 1000, "N·m"


def travel_at(foreseen: Foreseen, load: float) -> float | None:
    """Return the travel at which the curve first carries a load, None where it never does."""
    return _first_at(foreseen.travel, foreseen.load, load)


def travel_band(foreseen: Foreseen, load: float) -> tuple[float, float | None] | None:
    """Return between which travels a load is carried at 95 %; None where no band reaches it.

    The larger one is None where the band's lower bound never carries the load.
    """
    band = foreseen.band
    if band is None:
        return None
    least = _first_at(band.travel, band.high, load)
    return None if least is None else (least, _first_at(band.travel, band.low, load))


def load_band(foreseen: Foreseen, travel: float) -> tuple[float, float] | None:
    """Return between which loads the bar carries at a travel at 95 %; None without a band there."""
    band = foreseen.band
    if band is None or not len(band.travel) or travel > band.travel[-1]:
        return None
    low, high = (float(np.interp(travel, band.travel, side)) for side in (band.low, band.high))
    return low, high


def _moments_nmm(points: list[LoadPointRecord]) -> Iterator[float]:
    """Yield the moment of each side, of couples that add up there."""
    for side in {one.side for one in points}:
        parts = [one.moment_nmm for one in points if one.side == side]
        yield hypot(*map(sum, zip(*parts, strict=True)))


def _linear_travel(case: CaseRecord, unit: LoadUnit) -> tuple[float, TravelUnit]:
    """Return the travel of the linear run: conjugate to the loads, as that of a path is."""
    if has_ram(case):
        return case.deflection_mm, "mm"
    points = own_points(case)
    if unit == "N":
        return 2 * case.work_nmm / sum(hypot(*one.force_n) for one in points), "mm"
    turned = 2 * case.work_nmm / sum(hypot(*one.moment_nmm) for one in points)
    return degrees(turned), "deg"


def _envelope(path: CollapseRecord) -> tuple[Floats, Floats]:
    """Return factor and travel (n,) of start and of the steps beyond all earlier travel."""
    ways = path.curve.deflection_mm or path.curve.rotation_deg or []
    rows = [(0.0, 0.0)]
    for factor, way in zip(path.curve.load_factor, ways, strict=True):
        if way > rows[-1][1]:
            rows.append((factor, way))
    factors, travels = np.array(rows).T
    return factors, travels


def _band(path: CollapseRecord, load: float) -> Band | None:
    band = path.band
    if band is None or not path.curve.load_n:
        return None
    # the band's loads are sums over the places, as those of the path's curve
    share = load * path.curve.load_factor[-1] / path.curve.load_n[-1]
    travel, low, high = (np.array(one) for one in (band.deflection_mm, band.low_n, band.high_n))
    return Band(travel, share * low, share * high)


def _top(path: CollapseRecord, load: float) -> Place:
    """Return what ends the path, the nearest first."""
    for key, name in (
        ("bifurcation_from", "bifurcation"),
        ("limit_load", "limit load"),
        ("strain_limit_load", "strain limit"),
    ):
        if found := _place(path, key, name, load):
            return found
    found = _place(path, "max_load", "largest load of the path", load)
    return found or Place("start", 0.0, 0.0)


def _place(path: CollapseRecord, key: str, name: str, load: float) -> Place | None:
    factor = getattr(path, f"{key}_factor")
    way = _first(getattr(path, f"{key}_deflection_mm"), getattr(path, f"{key}_rotation_deg"))
    return None if factor is None or way is None else Place(name, load * factor, way)


def _offset(path: CollapseRecord, load: float) -> Place | None:
    for one in sorted(path.offsets, key=lambda one: one.shift_mm != FIXED_MM):
        way = _first(one.deflection_mm, one.rotation_deg)
        if one.load_factor is not None and way is not None:
            return Place(f"offset load, {_shift(one)}", load * one.load_factor, way)
    return None


def _shift(one: OffsetRecord) -> str:
    return f"{one.shift_mm:.3g} mm" if one.shift_mm is not None else f"{one.shift_deg:.3g} deg"


def _first(*values: float | None) -> float | None:
    return next((one for one in values if one is not None), None)


def _first_at(travel: Floats, load: Floats, wanted: float) -> float | None:
    """Return where loads (n,) over travels (n,) first reach one."""
    above = np.flatnonzero(load >= wanted * (1 - 1e-9))
    if not len(above):
        return None
    at = int(above[0])
    if at == 0:
        return float(travel[0])
    return float(np.interp(wanted, load[at - 1 : at + 1], travel[at - 1 : at + 1]))
