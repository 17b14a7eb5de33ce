"""Offset loads of a record, by the path's own rule, so that a record and a path are read alike.

Source: `fea/collapse/curve.py`.
"""

from dataclasses import dataclass

import numpy as np

from fea.collapse.curve import Curve, offset_at
from fea.collapse.reading import PathPoint
from geometry.arrays import Floats
from geometry.errors import InputError
from geometry.limits import Range, number_problem
from studies.bench.cleaning import Points
from studies.bench.interval import Errors, Line, Measured, force_terms, joined
from studies.bench.prepared import Prepared, smoothed

SHIFT_MM = 1.0
"""Offset of the path's second rule (`studies/collapse/outcome.py`): practice, unsourced."""


SHIFTS = Range(0.0, 1000.0, "mm", "give the travel by which the slope is shifted", above=True)


@dataclass(frozen=True)
class OffsetLoad:
    """Where the curve crosses its slope shifted by some travel; None where the record ends before.

    `travel_mm` counts from the zero.
    """

    shift_mm: float
    load_n: Measured | None
    travel_mm: float | None


def check_shift(shift_mm: float) -> None:
    """Refuse a shift that is none.

    Raises:
        InputError: It is not above zero, or larger than any press's travel.
    """
    if problem := number_problem("offset_mm", shift_mm, SHIFTS):
        raise InputError(problem)


def offset_load(
    ready: Prepared, line: Line, errors: Errors, shift_mm: float, straight: Points
) -> OffsetLoad:
    """Return the offset load of a shift, beyond the first of the points of the straight part."""
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
