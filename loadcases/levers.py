"""The clamps of control levers: like a stem's, at another place, and holding nothing up."""

from dataclasses import dataclass

import numpy as np

from geometry.centreline import CentreLine
from geometry.errors import InputError, Problem
from loadcases.bolts import Bolts, bolt_problems
from loadcases.clamp import Clamp
from loadcases.load import Load, Side, load_problems, place_load

_ANY_FORCE = (0.0, 0.0, -1.0)


@dataclass(frozen=True)
class LeverClamp:
    """A lever's clamp on the bar.

    Attributes:
        at_mm: Signed arc length of its middle.
        width_mm: Clamped length.
        bolts: What closes it.
    """

    at_mm: float
    width_mm: float
    bolts: Bolts

    @property
    def from_mm(self) -> float:
        """Return s where it begins."""
        return self.at_mm - self.width_mm / 2

    @property
    def to_mm(self) -> float:
        """Return s where it ends."""
        return self.at_mm + self.width_mm / 2


def place_lever(  # noqa: PLR0913 its place is given in one of two ways
    width_mm: float,
    bolts: Bolts,
    line: CentreLine,
    clamp: Clamp,
    *,
    side: Side | None = None,
    from_end_mm: float | None = None,
    at_mm: float | None = None,
) -> LeverClamp:
    """Return a lever's clamp at its place, which may not cross an end or the stem's clamp.

    Raises:
        InputError: Every fault of place, width and bolts.
    """
    # the same length, in the same place, as the band of a load
    band = Load(_ANY_FORCE, band_mm=width_mm, side=side, from_end_mm=from_end_mm, at_mm=at_mm)
    problems = tuple(_as_width(problem) for problem in load_problems(band, line, clamp))
    faults = InputError(*bolt_problems(bolts)).within("bolts").problems
    if problems or faults:
        raise InputError(*problems, *faults)
    placed = place_load(band, line, clamp, np.eye(3))
    return LeverClamp(placed.at_mm, width_mm, bolts)


def _as_width(problem: Problem) -> Problem:
    field = "width_mm" if problem.field == "band_mm" else problem.field
    words = problem.sentence.replace("its band of", "its width of")
    return Problem(field, words.replace("a shorter band", "a narrower clamp"))
