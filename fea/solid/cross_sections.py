"""The sheet's nodes as rings: cross-sections of the bar for forces, moments and readings."""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from fea.solid.hot_spot import PLACE_MM
from geometry.arrays import Floats, Ints
from geometry.bar import Bar, local_wall_mm, outer_radius_mm
from geometry.mesh import ONE_TURN, Sheet

FEWEST = 8
"""Nodes round the tube below which a line of nodes is no cross-section."""


@dataclass(frozen=True, eq=False)
class Rings:
    """Cross-sections with the same number of nodes.

    Attributes:
        nodes: (S, k) sheet nodes of each, ascending in theta.
        radius_mm: (S, k) mean radius at each node.
        wall_mm: (S, k) wall there.
        front_mm: (S, k) place towards the front, theta = 90 deg, from the centre line.
        top_mm: (S, k) place towards the top, theta = 0.
        area_mm2: (S, k) area of the section for each node.
    """

    nodes: Ints
    radius_mm: Floats
    wall_mm: Floats
    front_mm: Floats
    top_mm: Floats
    area_mm2: Floats


def rings_of(bar: Bar, sheet: Sheet) -> tuple[Rings, ...]:
    """Return the cross-sections of a sheet, those with equally many nodes together."""
    lines = lines_round(sheet)
    sizes = {len(line) for line in lines}
    return tuple(
        _rings(bar, sheet, np.stack([line for line in lines if len(line) == size]))
        for size in sorted(sizes)
    )


def lines_round(sheet: Sheet) -> list[Ints]:
    """Return the nodes (k,) of each line round the tube that is a cross-section.

    Lines ascend in s, their nodes in theta.

    Source: definition.
    """
    s, theta = sheet.nodes.T
    order = np.lexsort((theta, np.round(s / PLACE_MM)))
    lines = np.split(order, np.flatnonzero(np.diff(s[order]) > PLACE_MM) + 1)
    return [line for line in lines if len(line) >= FEWEST]


def reader_at(sheet: Sheet, s_mm: Floats, theta: Floats) -> csr_array:
    """Return (k, P) what reads nodal values at places `s_mm` (k,), `theta` (k,), mm and radians.

    Linear along the bar between two lines round the tube, and on each between two nodes.

    Source: linear interpolation.
    """
    lines = lines_round(sheet)
    at = np.array([sheet.nodes[line[0], 0] for line in lines])
    after = np.clip(np.searchsorted(at, s_mm), 1, len(at) - 1)
    share = np.clip((s_mm - at[after - 1]) / (at[after] - at[after - 1]), 0, 1)
    parts = []
    for numbers, weights in ((after - 1, 1 - share), (after, share)):
        for number in np.unique(numbers):
            rows = np.flatnonzero(numbers == number)
            nodes, round_ = _round(sheet, lines[number], theta[rows])
            parts.append((np.tile(rows, 2), nodes, np.tile(weights[rows], 2) * round_))
    row, column, value = (np.concatenate(one) for one in zip(*parts, strict=True))
    return csr_array((value, (row, column)), shape=(len(s_mm), len(sheet.nodes)))


def _round(sheet: Sheet, line: Ints, theta: Floats) -> tuple[Ints, Floats]:
    """Return nodes (2 k,) of a line on both sides of each angle, and their weights."""
    angles = sheet.nodes[line, 1]
    ahead = np.searchsorted(angles, theta % ONE_TURN) % len(line)
    behind = (ahead - 1) % len(line)
    gap = (angles[ahead] - angles[behind]) % ONE_TURN
    share = ((theta - angles[behind]) % ONE_TURN) / gap
    return np.concatenate([line[behind], line[ahead]]), np.concatenate([1 - share, share])


def _rings(bar: Bar, sheet: Sheet, nodes: Ints) -> Rings:
    s, theta = np.moveaxis(sheet.nodes[nodes], -1, 0)
    wall = local_wall_mm(bar, s, theta)
    radius = outer_radius_mm(bar, s, theta) - wall / 2
    ahead = np.roll(theta, -1, axis=1) - theta
    behind = theta - np.roll(theta, 1, axis=1)
    width = ((ahead % ONE_TURN) + (behind % ONE_TURN)) / 2
    return Rings(
        nodes, radius, wall, radius * np.sin(theta), radius * np.cos(theta), radius * wall * width
    )
