"""Gauges on a bar: a dial on its outer surface, a strain gauge on either surface."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import Literal, get_args

import numpy as np

from geometry.bar import Bar, outer_radius_mm
from geometry.centreline import CentreLine
from geometry.errors import InputError, Problem
from geometry.limits import Range, limit_problems, unknown_name
from loadcases.axes import Vector
from loadcases.load import Side, half_length_mm, place_problems, place_s_mm

GaugeKind = Literal["dial", "strain"]
KINDS: tuple[GaugeKind, ...] = get_args(GaugeKind)
GaugeSurface = Literal["outer", "inner"]

GAUGE_LIMITS = {
    "theta_deg": Range(-360, 360, "deg", "give the angle round the tube, 0 on top, 90 in front"),
    "angle_deg": Range(-180, 180, "deg", "give the angle from the tube's axis, 0 along it"),
    "length_mm": Range(0, 100, "mm", "give the length of the strain gauge's grid, 3 commonly"),
    "from_end_mm": Range(0, 5000, "mm", "give the distance from the end of the half"),
    "at_mm": Range(-5000, 5000, "mm", "give the place along the bar, negative on the left"),
}


@dataclass(frozen=True)
class Gauge:
    """A gauge as it is written.

    Attributes:
        name: Of the reading.
        kind: `dial`: the displacement of a place of the outer surface along `direction`, `strain`:
            the mean strain of a surface along a grid.
        side: Half that it is on.
        from_end_mm: Arc length from the end of that half.
        at_mm: Signed arc length, negative on the left.
        theta_deg: Angle round the tube, 0 on top, 90 in front.
        direction: Of a dial, in bar axes: the displacement that it reads as positive.
        angle_deg: Of a strain gauge: from the tube's axis, to larger s, towards larger theta.
        length_mm: Of its grid.
        surface: That it is bonded to.
    """

    name: str
    kind: GaugeKind
    side: Side | None = None
    from_end_mm: float | None = None
    at_mm: float | None = None
    theta_deg: float = 0.0
    direction: Vector = (0.0, 0.0, -1.0)
    angle_deg: float = 0.0
    length_mm: float = 3.0
    surface: GaugeSurface = "outer"


@dataclass(frozen=True)
class PlacedGauge:
    """A gauge on a certain bar.

    Attributes:
        gauge: As written.
        at_mm: Signed arc length of its middle.
    """

    gauge: Gauge
    at_mm: float


def place_gauges(gauges: Sequence[Gauge], bar: Bar) -> tuple[PlacedGauge, ...]:
    """Return gauges at their places.

    Raises:
        InputError: Every fault, named by field: no place or two, off the bar, names given twice.
    """
    problems: list[Problem] = []
    for index, gauge in enumerate(gauges):
        found = [*_problems(gauge, bar.line)]
        if gauge.name in [one.name for one in gauges[:index]]:
            found.append(Problem("name", f"{gauge.name!r} is given twice; give each its own"))
        problems += InputError(*found).within(f"[{index}]").problems
    if problems:
        raise InputError(*problems)
    placed = tuple(PlacedGauge(one, place_s_mm(bar.line, one)) for one in gauges)
    problems = [
        problem
        for index, one in enumerate(placed)
        for problem in InputError(*_too_long(one, bar)).within(f"[{index}]").problems
    ]
    if problems:
        raise InputError(*problems)
    return placed


def grid_ends(placed: PlacedGauge, bar: Bar) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return both ends (s in mm, theta in radians) of a strain gauge's grid."""
    gauge, theta = placed.gauge, radians(placed.gauge.theta_deg)
    radius = float(outer_radius_mm(bar, np.array(placed.at_mm), np.array(theta)))
    along = gauge.length_mm / 2 * cos(radians(gauge.angle_deg))
    across = gauge.length_mm / 2 * sin(radians(gauge.angle_deg)) / radius
    return (placed.at_mm - along, theta - across), (placed.at_mm + along, theta + across)


def _problems(gauge: Gauge, line: CentreLine) -> Iterator[Problem]:
    if gauge.kind not in KINDS:
        yield unknown_name("kind", "kind of gauge", gauge.kind, KINDS)
    if not hypot(*gauge.direction) > 0:
        shown = list(gauge.direction)
        yield Problem("direction", f"is {shown}; give three numbers, [0, 0, -1] for downward")
    found = (
        *limit_problems(gauge, GAUGE_LIMITS),
        *place_problems(gauge.side, gauge.from_end_mm, gauge.at_mm),
    )
    yield from found
    if found:
        return
    at_mm = place_s_mm(line, gauge)
    if not line.left_end_mm <= at_mm <= line.right_end_mm or _crosses(gauge, line):
        longest = f"{line.left_end_mm:.4g} to {line.right_end_mm:.4g} mm along the bar"
        given = gauge.at_mm if gauge.at_mm is not None else gauge.from_end_mm
        field = "from_end_mm" if gauge.at_mm is None else "at_mm"
        yield Problem(field, f"is {given:g} mm, off its half of the bar; give a place in {longest}")


def _crosses(gauge: Gauge, line: CentreLine) -> bool:
    """Return whether a distance from an end reaches beyond the clamp centre."""
    if gauge.side is None or gauge.from_end_mm is None:
        return False
    return gauge.from_end_mm > half_length_mm(line, gauge.side)


def _too_long(placed: PlacedGauge, bar: Bar) -> Iterator[Problem]:
    if placed.gauge.kind != "strain":
        return
    least, most = sorted(s for s, _ in grid_ends(placed, bar))
    if least < bar.line.left_end_mm or most > bar.line.right_end_mm:
        length = placed.gauge.length_mm
        sentence = f"is {length:g} mm, so the grid crosses an end; give a shorter one, or move it"
        yield Problem("length_mm", sentence)
