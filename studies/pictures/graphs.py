"""Graphs as pictures: drawn like panels, so that words find a free place beside their lines."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from geometry.arrays import Floats
from studies.pictures.figure_layout import PICTURE, SMALL, Panel
from studies.pictures.labels import Box
from studies.pictures.lettering import DOTS
from studies.pictures.palette import FAINT, INK, PAPER

ABOVE_DOTS = 44
"""Room above the highest graph, for the name of a level at its top."""

TITLE_ASIDE = 104
"""Dots from a graph's left edge to the title of its upright axis."""


TICK_DOTS = 58
"""Least height between two numbers of an upright axis."""


@dataclass(frozen=True, eq=False)
class Line:
    """A line over places x (n,) of heights y (n,); `style` is `-`, `--` or `:`."""

    x: Floats
    y: Floats
    colour: str
    width: float
    style: str = "-"


@dataclass(frozen=True, eq=False)
class Band:
    """What lies between two heights (n,) over places x (n,), under all lines."""

    x: Floats
    low: Floats
    high: Floats
    colour: str


@dataclass(frozen=True, eq=False)
class Graph:
    """Lines over two axes that begin at zero.

    Attributes:
        box: Where its axes stand on the sheet, in dots.
        ends: Where the axes end, along and upright.
        titles: Of the axes; one without a title has no numbers either.
        lines: What is drawn, the first one lowest.
        bands: What is filled under them.
    """

    box: Box
    ends: tuple[float, float]
    titles: tuple[str, str]
    lines: tuple[Line, ...]
    bands: tuple[Band, ...] = ()


def at_dots(graph: Graph, x: float, y: float) -> tuple[float, float]:
    """Return where on the sheet a place of a graph is, in dots."""
    box, (right, top) = graph.box, graph.ends
    wide, high = box.right - box.left, box.top - box.bottom
    return box.left + x / right * wide, box.bottom + y / top * high


def graphs_panel(graphs: Sequence[Graph]) -> Panel:
    """Return graphs as one panel in the sheet's place for pictures."""
    wide, high = round(PICTURE.right), round(max(one.box.top for one in graphs)) + ABOVE_DOTS
    figure = Figure(figsize=(wide / DOTS, high / DOTS), dpi=DOTS, facecolor=PAPER)
    canvas = FigureCanvasAgg(figure)
    for graph in graphs:
        left, bottom, right, top = graph.box
        place = (
            left / wide,
            bottom / high,
            (right - left) / wide,
            (top - bottom) / high,
        )
        _draw(figure.add_axes(place), graph)
    canvas.draw()
    picture = np.asarray(canvas.buffer_rgba())[..., :3] / 255.0
    return Panel(picture, 0, 0)


def _draw(axes: Axes, graph: Graph) -> None:
    for band in graph.bands:
        axes.fill_between(band.x, band.low, band.high, color=band.colour, linewidth=0)
    for line in graph.lines:
        axes.plot(line.x, line.y, line.style, color=line.colour, linewidth=line.width)
    axes.set(xlim=(0, graph.ends[0]), ylim=(0, graph.ends[1]), facecolor=PAPER)
    high = graph.box.top - graph.box.bottom
    axes.xaxis.set_major_locator(MaxNLocator(7))
    axes.yaxis.set_major_locator(MaxNLocator(round(high / TICK_DOTS)))
    axes.tick_params(labelsize=SMALL * 72 / DOTS, colors=INK, length=5)
    for side, spine in axes.spines.items():
        spine.set_visible(side in {"left", "bottom"})
        spine.set_color(FAINT)
    across, upright = graph.titles
    axes.tick_params(labelbottom=bool(across), labelleft=bool(upright))
    axes.set_xlabel(across, color=INK, size=SMALL * 72 / DOTS)
    axes.set_ylabel(upright, color=INK, size=SMALL * 72 / DOTS)
    axes.yaxis.set_label_coords(-TITLE_ASIDE / (graph.box.right - graph.box.left), 0.5)
