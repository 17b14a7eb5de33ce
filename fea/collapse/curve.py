"""Loads that are read from a path's curve, between its steps too.

Between two steps the load is a cubic over the deflection, with the slopes that Newton's first
tangents have there; a chord lies up to 0.5 % below it across the knee. Where a slope is not known
it is a chord. The plastic strain is a monotone cubic through its steps.

Offset loads are read from load and deflection alone: where the curve crosses a straight line of its
first slope that is shifted by a stated deflection.

Source: F. N. Fritsch & R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238, for the monotone cubic,
from memory; the other one by definition.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.interpolate import PchipInterpolator

from fea.collapse.reading import YIELD_STRAIN, PathPoint, Reading
from geometry.arrays import Floats

LIMIT_DROP = 1e-3
"""Share of the largest load by which it must fall before that counts as a limit load."""

UNRESOLVED = 0.5
"""Where a step ends further beside the tangents of its ends than this share of its load, its steps
do not resolve the curve, and it is taken straight."""

PIECES = 32
"""Straight pieces between two steps: within a thousandth of a chord's distance from the cubic."""


@dataclass(frozen=True, eq=False)
class Curve:
    """Points of a path: its start, its steps and points between them.

    Attributes:
        deflections: (n,) rising: mm, or rad where there are only moments.
        factors: (n,) of the case's loads.
        strains: (n,) averaged plastic strain.
        first_slope: Of the factor over the deflection at the start.
    """

    deflections: Floats
    factors: Floats
    strains: Floats
    first_slope: float


def envelope(path: Sequence[Reading]) -> list[Reading]:
    """Return the steps with a deflection beyond all earlier ones: the curve's envelope."""
    furthest, kept = -np.inf, []
    for reading in path:
        if reading.deflection > furthest:
            furthest = reading.deflection
            kept.append(reading)
    return kept


def curve_of(path: Sequence[Reading], end_slope: float | None = None) -> Curve:
    """Return the curve of a path's envelope.

    A path that does not have its start began with a bar that had not yielded.

    Args:
        path: Every step.
        end_slope: Slope of the factor after the last one, None where it is not known.

    Source: module docstring.
    """
    steps, slopes = _steps(path, end_slope)
    factors, deflections, strains = steps.T
    share = np.arange(PIECES) / PIECES
    along = [a + share * (b - a) for a, b in pairwise(deflections)]
    loads = [_cubic(share, steps[i : i + 2], *slopes[i : i + 2]) for i in range(len(steps) - 1)]
    dense, factors = (
        np.append(np.concatenate(pieces), last[-1])
        for pieces, last in ((along, deflections), (loads, factors))
    )
    first = slopes[0] or steps[1, 0] / steps[1, 1]
    return Curve(dense, factors, PchipInterpolator(deflections, strains)(dense), float(first))


def _steps(path: Sequence[Reading], end_slope: float | None) -> tuple[Floats, list[float | None]]:
    """Return factor, deflection and strain (k, 3) of start and envelope, and the slopes there."""
    after = [*(one.slope for one in path[1:]), end_slope]
    kept = {id(one) for one in envelope(path)}
    rows, slopes = [], list[float | None]()
    if (path[0].factor, path[0].deflection) != (0.0, 0.0):
        rows, slopes = [(0.0, 0.0, 0.0)], [path[0].slope]
    for one, slope in zip(path, after, strict=True):
        if id(one) in kept:
            rows.append((one.factor, one.deflection, one.strain.value))
            slopes.append(slope)
    return np.array(rows), slopes


def _cubic(share: Floats, ends: Floats, first: float | None, last: float | None) -> Floats:
    """Return the factors (n,) at shares of a step, by the slopes at its ends."""
    (low, start, _), (high, end, _) = ends.tolist()
    chord = high - low
    straight: Floats = low + share * chord
    if first is None or last is None:
        return straight
    # how far the ends of the tangents lie from the chord's
    rise, fall = first * (end - start) - chord, last * (end - start) - chord
    if max(abs(rise), abs(fall)) > UNRESOLVED * max(abs(low), abs(high)):
        return straight
    bent: Floats = share * (1 - share) * ((1 - share) * rise - share * fall)
    return straight + bent


def strained_at(curve: Curve, strain: float = YIELD_STRAIN) -> PathPoint | None:
    """Return where the averaged plastic strain first reaches `strain`, None if never."""
    return _crossing(curve, curve.strains - strain)


def offset_at(curve: Curve, shift: float) -> PathPoint | None:
    """Return where the curve crosses its first slope shifted by a deflection.

    None where the path ends before.

    Source: module docstring.
    """
    return _crossing(curve, curve.first_slope * (curve.deflections - shift) - curve.factors)


def limit_at(curve: Curve) -> PathPoint | None:
    """Return the largest load if the load fell after it, None if it was still rising."""
    top = top_of(curve)
    last = curve.factors[curve.deflections >= top.deflection].min()
    return top if last < top.factor * (1 - LIMIT_DROP) else None


def top_of(curve: Curve) -> PathPoint:
    """Return the largest load, whether a limit load or not."""
    highest = int(np.argmax(curve.factors))
    return PathPoint(float(curve.factors[highest]), float(curve.deflections[highest]))


def absorbed_energy_nmm(unit: float, path: Sequence[Reading]) -> float:
    """Return the work that the loads have done along the path, N mm.

    Args:
        unit: Sum of the loads at a factor of one, N or N mm.
        path: Every step.

    Source: work of a force, by trapezoids.
    """
    rows = [(0.0, 0.0), *((one.factor, one.deflection) for one in path)]
    factors, deflections = np.array(rows).T
    return unit * float(np.sum((factors[1:] + factors[:-1]) / 2 * np.diff(deflections)))


def _crossing(curve: Curve, over: Floats) -> PathPoint | None:
    """Return where `over` first reaches zero, straight between two points."""
    factors, deflections, reached = curve.factors, curve.deflections, np.flatnonzero(over >= 0)
    if not len(reached):
        return None
    i = int(reached[0])
    if i == 0:
        return PathPoint(float(factors[0]), float(deflections[0]))
    share = over[i - 1] / (over[i - 1] - over[i])
    factor, along = (one[i - 1] + share * (one[i] - one[i - 1]) for one in (factors, deflections))
    return PathPoint(float(factor), float(along))
