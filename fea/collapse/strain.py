"""Plastic strain of the wall, averaged over a length that does not depend on the mesh.

The largest plastic strain at a point beside a clamp's edge grows with every finer mesh. So strain
is averaged along the bar over the larger of two walls and half of sqrt(radius x wall), the bending
length of a wall, and outside the clamp; the edge's own strain is given separately.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.interpolate import RegularGridInterpolator

from fea.solid.element import line_gauss, quad8, quad8_places
from geometry.arrays import Floats, Ints
from geometry.bar import Bar, nominal_od_mm, nominal_wall_mm
from geometry.errors import MeshError
from geometry.mesh import ONE_TURN, Sheet, TubeMesh
from loadcases.clamp import Clamp

PER_WALL, PER_BENDING_LENGTH = 2.0, 0.5

SAME_MM = 1e-4
"""Places that lie closer along the bar are in one ring."""


@dataclass(frozen=True, eq=False)
class Lines:
    """The points of all elements in rows along the bar.

    Attributes:
        s_mm: (S,) places of the points along the bar, ascending.
        bounds_mm: (S + 1,) where each point's share of the bar begins and ends.
        theta_rad: (T,) places round the tube.
        zeta: (Z,) places through the wall, from the inner surface.
        order: (S T,) points of one depth, sorted by s and theta.
        layers: Elements through the wall.
    """

    s_mm: Floats
    bounds_mm: Floats
    theta_rad: Floats
    zeta: Floats
    order: Ints
    layers: int


@dataclass(frozen=True)
class StrainPeak:
    """The largest value of a field, and where it lies.

    Attributes:
        value: The largest strain.
        s_mm: Place along the bar.
        theta_rad: Place round the tube.
        zeta: Place through the wall, 0 at the inner surface to 1.
        index: Row along, round and through the wall.
    """

    value: float
    s_mm: float
    theta_rad: float
    zeta: float
    index: tuple[int, int, int]

    @property
    def surface(self) -> Literal["outer", "inner"]:
        """Return which surface is nearer."""
        return "outer" if self.zeta > 0.5 else "inner"


def lines_of(mesh: TubeMesh) -> Lines:
    """Return the rows of a mesh's 2 x 2 x 2 points.

    Raises:
        MeshError: The elements do not lie in rings of equal numbers.
    """
    corners = mesh.sheet.places[:, :4, 0]
    rings = ring_numbers(corners.mean(axis=1))
    require_even(rings)
    flat = quad8(quad8_places(2))
    places = np.einsum("pk,qkd->qpd", flat.values, mesh.sheet.places).reshape(-1, 2)
    theta = np.mod(places[:, 1], ONE_TURN)
    # two rows of points a ring of elements, so that rounding cannot part what lies in one row
    rows = 2 * np.repeat(rings, 4) + (places[:, 0] > np.repeat(corners.mean(axis=1), 4))
    order = np.lexsort((theta, rows))
    depths, _ = line_gauss(2)
    count = int(rows.max()) + 1
    ends = np.append(corners.min(axis=1)[order[:: len(order) // count] // 4][::2], corners.max())
    return Lines(
        places[order, 0].reshape(count, -1).mean(axis=1),
        np.sort(np.concatenate([ends, (ends[1:] + ends[:-1]) / 2])),
        theta[order].reshape(count, -1)[0],
        np.concatenate([(layer + depths) / mesh.layers for layer in range(mesh.layers)]),
        order,
        mesh.layers,
    )


def ring_numbers(s_mm: Floats) -> Ints:
    """Return (n,): the number of the ring, from the left, of each place in `s_mm` (n,)."""
    order = np.argsort(s_mm)
    first = np.diff(s_mm[order], prepend=-np.inf) > SAME_MM
    numbers = np.empty(len(order), dtype=int)
    numbers[order] = np.cumsum(first) - 1
    return numbers


def require_even(numbers: Ints) -> None:
    """Refuse rings that do not all have as many members; `numbers` (n,) gives each member's ring.

    Raises:
        MeshError: They do not.
    """
    if np.ptp(np.unique(numbers, return_counts=True)[1]):
        raise MeshError("the elements do not lie in rings of equal numbers")


def along_lines(lines: Lines, values: Floats) -> Floats:
    """Return values (m, 8, ...) at the points of every element as (S, T, Z, ...)."""
    rest = values.shape[2:]
    # the 8 points of an element: those of one depth together
    deep = values.reshape(lines.layers, -1, 2, 4, *rest).swapaxes(1, 2)
    flat = deep.reshape(len(lines.zeta), -1, *rest)[:, lines.order].swapaxes(0, 1)
    result: Floats = flat.reshape(len(lines.s_mm), len(lines.theta_rad), len(lines.zeta), *rest)
    return result


def on_surfaces(lines: Lines, values: Floats, sheet: Sheet) -> tuple[Floats, Floats]:
    """Return `values` (S, T, Z), in their unit, at P nodes: (P,) on outer and inner surface.

    Straight between the points, and through the wall beyond the last of them, but never below zero.

    Source: linear interpolation.
    """
    zeta = lines.zeta
    outer = _beyond(values[:, :, -1], values[:, :, -2], (1 - zeta[-1]) / (zeta[-1] - zeta[-2]))
    inner = _beyond(values[:, :, 0], values[:, :, 1], zeta[0] / (zeta[1] - zeta[0]))
    turns = np.concatenate([lines.theta_rad[-1:] - ONE_TURN, lines.theta_rad])
    turns = np.append(turns, lines.theta_rad[0] + ONE_TURN)
    both = np.stack([outer, inner], axis=-1)
    round_ = np.concatenate([both[:, -1:], both, both[:, :1]], axis=1)
    places = sheet.nodes.copy()
    places[:, 0] = np.clip(places[:, 0], lines.s_mm[0], lines.s_mm[-1])
    at = RegularGridInterpolator((lines.s_mm, turns), round_)(places)
    return at[:, 0], at[:, 1]


def _beyond(last: Floats, inner: Floats, share: float) -> Floats:
    result: Floats = np.maximum(last + share * (last - inner), 0.0)
    return result


def averaged(lines: Lines, values: Floats, bar: Bar, clamp: Clamp) -> Floats:
    """Return (S, T, Z): `values` averaged along the bar over each place's length, in their unit.

    Averages stay within an arm. In the clamp, where an average means nothing, it is zero.

    Source: the mean of values constant within an element, over `length_mm`.
    """
    total = np.zeros((len(lines.bounds_mm), *values.shape[1:]))
    np.cumsum(values * np.diff(lines.bounds_mm)[:, None, None], axis=0, out=total[1:])
    half = length_mm(bar, lines.s_mm) / 2
    result = np.zeros_like(values)
    for low, high in _arms(lines, clamp):
        inside = (lines.s_mm > low) & (lines.s_mm < high)
        middle = np.clip(lines.s_mm[inside], low + half[inside], high - half[inside])
        ends = [_at(lines.bounds_mm, total, middle + by * half[inside]) for by in (-1, 1)]
        result[inside] = (ends[1] - ends[0]) / (2 * half[inside])[:, None, None]
    return result


def _arms(lines: Lines, clamp: Clamp) -> tuple[tuple[float, float], ...]:
    """Return from where to where each arm reaches; a free bar is one."""
    left, right = float(lines.bounds_mm[0]), float(lines.bounds_mm[-1])
    return ((left, clamp.from_mm), (clamp.to_mm, right)) if clamp.holds else ((left, right),)


def length_mm(bar: Bar, s_mm: Floats) -> Floats:
    """Return the length (S,) in mm over which strain is averaged at `s_mm` (S,).

    Source: module docstring.
    """
    wall = nominal_wall_mm(bar, s_mm)
    radius = (nominal_od_mm(bar, s_mm) - wall) / 2
    result: Floats = np.maximum(PER_WALL * wall, PER_BENDING_LENGTH * np.sqrt(radius * wall))
    return result


def peak_of(lines: Lines, values: Floats) -> StrainPeak:
    """Return the largest of values (S, T, Z) and its place."""
    s, theta, zeta = np.unravel_index(int(np.argmax(values)), values.shape)
    return StrainPeak(
        float(values[s, theta, zeta]),
        float(lines.s_mm[s]),
        float(lines.theta_rad[theta]),
        float(lines.zeta[zeta]),
        (int(s), int(theta), int(zeta)),
    )


def _at(places: Floats, values: Floats, targets: Floats) -> Floats:
    """Return values (k, ...) at target places, linear between the known ones."""
    upper = np.clip(np.searchsorted(places, targets), 1, len(places) - 1)
    share = (targets - places[upper - 1]) / (places[upper] - places[upper - 1])
    share = share[:, None, None]
    result: Floats = values[upper - 1] * (1 - share) + values[upper] * share
    return result
