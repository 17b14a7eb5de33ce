"""The set-up of any case for a sheet of paper: with tags of gauges and marks, and dimensions."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, position_mm
from geometry.centreline import locate
from studies.assessment.acting import own_count
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures.free_words import with_free_words
from studies.pictures.line_drawing import LineDrawing, Part, Stroke, Words, circle, dimension
from studies.pictures.set_up import case_view, set_up_parts
from studies.pictures.set_up_view import Frame, SetUpView, on_sheet

BESIDE_A_CURVE = Frame(
    width=640.0,
    side=114.0,
    above=100.0,
    below=112.0,
    most_high=98.0,
    letter=7.9,
    line=16.5,
    tags=34.0,
    scale_on_top=True,
)
"""Of a drawing that shares a page's width with a curve, its words large enough to print."""

WITHOUT_NAMES = replace(BESIDE_A_CURVE, below=92.0)
"""Where no supports are named."""

RAM, ROW = 16.0, 35.0
"""More room, above for a ram's stem and below for each support after the second, named apart."""

TAG_RADIUS, APART = 10.5, 25.0
"""Of a tag's circle, and the least distance of two."""

DOWN = 19.0
"""Of the tags' row, from the bar or its supports."""


@dataclass(frozen=True)
class Tag:
    """A place on the bar's outer surface, by a tag of one or two signs."""

    text: str
    s_mm: float
    theta_rad: float


def bench_drawing(run: StudyRun, case: CaseRun, tags: Sequence[Tag] = ()) -> LineDrawing:
    """Return the set-up of a case: what holds and loads the bar, places of tags, dimensions."""
    view = case_view(run, case, _frame(case))
    parts = (
        *set_up_parts(run, case, view),
        *(() if case.supports else _dimensions(run, case, view)),
        *_tags(run.study.bar, view, tags),
    )
    return with_free_words(LineDrawing(view.frame.width, view.height, parts), view.frame.size)


def _frame(case: CaseRun) -> Frame:
    supports = case.placed.supports
    if not supports:
        return WITHOUT_NAMES
    above = BESIDE_A_CURVE.above + (RAM if case.placed.case.ram_force_n else 0.0)
    below = BESIDE_A_CURVE.below + ROW * max(len(supports) - 2, 0)
    return replace(BESIDE_A_CURVE, above=above, below=below)


def _dimensions(run: StudyRun, case: CaseRun, view: SetUpView) -> Iterator[Part]:
    """Yield how far loads stand apart, or one from the clamp's centre, straight in the view."""
    bar, frame = run.study.bar, view.frame
    loads = case.placed.loads[: own_count(case.placed, case.supports)]
    places = [one.at_mm for one in loads]
    if len(places) == 1 and run.study.clamp.holds:
        places.append(0.0)
    x = on_sheet(view, locate(bar.line, np.array(places)).position_mm)[:, 0]
    left, right = float(x.min()), float(x.max())
    if right - left > 1:
        words = f"{(right - left) / view.scale:.1f} mm straight"
        top = frame.below - frame.tags
        yield from dimension(left, right, frame.dimensions, top, words, frame.letter)


def _tags(bar: Bar, view: SetUpView, tags: Sequence[Tag]) -> Iterator[Part]:
    """Yield tags in a row under the bar, each with a line to its place."""
    if not tags:
        return
    s, theta = np.array([[one.s_mm, one.theta_rad] for one in tags]).T
    at = on_sheet(view, position_mm(bar, s, theta, np.ones_like(s)))
    across = _apart(at[:, 0], view.frame.width)
    for one, place, x in zip(tags, at, across, strict=True):
        middle = np.array([x, view.frame.below - DOWN])
        way = (place - middle) / np.linalg.norm(place - middle)
        yield Stroke(np.stack([middle + TAG_RADIUS * way, place]), "words")
        yield circle(place, 3.0, "ground")
        yield circle(middle, TAG_RADIUS, "part")
        yield Words(float(x), float(middle[1]) - 4.5, one.text, fixed=True)


def _apart(x: Floats, width: float) -> Floats:
    """Return places (n,) along a row that are moved as little as keeps them apart."""
    order, moved = np.argsort(x, kind="stable"), x.copy()
    for _ in range(100):
        for a, b in pairwise(order):
            short = APART - (moved[b] - moved[a])
            if short > 0:
                moved[a] -= short / 2
                moved[b] += short / 2
    return np.clip(moved, TAG_RADIUS + 1, width - TAG_RADIUS - 1)
