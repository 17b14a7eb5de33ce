"""A force and a moment on a band of the tube, and its place on the bar."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, Protocol, get_args

from geometry.arrays import Floats
from geometry.centreline import CentreLine
from geometry.errors import InputError, Problem
from geometry.limits import Range, limit_problems, number_problem, unknown_name
from loadcases.axes import Vector, rotated
from loadcases.clamp import Clamp

Side = Literal["left", "right"]
SIDES: tuple[Side, ...] = get_args(Side)

BAND_MM = 30.0
LOAD_LIMITS = {
    "band_mm": Range(2, 500, "mm", "give the length of the loaded band, 30 commonly"),
    "from_end_mm": Range(0, 5000, "mm", "give the distance from the end of the half"),
    "at_mm": Range(-5000, 5000, "mm", "give the place along the bar, negative on the left"),
}
"""A band of less than 2 mm is shorter than the elements under it."""

LEAST_LOAD = 1e-3
"""Of the largest part of a force in N or moment in N·mm: energies of less are lost in rounding."""

COMPONENT_LIMITS = {
    "force_n": Range(-1e6, 1e6, "N", "give each part of the force in N"),
    "moment_nmm": Range(-1e9, 1e9, "N·mm", "give each part of the moment in N·mm"),
}
SLACK_MM = 1e-9
"""A band may touch the clamp or an end; round-off in the touch is no crossing."""


@dataclass(frozen=True)
class BandTerms:
    """How sentences name a band and the clamp that it must not touch.

    Attributes:
        field: Key of its length.
        name: The band itself.
        shorter: A band of less length.
        clamp: The clamp.
        between: What the free length for it lies between.
    """

    field: str
    name: str
    shorter: str
    clamp: str
    between: str


LOAD_BAND = BandTerms("band_mm", "band", "a shorter band", "the clamp", "clamp and end")


@dataclass(frozen=True)
class Load:
    """A load as it is written: its place is `side` with `from_end_mm`, or `at_mm`.

    Attributes:
        force_n: Resultant force, in the axes of its case.
        moment_nmm: Resultant moment about the centre-line point at its place.
        band_mm: Length of the loaded band, centred on the place.
        side: Half that carries the load.
        from_end_mm: Arc length from the end of that half.
        at_mm: Signed arc length, negative on the left.
    """

    force_n: Vector = (0.0, 0.0, 0.0)
    moment_nmm: Vector = (0.0, 0.0, 0.0)
    band_mm: float = BAND_MM
    side: Side | None = None
    from_end_mm: float | None = None
    at_mm: float | None = None


@dataclass(frozen=True)
class PlacedLoad:
    """A load on a certain bar, in bar axes.

    Attributes:
        side: Half that carries it.
        at_mm: Signed arc length of its place.
        force_n: Resultant force.
        moment_nmm: Resultant moment about the centre-line point at its place.
        band_mm: Length of the loaded band.
        toward: Direction from a flat surface into the tube, which presses on the strip of the band
            that faces it; None for a load all round.
    """

    side: Side
    at_mm: float
    force_n: Vector
    moment_nmm: Vector
    band_mm: float
    toward: Vector | None = None

    @property
    def from_mm(self) -> float:
        """Return s where the band begins."""
        return self.at_mm - self.band_mm / 2

    @property
    def to_mm(self) -> float:
        """Return s where the band ends."""
        return self.at_mm + self.band_mm / 2


def half_length_mm(line: CentreLine, side: Side) -> float:
    """Return the arc length from the clamp centre to the end of a half."""
    return line.right_end_mm if side == "right" else -line.left_end_mm


def from_end_to_s_mm(line: CentreLine, side: Side, from_end_mm: float) -> float:
    """Return the signed arc length of a place given from the end of a half."""
    distance = half_length_mm(line, side) - from_end_mm
    return distance if side == "right" else -distance


def place_load(load: Load, line: CentreLine, clamp: Clamp, rotation: Floats) -> PlacedLoad:
    """Return a load at its place on the bar, in bar axes.

    Args:
        load: The load as written.
        line: Centre line of the bar.
        clamp: The clamp, which no band may touch upon.
        rotation: (3, 3) from the axes of the case to bar axes.

    Raises:
        InputError: Every fault of the load: no place or two, no force, a number that is
            not finite, a band that crosses an end or the clamp.
    """
    problems = load_problems(load, line, clamp)
    if problems:
        raise InputError(*problems)
    side, at_mm = _place(load, line)
    force, moment = rotated(rotation, load.force_n), rotated(rotation, load.moment_nmm)
    return PlacedLoad(side, at_mm, force, moment, load.band_mm)


def load_problems(load: Load, line: CentreLine, clamp: Clamp) -> tuple[Problem, ...]:
    """Return what is wrong with a load on a bar; empty when it can be placed."""
    problems = load_problems_without_bar(load)
    # a place can only be judged once it is one
    return problems or tuple(band_problems(load, line, clamp))


def load_problems_without_bar(load: Load) -> tuple[Problem, ...]:
    """Return what is wrong with a load on any bar: its numbers and how its place is given."""
    placed = place_problems(load.side, load.from_end_mm, load.at_mm)
    return (*_vector_problems(load), *limit_problems(load, LOAD_LIMITS), *placed)


def place_problems(
    side: Side | None, from_end_mm: float | None, at_mm: float | None
) -> tuple[Problem, ...]:
    """Return what is wrong with the way in which a place is given: none, two, or half of one."""
    by_end = side is not None or from_end_mm is not None
    if by_end and at_mm is not None:
        sentence = "has two places; give either side and from_end_mm, or at_mm"
        return (Problem("", sentence),)
    if not by_end and at_mm is None:
        return (Problem("", "has no place; give side and from_end_mm, or at_mm"),)
    if by_end and side is None:
        return (Problem("side", 'is missing; say from which end, side = "left" or "right"'),)
    if by_end and from_end_mm is None:
        return (Problem("from_end_mm", "is missing; give the distance from the end in mm"),)
    if side is not None and side not in SIDES:
        return (unknown_name("side", "side", side, SIDES),)
    return ()


class Written(Protocol):
    """Anything whose place is written as `side` with `from_end_mm`, or as `at_mm`."""

    @property
    def side(self) -> Side | None:
        """Return the half."""

    @property
    def from_end_mm(self) -> float | None:
        """Return the arc length from the end of that half."""

    @property
    def at_mm(self) -> float | None:
        """Return the signed arc length."""


def place_s_mm(line: CentreLine, written: Written) -> float:
    """Return the signed arc length of a place, however it is written."""
    if written.side is not None and written.from_end_mm is not None:
        return from_end_to_s_mm(line, written.side, written.from_end_mm)
    return written.at_mm or 0.0


def _place(load: Load, line: CentreLine) -> tuple[Side, float]:
    at_mm = place_s_mm(line, load)
    return load.side or ("left" if at_mm < 0 else "right"), at_mm


def _vector_problems(load: Load) -> Iterator[Problem]:
    """Yield what is wrong with force and moment."""
    found = []
    for name, limits in COMPONENT_LIMITS.items():
        vector = getattr(load, name)
        if len(vector) != 3:
            found.append(Problem(name, f"is {list(vector)}; give three numbers, [x, y, z]"))
            continue
        judged = (number_problem(f"{name}[{i}]", part, limits) for i, part in enumerate(vector))
        found += [problem for problem in judged if problem]
    yield from found
    parts = tuple(abs(part) for part in (*load.force_n, *load.moment_nmm))
    if not found and not any(parts):
        sentence = "has neither force nor moment; give force_n or moment_nmm other than zero"
        yield Problem("", sentence)
    elif not found and max(parts) < LEAST_LOAD:
        sentence = (
            f"has at most {max(load.force_n, key=abs):g} N and {max(load.moment_nmm, key=abs):g} "
            f"N·mm, but a load must be at least {LEAST_LOAD:g} N or N·mm; give a larger one"
        )
        yield Problem("", sentence)


def band_problems(
    load: Load, line: CentreLine, clamp: Clamp, terms: BandTerms = LOAD_BAND
) -> Iterator[Problem]:
    """Yield the crossing of a placed band with the clamp or with the end of its half."""
    side, at_mm = _place(load, line)
    length = half_length_mm(line, side)
    # along its own half: negative when a place from the end lies beyond the clamp centre
    distance = at_mm if side == "right" else -at_mm
    begin = clamp.to_mm if clamp.holds else -half_length_mm(line, _other(side))
    least, most = begin + load.band_mm / 2, length - load.band_mm / 2
    if least > most + SLACK_MM:
        yield Problem(
            terms.field,
            f"is {load.band_mm:g} mm but the {side} half has only {length - begin:.4g} mm "
            f"between {terms.between}; give {terms.shorter}",
        )
    elif distance < least - SLACK_MM and not clamp.holds:
        end = f"{terms.name} of {load.band_mm:g} mm crosses the {_other(side)} end of the bar"
        yield _crossing(load, end, length, (least, most))
    elif distance < least - SLACK_MM:
        edge = f"{terms.name} of {load.band_mm:g} mm crosses {terms.clamp}, which ends at"
        yield _crossing(load, f"{edge} {clamp.to_mm:g} mm", length, (least, most))
    elif distance > most + SLACK_MM:
        end = f"{terms.name} of {load.band_mm:g} mm crosses the {side} end of the bar"
        yield _crossing(load, f"{end}, which is at {length:.5g} mm", length, (least, most))


def _other(side: Side) -> Side:
    return "left" if side == "right" else "right"


def _crossing(load: Load, crossing: str, length: float, allowed: tuple[float, float]) -> Problem:
    least, most = allowed
    if load.from_end_mm is not None:
        window = f"give {length - most:.5g} to {length - least:.5g} mm"
        return Problem("from_end_mm", f"is {load.from_end_mm:g} mm, so its {crossing}; {window}")
    window = f"give {least:.5g} to {most:.5g} mm, negative on the left"
    return Problem("at_mm", f"is {load.at_mm:g} mm, so its {crossing}; {window}")
