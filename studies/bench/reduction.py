"""The reduction of a press record: slope, offset loads, peak, set, energy, each with its 95 %."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from geometry.errors import refuse
from studies.bench.cleaning import Branch, Points
from studies.bench.compliance import compliance_of, errors_of
from studies.bench.interval import Errors, Line, Measured, force_terms, joined, line_of, scatter
from studies.bench.offset_load import SHIFT_MM, OffsetLoad, offset_load
from studies.bench.prepared import Prepared, prepared, smoothed
from studies.bench.readings import Readings
from studies.bench.rig import Rig
from studies.bench.slips import UP_TO, Slip, Slips, jumps
from studies.bench.slope_window import FEW, Window, window_of
from studies.bench.unloading import Unloaded, unloadings_of, work_nmm

CORRELATION = 0.9
"""Least share of a window's spread that its line explains."""

MOST_RESIDUAL_SLOPE = 3.0
TOE = 0.1
"""Share of the peak up to which a fixture beds in."""

FELL = 0.02
"""Share of the peak by which the force must fall while the travel grows to be a peak."""


@dataclass(frozen=True, eq=False)
class Reduction:
    """What a record says.

    Attributes:
        rig: The press.
        ready: The record as it was reduced: without slips and the rig's own give.
        errors: What the rig may err by.
        compliance_mm_per_n: Of the rig, None where no block was pressed.
        window: Straight part of the first loading, of its own indices.
        line: Its slope and zero.
        offsets: By each shift.
        peak_n: Largest force.
        peak_mm: Travel there, from the zero.
        fell: Whether the force fell after it; else the record turns back there.
        drop_n: From the peak to the end of that loading, None where it did not fall.
        energy_nmm: Up to the end of the loading.
        unloadings: In their order.
        slips: Jumps of travel.
        block: Record of the rigid block, None where none was pressed.
    """

    rig: Rig
    ready: Prepared
    errors: Errors
    compliance_mm_per_n: Measured | None
    window: Window
    line: Line
    offsets: tuple[OffsetLoad, ...]
    peak_n: Measured
    peak_mm: float
    fell: bool
    drop_n: Measured | None
    energy_nmm: Measured
    unloadings: tuple[Unloaded, ...]
    slips: Slips
    block: Readings | None

    @property
    def straight(self) -> Points:
        """Return the points of the window."""
        return _in_window(self.ready, self.window)

    @property
    def divisions_at_peak(self) -> float:
        """Return the largest force in divisions of the gauge; of one without steps infinite."""
        step = self.ready.divisions.force_n
        return self.ready.peak_n / step if step else np.inf


def reduce_record(
    readings: Readings,
    rig: Rig,
    block: Readings | None = None,
    shifts_mm: Sequence[float] = (SHIFT_MM,),
) -> Reduction:
    """Return what a record says.

    Args:
        readings: The record.
        rig: The press.
        block: Record of a rigid block in the same press, for its own give.
        shifts_mm: Shifts of the offset loads.

    Raises:
        InputError: The record cannot be reduced; the sentence says why.
    """
    compliance = compliance_of(block, rig) if block else None
    ready = _without_give(prepared(readings, rig), compliance)
    errors = errors_of(readings, rig, ready.divisions, compliance)
    ready, slips = _without_slips(ready)
    window = _window(ready)
    part = _in_window(ready, window)
    line = line_of(part.travel_mm, part.force_n, errors)
    errors = replace(errors, noise_n=scatter(part.travel_mm, part.force_n))
    fell, drop = _drop(ready, errors)
    return Reduction(
        rig,
        ready,
        errors,
        compliance,
        window,
        line,
        tuple(offset_load(ready, line, errors, shift, part) for shift in shifts_mm),
        _peak(ready, errors),
        float(ready.points.travel_mm[ready.peak_at] - line.zero.value),
        fell,
        drop,
        work_nmm(ready.points.at(_to_the_end(ready)), errors),
        tuple(unloadings_of(ready, line, errors, slips)),
        slips,
        block,
    )


def _without_give(ready: Prepared, compliance: Measured | None) -> Prepared:
    """Return the record without the rig's own give."""
    if compliance is None:
        return ready
    points = ready.points
    travel = points.travel_mm - compliance.value * points.force_n
    return replace(ready, points=Points(points.force_n, travel, points.lines))


def _window(ready: Prepared) -> Window:
    """Return the straight part of the first loading, refused where there is none."""
    points = ready.points.at(ready.first.part)
    found = window_of(points.travel_mm, points.force_n)
    if found is None:
        raise _no_line("its force does not rise with its travel")
    part = slice(found.start, found.stop)
    correlation = np.corrcoef(points.travel_mm[part], points.force_n[part])[0, 1]
    if correlation**2 < CORRELATION:
        raise _no_line(
            f"of the straightest part the line explains {100 * correlation**2:.0f} % and must "
            f"explain {100 * CORRELATION:.0f} %"
        )
    worst = max(found.quality.first_residual_slope, found.quality.last_residual_slope)
    if worst > MOST_RESIDUAL_SLOPE:
        raise _no_line(
            f"the straightest part bends: residual slope {worst:.1f}, at most "
            f"{MOST_RESIDUAL_SLOPE:g}"
        )
    return found


def _no_line(reason: str) -> Exception:
    return refuse(
        "RECORD",
        f"has no straight part to read a slope from ({reason}); check columns and rig, or read "
        "more points between a tenth and two thirds of the peak",
    )


def _in_window(ready: Prepared, window: Window) -> Points:
    return ready.points.at(ready.first.part).at(slice(window.start, window.stop))


def _without_slips(ready: Prepared) -> tuple[Prepared, Slips]:
    """Return the record without the slips of its first loading, and every jump.

    In the toe jumps are no slips; of few readings neither are those below the window. Nothing that
    is read rests on a slip there but the energy, for zero and set count from the window.
    """
    window, points, first = _window(ready), ready.points, ready.first
    force, travel = points.force_n[first.part], points.travel_mm[first.part]
    sizes, least_mm = jumps(force, travel, window.slope, ready.divisions)
    toe = int(np.argmax(force > TOE * ready.peak_n))
    sizes[: window.start if len(force) < FEW else min(toe, window.start)] = 0.0
    slips = tuple(_slip(ready, int(i), float(sizes[i])) for i in np.flatnonzero(sizes))
    back = np.zeros(len(points.travel_mm))
    for slip in slips:
        if slip.corrected:
            back[slip.after + 1 :] += slip.travel_mm
    moved = Points(points.force_n, points.travel_mm - back, points.lines)
    return replace(ready, points=moved), Slips(slips, least_mm)


def _slip(ready: Prepared, i: int, size_mm: float) -> Slip:
    after = ready.first.start + i
    force = float(ready.points.force_n[after])
    line = int(ready.points.lines[after + 1])
    return Slip(after, line, size_mm, force, force < UP_TO * ready.peak_n)


def _peak(ready: Prepared, errors: Errors) -> Measured:
    """Return the largest force; between two readings it may have risen by as much as before."""
    terms, at, part = force_terms(ready.peak_n, errors), ready.peak_at, _with_peak(ready).part
    force = smoothed(ready.points.force_n[part])
    inside = part.start < at < part.stop - 1
    rise = float(force[at - part.start] - force[at - part.start - 1]) if inside else 0.0
    return Measured(ready.peak_n, {**terms, "between readings": max(rise, 0.0) / sqrt(12)})


def _drop(ready: Prepared, errors: Errors) -> tuple[bool, Measured | None]:
    """Return whether the force fell while the travel grew, and from the peak to the end by what."""
    branch = _with_peak(ready)
    last = float(smoothed(ready.points.force_n[branch.part])[-1])
    drop = ready.peak_n - last
    if drop < max(FELL * ready.peak_n, 2 * ready.divisions.force_n):
        return False, None
    terms = joined(force_terms(ready.peak_n, errors), force_terms(last, errors))
    return True, Measured(drop, {**terms, "friction": drop * errors.friction})


def _with_peak(ready: Prepared) -> Branch:
    return next(b for b in ready.branches if b.loading and b.start <= ready.peak_at < b.stop)


def _to_the_end(ready: Prepared) -> slice:
    loading = _with_peak(ready)
    return slice(min(ready.first.start, loading.start), loading.stop)
