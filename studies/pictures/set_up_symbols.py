"""The supports of a set-up as the trade draws them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm
from geometry.centreline import locate
from loadcases.supports import EVERY_WAY, PlacedSupport
from studies.pictures.line_drawing import Part, Stroke, area, box, circle, ground
from studies.pictures.set_up_view import SetUpView, on_sheet, seen

LEAST_RADIUS, TRIANGLE, WHEEL, BLOCK = 8.0, 22.0, 3.5, 10.0
"""Of a roller or ball; height of a slider's or pin's triangle; radius of a slider's wheels; what a
plate, a saddle or a fixture is thick."""

END_ON = 0.3
"""Share of a direction in the plane below which it is drawn as seen end on."""


@dataclass(frozen=True, eq=False)
class Symbol:
    """A support on the drawing.

    Attributes:
        parts: What is drawn.
        at: (2,) where it meets the bar.
        foot: (2,) where it meets what stands still.
    """

    parts: tuple[Part, ...]
    at: Floats
    foot: Floats


def reach_mm(bar: Bar, supports: Sequence[PlacedSupport]) -> float:
    """Return how far supports reach under or above a bar: a roller by its diameter."""
    sizes = (float(nominal_od_mm(bar, np.array(one.at_mm))) for one in supports)
    kinds = ("roller", "ball", "plate", "saddle", "platen", "fixture")
    return max(
        (size for size, one in zip(sizes, supports, strict=True) if one.kind in kinds), default=0.0
    )


def symbol(bar: Bar, view: SetUpView, support: PlacedSupport) -> Symbol:
    """Return the symbol of a support, without what it stands on."""
    centre = locate(bar.line, np.array(support.at_mm)).position_mm
    touching = np.array([point.offset_mm for point in support.points]).mean(axis=0)
    at = on_sheet(view, centre + touching)
    way = seen(view, np.array(support.direction))
    if support.kind in EVERY_WAY:
        way = np.array([0.0, 1.0])
    elif float(np.linalg.norm(way)) < END_ON:
        return Symbol((circle(at, LEAST_RADIUS, "part"), circle(at, 2.0, "ground")), at, at)
    way = way / np.linalg.norm(way)
    radius = view.scale * float(nominal_od_mm(bar, np.array(support.at_mm))) / 2
    if support.kind == "roller":
        return _roller(view, support, at, max(radius, LEAST_RADIUS), way)
    if support.kind == "ball":
        size = max(0.8 * radius, LEAST_RADIUS)
        return Symbol((circle(at, size, "part"), circle(at, 1.5, "ground")), at, at - size * way)
    if support.kind == "foot":
        return Symbol((), at, at)
    if support.kind in ("plate", "saddle", "platen", "fixture"):
        return _block(view, support, on_sheet(view, centre), radius, way)
    return _triangle(at, way, wheels=support.kind == "slider")


def standing(one: Symbol, bed: float) -> list[Part]:
    """Return a symbol, and the block under it where it does not reach down to the bed."""
    if one.foot[1] - bed < 1.0:
        return list(one.parts)
    half = np.array([LEAST_RADIUS, 0.0])
    return [box(np.array([one.foot[0], bed]) - half, one.foot + half, "clamp"), *one.parts]


def held(one: Symbol) -> list[Part]:
    """Return a symbol on a ground of its own."""
    way = one.at - one.foot
    size = float(np.linalg.norm(way))
    up = way / size if size > 1e-9 else np.array([0.0, 1.0])
    side = 1.4 * TRIANGLE * np.array([up[1], -up[0]])
    return [*ground(one.foot - side, one.foot + side), *one.parts]


def _roller(
    view: SetUpView, support: PlacedSupport, at: Floats, radius: float, way: Floats
) -> Symbol:
    normal = seen(view, np.array(support.points[0].normal))
    centre = at - radius * normal / np.linalg.norm(normal)
    return Symbol(
        (circle(centre, radius, "part"), circle(centre, 1.5, "ground")), at, centre - radius * way
    )


def _block(
    view: SetUpView, support: PlacedSupport, at: Floats, radius: float, way: Floats
) -> Symbol:
    """Return a block as long as its band: beside the tube, up to its middle, or round it.

    `at` (2,) is the tube's middle there.
    """
    half = max(view.scale * support.band_mm / 2, 3.0) * np.array([way[1], -way[0]])
    round_it = 2 * radius + BLOCK
    depth = {"saddle": radius, "fixture": round_it}.get(support.kind, 0.0)
    beside = at - radius * way
    foot = beside - BLOCK * way
    top = beside + depth * way
    corners = [foot - half, foot + half, top + half, top - half]
    return Symbol((area(np.stack(corners), "part"),), beside, foot)


def _triangle(at: Floats, way: Floats, *, wheels: bool) -> Symbol:
    """Return a triangle with its top at a place, on two wheels where it slides."""
    side = np.array([way[1], -way[0]])
    base = at - TRIANGLE * way
    parts: list[Part] = [
        area(np.stack([at, base - 0.6 * TRIANGLE * side, base + 0.6 * TRIANGLE * side]), "part")
    ]
    if not wheels:
        return Symbol((*parts, circle(at, 2.5, "part")), at, base)
    foot = base - 2 * WHEEL * way
    wheels_at = (base - WHEEL * way + sign * 0.35 * TRIANGLE * side for sign in (-1, 1))
    parts += [circle(one, WHEEL, "part") for one in wheels_at]
    parts.append(Stroke(np.stack([foot - TRIANGLE * side, foot + TRIANGLE * side]), "ground"))
    return Symbol((*parts, circle(at, 2.5, "part")), at, foot)
