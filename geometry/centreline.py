"""The centre line: straights and circular arcs over the signed arc length s.

s is 0 at the clamp centre, positive to the rider's right, in mm. Along it runs a
frame (tangent, front, top) that is (x, y, z) at s = 0 and is carried outwards
without twist. On a circular arc the rotation-minimising frame turns about the
arc's axis with the tangent, so position and frame are closed forms, exact to
round-off, with a continuous tangent (Bishop, Am. Math. Monthly 82 (1975) 246;
from memory, unverified).
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.bend_table import STRAIGHT_RAD, Polyline, check_polyline
from geometry.vectors import MIRROR_X, angle_between_rad, unit


@dataclass(frozen=True, eq=False)
class CentreLine:
    """Straights and arcs from the left end to the right end.

    Attributes:
        breaks_mm: (n + 1,) limits of the segments, ascending; 0 is one of them.
        curvature_per_mm: (n,) curvature of each segment, 0 on straights.
        start_mm: (n, 3) position where a segment begins.
        start_axes: (n, 3, 3) rows tangent, front, top where a segment begins.
        start_normal: (n, 3) unit vector towards the bend centre there (zeros on straights).
    """

    breaks_mm: Floats
    curvature_per_mm: Floats
    start_mm: Floats
    start_axes: Floats
    start_normal: Floats

    @property
    def left_end_mm(self) -> float:
        """Return s of the rider's left end, negative."""
        return float(self.breaks_mm[0])

    @property
    def right_end_mm(self) -> float:
        """Return s of the rider's right end."""
        return float(self.breaks_mm[-1])


@dataclass(frozen=True, eq=False)
class Frame:
    """Position and unit vectors of the centre line.

    Attributes:
        position_mm: (..., 3) place in space.
        tangent: (..., 3) unit vector towards larger s.
        front: (..., 3) unit vector of theta = 90 deg.
        top: (..., 3) unit vector of theta = 0.
    """

    position_mm: Floats
    tangent: Floats
    front: Floats
    top: Floats


@dataclass(frozen=True)
class Arc:
    """One bend of the centre line.

    Attributes:
        s_from_mm: Where it begins, signed arc length.
        s_to_mm: Where it ends.
        radius_mm: Centre-line radius.
        extrados_rad: theta of the extrados.
    """

    s_from_mm: float
    s_to_mm: float
    radius_mm: float
    extrados_rad: float


def build_centreline(right: Polyline, left: Polyline | None = None) -> CentreLine:
    """Return the rounded centre line of both halves; a missing left half mirrors the right.

    Args:
        right: The right half, from the clamp centre outwards.
        left: The left half in the same sense, that is, written as a right half.

    Raises:
        InputError: A half cannot be bent.
    """
    outward = _half_line(right)
    return _joined(_mirrored(outward if left is None else _half_line(left)), outward)


def locate(line: CentreLine, s_mm: Floats) -> Frame:
    """Return the frame at `s_mm`, of any shape; beyond the ends the last segment continues.

    Source: module docstring.
    """
    s_mm = np.asarray(s_mm, dtype=float)
    which = _segment(line, s_mm)
    along = s_mm - line.breaks_mm[which]
    turn = line.curvature_per_mm[which] * along
    tangent0, front0, top0 = np.moveaxis(line.start_axes[which], -2, 0)
    normal0 = line.start_normal[which]
    cos, sin = np.cos(turn)[..., None], np.sin(turn)[..., None]
    # sin(a)/k and (1 - cos a)/k without dividing by a curvature of zero
    ahead = (along * np.sinc(turn / np.pi))[..., None]
    aside = (along * turn / 2 * np.sinc(turn / (2 * np.pi)) ** 2)[..., None]
    position = line.start_mm[which] + ahead * tangent0 + aside * normal0
    normal = cos * normal0 - sin * tangent0
    carried = [vector + _along(vector, normal0) * (normal - normal0) for vector in (front0, top0)]
    return Frame(position, cos * tangent0 + sin * normal0, carried[0], carried[1])


def curvature_at(line: CentreLine, s_mm: Floats) -> Floats:
    """Return the curvature in 1/mm at `s_mm`, 0 on straights, same shape."""
    return line.curvature_per_mm[_segment(line, np.asarray(s_mm, dtype=float))]


def curvature_vector(line: CentreLine, s_mm: Floats) -> Floats:
    """Return (..., 2): the curvature in 1/mm along front and top at `s_mm` (...).

    Source: module docstring.
    """
    which = _segment(line, np.asarray(s_mm, dtype=float))
    across = np.einsum("nij,nj->ni", line.start_axes[:, 1:], line.start_normal)
    result: Floats = (line.curvature_per_mm[:, None] * across)[which]
    return result


def arcs(line: CentreLine) -> tuple[Arc, ...]:
    """Return the bends from the left end to the right end."""
    return tuple(
        Arc(
            float(line.breaks_mm[i]),
            float(line.breaks_mm[i + 1]),
            1 / float(curvature),
            float(np.arctan2(-(line.start_axes[i, 1] @ n), -(line.start_axes[i, 2] @ n)))
            % (2 * np.pi),
        )
        for i, (curvature, n) in enumerate(
            zip(line.curvature_per_mm, line.start_normal, strict=True)
        )
        if curvature > 0
    )


def _half_line(half: Polyline) -> CentreLine:
    """Lay out one half segment by segment, carrying position and frame along."""
    check_polyline(half)
    points = np.array(half.points_mm, dtype=float)
    segments = np.diff(points, axis=0)
    angles = [angle_between_rad(a, b) for a, b in pairwise(segments)]
    lengths: list[float] = []
    curvatures: list[float] = []
    normals: list[Floats] = []
    past_mm = 0.0
    for i, segment in enumerate(segments):
        bends = i < len(angles) and angles[i] > STRAIGHT_RAD
        setback = half.bend_radii_mm[i] * np.tan(angles[i] / 2) if bends else 0.0
        lengths.append(max(float(np.linalg.norm(segment)) - past_mm - setback, 0.0))
        curvatures.append(0.0)
        normals.append(np.zeros(3))
        if bends:
            ahead = unit(segment)
            lengths.append(half.bend_radii_mm[i] * angles[i])
            curvatures.append(1 / half.bend_radii_mm[i])
            normals.append(unit(segments[i + 1] - ahead * (ahead @ segments[i + 1])))
        past_mm = setback
    return _chained(np.array(lengths), np.array(curvatures), np.array(normals))


def _chained(lengths: Floats, curvatures: Floats, normals: Floats) -> CentreLine:
    """Return the segments of some length, each begun where the one before it ends."""
    kept = (lengths > 1e-9) | (curvatures > 0)
    lengths, curvatures, normals = lengths[kept], curvatures[kept], normals[kept]
    count = len(lengths)
    starts, axes = np.zeros((count, 3)), np.tile(np.eye(3), (count, 1, 1))
    breaks = np.concatenate([[0.0], np.cumsum(lengths)])
    for i in range(count - 1):
        so_far = CentreLine(
            breaks[: i + 2], curvatures[: i + 1], starts[: i + 1], axes[: i + 1], normals[: i + 1]
        )
        end = locate(so_far, breaks[i + 1])
        starts[i + 1] = end.position_mm
        axes[i + 1] = [end.tangent, end.front, end.top]
    return CentreLine(breaks, curvatures, starts, axes, normals)


def _mirrored(half: CentreLine) -> CentreLine:
    """Return the mirror image in x, run through the other way so that s ascends to 0."""
    count = len(half.curvature_per_mm)
    ends = _ends(half)
    axes = np.stack([-ends.tangent, ends.front, ends.top], axis=1) * MIRROR_X
    turns = (half.curvature_per_mm * np.diff(half.breaks_mm))[:, None]
    normals = np.cos(turns) * half.start_normal - np.sin(turns) * half.start_axes[:, 0]
    order = np.arange(count)[::-1]
    return CentreLine(
        -half.breaks_mm[::-1],
        half.curvature_per_mm[order],
        (ends.position_mm * MIRROR_X)[order],
        axes[order],
        (normals * MIRROR_X)[order],
    )


def _ends(half: CentreLine) -> Frame:
    """Return the frames at the ends of all segments, each seen from its own segment."""
    frames = []
    for i in range(len(half.curvature_per_mm)):
        alone = CentreLine(
            half.breaks_mm[i : i + 2],
            half.curvature_per_mm[i : i + 1],
            half.start_mm[i : i + 1],
            half.start_axes[i : i + 1],
            half.start_normal[i : i + 1],
        )
        frames.append(locate(alone, half.breaks_mm[i + 1]))
    return Frame(
        np.array([f.position_mm for f in frames]),
        np.array([f.tangent for f in frames]),
        np.array([f.front for f in frames]),
        np.array([f.top for f in frames]),
    )


def _joined(left: CentreLine, right: CentreLine) -> CentreLine:
    return CentreLine(
        np.concatenate([left.breaks_mm[:-1], right.breaks_mm]),
        np.concatenate([left.curvature_per_mm, right.curvature_per_mm]),
        np.concatenate([left.start_mm, right.start_mm]),
        np.concatenate([left.start_axes, right.start_axes]),
        np.concatenate([left.start_normal, right.start_normal]),
    )


def _segment(line: CentreLine, s_mm: Floats) -> Ints:
    inner = line.breaks_mm[1:-1]
    return np.searchsorted(inner, s_mm, side="right")


def _along(vector: Floats, direction: Floats) -> Floats:
    result: Floats = np.einsum("...i,...i->...", vector, direction)[..., None]
    return result
