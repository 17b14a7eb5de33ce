"""The study behind the error estimate of the peak stress: random bars against finer solutions.

From the root of the project, ten minutes of one core for 60 bars:

    PYTHONPATH=.:tests .venv/bin/python -m calibration.study 2

Seed 1 calibrated the factors, seed 2 judged them. Prints a line a bar, then the table.
"""

import sys
from collections.abc import Sequence

import numpy as np

from calibration.bars import setups
from calibration.solves import Row, row_of

BARS = 60
SMALLEST = 0.01
"""Percent, as which smaller true errors count in the overestimate."""


def coverage_percent(rows: Sequence[Row]) -> float:
    """Return in how many bars of a hundred the estimate is at least the true error."""
    return 100 * float(np.mean([row.parts.percent >= row.error for row in rows]))


def overestimate(rows: Sequence[Row]) -> float:
    """Return the median of estimate over true error."""
    return float(np.median([row.parts.percent / max(row.error, SMALLEST) for row in rows]))


def table(rows: Sequence[Row]) -> list[str]:
    """Return coverage and median overestimate of all bars, by place of the peak and by level."""
    groups = {"all": list(rows)}
    for row in rows:
        groups.setdefault(row.place, []).append(row)
    for row in rows:
        groups.setdefault(row.level, []).append(row)
    return [
        f"{name:<14}{len(group):>5}{coverage_percent(group):>7.0f} %{overestimate(group):>7.1f}"
        for name, group in groups.items()
    ]


def main(seed: int, count: int = BARS) -> None:
    """Print the rows of a seed, and the table."""
    rows = []
    for setup in setups(seed, count):
        row = row_of(setup)
        rows.append(row)
        parts = f"{row.parts.sheet_percent:7.2f}{row.parts.wall_percent:7.2f}"
        found = f"{row.error:7.2f}{row.parts.percent:7.2f}"
        print(f"{row.kind:<9}{row.level:<9}{row.place:<13}{found}{parts}", flush=True)
    print("\n".join(table(rows)))


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
