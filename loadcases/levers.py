"""Clamps of control levers on the grips, and their places on the bar."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from geometry.centreline import CentreLine
from geometry.errors import InputError, Problem
from geometry.limits import limit_problems
from loadcases.bolts import Bolts, bolt_problems
from loadcases.clamp import Clamp
from loadcases.load import (
    LOAD_LIMITS,
    SLACK_MM,
    BandTerms,
    Load,
    Side,
    band_problems,
    place_problems,
    place_s_mm,
)

LEVER_BAND = BandTerms(
    "width_mm", "clamp", "a shorter one", "the stem's clamp", "the stem's clamp and the end"
)
LEVER_LIMITS = {
    "width_mm": replace(
        LOAD_LIMITS["band_mm"], remedy="give the length of the lever's clamp, 30 commonly"
    ),
    "from_end_mm": LOAD_LIMITS["from_end_mm"],
    "at_mm": LOAD_LIMITS["at_mm"],
}


@dataclass(frozen=True)
class Lever:
    """A lever's clamp as it is written: its place is `side` with `from_end_mm`, or `at_mm`.

    Attributes:
        width_mm: Length of the bar inside it, centred on the place.
        bolts: Its bolts.
        side: Half that carries it.
        from_end_mm: Arc length from the end of that half.
        at_mm: Signed arc length, negative on the left.
    """

    width_mm: float
    bolts: Bolts
    side: Side | None = None
    from_end_mm: float | None = None
    at_mm: float | None = None


@dataclass(frozen=True)
class LeverClamp:
    """A lever's clamp on a certain bar.

    Attributes:
        at_mm: Signed arc length of its middle.
        width_mm: Length of the bar inside it.
        bolts: Its bolts.
    """

    at_mm: float
    width_mm: float
    bolts: Bolts

    @property
    def from_mm(self) -> float:
        """Return s of its left edge."""
        return self.at_mm - self.width_mm / 2

    @property
    def to_mm(self) -> float:
        """Return s of its right edge."""
        return self.at_mm + self.width_mm / 2


def place_levers(levers: Sequence[Lever], line: CentreLine, clamp: Clamp) -> tuple[LeverClamp, ...]:
    """Return the levers' clamps at their places on the bar.

    Raises:
        InputError: Every fault, named by field: no place or two, bolts that cannot be, a lever
            that crosses an end, the stem's clamp or another lever.
    """
    problems: list[Problem] = []
    for index, lever in enumerate(levers):
        faults = InputError(*lever_problems(lever, line, clamp))
        problems += faults.within(f"[{index}]").problems
    if levers and not clamp.holds:
        sentence = "stand beside clamp.model = 'none', a bar on the bench; drop them"
        problems.append(Problem("", sentence))
    if problems:
        raise InputError(*problems)
    placed = tuple(
        LeverClamp(place_s_mm(line, lever), lever.width_mm, lever.bolts) for lever in levers
    )
    problems += _overlaps(levers, placed)
    if problems:
        raise InputError(*problems)
    return placed


def lever_problems(lever: Lever, line: CentreLine, clamp: Clamp) -> tuple[Problem, ...]:
    """Return what is wrong with a lever on a bar; empty when it can be placed."""
    found = InputError(*bolt_problems(lever.bolts)).within("bolts").problems
    placed = place_problems(lever.side, lever.from_end_mm, lever.at_mm)
    problems = (*limit_problems(lever, LEVER_LIMITS), *placed)
    # a lever must lie where a load's band may
    band = Load(
        band_mm=lever.width_mm,
        side=lever.side,
        from_end_mm=lever.from_end_mm,
        at_mm=lever.at_mm,
    )
    return (*found, *(problems or band_problems(band, line, clamp, LEVER_BAND)))


def _overlaps(levers: Sequence[Lever], placed: Sequence[LeverClamp]) -> Iterator[Problem]:
    """Yield the levers that overlap an earlier one."""
    for index, lever in enumerate(placed):
        for earlier, other in enumerate(placed[:index]):
            least = (lever.width_mm + other.width_mm) / 2
            if abs(lever.at_mm - other.at_mm) < least - SLACK_MM:
                field = "at_mm" if levers[index].at_mm is not None else "from_end_mm"
                yield Problem(
                    f"[{index}].{field}",
                    f"puts its clamp {abs(lever.at_mm - other.at_mm):.4g} mm from that of lever "
                    f"{earlier + 1}, so they overlap; keep {least:.4g} mm between their middles",
                )
                break
