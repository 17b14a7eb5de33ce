"""Whether the loads of a case balance each other, as those of a free bar without supports must."""

from collections.abc import Iterator, Sequence

import numpy as np

from geometry.arrays import Floats
from geometry.centreline import CentreLine, locate
from geometry.errors import Problem
from loadcases.load import PlacedLoad

MAX_LEFT = 1e-6
"""Share of the largest load, or of its moment over the bar's length, that may be left."""

AXES = "xyz"


def resultant(loads: Sequence[PlacedLoad], line: CentreLine) -> tuple[Floats, Floats]:
    """Return force (3,) and moment (3,) about s = 0 of loads, N and N mm.

    Source: statics, M = r x F; textbook.
    """
    force, moment = np.zeros(3), np.zeros(3)
    for load in loads:
        place = locate(line, np.array(load.at_mm)).position_mm
        force += load.force_n
        moment += np.array(load.moment_nmm) + np.cross(place, load.force_n)
    return force, moment


def unbalanced(loads: Sequence[PlacedLoad], line: CentreLine) -> Iterator[Problem]:
    """Yield the force and moment that loads leave on a bar that nothing holds."""
    force, moment = resultant(loads, line)
    largest_n = max(float(np.linalg.norm(load.force_n)) for load in loads)
    largest_nmm = max(
        largest_n * (line.right_end_mm - line.left_end_mm),
        *(float(np.linalg.norm(load.moment_nmm)) for load in loads),
    )
    left = [
        *_parts(force, largest_n, "N along"),
        *_parts(moment, largest_nmm, "N·mm about"),
    ]
    if left:
        sentence = (
            f"leave {' and '.join(left)} on a bar that no clamp holds; add supports, or a load "
            "that balances it"
        )
        yield Problem("loads", sentence)


def _parts(total: Floats, largest: float, what: str) -> Iterator[str]:
    for axis, part in zip(AXES, total, strict=True):
        if abs(part) > MAX_LEFT * largest:
            yield f"{part:.6g} {what} {axis}"
