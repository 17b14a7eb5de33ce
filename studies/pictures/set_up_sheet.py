"""The set-up of a case on supports as a PNG."""

from dataclasses import replace
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline

from geometry.arrays import Floats
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures.figure_layout import WIDTH, WORDS, Sheet
from studies.pictures.free_words import BEGINS
from studies.pictures.lettering import LEADING, Lettering, points, width_of
from studies.pictures.line_drawing import LOOKS, Area, LineDrawing, Stroke, Words
from studies.pictures.scene import Draw
from studies.pictures.set_up import set_up_drawing, set_up_words
from studies.pictures.set_up_view import LETTER_SHARE, Frame
from studies.pictures.sheet_drawing import write_sheet

WIDE = 640.0

ON_A_SHEET = Frame(
    width=WIDE,
    side=64.0,
    above=124.0,
    below=112.0,
    most_high=200.0,
    letter=LETTER_SHARE * WORDS * WIDE / WIDTH,
    line=LEADING * WORDS * WIDE / WIDTH,
)
"""Narrower than on a page, so that words are as large as all words of a sheet."""

ROW = 42.0
"""More room below for each further pair of supports, named under each other."""

SKETCH = "A sketch to set up by; loads and reactions of the linear run."


def draw_set_up(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    """Write the set-up of a case on supports as a PNG; nothing for another."""
    drawing = set_up_drawing(run, case, frame_of(case))
    if drawing is None:
        return

    def paint(axes: Axes) -> None:
        _draw(axes, drawing)

    write_sheet(set_up_sheet(run, case, drawing), path, paint)


def frame_of(case: CaseRun) -> Frame:
    """Return the room of a case's drawing on a sheet."""
    further = -(-(len(case.placed.supports) - 2) // 2)
    return replace(ON_A_SHEET, below=ON_A_SHEET.below + ROW * max(further, 0))


def set_up_sheet(run: StudyRun, case: CaseRun, drawing: LineDrawing) -> Sheet:
    """Return title and words round and on the drawing of a set-up."""
    scale = WIDTH / drawing.width
    return Sheet(
        f"{case.placed.case.title}: set-up",
        f"{run.study.bar.spec.name}: {set_up_words(run, case)}",
        (),
        (),
        (),
        None,
        (),
        SKETCH,
        tuple(_lettering(one, scale) for one in drawing.parts if isinstance(one, Words)),
        scale * drawing.height,
    )


def _lettering(one: Words, scale: float) -> Lettering:
    left = scale * one.x - BEGINS[one.anchor] * width_of(one.text, WORDS)
    return Lettering(left, scale * one.y, one.text, WORDS, LOOKS[one.style].line)


def _draw(axes: Axes, drawing: LineDrawing) -> None:
    scale, start = WIDTH / drawing.width, np.zeros(2)
    for depth, part in enumerate(drawing.parts):
        look = LOOKS[part.style]
        # all below the words
        order = 1 + depth / len(drawing.parts)
        if isinstance(part, Stroke):
            x, y = (start + scale * part.places).T
            axes.plot(x, y, color=look.line, linewidth=points(scale * look.width), zorder=order)
        elif isinstance(part, Area):
            _draw_area(axes, part, start, scale, order)


def _draw_area(axes: Axes, part: Area, start: Floats, scale: float, depth: float) -> None:
    look = LOOKS[part.style]
    outlines = (start + scale * outline for outline in part.outlines)
    path = Outline.make_compound_path(*(Outline([*one, one[0]], closed=True) for one in outlines))
    # first all lines and then all areas, so that there is none between two outlines
    width = 2 * points(scale * look.width)
    axes.add_patch(PathPatch(path, fill=False, edgecolor=look.line, linewidth=width, zorder=depth))
    axes.add_patch(PathPatch(path, facecolor=look.fill, linewidth=0, zorder=depth))
