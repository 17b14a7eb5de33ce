"""Where a support may touch the bar: points that move with the ring which it holds."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm
from geometry.centreline import Frame, locate
from loadcases.axes import Vector
from loadcases.load import PlacedLoad, from_end_to_s_mm, half_length_mm

SupportKind = Literal[
    "foot", "ball", "roller", "plate", "saddle", "platen", "slider", "pin", "fixture"
]
KINDS: tuple[SupportKind, ...] = get_args(SupportKind)

RING_POINTS = 24
"""Of an open end's edge: the lowest is within 1 % of the radius."""

TOUCHING_MM = 0.05
"""Height above the lowest point up to which an edge lies on its bed from the start."""

SADDLE_DEG = (-60.0, 0.0, 60.0)
"""Where a saddle touches, from its middle: friction aside it holds a tube sideways too."""


@dataclass(frozen=True)
class ContactPoint:
    """A point of a supported ring.

    Attributes:
        offset_mm: From the centre-line point at the support's place, in bar axes.
        normal: From the support into the bar, a unit vector.
        friction: Coefficient of friction.
        pulls: Whether the support pulls too.
    """

    offset_mm: Vector
    normal: Vector
    friction: float = 0.0
    pulls: bool = False


def contact_points(
    kind: SupportKind, bar: Bar, placed: PlacedLoad, normal: Floats, friction: float
) -> Iterator[ContactPoint]:
    """Yield where a support may touch.

    Args:
        kind: Of the support.
        bar: The bar.
        placed: The held band, with side, place and length.
        normal: (3,) unit vector from the support into the bar.
        friction: Coefficient of friction.
    """
    frame = locate(bar.line, np.array(placed.at_mm))
    radius = float(nominal_od_mm(bar, np.array(placed.at_mm))) / 2
    if kind == "pin":
        yield from _holding(np.zeros(3), *np.eye(3))
    elif kind == "slider":
        yield from _holding(np.zeros(3), normal)
    elif kind == "fixture":
        yield from _held(frame, radius)
    elif kind in ("foot", "ball"):
        for offset in _foot(kind, bar, placed, normal):
            yield ContactPoint(as_vector(offset), as_vector(normal), friction)
    else:
        # it presses square to the tube, which may lie aslant
        across = normal - (normal @ frame.tangent) * frame.tangent
        across /= np.linalg.norm(across)
        half = placed.band_mm / 2 if kind in ("plate", "saddle") else 0.0
        turns = SADDLE_DEG if kind == "saddle" else (0.0,)
        for way in (_turned(across, frame.tangent, turn) for turn in turns):
            for along in (half, -half) if half else (0.0,):
                offset = along * frame.tangent - radius * way
                yield ContactPoint(as_vector(offset), as_vector(way), friction)


def as_vector(values: Floats) -> Vector:
    """Return `values` (3,) as a vector."""
    x, y, z = map(float, values)
    return x, y, z


def _holding(offset: Floats, *axes: Floats) -> Iterator[ContactPoint]:
    yield from (ContactPoint(as_vector(offset), as_vector(axis), pulls=True) for axis in axes)


def _held(frame: Frame, radius: float) -> Iterator[ContactPoint]:
    """Yield six points that hold a ring in all its motions, and none twice."""
    yield from _holding(np.zeros(3), frame.tangent, frame.top, frame.front)
    yield from _holding(radius * frame.top, frame.front, frame.tangent)
    yield from _holding(radius * frame.front, frame.tangent)


def _turned(normal: Floats, tangent: Floats, turn_deg: float) -> Floats:
    turn = np.radians(turn_deg)
    return np.asarray(np.cos(turn) * normal + np.sin(turn) * np.cross(tangent, normal))


def _foot(kind: SupportKind, bar: Bar, placed: PlacedLoad, normal: Floats) -> Floats:
    """Return (n, 3) from the centre-line point to the points of an end on a bed."""
    line, side = bar.line, placed.side
    sign = 1.0 if side == "right" else -1.0
    end = locate(line, np.array(sign * half_length_mm(line, side)))
    away = end.position_mm - locate(line, np.array(placed.at_mm)).position_mm
    if kind == "ball":
        return away[None]
    radius = float(nominal_od_mm(bar, np.array(from_end_to_s_mm(line, side, 0.0)))) / 2
    turn = np.linspace(0, 2 * np.pi, RING_POINTS, endpoint=False)[:, None]
    ring = radius * (np.cos(turn) * end.top + np.sin(turn) * end.front)
    height = ring @ normal
    edge: Floats = away + ring[height <= height.min() + TOUCHING_MM]
    return edge
