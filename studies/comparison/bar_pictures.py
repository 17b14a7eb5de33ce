"""Designs under each other: each bar in one scale, and its wall unrolled over one ruler.

A colour is the utilisation of the design's own governing limit, which is 1 at the limit. The bars
are seen from behind, above or below as the governing place faces; a place on the ruler is mm along
the tube, so bars of unlike shape have one.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, cos, floor, radians, sin
from typing import Any

import numpy as np

from geometry.arrays import Floats
from geometry.mesh import ONE_TURN
from studies.comparison.designs import Design
from studies.page.first_screen import case_strip
from studies.page.packing import reals_in
from studies.page.view_fields import LEAST_SCALE
from studies.pictures.palette import GHOST, ramp, rgb
from studies.pictures.raster import drawn_uri
from studies.pictures.unrolled import on_grid
from studies.records.limit import LimitRecord
from studies.records.parts import governing_case

HEIGHT_DEG = 35.0
"""Of the eye above or below the level of the bar."""

DOTS_PER_MM, ROUND = 1.3, 160
"""Of a drawn bar, about twice those of a screen; places round it at which it is coloured."""

ALONG, ACROSS = 420, 65
"""Places along the bar and round it at which it is read; the first round it is the last, too."""

EDGE_MM = 0.01
"""The ends are read this far inside, since a packed place is rounded."""

LIGHT, DARKEST = np.array([-0.3, 0.85, 0.45]), 0.62
"""Of the light: right, up and towards the eye; share of it in full shade."""

RING_MM = 1.5
"""Half the width at which a place along the bar with a value of its own is drawn."""

TICK_MM, FIGURE_MM = 50, 100


@dataclass(frozen=True)
class Mark:
    """The governing place in a picture, percent from its left and its top."""

    left: float
    top: float


@dataclass(frozen=True)
class Band:
    """A length on the ruler, percent: the clamp or a load."""

    kind: str
    left: float
    width: float


@dataclass(frozen=True)
class BarPicture:
    """A design as it is drawn.

    Attributes:
        field: Name of what is shown.
        seen: From where.
        bar: The bar, as a data: address.
        size: Its width and height in dots.
        ring: Its governing place; None where that is the clamp or the whole bar.
        strip: Its wall unrolled, likewise, the side that is seen in its middle.
        sides: Names of its upper, middle and lower part.
        ends: Percent of the ruler from and to.
        strip_ring: The governing place in the strip.
        bands: Clamp and loads on the ruler.
    """

    field: str
    seen: str
    bar: str
    size: tuple[int, int]
    ring: Mark | None
    strip: str
    sides: tuple[str, str, str]
    ends: tuple[float, float]
    strip_ring: Mark | None
    bands: tuple[Band, ...]


@dataclass(frozen=True)
class Ruler:
    """The one ruler: ticks in percent, and those with a figure."""

    ticks: tuple[float, ...]
    figures: tuple[tuple[str, float], ...]


@dataclass(frozen=True, eq=False)
class _Wall:
    """A bar as its page carries it.

    Attributes:
        nodes: (P, 2) s and theta.
        s_mm, theta: Of the grid.
        places_mm: (theta, s, 3) of the outer surface.
        values: (theta, s) utilisation, not a number where none is known.
    """

    nodes: Floats
    s_mm: Floats
    theta: Floats
    places_mm: Floats
    values: Floats


def bar_pictures(designs: Sequence[Design]) -> list[BarPicture]:
    """Return the designs as drawn, all in one scale and on one ruler."""
    ends = ruler_ends_mm([design.scene for design in designs])
    walls = [_wall(design) for design in designs]
    across = max(float(np.abs(wall.places_mm[..., 0]).max()) for wall in walls)
    return [
        _picture(design, wall, ends, across) for design, wall in zip(designs, walls, strict=True)
    ]


def ruler_ends_mm(scenes: Sequence[Mapping[str, Any]]) -> tuple[float, float]:
    """Return the least and the greatest place along any of the bars."""
    low = min(scene["ends_mm"][0] for scene in scenes)
    return low, max(scene["ends_mm"][1] for scene in scenes)


def ruler(ends_mm: tuple[float, float]) -> Ruler:
    """Return ticks each 50 mm, with figures each 100 mm, without sign."""
    places = range(ceil(ends_mm[0] / TICK_MM) * TICK_MM, floor(ends_mm[1]) + 1, TICK_MM)
    return Ruler(
        tuple(_percent(at, ends_mm) for at in places),
        tuple((f"{abs(at)}", _percent(at, ends_mm)) for at in places if at % FIGURE_MM == 0),
    )


def _percent(s_mm: float, ends_mm: tuple[float, float]) -> float:
    return 100 * (s_mm - ends_mm[0]) / (ends_mm[1] - ends_mm[0])


def _shown(design: Design) -> tuple[dict[str, Any], dict[str, Any], bool]:
    """Return the governing case of the scene, the field of its limit, and whether from below."""
    button = next(one for one in case_strip(design.record) if one.governs)
    case = next(one for one in design.scene["cases"] if one["id"] == button.id)
    fields = {one["id"]: one for one in case["fields"] if not one["steps"]}
    usual = next(one for name, one in fields.items() if name.startswith("utilisation_"))
    return case, fields.get(button.field, usual), button.faces == "down"


def _wall(design: Design) -> _Wall:
    scene, (_, field, _) = design.scene, _shown(design)
    bare = _Wall(reals_in(scene["sheet"]), *(np.empty(0),) * 4)
    s = bare.nodes[:, 0]
    along = np.linspace(s.min() + EDGE_MM, s.max() - EDGE_MM, ALONG)
    round_ = np.linspace(np.pi, -np.pi, ACROSS)
    values = reals_in(field["data"])
    # a place on the inner surface counts too: the largest through the wall
    read = np.column_stack([reals_in(scene["outer_mm"]), values.max(axis=1)])
    grid = on_grid(bare, read, along, round_)
    return _Wall(bare.nodes, along, round_, grid[..., :3], _known(field, along, grid[..., 3]))


def _known(field: Mapping[str, Any], s_mm: Floats, values: Floats) -> Floats:
    """Return values (theta, s) without those below what is known, with those of rings."""
    blank = field["blank_below"]
    known: Floats = values if blank is None else np.where(values < blank, np.nan, values)
    for ring in field["rings"]:
        known = np.where(np.abs(s_mm - ring["s_mm"]) < RING_MM, ring["value"], known)
    return known


def _colours(values: Floats) -> Floats:
    """Return (..., 3): the ramp up to `LEAST_SCALE`, grey where nothing is known."""
    blank = np.isnan(values)
    colours = ramp(np.where(blank, 0.0, values) / LEAST_SCALE)
    result: Floats = np.where(blank[..., None], rgb(GHOST), colours)
    return result


def _picture(
    design: Design, wall: _Wall, ends_mm: tuple[float, float], across_mm: float
) -> BarPicture:
    case, field, below = _shown(design)
    limit = governing_case(design.record.cases).nearest_limit
    seen = _seen(wall.places_mm, -HEIGHT_DEG if below else HEIGHT_DEG)
    drawn, corner = _drawn(wall, seen, across_mm)
    own = design.scene["ends_mm"]
    return BarPicture(
        field=field["name"],
        seen="from behind and below" if below else "from behind and above",
        bar=drawn_uri(drawn),
        size=(drawn.shape[1], drawn.shape[0]),
        ring=_ring(wall, seen, limit, corner, drawn.shape),
        strip=drawn_uri(_strip(wall, below=below)),
        sides=("rear", "underside", "front") if below else ("front", "top", "rear"),
        ends=(_percent(own[0], ends_mm), _percent(own[1], ends_mm)),
        strip_ring=_strip_ring(limit, ends_mm, below=below),
        bands=tuple(_bands(design.scene, case, ends_mm)),
    )


def _seen(places_mm: Floats, height_deg: float) -> Floats:
    """Return places (..., 3) as right, up and towards the eye, from behind at a height."""
    lean = radians(height_deg)
    x, y, z = np.moveaxis(places_mm, -1, 0)
    return np.stack([x, z * cos(lean) + y * sin(lean), z * sin(lean) - y * cos(lean)], axis=-1)


def _drawn(wall: _Wall, seen: Floats, across_mm: float) -> tuple[Floats, Floats]:
    """Return a drawing (rows, columns, 4), and right and up of its upper left corner in mm.

    Dense places are painted from back to front, which leaves no dot of the bar bare.
    """
    corner = np.array([-across_mm - 1, seen[..., 1].max() + 1])
    columns = ceil(2 * (across_mm + 1) * DOTS_PER_MM)
    rows = ceil((corner[1] - seen[..., 1].min() + 1) * DOTS_PER_MM)
    shaded = _colours(wall.values) * _shade(seen)[..., None]
    along = 2 * columns
    dense = _denser(np.concatenate([seen, shaded], axis=-1), along)
    dense = dense[np.argsort(dense[:, 2])]
    column, row = np.floor((dense[:, :2] - corner) * [DOTS_PER_MM, -DOTS_PER_MM]).astype(int).T
    drawn = np.zeros((rows, columns, 4))
    drawn[row, column] = np.column_stack([dense[:, 3:], np.ones(len(dense))])
    return drawn, corner


def _shade(seen: Floats) -> Floats:
    """Return (theta, s): how light a place is, by where its surface faces."""
    out = seen - seen[:-1].mean(axis=0)
    facing = out / np.linalg.norm(out, axis=-1, keepdims=True)
    lit = np.clip(facing @ (LIGHT / np.linalg.norm(LIGHT)), 0, 1)
    result: Floats = DARKEST + (1 - DARKEST) * lit
    return result


def _denser(values: Floats, along: int) -> Floats:
    """Return (n, k): values (theta, s, k), straight in between, at denser places."""
    for axis, count in ((1, along), (0, ROUND)):
        places = np.linspace(0, values.shape[axis] - 1, count)
        first = np.minimum(places.astype(int), values.shape[axis] - 2)
        share = (places - first).reshape([-1 if k == axis else 1 for k in range(3)])
        before, behind = (np.take(values, first + k, axis=axis) for k in (0, 1))
        values = before + share * (behind - before)
    return values.reshape(-1, values.shape[-1])


def _strip(wall: _Wall, *, below: bool) -> Floats:
    """Return the wall unrolled (theta, s, 4): the top in the middle, or the underside."""
    colours = _colours(wall.values[:-1])
    rolled = np.roll(colours, ACROSS // 2, axis=0) if below else colours
    return np.concatenate([rolled, np.ones((*rolled.shape[:2], 1))], axis=-1)


def _ring(
    wall: _Wall, seen: Floats, limit: LimitRecord, corner: Floats, shape: tuple[int, ...]
) -> Mark | None:
    if limit.s_mm is None or limit.theta_deg is None:
        return None
    turn = (radians(limit.theta_deg) + np.pi) % ONE_TURN - np.pi
    row = int(np.abs(wall.theta - turn).argmin())
    column = int(np.abs(wall.s_mm - limit.s_mm).argmin())
    x, y = (seen[row, column, :2] - corner) * [DOTS_PER_MM, -DOTS_PER_MM]
    return Mark(100 * float(x) / shape[1], 100 * float(y) / shape[0])


def _strip_ring(limit: LimitRecord, ends_mm: tuple[float, float], *, below: bool) -> Mark | None:
    if limit.s_mm is None or limit.theta_deg is None:
        return None
    turn = (limit.theta_deg + (0 if below else 180)) % 360 - 180
    return Mark(_percent(limit.s_mm, ends_mm), 50 - turn / 3.6)


def _bands(
    scene: Mapping[str, Any], case: Mapping[str, Any], ends_mm: tuple[float, float]
) -> Iterator[Band]:
    found = [("clamp", *scene["clamp_mm"])]
    found += [("load", load["from_mm"], load["to_mm"]) for load in case["loads"]]
    for kind, low, high in found:
        left = _percent(low, ends_mm)
        yield Band(kind, left, _percent(high, ends_mm) - left)
