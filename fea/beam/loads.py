"""Loads on bands of the bar, as wrenches on the chain, and the motion they do work on."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.beam.chain import transport
from geometry.arrays import Floats
from geometry.bar import Bar
from geometry.centreline import locate
from loadcases.clamp import Clamp
from loadcases.load import SLACK_MM, PlacedLoad

BAND_POINTS = 16
"""Gauss points that stand for the uniform load of a band."""


@dataclass(frozen=True, eq=False)
class Band:
    """A load spread over its band.

    Attributes:
        s_mm: (p,) where its parts act.
        spread: (p, 6, 6) part of the wrench at the origin over force and moment of the load,
            the moment about the centre-line point. The transpose takes the motions there to the
            conjugate mean motion of the load, so work is exact.
        wrench: (6,) force and moment of the load, N and N mm.
    """

    s_mm: Floats
    spread: Floats
    wrench: Floats


def spread_load(bar: Bar, load: PlacedLoad) -> Band:
    """Return a load as parts along its band, with its exact resultant on a bent band too.

    Source: statics of a distributed load, textbook.
    """
    point, weight = np.polynomial.legendre.leggauss(BAND_POINTS)
    s_mm = load.at_mm + load.band_mm / 2.0 * point
    share = weight / 2.0
    lever = locate(bar.line, s_mm).position_mm
    # the force acts at its band's mean point: a couple cancels its moment about the load point
    offset = share @ lever - locate(bar.line, np.array([load.at_mm])).position_mm[0]
    parts = np.swapaxes(transport(lever), 1, 2) @ transport(-offset).T
    wrench = np.array([*load.force_n, *load.moment_nmm], dtype=np.float64)
    return Band(s_mm, share[:, None, None] * parts, wrench)


def spread_cases(
    bar: Bar, clamp: Clamp, cases: Sequence[Sequence[PlacedLoad]]
) -> tuple[tuple[Band, ...], ...]:
    """Return the bands of every case.

    Raises:
        ValueError: A band crosses the clamp or an end; placing a load refuses that earlier.
    """
    for load in (load for case in cases for load in case):
        ends = min(load.from_mm - bar.line.left_end_mm, bar.line.right_end_mm - load.to_mm)
        gap = max(load.from_mm - clamp.to_mm, clamp.from_mm - load.to_mm)
        if min(ends, gap if clamp.holds else ends) < -2.0 * SLACK_MM:
            raise ValueError(f"load band at {load.at_mm:g} mm crosses the clamp or an end")
    return tuple(tuple(spread_load(bar, load) for load in case) for case in cases)


def nodal_wrenches(nodes_mm: Floats, cases: Sequence[Sequence[Band]]) -> Floats:
    """Return the wrenches (n, 6, cases) at the origin of all bands, on the n nodes `nodes_mm` (n,).

    Forces in N, moments in N mm. Source: equivalent nodal loads by virtual work, textbook.
    """
    total = np.zeros((len(nodes_mm), 6, len(cases)))
    for i, case in enumerate(cases):
        for band in case:
            total[np.searchsorted(nodes_mm, band.s_mm), :, i] += band.spread @ band.wrench
    return total


def mean_motions(nodes_mm: Floats, case: Sequence[Band], motion: Floats) -> Floats:
    """Return the conjugate mean motion (loads, 6), mm and rad, of each band.

    `nodes_mm` (n,) are the nodes and `motion` (n, 6) their motions at the origin. Source: the
    transpose of the spread of the loads (virtual work), textbook.
    """
    means = [
        np.einsum("pij,pi->j", band.spread, motion[np.searchsorted(nodes_mm, band.s_mm)])
        for band in case
    ]
    return np.reshape(np.array(means), (len(case), 6))
