"""A press record beside the path that was computed for its bar.

Only what both have by the same rule is set side by side: stiffness at the ram, offset loads of the
same shift, the peak where either fell, permanent set from the same load. The distance is in
standard deviations of the record; the prediction's own band, of wall, yield and modulus, is not in
it, and a rig whose own give is not taken out reads softer than the bar.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from studies.bench.interval import COVERAGE, Measured
from studies.bench.reduction import Reduction
from studies.records.collapse import CollapseRecord

SAME_SHIFT_MM, SAME_LOAD = 1e-6, 0.03
"""Of offset loads, and share of the load from which both were unloaded."""


@dataclass(frozen=True)
class Prediction:
    """What was computed of a case before.

    Attributes:
        file: Its results.json.
        sha256: Of that file's bytes.
        study: Name of the study.
        case: Title of the case.
        path: Its path past yield.
    """

    file: str
    sha256: str
    study: str
    case: str
    path: CollapseRecord


@dataclass(frozen=True)
class Compared:
    """A figure of both: name and unit, the record's with its interval, and the prediction's."""

    name: str
    unit: str
    measured: Measured
    predicted: float

    @property
    def percent(self) -> float:
        """Return by how much the record lies above the prediction."""
        return 100 * (self.measured.value / self.predicted - 1)

    @property
    def deviations(self) -> float:
        """Return that in standard deviations of the record."""
        apart = self.measured.value - self.predicted
        return apart * COVERAGE / self.measured.half_width if self.measured.half_width else 0.0


def against(found: Reduction, prediction: Prediction) -> tuple[Compared, ...]:
    """Return what a record and a prediction both have."""
    return tuple(_compared(found, prediction.path))


def _compared(found: Reduction, path: CollapseRecord) -> Iterator[Compared]:
    if stiffness := _stiffness(path):
        yield Compared("Stiffness", "N/mm", found.line.slope, stiffness)
    for one in found.offsets:
        same = _offset_n(path, one.shift_mm)
        if one.load_n and same:
            yield Compared(f"Offset load, {one.shift_mm:g} mm", "N", one.load_n, same)
    if found.fell and path.limit_load_n:
        yield Compared("Peak load", "N", found.peak_n, path.limit_load_n)
    for loop in found.unloadings:
        left = _set_mm(path, loop.from_n)
        if loop.set_mm and left:
            yield Compared(f"Permanent set from {loop.from_n:.0f} N", "mm", loop.set_mm, left)


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


def _set_mm(path: CollapseRecord, from_n: float) -> float | None:
    sets = (
        one.permanent_set_mm
        for one in path.unloadings
        if one.reached and one.load_n and abs(one.load_n / from_n - 1) <= SAME_LOAD
    )
    return next(sets, None)
