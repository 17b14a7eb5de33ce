"""Force and travel of a press record, in N and mm: which columns they are, and in what units."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.errors import InputError, Problem, refuse
from studies.bench.record_file import Table, read_table
from studies.bench.rig import Rig, force_factor_n, friction_of, units_of
from studies.bench.units import FACTORS, GAUGE_UNITS, kind_in_words, kind_of, unit_in


@dataclass(frozen=True, eq=False)
class Readings:
    """A record as it was read; nothing is corrected but units and signs.

    Attributes:
        name: Of the file.
        sha256: Of its bytes.
        force_head: Of the gauge's column, or its number.
        travel_head: Likewise of the travel's.
        force_unit: Of the gauge.
        travel_unit: Of the travel.
        force_n: (n,) by the gauge; the largest is positive.
        travel_mm: (n,) growing with it.
        lines: (n,) of the file.
        unit_n: Force of one unit of the gauge.
        friction: Least and largest friction of the seals, shares of the force.
        missing: How many rows lacked force or travel.
        flipped: Which of force and travel had its sign changed.
        changed_at: When the file was last changed, UTC.
    """

    name: str
    sha256: str
    force_head: str
    travel_head: str
    force_unit: str
    travel_unit: str
    force_n: Floats
    travel_mm: Floats
    lines: Ints
    unit_n: float
    friction: tuple[float, float]
    missing: int
    flipped: tuple[str, ...]
    changed_at: str


@dataclass(frozen=True)
class Columns:
    """Which columns hold what, from 0, and their units."""

    force: int
    travel: int
    force_unit: str
    travel_unit: str


def read_readings(path: Path, rig: Rig) -> Readings:
    """Return force and travel of a record.

    Raises:
        InputError: It cannot be read, its columns or units are not known, the ram's area is
            missing, or a row lies beyond the gauge's full scale.
    """
    table = read_table(path)
    columns = columns_of(table, rig)
    unit_n = force_factor_n(rig, columns.force_unit)
    gauge, travel = table.cells[:, columns.force], table.cells[:, columns.travel]
    whole = np.isfinite(gauge) & np.isfinite(travel)
    lines = np.array(table.lines)
    _check_scale(gauge, lines, rig, columns.force_unit)
    force_n = unit_n * gauge[whole]
    travel_mm = FACTORS["travel"][columns.travel_unit] * travel[whole]
    force_n, travel_mm, flipped = _upright(force_n, travel_mm)
    return Readings(
        table.name,
        table.sha256,
        _head(table, columns.force),
        _head(table, columns.travel),
        columns.force_unit,
        columns.travel_unit,
        force_n,
        travel_mm,
        lines[whole],
        unit_n,
        friction_of(rig, columns.force_unit),
        int(len(whole) - whole.sum()) + table.unread,
        flipped,
        table.changed_at,
    )


def columns_of(table: Table, rig: Rig) -> Columns:
    """Return which columns hold force and travel, and their units.

    Options come first, then the units in the heads, then the words of the heads.

    Raises:
        InputError: One of them cannot be told, or has no unit.
    """
    force = _column(table, rig.force_column, "force", GAUGE_UNITS)
    travel = _column(table, rig.travel_column, "travel", units_of("travel"))
    if force == travel:
        raise refuse(
            "travel_column",
            f"is {_head(table, travel)}, which is the force's too; name another column",
        )
    return Columns(
        force,
        travel,
        _unit(table, force, rig.force_unit, "force", GAUGE_UNITS),
        _unit(table, travel, rig.travel_unit, "travel", units_of("travel")),
    )


def _column(table: Table, named: str | None, what: str, units: Sequence[str]) -> int:
    heads = table.heads
    if named is not None:
        return _named_column(table, named, f"{what}_column")
    by_unit = [i for i, head in enumerate(heads) if unit_in(head) in units]
    kinds = {kind_of(unit) for unit in units}
    by_words = [i for i, head in enumerate(heads) if kind_in_words(head) in kinds]
    both = [i for i in by_unit if i in by_words]
    for found in (both, by_unit, by_words):
        if len(found) == 1:
            return found[0]
    shown = f" (columns: {', '.join(_head(table, i) for i in range(table.cells.shape[1]))})"
    raise refuse(
        f"{what}_column",
        f"cannot be told from the heads{shown}; name it or give its number, as --{what}-column 2",
    )


def _named_column(table: Table, named: str, field: str) -> int:
    count = table.cells.shape[1]
    if named.isdigit():
        if 1 <= int(named) <= count:
            return int(named) - 1
        raise refuse(field, f"is {named}, but the record has columns 1 to {count}; correct it")
    exact = [i for i, head in enumerate(table.heads) if head.lower() == named.lower()]
    found = exact or [i for i, head in enumerate(table.heads) if named.lower() in head.lower()]
    if len(found) == 1:
        return found[0]
    heads = ", ".join(table.heads) or "none"
    number = "several columns have" if found else "no column has"
    raise refuse(field, f"{number} '{named}' in the head (heads: {heads}); give the number")


def _unit(table: Table, column: int, given: str | None, what: str, units: Sequence[str]) -> str:
    """Return the unit of a column; that of the option counts."""
    if given is not None:
        return given
    unit = unit_in(table.heads[column]) if table.heads else None
    if unit in units and unit is not None:
        return unit
    raise refuse(
        f"{what}_unit",
        f"column {_head(table, column)} names no unit; give --{what}-unit, one of "
        f"{', '.join(units)}",
    )


def _head(table: Table, column: int) -> str:
    return (table.heads[column] if table.heads else "") or str(column + 1)


def _check_scale(gauge: Floats, lines: Ints, rig: Rig, unit: str) -> None:
    if rig.full_scale is None:
        return
    beyond = np.flatnonzero(np.abs(gauge) > rig.full_scale)
    if len(beyond):
        raise InputError(
            *(
                Problem(
                    f"line {lines[i]}",
                    f"reads {gauge[i]:.10g} {unit}, beyond the full scale of {rig.full_scale:g} "
                    f"{unit}; correct the row or --full-scale",
                )
                for i in beyond
            )
        )


def _upright(force_n: Floats, travel_mm: Floats) -> tuple[Floats, Floats, tuple[str, ...]]:
    """Return force and travel with the signs that make both grow as the bar is loaded."""
    flipped: list[str] = []
    if not len(force_n):
        return force_n, travel_mm, ()
    at = int(np.argmax(np.abs(force_n)))
    if force_n[at] < 0:
        force_n = -force_n
        flipped.append("force")
    # by the whole way up, for the first reading may be astray
    up = slice(0, at + 1)
    if np.sum((force_n[up] - force_n[up].mean()) * (travel_mm[up] - travel_mm[up].mean())) < 0:
        travel_mm = -travel_mm
        flipped.append("travel")
    return force_n, travel_mm, tuple(flipped)
