"""Draws a sheet as a PNG: panels, scale, words, arrows and marks, each where the layout has it."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from geometry.arrays import Floats
from studies.pictures.colour_scale import TICK, Legend, marked_shares
from studies.pictures.dots import DotForDot, write_png
from studies.pictures.figure_layout import (
    SMALL,
    WIDTH,
    Arrow,
    Layout,
    Mark,
    Placed,
    Sheet,
    layout_of,
)
from studies.pictures.labels import Box
from studies.pictures.lettering import DOTS, Lettering, font
from studies.pictures.palette import INK, PAPER, ramp

RING_DOTS = 11
"""Radius of the ring round a marked place."""

BEHIND_WORDS, WORDS_ABOVE = 2.5, 3.0
"""Order of drawing: paper behind the words of marks, and all words."""


def write_sheet(sheet: Sheet, path: Path, paint: Callable[[Axes], None] | None = None) -> None:
    """Write a sheet as a PNG.

    Args:
        sheet: What it shows.
        path: The file.
        paint: Draws more on the sheet's axes, above its panels.
    """
    layout = layout_of(sheet)
    canvas, axes = _blank(layout)
    below = -round(layout.lowest)
    for panel in sheet.panels:
        axes.add_artist(DotForDot(panel.picture, panel.left, panel.bottom + below))
    if paint:
        paint(axes)
    for arrow in sheet.arrows:
        _draw_arrow(axes, arrow)
    if sheet.legend and layout.scale:
        _draw_scale(axes, sheet.legend, layout.scale, below)
    for mark in sheet.marks:
        _draw_ring(axes, mark)
    for placed in layout.placed:
        _draw_placed(axes, placed)
    for line in layout.lettering:
        _write(axes, line)
    write_png(canvas, path)


def _blank(layout: Layout) -> tuple[FigureCanvasAgg, Axes]:
    """Return an empty sheet, its axes in dots."""
    low, high = round(layout.lowest), round(layout.highest)
    size = WIDTH / DOTS, (high - low) / DOTS
    figure = Figure(figsize=size, dpi=DOTS, facecolor=PAPER)
    axes = figure.add_axes((0, 0, 1, 1), xlim=(0, WIDTH), ylim=(low, high))
    axes.axis("off")
    return FigureCanvasAgg(figure), axes


def _write(axes: Axes, one: Lettering) -> None:
    # a dollar sign in a title is no formula
    axes.text(
        one.x,
        one.y,
        one.words,
        color=one.colour,
        fontproperties=font(one.size, bold=one.bold),
        verticalalignment="baseline",
        parse_math=False,
        zorder=WORDS_ABOVE,
    )


def _draw_arrow(axes: Axes, arrow: Arrow) -> None:
    axes.plot(*arrow.path[:-1].T, color=arrow.colour, linewidth=2.8, solid_capstyle="round")
    style = {"arrowstyle": "-|>", "color": arrow.colour, "linewidth": 2.8, "mutation_scale": 26}
    style |= {"shrinkA": 0, "shrinkB": 0}
    axes.annotate("", xy=tuple(arrow.path[-1]), xytext=tuple(arrow.path[-2]), arrowprops=style)


def _draw_placed(axes: Axes, placed: Placed) -> None:
    """Draw the words of a mark, paper behind them, and the line from its place."""
    left, bottom, right, top = placed.box + np.array([-3, -2, 3, 2])
    paper = Rectangle(
        (left, bottom), right - left, top - bottom, color=PAPER, zorder=BEHIND_WORDS, linewidth=0
    )
    axes.add_patch(paper)
    if placed.end is not None:
        _draw_line(axes, placed.mark, placed.end)
    for line in placed.lines:
        _write(axes, line)


def _draw_line(axes: Axes, mark: Mark, end: Floats) -> None:
    start = np.array(mark.at)
    length = float(np.linalg.norm(end - start))
    if mark.ring and length > 0:
        start = start + (end - start) * min(10 / length, 1)
    for colour, width in ((PAPER, 3.2), (mark.colour, 1.4)):
        axes.plot(*np.stack([start, end]).T, color=colour, linewidth=width)


def _draw_ring(axes: Axes, mark: Mark) -> None:
    """Draw the ring round a marked place, broken where the place is hidden."""
    if not mark.ring:
        return
    turn = np.linspace(0, 2 * np.pi, 49)
    x, y = np.array(mark.at)[:, None] + RING_DOTS * np.stack([np.cos(turn), np.sin(turn)])
    style = (0, (2.0, 1.3)) if mark.hidden else "-"
    axes.plot(x, y, color=PAPER, linewidth=5.0)
    axes.plot(x, y, color=mark.ring_colour or mark.colour, linewidth=2.2, linestyle=style)


def _draw_scale(axes: Axes, legend: Legend, box: Box, below: int) -> None:
    wide, high = round(box.right - box.left), round(box.top - box.bottom)
    colours = np.tile(ramp(np.linspace(0, 1, wide)), (high, 1, 1))
    axes.add_artist(DotForDot(colours, round(box.left), round(box.bottom) + below))
    for share in marked_shares(legend, box, SMALL):
        x = box.left + share * (box.right - box.left)
        axes.plot([x, x], [box.bottom - TICK, box.bottom], color=INK, linewidth=1.4)
    for value in legend.ticked:
        x = box.left + float(legend.share(np.array(value))) * (box.right - box.left)
        for colour, width in ((PAPER, 6.0), (INK, 3.0)):
            axes.plot([x, x], [box.bottom, box.top], color=colour, linewidth=width)
