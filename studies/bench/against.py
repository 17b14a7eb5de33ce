"""A press record beside the path that was computed for its bar.

Only what both have by the same rule is set side by side: stiffness at the ram, offset loads of the
same shift, the peak where either fell, permanent set from the same load. The distance is in
standard deviations of both together: the record's, and the prediction's where its path has a band.
A rig whose own give is not taken out reads softer than the bar.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import hypot

from studies.bench.interval import COVERAGE, Measured
from studies.bench.reduction import Reduction
from studies.records.collapse import CollapseRecord, UnloadingRecord

SAME_SHIFT_MM, SAME_LOAD = 1e-6, 0.03
"""Of offset loads, and share of the load from which both were unloaded."""


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
        key: Of the figure in the path's band.
        name: In words.
        unit: Of all numbers.
        measured: The record's, with its interval.
        predicted: The prediction's.
        between: Its interval at 95 %, None where no band was traced.
        limit: Most that the case's test allows, None where it states none.
    """

    key: str
    name: str
    unit: str
    measured: Measured
    predicted: float
    between: tuple[float, float] | None = None
    limit: float | None = None

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
    return tuple(replace(one, between=_between(path, one.key)) for one in _compared(found, path))


def _compared(found: Reduction, path: CollapseRecord) -> Iterator[Compared]:
    if stiffness := _stiffness(path):
        yield Compared("stiffness", "Stiffness", "N/mm", found.line.slope, stiffness)
    for one in found.offsets:
        same = _offset_n(path, one.shift_mm)
        if one.load_n and same:
            name = f"Offset load, {one.shift_mm:g} mm"
            yield Compared(f"offset_load {one.shift_mm:.4g}", name, "N", one.load_n, same)
    if found.fell and path.limit_load_n:
        yield Compared("limit_load", "Peak load", "N", found.peak_n, path.limit_load_n)
    for loop in found.unloadings:
        level = _unloading(path, loop.from_n)
        if loop.set_mm and level:
            name = f"Permanent set from {loop.from_n:.0f} N"
            key = f"permanent_set {level.load_factor:g}"
            left, limit = level.permanent_set_mm or 0.0, level.limit_mm
            yield Compared(key, name, "mm", loop.set_mm, left, limit=limit)


def _between(path: CollapseRecord, key: str) -> tuple[float, float] | None:
    figures = path.band.figures if path.band else []
    return next(((one.low, one.high) for one in figures if one.key == key), None)


def _stiffness(path: CollapseRecord) -> float | None:
    """Return that of a ram, or of the first step along the loads, which is elastic."""
    if path.stiffness:
        return path.stiffness.ram_n_per_mm
    load, way = path.curve.load_n, path.curve.deflection_mm
    return load[0] / way[0] if load and way and way[0] > 0 else None


def _offset_n(path: CollapseRecord, shift_mm: float) -> float | None:
    shifts = (
        one.load_n
        for one in path.offsets
        if one.shift_mm is not None and abs(one.shift_mm - shift_mm) <= SAME_SHIFT_MM
    )
    return next(shifts, None)


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
