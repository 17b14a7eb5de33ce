"""From [bar.out_of_square] to the half that deviates."""

from dataclasses import fields

from geometry.bend_table import Polyline, bent_corners
from geometry.errors import InputError, refuse
from geometry.out_of_square import OutOfSquare, Turned, turned_half
from geometry.table_datum import TableCoordinates, read_on_table
from studies.study_file.format.bar_tables import BarTable, HalfTable, bend_names_of, polyline_of
from studies.study_file.format.square_tables import DIFFERENCES, OutOfSquareTable
from studies.study_file.format.wording import listed, quoted

Halves = tuple[Polyline, Polyline | None, Turned | None]


def halves_of(table: BarTable) -> Halves:
    """Return the right half, the left one unless it is the mirror image, and what was turned.

    Raises:
        InputError: A half cannot be built, or no bend can take up what was read.
    """
    right, left = polyline_of(table.right), polyline_of(table.left) if table.left else None
    if table.out_of_square is None:
        return right, left, None
    try:
        return _turned(table, table.out_of_square, right, left)
    except InputError as error:
        raise error.within("out_of_square") from None


def names_of_bends(half: HalfTable) -> tuple[str | None, ...]:
    """Return the names of the bends of a half, in order; a straight corner is none.

    Raises:
        InputError: The half cannot be built.
    """
    names = bend_names_of(half)
    return tuple(names[corner] for corner in bent_corners(polyline_of(half)))


def _turned(
    table: BarTable, written: OutOfSquareTable, right: Polyline, left: Polyline | None
) -> Halves:
    mirror = right if left is None else left
    on_right = written.side == "right"
    half, other = (right, mirror) if on_right else (mirror, right)
    home = table.right if on_right or table.left is None else table.left
    made, turned = turned_half(half, other, _reading(written, home, other))
    if made is half:
        return right, left, turned
    return (made, mirror, turned) if on_right else (right, made, turned)


def _reading(written: OutOfSquareTable, half: HalfTable, other: Polyline) -> OutOfSquare:
    bend = _number(written, half)
    if found := written.table_coordinates:
        return read_on_table(
            TableCoordinates(**dict(found)), written.side, other.points_mm[-1], bend
        )
    plain = {one.name for one in fields(OutOfSquare)} & (DIFFERENCES | {"side"})
    return OutOfSquare(**{name: getattr(written, name) for name in plain}, bend=bend)


def _number(written: OutOfSquareTable, half: HalfTable) -> int | None:
    """Return the number of the bend that is named, None where none is."""
    if not isinstance(written.bend, str):
        return written.bend
    names = names_of_bends(half)
    if written.bend in names:
        return names.index(written.bend) + 1
    known = [quoted(name) for name in names if name]
    remedy = f"name {listed(known, 'or')}" if known else "give its number, counted from the clamp"
    sentence = f"is {quoted(written.bend)}, which no bend of the {written.side} half is called"
    raise refuse("bend", f"{sentence}; {remedy}")
