"""A half whose end lies off the mirror image of the other: by how much its bends turned.

On a flat table the clamp zone lies in two equal vee blocks, so its axis is the datum A, and the
end of the other half on a stop, the datum B, which takes the roll. Read at the end of the half
that deviates, each against the mirror image of the other: height (z, up), fore-aft (y, forward)
and length (x, outward from the clamp).

The bends turn by the least angles that put the end there (`least_turns.py`), or one named bend
does; length is that of the last straight.

Source: the reading on vee blocks is common practice, no source.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from geometry.bend_table import BendTable, Polyline, polyline_from_table, table_from_polyline
from geometry.centreline import CentreLine, locate
from geometry.errors import InputError, refuse
from geometry.least_turns import (
    MOST_TURN_DEG,
    TOLERANCE_MM,
    Turns,
    least_turns,
    most_deg,
    no_turns,
    with_turns,
)
from geometry.limits import Range
from geometry.vectors import MIRROR_X

Side = Literal["left", "right"]

_READING = Range(-100, 100, "mm", "give the difference between the two ends in mm, 0 to 5 commonly")
_WITHIN = Range(0, 10, "mm", "give half of the 95 % interval of the reading, 0.3 commonly")
OUT_OF_SQUARE_LIMITS = {
    "height_mm": _READING,
    "fore_aft_mm": _READING,
    "length_mm": _READING,
    "height_within_mm": _WITHIN,
    "fore_aft_within_mm": _WITHIN,
    "length_within_mm": _WITHIN,
}


@dataclass(frozen=True)
class OutOfSquare:
    """What was read at the end that deviates, against the mirror image of the other.

    Attributes:
        side: The half that deviates.
        height_mm: Its end is higher.
        fore_aft_mm: Its end is further forward.
        length_mm: Its end is further out.
        height_within_mm: Half of the 95 % interval of the height, None where it is not known.
        fore_aft_within_mm: That of the fore-aft.
        length_within_mm: That of the length.
        bend: Number, from 1 at the clamp, of the bend that takes it up; None for the least turns.
    """

    side: Side = "left"
    height_mm: float = 0.0
    fore_aft_mm: float = 0.0
    length_mm: float = 0.0
    height_within_mm: float | None = None
    fore_aft_within_mm: float | None = None
    length_within_mm: float | None = None
    bend: int | None = None


@dataclass(frozen=True)
class Turned:
    """What puts the end of a half where it was read.

    Attributes:
        readings: The reading.
        plane_deg: Turn of each bend's plane, as in its bend table.
        angle_deg: Change of each bend's angle.
        tail_mm: Change of the last straight.
    """

    readings: OutOfSquare
    plane_deg: tuple[float, ...]
    angle_deg: tuple[float, ...]
    tail_mm: float


def turned_half(half: Polyline, other: Polyline, read: OutOfSquare) -> tuple[Polyline, Turned]:
    """Return the half with its end where it was read, and the turns that put it there.

    Source: module docstring.

    Args:
        half: The half that deviates, written as a right half.
        other: The other half, likewise; the reading counts from its end.
        read: The reading.

    Raises:
        InputError: No bend can take it up, or only by turning too far.
    """
    table = table_from_polyline(half)
    wanted, own = np.array(other.points_mm[-1]) + offset_mm(read), _movable(table, read)
    if np.abs(wanted - half.points_mm[-1]).max() < TOLERANCE_MM:
        return half, _as_turned(no_turns(own), read)
    _require_bends(table, wanted, read)
    turns = least_turns(table, own, wanted)
    if turns is None or most_deg(turns) > MOST_TURN_DEG or _flattens(table, turns):
        raise _unreachable(read)
    try:
        return polyline_from_table(with_turns(table, turns)), _as_turned(turns, read)
    except InputError:
        raise _too_short(table, read) from None


def differences_mm(line: CentreLine, side: Side) -> tuple[float, float, float]:
    """Return (height, fore-aft, length) in mm of a side's end over the mirror image of the other.

    Source: module docstring.
    """
    left, right = locate(line, np.array([line.left_end_mm, line.right_end_mm])).position_mm
    half, other = (left * MIRROR_X, right) if side == "left" else (right, left * MIRROR_X)
    length, fore_aft, height = (float(value) for value in half - other)
    return height, fore_aft, length


def offset_mm(read: OutOfSquare) -> Floats:
    """Return (3,) in mm how far the end lies off the mirror image of the other, outward along x.

    Source: module docstring.
    """
    return np.array([read.length_mm, read.fore_aft_mm, read.height_mm])


def _movable(table: BendTable, read: OutOfSquare) -> Floats:
    """Return (n,) 1 for each bend that may turn, else 0."""
    count = len(table.bends)
    if read.bend is None:
        return np.ones(count)
    if not 1 <= read.bend <= count:
        sentence = f"is {read.bend}, but the {read.side} half has {_bends(count)}"
        raise refuse("bend", f"{sentence}; give one of them, counted from the clamp")
    own: Floats = np.arange(1, count + 1) == read.bend
    return own.astype(float)


def _bends(count: int) -> str:
    return {0: "no bend", 1: "one bend"}.get(count, f"{count} bends")


def _require_bends(table: BendTable, wanted: Floats, read: OutOfSquare) -> None:
    """Refuse a straight half whose end is off its own line."""
    for name, off in zip(("fore_aft_mm", "height_mm"), wanted[1:], strict=True):
        if not table.bends and abs(off) > TOLERANCE_MM:
            sentence = (
                f"is {getattr(read, name):g} mm, but the {read.side} half has no bend that could "
                "take it up, so it must be 0; give that half by points with the bend that it has"
            )
            raise refuse(name, sentence)


def _as_turned(turns: Turns, read: OutOfSquare) -> Turned:
    # adding zero turns -0.0 into 0.0, which people do not want to read
    plane, angle = ((np.degrees(one) + 0.0).tolist() for one in (turns.plane, turns.angle))
    return Turned(read, tuple(plane), tuple(angle), turns.tail_mm)


def _flattens(table: BendTable, turns: Turns) -> bool:
    """Return whether a bend would be straightened, or bent the other way."""
    return any(bend.angle_deg < 1e-3 for bend in with_turns(table, turns).bends)


def _unreachable(read: OutOfSquare) -> InputError:
    where = "" if read.bend is None else f" of its bend {read.bend} alone"
    sentence = (
        f"is {_in_words(read)}, which turns{where} of at most {MOST_TURN_DEG:g} deg do not reach "
        f"on the {read.side} half; check the readings and their signs, or "
        f"{'name another bend' if read.bend else 'give that half by points as it is'}"
    )
    return refuse("", sentence)


def _too_short(table: BendTable, read: OutOfSquare) -> InputError:
    sentence = (
        f"is {_in_words(read)}, which leaves nothing of the last straight of {table.tail_mm:.2f} "
        f"mm on the {read.side} half; check the readings and their signs"
    )
    return refuse("", sentence)


def _in_words(read: OutOfSquare) -> str:
    return (
        f"height {read.height_mm:g} mm, fore-aft {read.fore_aft_mm:g} mm, length "
        f"{read.length_mm:g} mm"
    )
