"""The curves of a case as a table, for who cannot see a chart or wants its figures."""

from dataclasses import dataclass

import numpy as np

from studies.page.chart import significant
from studies.page.curves import Numbers

STEP_MM = 50.0
"""From one row to the next along the tube."""

DIGITS = 3


@dataclass(frozen=True)
class CurveTable:
    """Values of curves at places along the tube.

    Attributes:
        heads: What each column is, with its unit.
        rows: Place and values.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def curve_table(numbers: Numbers) -> CurveTable:
    """Return the values of curves at round places along the tube, from left to right."""
    s = numbers.s_mm
    first, last = np.ceil(s[0] / STEP_MM), np.floor(s[-1] / STEP_MM)
    places = STEP_MM * np.arange(first, last + 1)
    columns = [np.interp(places, s, values) for _, values in numbers.columns]
    rows = (
        (_place(at), *(significant(float(one[k]), DIGITS) for one in columns))
        for k, at in enumerate(places)
    )
    return CurveTable(tuple(name for name, _ in numbers.columns), tuple(rows))


def _place(s_mm: float) -> str:
    """Return a place as tables write it."""
    if s_mm == 0:
        return "0 mm"
    return f"{'R' if s_mm > 0 else 'L'} {abs(s_mm):.0f} mm"
