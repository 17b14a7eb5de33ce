"""The set-up of a case on supports as a PNG."""

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline

from geometry.arrays import Floats
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures.dots import write_png
from studies.pictures.figure_layout import (
    DOTS,
    EDGE,
    PICTURE,
    SMALL,
    TITLE,
    WORDS,
    blank_sheet,
    write,
)
from studies.pictures.line_drawing import LOOKS, Area, LineDrawing, Stroke, Words
from studies.pictures.palette import FAINT, INK
from studies.pictures.scene import Draw
from studies.pictures.set_up import set_up_drawing, set_up_words

LOWEST = 60
"""In dots, of a drawing on the sheet: it has no scale of colours below it."""

SIDES = {"start": "left", "middle": "center", "end": "right"}


def draw_set_up(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    """Write the set-up of a case on supports as a PNG; nothing for another."""
    drawing = set_up_drawing(run, case)
    if drawing is None:
        return
    canvas, axes = blank_sheet()
    write(axes, EDGE, 846, f"{case.placed.case.title}: set-up", INK, TITLE).set_fontweight("bold")
    write(axes, EDGE, 811, f"{run.study.bar.spec.name}: {set_up_words(run, case)}", INK, WORDS)
    _draw(axes, drawing)
    write(
        axes,
        EDGE,
        22,
        "A sketch to set up by; loads and reactions of the linear run.",
        FAINT,
        SMALL,
    )
    write_png(canvas, path)


def _draw(axes: Axes, drawing: LineDrawing) -> None:
    scale = (PICTURE.right - PICTURE.left) / drawing.width
    middle = (LOWEST + PICTURE.top) / 2
    start = np.array([PICTURE.left, middle - scale * drawing.height / 2])
    for depth, part in enumerate(drawing.parts):
        look = LOOKS[part.style]
        if isinstance(part, Words):
            x, y = start + scale * np.array([part.x, part.y])
            text = write(axes, x, y, part.text, look.line, WORDS)
            text.set(horizontalalignment=SIDES[part.anchor], zorder=depth)
        elif isinstance(part, Stroke):
            x, y = (start + scale * part.places).T
            axes.plot(x, y, color=look.line, linewidth=_points(scale * look.width), zorder=depth)
        else:
            _draw_area(axes, part, start, scale, depth)


def _draw_area(axes: Axes, part: Area, start: Floats, scale: float, depth: int) -> None:
    look = LOOKS[part.style]
    outlines = (start + scale * outline for outline in part.outlines)
    path = Outline.make_compound_path(*(Outline([*one, one[0]], closed=True) for one in outlines))
    # first all lines and then all areas, so that there is none between two outlines
    width = 2 * _points(scale * look.width)
    axes.add_patch(PathPatch(path, fill=False, edgecolor=look.line, linewidth=width, zorder=depth))
    axes.add_patch(PathPatch(path, facecolor=look.fill, linewidth=0, zorder=depth))


def _points(dots: float) -> float:
    return dots * 72 / DOTS
