"""Directions of view, and how panes share a sheet."""

from collections.abc import Sequence
from itertools import product

import numpy as np

from geometry.arrays import Floats
from geometry.bar import axes
from geometry.vectors import unit
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures.figure_layout import PICTURE
from studies.pictures.pieces import peak_outward, peak_place_mm
from studies.pictures.scene import Pane, View, fitted, view_from

RIDER = np.array([-0.12, -1.0, 0.55])
"""Where the eye is: the rider's, behind the bar and above it."""

SEEN = 0.35
"""A place is seen well where its normal leans at least so far to the eye."""

TURNS, WAYS = (-6.0, 6.0), ((1.0, -1.0), (1.0, -1.0))
"""Factors on the rider's eye for views from the sides, from the front, from below."""

ROOM, SMALL_ROOM, LEAST_ROOM = (96, 124), (94, 98), (94, 94)
"""Dots kept free for words and arrows at the sides, and above and below, of one pane, of two or
of three."""

CLOSE_SIZE, CLOSE_ROOM = (1200, 640), (120, 24)
"""Of a close view, and what it keeps free at the sides, and above and below."""

GAP, CAPTION = 12, 44
"""Dots between panes beside each other, and above each of them, for its name."""

MOST_HIGH = 480
"""Of each of several panes."""

Split = tuple[tuple[int, int], list[tuple[int, int]]]
"""Size of panes, and the lower left corner of each."""


def whole_pane(points_mm: Floats) -> Pane:
    """Return one pane, seen by the rider, in which all points fit; no higher than they need."""
    wide, most = whole_size()
    view = view_from(RIDER, points_mm, (wide, most), ROOM)
    high = needed_height(view, points_mm, (wide, most), ROOM)
    return Pane(fitted(view, points_mm, (wide, high), ROOM), 0, 0, (wide, high))


def whole_size() -> tuple[int, int]:
    """Return width and largest height of a single pane."""
    return round(PICTURE.right - PICTURE.left), round(PICTURE.top - PICTURE.bottom)


def needed_height(
    view: View, points_mm: Floats, size: tuple[int, int], room: tuple[int, int]
) -> int:
    """Return how much of a pane's height points need that fit into it, room included, in dots."""
    dots_per_mm = size[1] / (2 * fitted(view, points_mm, size, room).half_height_mm)
    return min(round(np.ptp(points_mm @ view.up) * dots_per_mm) + 2 * room[1], size[1])


def two_panes(run: StudyRun, case: CaseRun, points_mm: Floats) -> list[tuple[Pane, str]]:
    """Return the rider's view and one that shows what it hides, with their names.

    They stand above each other or beside each other, whichever shows the bar larger.
    """
    return panes_towards(peak_outward(run, case), points_mm)


def panes_towards(outward: Floats, points_mm: Floats) -> list[tuple[Pane, str]]:
    """Return the rider's view and one that also sees a surface with this normal, with names."""
    eyes = RIDER, second_direction(outward)
    return [
        (pane, f"seen from {side_in_words(eye)}")
        for pane, eye in zip(_largest(eyes, points_mm, SMALL_ROOM), eyes, strict=True)
    ]


def _largest(eyes: Sequence[Floats], points_mm: Floats, room: tuple[int, int]) -> list[Pane]:
    """Return a pane for each eye, in the split that shows all larger, no higher than needed."""
    most = MOST_HIGH * len(eyes) if len(eyes) > 1 else whole_size()[1]
    best = max(
        (_panes(eyes, points_mm, split, room) for split in _splits(len(eyes), most)),
        key=lambda panes: min(pane.dots_per_mm for pane in panes),
    )
    high = max(needed_height(pane.view, points_mm, pane.size, room) for pane in best)
    split = next(
        one for one in _splits(len(eyes), _total(high, best)) if one[0][0] == best[0].size[0]
    )
    return _panes(eyes, points_mm, split, room)


def _total(high: int, panes: Sequence[Pane]) -> int:
    """Return the height of all panes where each is so high."""
    rows = len({pane.bottom for pane in panes})
    return rows * high + (rows - 1) * CAPTION


def _panes(
    eyes: Sequence[Floats], points_mm: Floats, split: Split, room: tuple[int, int]
) -> list[Pane]:
    size, corners = split
    return [
        Pane(view_from(eye, points_mm, size, room), *corner, size)
        for eye, corner in zip(eyes, corners, strict=True)
    ]


def second_direction(outward: Floats) -> Floats:
    """Return the second direction of view: from below, or where the peak is seen best."""
    below = RIDER * [1, 1, -1]
    if max(unit(RIDER) @ outward, unit(below) @ outward) > SEEN:
        return below
    others = [RIDER * [turn, way, lean] for turn, way, lean in product((1, *TURNS), *WAYS)]
    return max(others, key=lambda eye: float(unit(eye) @ outward))


def best_of(panes: list[tuple[Pane, str]], outward: Floats) -> Pane:
    """Return the pane that shows a place with this normal best."""
    return max((pane for pane, _ in panes), key=lambda pane: float(pane.view.towards @ outward))


def close_pane(run: StudyRun, case: CaseRun, points_mm: Floats) -> Pane:
    """Return a pane that shows the peak's surface, a little aslant, outboard to the right."""
    peak = case.peak
    along, _, outward = axes(run.study.bar, np.array(peak.s_mm), np.array(peak.theta_rad))
    outboard = along if peak.s_mm >= 0 else -along
    facing = outward if peak.surface == "outer" else -outward
    up = np.cross(facing, outboard)
    towards = unit(facing + 0.3 * outboard + 0.35 * up)
    right = unit(outboard - towards * (outboard @ towards))
    view = View(peak_place_mm(run, case), right, np.cross(towards, right), 1.0)
    size = CLOSE_SIZE[0], needed_height(view, points_mm, CLOSE_SIZE, CLOSE_ROOM)
    return Pane(fitted(view, points_mm, size, CLOSE_ROOM), 0, 0, size)


def shared_view(points_mm: Floats, outward: Floats, count: int) -> list[Pane]:
    """Return panes with one view and scale, from where a surface with this normal is seen.

    They stand above each other or beside each other, whichever shows the bar larger.

    Args:
        points_mm: (n, 3) what must be seen in each of them.
        outward: (3,) normal of the surface.
        count: Of panes, at most three.
    """
    eye = RIDER if unit(RIDER) @ outward > SEEN else second_direction(outward)
    return _largest([eye] * count, points_mm, (ROOM, SMALL_ROOM, LEAST_ROOM)[count - 1])


def _splits(count: int, high: int) -> list[Split]:
    """Return panes above each other, and beside each other, in so much height."""
    wide = whole_size()[0]
    low, narrow = (high - (count - 1) * CAPTION) // count, (wide - (count - 1) * GAP) // count
    rows = reversed(range(count))
    found: list[Split] = [
        ((wide, low), [(0, row * (low + CAPTION)) for row in rows]),
        ((narrow, high), [(row * (narrow + GAP), 0) for row in range(count)]),
    ]
    return found[:count]


def side_in_words(eye: Floats) -> str:
    """Return where an eye is in words, such as `behind and below`."""
    words = ["behind" if eye[1] < 0 else "in front"]
    words += ["above" if eye[2] > 0 else "below"]
    if abs(eye[0]) > 0.5:
        words.append("the left" if eye[0] < 0 else "the right")
    return f"{', '.join(words[:-1])} and {words[-1]}"
