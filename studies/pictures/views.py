"""Directions of view, and how panes share a sheet."""

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

ROOM, SMALL_ROOM, LEAST_ROOM = (130, 92), (118, 62), (100, 46)
"""Dots kept free for words at the sides, and above and below, of one pane, of two or of three."""

GAP = 12


def whole_size() -> tuple[int, int]:
    """Return width and height of a single pane."""
    return round(PICTURE.right - PICTURE.left), round(PICTURE.top - PICTURE.bottom)


def whole_pane(points_mm: Floats) -> Pane:
    """Return one pane, seen by the rider, in which all points fit."""
    size = whole_size()
    return Pane(
        view_from(RIDER, points_mm, size, ROOM), round(PICTURE.left), round(PICTURE.bottom), size
    )


def two_panes(run: StudyRun, case: CaseRun, points_mm: Floats) -> list[tuple[Pane, str]]:
    """Return the rider's view and one that shows what it hides, with their names.

    They stand above each other or beside each other, whichever shows the bar larger.
    """
    directions = RIDER, second_direction(peak_outward(run, case))
    stacked, beside = (
        [
            Pane(view_from(eye, points_mm, size, SMALL_ROOM), *corner, size)
            for eye, corner in zip(directions, corners, strict=True)
        ]
        for size, corners in _splits(2)
    )
    best = max(stacked, beside, key=lambda panes: min(pane.dots_per_mm for pane in panes))
    return [
        (pane, f"seen from {side_in_words(eye)}")
        for pane, eye in zip(best, directions, strict=True)
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
    size = whole_size()
    return Pane(
        fitted(view, points_mm, size, (250, 24)), round(PICTURE.left), round(PICTURE.bottom), size
    )


def shared_view(points_mm: Floats, outward: Floats, count: int) -> list[Pane]:
    """Return panes with one view and scale, from where a surface with this normal is seen.

    They stand above each other or beside each other, whichever shows the bar larger.

    Args:
        points_mm: (n, 3) what must be seen in each of them.
        outward: (3,) normal of the surface.
        count: Of panes, at most three.
    """
    eye = RIDER if unit(RIDER) @ outward > SEEN else second_direction(outward)
    room = (ROOM, SMALL_ROOM, LEAST_ROOM)[count - 1]
    splits = [
        [Pane(view_from(eye, points_mm, size, room), *corner, size) for corner in corners]
        for size, corners in _splits(count)
    ]
    return max(splits, key=lambda panes: panes[0].dots_per_mm)


def _splits(count: int) -> tuple[tuple[tuple[int, int], list[tuple[int, int]]], ...]:
    """Return size and corners of panes above each other, and beside each other."""
    wide, high = whole_size()
    left, bottom = round(PICTURE.left), round(PICTURE.bottom)
    low, narrow = (high - (count - 1) * GAP) // count, (wide - (count - 1) * GAP) // count
    return (
        ((wide, low), [(left, bottom + row * (low + GAP)) for row in reversed(range(count))]),
        ((narrow, high), [(left + row * (narrow + GAP), bottom) for row in range(count)]),
    )


def side_in_words(eye: Floats) -> str:
    """Return where an eye is in words, such as `behind and below`."""
    words = ["behind" if eye[1] < 0 else "in front"]
    words += ["above" if eye[2] > 0 else "below"]
    if abs(eye[0]) > 0.5:
        words.append("the left" if eye[0] < 0 else "the right")
    return f"{', '.join(words[:-1])} and {words[-1]}"
