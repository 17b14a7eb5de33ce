"""Whether supports leave a free bar a rigid motion on which its loads do work.

The loads must be balanced by forces of the supports' points: along their normals as pushes, both
ways where a support pulls, and within the cone of friction where it rubs. The part of the
loads that no such forces balance is, by its direction, the rigid motion that is left (Farkas'
lemma), so non-negative least squares finds both. Motions on which nothing works, such as rolling
along free rollers, are harmless. A bed that rises is one freedom more, on which the ram works.

Limits: the cone has 24 edges, which are 1 % short of it between them. Forces within their cones are
what balance takes; whether the bar gets there is the solver's to say.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from geometry.arrays import Floats
from geometry.centreline import CentreLine, locate
from geometry.errors import Problem
from loadcases.balance import AXES, resultant
from loadcases.contact_points import ContactPoint
from loadcases.load import PlacedLoad
from loadcases.supports import PlacedSupport

CONE = 24
"""Edges of a cone of friction."""

LEFT = 1e-6
"""Share of the loads that may be left: round-off."""


def left_free(
    supports: Sequence[PlacedSupport],
    loads: Sequence[PlacedLoad],
    line: CentreLine,
    ram_force_n: float = 0.0,
) -> Iterator[Problem]:
    """Yield the rigid motion that supports leave a bar and on which loads or the ram work."""
    from scipy.optimize import nnls

    length_mm = line.right_end_mm - line.left_end_mm
    force, moment = resultant(loads, line)
    work = np.array([*force, *(moment / length_mm), ram_force_n])
    columns = np.stack([*_columns(supports, line, length_mm)], axis=-1)
    columns[6] *= ram_force_n > 0
    shares, _ = nnls(columns, -work)
    left = work + columns @ shares
    size = float(np.abs(left).max())
    if size > LEFT * float(np.abs(work).max()):
        axis = int(np.abs(left[:6]).argmax())
        motion = f"{'slide along' if axis < len(AXES) else 'turn about'} {AXES[axis % len(AXES)]}"
        sentence = f"leave the bar free to {motion} under its loads; add a support against that"
        yield Problem("supports", sentence)


def _columns(
    supports: Sequence[PlacedSupport], line: CentreLine, length_mm: float
) -> Iterator[Floats]:
    """Yield (7,) of each force that supports can exert: force, moment over length, on the bed."""
    for support in supports:
        centre = locate(line, np.array(support.at_mm)).position_mm
        rise = 0.0 if support.of_ram else -1.0
        for point in support.points:
            arm = centre + point.offset_mm
            for way in _ways(point):
                moment = np.cross(arm, way) / length_mm
                yield np.array([*way, *moment, rise * float(way @ support.direction)])


def _ways(point: ContactPoint) -> Iterator[Floats]:
    normal = np.array(point.normal)
    yield normal
    if point.pulls:
        yield -normal
    if point.friction:
        beside = np.cross(normal, np.eye(3)[np.abs(normal).argmin()])
        beside /= np.linalg.norm(beside)
        across = np.stack([beside, np.cross(normal, beside)])
        for turn in np.linspace(0, 2 * np.pi, CONE, endpoint=False):
            yield normal + point.friction * (np.array([np.cos(turn), np.sin(turn)]) @ across)
