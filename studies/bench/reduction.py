"""The reduction of a press record: slope, offset loads, peak, set, energy, each with its 95 %.

Offset loads follow the path's own rule (`fea/collapse/curve.py`), so that a record and a path are
read alike.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from fea.collapse.curve import Curve, offset_at
from fea.collapse.reading import PathPoint
from geometry.arrays import Floats
from geometry.errors import refuse
from studies.bench.cleaning import Branch, Points
from studies.bench.compliance import compliance_of, errors_of
from studies.bench.interval import Errors, Line, Measured, force_terms, joined, line_of
from studies.bench.prepared import Prepared, prepared, smoothed
from studies.bench.readings import Readings
from studies.bench.rig import Rig
from studies.bench.slips import UP_TO, Slip, Slips, jumps
from studies.bench.slope_window import Window, window_of

SHIFT_MM = 1.0
"""Offset of the path's second rule (`studies/collapse/outcome.py`): practice, unsourced."""

UNLOADED = (0.12, 0.85)
"""Shares of the force at reversal between which the unloading's line is read: the toe lies below,
what is left of friction above."""

LEAST_UNLOADED = 4
CORRELATION = 0.9
"""Least share of a window's spread that its line explains."""

MOST_RESIDUAL_SLOPE = 3.0
FELL = 0.02
"""Share of the peak by which the force must fall while the travel grows to be a peak."""


@dataclass(frozen=True)
class OffsetLoad:
    """Where the curve crosses its slope shifted by some travel; None where the record ends before.

    `travel_mm` counts from the zero.
    """

    shift_mm: float
    load_n: Measured | None
    travel_mm: float | None


@dataclass(frozen=True)
class Unloaded:
    """An unloading: force and travel at its beginning, its line, and the permanent set.

    The set is None where too few points lie on the line; `line` of the file is the reversal's.
    """

    from_n: float
    from_mm: float
    line: int
    fitted: Line | None
    set_mm: Measured | None
    hysteresis_nmm: Measured | None


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
    fell, drop = _drop(ready, errors)
    return Reduction(
        rig,
        ready,
        errors,
        compliance,
        window,
        line,
        tuple(_offset(ready, line, errors, shift, part) for shift in shifts_mm),
        Measured(ready.peak_n, force_terms(ready.peak_n, errors)),
        float(ready.points.travel_mm[ready.peak_at] - line.zero.value),
        fell,
        drop,
        _work(ready.points.at(_to_the_end(ready)), errors),
        tuple(_unloadings(ready, line, errors, slips)),
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

    A slip below the window is no part of anything that is read, for zero and set count from there.
    """
    window, points, first = _window(ready), ready.points, ready.first
    force, travel = points.force_n[first.part], points.travel_mm[first.part]
    sizes, least_mm = jumps(force, travel, window.slope, ready.divisions)
    sizes[: window.start] = 0.0
    sizes[max(ready.peak_at - first.start, 0) :] = 0.0
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


def _envelope(ready: Prepared) -> tuple[Floats, Floats]:
    """Return travel and smoothed force (n,) of all loading beyond the travel of earlier loading."""
    travels, forces, furthest = list[Floats](), list[Floats](), -np.inf
    for branch in ready.branches:
        if branch.loading:
            travel = ready.points.travel_mm[branch.part]
            force = smoothed(ready.points.force_n[branch.part])
            new = travel > furthest
            travels.append(travel[new])
            forces.append(force[new])
            furthest = max(furthest, float(travel.max()))
    return np.concatenate(travels), np.concatenate(forces)


def _offset(
    ready: Prepared, line: Line, errors: Errors, shift_mm: float, straight: Points
) -> OffsetLoad:
    travel, force = _envelope(ready)
    # before the straight part the fixture beds in, which no offset is
    beyond = travel >= straight.travel_mm[0]
    along, force = travel[beyond] - line.zero.value, force[beyond]
    curve = Curve(along, force, np.zeros(len(along)), line.slope.value)
    point = offset_at(curve, shift_mm)
    if point is None:
        return OffsetLoad(shift_mm, None, None)
    load = Measured(point.factor, _offset_terms(curve, point, line, errors))
    return OffsetLoad(shift_mm, load, point.deflection)


def _offset_terms(curve: Curve, point: PathPoint, line: Line, errors: Errors) -> dict[str, float]:
    """Return the terms of an offset load, N.

    A steeper line crosses a flat curve at nearly the same load: dF = g |u| dk, g = k_t/(k - k_t).
    """
    k = line.slope.value
    tangent = min(max(_tangent(curve, point.deflection), 0.0), 0.9 * k)
    carried = tangent / (k - tangent) * abs(point.deflection)
    slope = {name: carried * term for name, term in line.slope.terms.items()}
    return joined(force_terms(point.factor, errors), slope)


def _tangent(curve: Curve, at: float) -> float:
    """Return the curve's slope about a travel, over a twentieth of it all and five points."""
    away = np.abs(curve.deflections - at)
    near = away <= max(np.ptp(curve.deflections) / 20, float(np.sort(away)[min(4, len(away) - 1)]))
    return float(np.polyfit(curve.deflections[near], curve.factors[near], 1)[0])


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
    return slice(ready.first.start, _with_peak(ready).stop)


def _work(points: Points, errors: Errors) -> Measured:
    """Return the work of the force along the travel, N mm, by trapezoids."""
    force, along = points.force_n, np.diff(points.travel_mm)
    work = float(np.sum((force[1:] + force[:-1]) / 2 * along))
    length = float(np.abs(np.sum(along)))
    terms = {
        "gauge": errors.gauge_n / sqrt(3) * length,
        "friction": abs(work) * errors.friction,
        "compliance": float(force.max()) ** 2 / 2 * errors.compliance_mm_per_n,
        "divisions": errors.divisions.force_n / sqrt(12) * length,
    }
    return Measured(work, terms)


def _unloadings(ready: Prepared, line: Line, errors: Errors, slips: Slips) -> Sequence[Unloaded]:
    pairs = zip(ready.branches, ready.branches[1:], strict=False)
    return [
        _unloaded(ready, up, down, line, errors, slips)
        for up, down in pairs
        if up.loading and not down.loading
    ]


def _unloaded(
    ready: Prepared, up: Branch, down: Branch, line: Line, errors: Errors, slips: Slips
) -> Unloaded:
    points = ready.points.at(down.part)
    start_n = float(smoothed(ready.points.force_n[up.part])[-1])
    start_mm = float(points.travel_mm[0] - line.zero.value)
    low, high = (share * start_n for share in UNLOADED)
    kept = (points.force_n > low) & (points.force_n < high)
    at = int(points.lines[0])
    if kept.sum() < LEAST_UNLOADED or np.ptp(points.force_n[kept]) < (high - low) / 3:
        return Unloaded(start_n, start_mm, at, None, None, None)
    fitted = line_of(points.travel_mm[kept], points.force_n[kept], errors)
    # a smaller slip than the least that is told looks like set
    terms = joined(line.zero.terms, fitted.zero.terms, {"slips": slips.least_mm / sqrt(12)})
    lasting = Measured(fitted.zero.value - line.zero.value, terms)
    loop = _work(ready.points.at(slice(up.start, down.stop)), errors)
    return Unloaded(start_n, start_mm, at, fitted, lasting, loop)
