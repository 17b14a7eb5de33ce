"""The whole bar, small, above a close view: which part of it is shown, and its place in words."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import KDTree

from geometry.arrays import Flags, Floats
from geometry.bar import Bar, nominal_od_mm
from geometry.centreline import locate
from loadcases.clamp import Clamp
from studies.pictures.figure_layout import EDGE, WIDTH, Mark, Panel
from studies.pictures.labels import Box
from studies.pictures.palette import FAINT, GHOST, INK, PAPER, rgb
from studies.pictures.pieces import CLOSE_DIAMETERS
from studies.pictures.scene import Pane, in_dots, view_from
from studies.pictures.views import RIDER

SIZE, ROOM = (620, 172), (16, 22)
"""Of the bar's picture, and what it keeps free at the sides, and above and below."""

STEP_MM = 0.8
LEAST_RADIUS = 3.0
"""In dots: a bar is never drawn thinner."""


@dataclass(frozen=True, eq=False)
class Inset:
    """A panel, and the mark on it."""

    panel: Panel
    mark: Mark


def inset_of(bar: Bar, clamp: Clamp, bottom: int, s_mm: float, words: str) -> Inset:
    """Return the whole bar above a height, the part near a place of it dark, that named."""
    pane = inset_pane(bar, bottom)
    s = stations_mm(bar)
    reach = CLOSE_DIAMETERS * float(nominal_od_mm(bar, np.array(s_mm)))
    held = (s > clamp.from_mm) & (s < clamp.to_mm)
    shades = np.where(held[:, None], rgb(FAINT), rgb(GHOST))
    shades = np.where((np.abs(s - s_mm) < reach)[:, None], rgb(INK), shades)
    picture = silhouette_picture(bar, pane, shades)
    x, y = in_dots(pane, locate(bar.line, np.array(s_mm)).position_mm)
    room = Box(EDGE, bottom + 8, WIDTH - EDGE, bottom + SIZE[1] - 8)
    mark = Mark((float(x), float(y)), f"shown here:\n{words}", room, (1, 0.4), ring=True)
    return Inset(Panel(picture, pane.left, pane.bottom), mark)


def inset_pane(bar: Bar, bottom: int) -> Pane:
    """Return the pane of the whole bar, seen by the rider, above a height."""
    points = locate(bar.line, stations_mm(bar)).position_mm
    return Pane(view_from(RIDER, points, SIZE, ROOM), EDGE, bottom, SIZE)


def stations_mm(bar: Bar) -> Floats:
    """Return places (n,) close to each other along a bar."""
    low, high = bar.line.left_end_mm, bar.line.right_end_mm
    return np.linspace(low, high, 2 + int((high - low) / STEP_MM))


def silhouette_picture(bar: Bar, pane: Pane, shades: Floats) -> Floats:
    """Return a pane's picture (height, width, 3) of a bar without light.

    Args:
        bar: The bar.
        pane: Where it is seen.
        shades: (n, 3) colour at each of its stations.
    """
    wide, high = pane.size
    s = stations_mm(bar)
    radius = np.asarray(nominal_od_mm(bar, s)) / 2 * pane.dots_per_mm
    radius = np.maximum(radius, LEAST_RADIUS)
    middle = in_dots(pane, locate(bar.line, s).position_mm) - [pane.left, pane.bottom]
    across, down = np.meshgrid(np.arange(wide) + 0.5, high - np.arange(high) - 0.5)
    places = np.stack([across, down], axis=-1)
    away, nearest = KDTree(middle).query(places, distance_upper_bound=float(radius.max()) + 2)
    near: Flags = nearest < len(s)
    at = np.where(near, nearest, 0)
    cover = np.where(near, np.clip(radius[at] - away + 0.5, 0.0, 1.0), 0.0)[..., None]
    result: Floats = cover * shades[at] + (1 - cover) * rgb(PAPER)
    return result
