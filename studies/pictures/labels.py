"""Where words stand in a picture: near what they name, over nothing drawn, over no other label.

Boxes are in dots from the bottom left of the sheet; arrays of them hold rows like `Box`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from geometry.arrays import Flags, Floats

DIRECTIONS = 24
DISTANCES = (8, 22, 40, 65, 95, 130, 175, 230, 300)
CLOSE = 3
"""Dots from the place to the edge of its words; the first few cost nothing where it is best that no
line leads there."""

STEP = 16
"""Dots from one place to the next where all of the room is searched."""

CLEAR = 0.01
"""Share of a label over what is drawn that still counts as beside it."""

OVERLAP, OUTSIDE, ON_DRAWING, CROSSING, LED, ASIDE, FAR = 500.0, 300.0, 40.0, 12.0, 4.0, 1.2, 0.006
"""What each fault of a place costs; the cheapest place is taken."""

LINE_HALF = 5
"""Dots to either side of a line to words that later words keep off."""

CLEARANCE = np.array([-6.0, -4.0, 6.0, 4.0])
"""By how much the box that must be free is larger than the label."""


class Box(NamedTuple):
    """A rectangle."""

    left: float
    bottom: float
    right: float
    top: float


@dataclass(frozen=True)
class Label:
    """Words that are to be placed.

    Attributes:
        at: What they name, in dots.
        size: Width and height of the words, in dots.
        towards: Preferred direction from there, right and up; None for any.
        bounds: Box where they must stay.
        alone: Whether it is best that no line leads to them, so that they stand close.
    """

    at: tuple[float, float]
    size: tuple[float, float]
    towards: tuple[float, float] | None
    bounds: Box
    alone: bool = False


def place_labels(labels: Sequence[Label], taken: Floats, drawn: Flags, frame: Box) -> list[Floats]:
    """Return the box (4,) in which each of the words stands, the first served first.

    Words that find no free place near what they name are sought one in all of their bounds, and
    then in the frame.

    Args:
        labels: What is to be placed.
        taken: (k, 4) boxes where no words may stand.
        drawn: (height, width) whether a dot of the sheet is drawn on, row 0 at the bottom.
        frame: What no words may leave.
    """
    sums = summed(drawn)
    used, lines, found = taken.reshape(-1, 4), np.zeros((0, 4)), []
    for label in labels:
        best = _best(label, used, lines, sums, frame)
        found.append(best)
        used, lines = np.vstack([used, best]), np.vstack([lines, _along(label, best)])
    return found


def _best(label: Label, used: Floats, lines: Floats, sums: Floats, frame: Box) -> Floats:
    """Return the cheapest free box (4,): near by, or else anywhere; on the drawing at the worst."""
    near, within = _boxes(label), _everywhere(label, label.bounds)
    everywhere = _everywhere(label, frame)
    for boxes, covered in ((near, CLEAR), (within, CLEAR), (everywhere, CLEAR), (near, 1.0)):
        uncrossed = overlaps(boxes, lines).sum(axis=1) == 0
        clear = drawn_share(boxes, sums) <= covered
        free = np.logical_and.reduce([_free(label, boxes, used, frame), uncrossed, clear])
        if free.any():
            costs = np.where(free, _costs(label, boxes, used, sums), np.inf)
            return np.asarray(boxes[int(np.argmin(costs))])
    crowded = _free(label, everywhere, used, frame)
    costs = _costs(label, everywhere, used, sums)
    return np.asarray(everywhere[int(np.argmin(np.where(crowded, 0.0, OVERLAP) + costs))])


def _free(label: Label, boxes: Floats, used: Floats, frame: Box) -> Flags:
    """Return (m,): whether boxes are within the frame and apart from all that is there."""
    low, high = np.array(frame[:2]), np.array(frame[2:])
    inside = (boxes[:, :2] >= low - 0.5).all(axis=1) & (boxes[:, 2:] <= high + 0.5).all(axis=1)
    apart = overlaps(boxes + CLEARANCE, used).sum(axis=1) == 0
    result: Flags = np.logical_and(inside, apart)
    return result


def _along(label: Label, box: Floats) -> Floats:
    """Return boxes (m, 4) along the line from a place to its words."""
    end = nearest_in(box, label.at)
    count = 1 + int(np.linalg.norm(end - label.at) / LINE_HALF)
    places = np.linspace(label.at, end, count)
    return np.concatenate([places - LINE_HALF, places + LINE_HALF], axis=-1)


def _everywhere(label: Label, bounds: Box) -> Floats:
    """Return boxes (m, 4) all over some bounds, at least one."""
    wide, high = label.size
    across = np.arange(bounds.left, max(bounds.right - wide, bounds.left) + 1, STEP)
    upright = np.arange(bounds.bottom, max(bounds.top - high, bounds.bottom) + 1, STEP)
    low = np.stack(np.meshgrid(across, upright), axis=-1).reshape(-1, 2)
    return np.concatenate([low, low + np.array(label.size)], axis=-1)


def overlaps(boxes: Floats, others: Floats) -> Floats:
    """Return (m, k): the area that each of (m, 4) boxes shares with each of (k, 4)."""
    low = np.maximum(boxes[:, None, :2], others[None, :, :2])
    high = np.minimum(boxes[:, None, 2:], others[None, :, 2:])
    shared: Floats = np.clip(high - low, 0.0, None).prod(axis=-1)
    return shared


def nearest_in(boxes: Floats, at: tuple[float, float]) -> Floats:
    """Return (..., 2): the place in each box nearest to `at`, where a line from there ends."""
    place: Floats = np.clip(np.array(at), boxes[..., :2], boxes[..., 2:])
    return place


def _boxes(label: Label) -> Floats:
    """Return the boxes (m, 4) among which the cheapest is sought."""
    half, distances = np.array(label.size) / 2, np.array(DISTANCES, dtype=float)
    distances = distances if label.alone else distances[1:]
    angle = np.linspace(0, 2 * np.pi, DIRECTIONS, endpoint=False)
    ray = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    # along the ray to where the box would just touch the place
    touching = (half / np.maximum(np.abs(ray), 1e-9)).min(axis=-1)
    centre = label.at + (touching[:, None] + distances)[..., None] * ray[:, None]
    # beside an edge of the bounds words slide along it
    low = np.array(label.bounds[:2]) + half
    centre = np.clip(centre, low, np.maximum(np.array(label.bounds[2:]) - half, low))
    return np.concatenate([centre - half, centre + half], axis=-1).reshape(-1, 4)


def _costs(label: Label, boxes: Floats, used: Floats, sums: Floats) -> Floats:
    """Return (m,): what is wrong with each box, added up."""
    area = label.size[0] * label.size[1]
    roomy = boxes + CLEARANCE
    ends = nearest_in(boxes, label.at)
    outside = 1 - overlaps(boxes, np.array([label.bounds]))[:, 0] / area
    costs = OVERLAP * overlaps(roomy, used).sum(axis=1) / area + OUTSIDE * outside
    if label.alone:
        far = np.linalg.norm(ends - label.at, axis=1) > DISTANCES[CLOSE - 1] + 1
        costs = costs + LED * far
    costs = costs + ON_DRAWING * drawn_share(roomy, sums)
    costs = costs + CROSSING * _crossing(label, ends, used) + ASIDE * _aside(label, boxes)
    result: Floats = costs + FAR * np.linalg.norm(ends - label.at, axis=1)
    return result


def summed(drawn: Flags) -> Floats:
    """Return sums (height + 1, width + 1) of all that is drawn below and left of each corner."""
    sums = np.zeros((drawn.shape[0] + 1, drawn.shape[1] + 1))
    sums[1:, 1:] = np.cumsum(np.cumsum(drawn, axis=0, dtype=float), axis=1)
    return sums


def drawn_share(boxes: Floats, sums: Floats) -> Floats:
    """Return (m,): the share of each box (m, 4) that is drawn on, by `summed`."""
    limit = np.array([sums.shape[1], sums.shape[0]] * 2) - 1
    left, bottom, right, top = np.clip(np.round(boxes), 0, limit).astype(int).T
    inked = sums[top, right] - sums[bottom, right] - sums[top, left] + sums[bottom, left]
    share: Floats = inked / np.maximum((right - left) * (top - bottom), 1)
    return share


def _crossing(label: Label, ends: Floats, used: Floats) -> Flags:
    """Return (m,): whether a line to each end runs through a box other than one round its start."""
    round_start = (nearest_in(used, label.at) == label.at).all(axis=-1)
    others = used[~round_start]
    share = np.linspace(0, 1, 15)[:, None]
    points = (1 - share) * np.array(label.at) + share * ends[:, None]
    inside = (points[:, :, None] > others[:, :2]) & (points[:, :, None] < others[:, 2:])
    crossed: Flags = inside.all(axis=-1).any(axis=(1, 2))
    return crossed


def _aside(label: Label, boxes: Floats) -> Floats:
    """Return (m,): 0 for words in the preferred direction, 1 for those in the opposite one."""
    if label.towards is None:
        return np.zeros(len(boxes))
    seen = (boxes[:, :2] + boxes[:, 2:]) / 2 - label.at
    size = np.linalg.norm(seen, axis=1) * np.linalg.norm(label.towards)
    cosine: Floats = seen @ np.array(label.towards) / np.maximum(size, 1e-9)
    return (1 - cosine) / 2
