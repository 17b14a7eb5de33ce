"""A computed curve read as a record is: slope and zero over the record's window of force.

A tube under rollers is never quite straight: it dents. So a computed stiffness is taken between the
same forces as the measured one, its zero where that line has no force, and offset loads from there.

Source: the rule of the record's reduction, `studies.bench.reduction`; line by least squares.
"""

from dataclasses import dataclass

import numpy as np

from fea.collapse.curve import Curve, offset_at
from geometry.arrays import Floats
from studies.bench.slope_window import line_through

POINTS = 50
"""Between the ends of the window."""


@dataclass(frozen=True, eq=False)
class Read:
    """A computed curve as a record: slope, N/mm, zero, mm, and offset loads, N, by their shift.

    An offset load is left out where the curve ends before. `travel_mm` and `load_n` (n,) are the
    curve up to its largest load.
    """

    slope: float
    zero_mm: float
    offsets_n: dict[float, float]
    travel_mm: Floats
    load_n: Floats

    def more_set_mm(self, from_n: float, to_n: float) -> float:
        """Return what an unloading from another load leaves more: travel less what springs back.

        A curve that does not carry the other load tells nothing of it, so 0.
        """
        if to_n > self.load_n.max():
            return 0.0
        one, other = _travel_at(np.array([from_n, to_n]), self.travel_mm, self.load_n)
        return float(other - one) - (to_n - from_n) / self.slope


def read_by_window(
    travel_mm: Floats, load_n: Floats, window_n: tuple[float, float], shifts_mm: list[float]
) -> Read | None:
    """Return slope, zero and offset loads of a curve; None where it does not reach the window.

    Args:
        travel_mm: (n,) rising, from 0.
        load_n: (n,).
        window_n: Least and largest force of the record's straight part.
        shifts_mm: Of the offset loads.
    """
    top = int(np.argmax(load_n))
    low, high = window_n
    if load_n[top] < high or top == 0:
        return None
    force = np.linspace(low, high, POINTS)
    slope, intercept = line_through(
        _travel_at(force, travel_mm[: top + 1], load_n[: top + 1]), force
    )
    zero = -intercept / slope
    curve = Curve(travel_mm - zero, load_n, np.zeros(len(load_n)), slope)
    points = {shift: offset_at(curve, shift) for shift in shifts_mm}
    offsets = {shift: one.factor for shift, one in points.items() if one}
    return Read(slope, zero, offsets, travel_mm[: top + 1], load_n[: top + 1])


def _travel_at(force: Floats, travel_mm: Floats, load_n: Floats) -> Floats:
    found: Floats = np.interp(force, np.maximum.accumulate(load_n), travel_mm)
    return found
