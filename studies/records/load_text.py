"""Loads in words: size, direction in the bar's axes, place."""

from collections.abc import Sequence
from math import atan2, degrees, hypot

from studies.records.case import LoadPointRecord, Vector
from studies.records.places import on_ruler

WAYS = (("leftward", "rightward"), ("rearward", "forward"), ("down", "up"))
"""Senses of the axes x, y, z: against and along."""

MOST_SIGNS = 50
"""Of a text; loads that do not fit are counted."""

ALIKE = 1e-6
"""Relative difference of two loads that is none."""


def loads_in_words(points: Sequence[LoadPointRecord]) -> str:
    """Return the loads of a case in one line; what has no room is counted."""
    points = sorted(points, key=lambda one: (one.side, one.at_mm), reverse=True)
    first = points[0]
    if len(points) == 2 and abs(points[0].at_mm) == abs(points[1].at_mm):
        if _same(points, 1):
            sides = f"{first.side} and {points[1].side} {abs(first.at_mm):.0f} mm"
            return f"{_load(first)} at {sides}"
        if _same(points, -1):
            return f"{_load(first)} at {on_ruler(first.at_mm)}; opposite at {points[1].side}"
    parts = [f"{_load(one)} at {on_ruler(one.at_mm)}" for one in points]
    while len("; ".join(parts)) > MOST_SIGNS and len(parts) > 1:
        parts.pop()
    left = len(points) - len(parts)
    return "; ".join(parts) + (f"; and {left} more" if left else "")


def vector_in_words(values: Vector) -> str:
    """Return a vector in whole numbers."""
    # adding zero turns a rounded -0 into 0
    return f"({', '.join(f'{round(value) + 0:d}' for value in values)})"


def _same(points: Sequence[LoadPointRecord], sign: int) -> bool:
    pairs = zip(
        (*points[0].force_n, *points[0].moment_nmm),
        (*points[1].force_n, *points[1].moment_nmm),
        strict=True,
    )
    size = max(map(abs, (*points[0].force_n, *points[0].moment_nmm)))
    return all(abs(one - sign * other) <= ALIKE * size for one, other in pairs)


def _load(point: LoadPointRecord) -> str:
    parts = []
    if any(point.force_n):
        parts.append(f"{hypot(*point.force_n):.0f} N {direction(point.force_n)}")
    if any(point.moment_nmm):
        in_nm = ", ".join(f"{value / 1000 + 0:.1f}" for value in point.moment_nmm)
        parts.append(f"moment ({in_nm}) N·m")
    return " and ".join(parts)


def direction(force_n: Vector) -> str:
    """Return the direction of a force: `up and 18 deg forward`, or its components."""
    order = sorted(range(3), key=lambda axis: -abs(force_n[axis]))
    main, second, third = (force_n[axis] for axis in order)
    lean, off = degrees(atan2(abs(second), abs(main))), degrees(atan2(abs(third), abs(main)))
    words = [WAYS[axis][force_n[axis] > 0] for axis in order]
    if off >= 0.5:
        return f"along {vector_in_words(force_n)}"
    return words[0] if lean < 0.5 else f"{words[0]} and {lean:.0f} deg {words[1]}"
