"""A press record beside the path that was computed for its bar.

Only what both have by the same rule is set side by side: stiffness at the ram between the same
forces, offset loads from that line, the peak where either fell, permanent set from the same load,
counted from the line's zero. The distance is in
standard deviations of both together: the record's, and the prediction's where its path has a band.
A rig whose own give is not taken out reads softer than the bar.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import hypot

import numpy as np

from studies.bench.by_window import Read, read_by_window
from studies.bench.interval import COVERAGE, Measured
from studies.bench.reduction import Reduction
from studies.records.band import BandRecord
from studies.records.band_ends import joined, sides
from studies.records.collapse import CollapseRecord, UnloadingRecord

SAME_LOAD = 0.03
"""Share of the load within which both were unloaded from the same."""


@dataclass(frozen=True)
class Prediction:
    """What was computed of a case before.

    Attributes:
        file: Its results.json.
        sha256: Of that file's bytes.
        computed_at: When it was computed, UTC, by the clock of that machine.
        study: Name of the study.
        case: Title of the case.
        mass_g: Of the bar, weighed where it was.
        path: Its path past yield.
    """

    file: str
    sha256: str
    computed_at: str
    study: str
    case: str
    mass_g: float
    path: CollapseRecord


@dataclass(frozen=True)
class Compared:
    """A figure of both.

    Attributes:
        name: In words.
        unit: Of all numbers.
        measured: The record's, with its interval.
        predicted: The prediction's.
        others: That of each path with another input, in the band's order; empty without a band or
            where one of them lacks it.
        between: Interval of the prediction at 95 %, None without these.
        limit: Most that the case's test allows, None where it states none.
        hold_min: For which that test holds its load before, likewise.
    """

    name: str
    unit: str
    measured: Measured
    predicted: float
    others: tuple[float, ...] = ()
    between: tuple[float, float] | None = None
    limit: float | None = None
    hold_min: float | None = None

    @property
    def percent(self) -> float | None:
        """Return by how much the record lies above the prediction; None above nothing."""
        return 100 * (self.measured.value / self.predicted - 1) if self.predicted else None

    @property
    def half_width(self) -> float:
        """Return half of the prediction's interval on the record's side; 0 without a band."""
        if self.between is None:
            return 0.0
        low, high = self.between
        above = self.measured.value > self.predicted
        return high - self.predicted if above else self.predicted - low

    @property
    def deviations(self) -> float:
        """Return the distance in standard deviations of both."""
        width = hypot(self.measured.half_width, self.half_width)
        return (self.measured.value - self.predicted) * COVERAGE / width if width else 0.0


def against(found: Reduction, prediction: Prediction) -> tuple[Compared, ...]:
    """Return what a record and a prediction both have."""
    path = prediction.path
    own, varied = _read(found, path)
    return tuple(
        replace(one, between=_between(one, path.band))
        for one in (*_straight(found, own, varied), *_further(found, path, own, varied))
    )


def _read(found: Reduction, path: CollapseRecord) -> tuple[Read | None, list[Read | None]]:
    """Return the path, and those with other inputs, as the record was read."""
    force = found.straight.force_n
    window = float(force.min()), float(force.max())
    shifts = [one.shift_mm for one in found.offsets]

    def read(travel: Sequence[float], load: Sequence[float]) -> Read | None:
        return read_by_window(np.array(travel), np.array(load), window, shifts)

    if path.band:
        along = path.band.deflection_mm
        own = read(along, path.band.load_n)
        return own, [read(along, one.load_n) for one in path.band.varied]
    return read(*_loading(path)), []


def _loading(path: CollapseRecord) -> tuple[list[float], list[float]]:
    """Return travel and load of the path beyond all travel before, from zero on."""
    travel, load = [0.0], [0.0]
    steps = zip(path.curve.deflection_mm or [], path.curve.load_n or [], strict=True)
    for along, force in steps:
        if along > travel[-1]:
            travel.append(along)
            load.append(force)
    return travel, load


def _straight(
    found: Reduction, own: Read | None, varied: Sequence[Read | None]
) -> Iterator[Compared]:
    """Yield stiffness and offset loads, read off the path by the record's own window."""
    if own is None:
        return
    slopes = tuple(one.slope for one in varied if one)
    yield Compared("Stiffness", "N/mm", found.line.slope, own.slope, slopes)
    for one in found.offsets:
        same = own.offsets_n.get(one.shift_mm)
        if one.load_n and same:
            others = [each.offsets_n.get(one.shift_mm) for each in varied if each]
            loads = tuple(load for load in others if load)
            yield Compared(f"Offset load, {one.shift_mm:g} mm", "N", one.load_n, same, loads)


def _further(
    found: Reduction, path: CollapseRecord, own: Read | None, varied: Sequence[Read | None]
) -> Iterator[Compared]:
    """Yield peak and permanent sets, the latter from the zero of the record's window.

    A path that was unloaded from a little less or more is followed to the record's own load.
    """
    if found.fell and path.limit_load_n:
        others = _stored(path, "limit_load")
        yield Compared("Peak load", "N", found.peak_n, path.limit_load_n, others)
    for loop in found.unloadings:
        level = _unloading(path, loop.from_n)
        if loop.set_mm and level and level.load_n and own:
            name = f"Permanent set from {loop.from_n:.0f} N"
            loads = level.load_n, loop.from_n
            left = (level.permanent_set_mm or 0.0) + own.more_set_mm(*loads) - own.zero_mm
            stored = _stored(path, f"permanent_set {level.load_factor:g}")
            others = tuple(
                one + read.more_set_mm(*loads) - read.zero_mm
                for one, read in zip(stored, varied, strict=False)
                if read
            )
            measured = _at_unsure_load(loop.set_mm, own, loop.from_n, found.peak_n)
            row = Compared(name, "mm", measured, left, others, limit=level.limit_mm)
            yield replace(row, hold_min=level.hold_min)


def _at_unsure_load(measured: Measured, own: Read, from_n: float, peak: Measured) -> Measured:
    """Return a set with what the gauge leaves of the load that it was unloaded from.

    Where the curve is flat a little more load is much more set.
    """
    error_n = peak.half_width / COVERAGE * from_n / peak.value
    less = abs(own.more_set_mm(from_n, from_n - error_n))
    return replace(measured, terms={**measured.terms, "load at reversal": less})


def _stored(path: CollapseRecord, key: str) -> tuple[float, ...]:
    """Return a figure of each path with another input, as far as they have it."""
    varied = path.band.varied if path.band else []
    return tuple(one.figures[key] for one in varied if key in one.figures)


def _between(one: Compared, band: BandRecord | None) -> tuple[float, float] | None:
    if band is None or len(one.others) < len(band.varied):
        return None
    changes = [np.array([other - one.predicted]) for other in one.others]
    down, up = (
        float(joined(side)[0]) for side in sides([each.input for each in band.varied], changes)
    )
    return one.predicted - down, one.predicted + up


def _unloading(path: CollapseRecord, from_n: float) -> UnloadingRecord | None:
    """Return the unloading from about a load, whose set is known."""
    same = (
        one
        for one in path.unloadings
        if one.load_n
        and one.permanent_set_mm is not None
        and abs(one.load_n / from_n - 1) <= SAME_LOAD
    )
    return next(same, None)
