"""Draws surfaces with matplotlib alone: far pieces first, near ones over them.

This is what a machine without usable OpenGL gets; it needs no graphics driver.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

from geometry.arrays import Floats
from studies.pictures.palette import PAPER
from studies.pictures.scene import Pane, Surface, View, in_dots, lit

DOTS = 100


def draw_plain(surfaces: Sequence[Surface], view: View, size: tuple[int, int]) -> Floats:
    """Return the picture (height, width, 3) in [0, 1], translucent surfaces behind."""
    pane = Pane(view, 0, 0, size)
    figure = Figure(figsize=(size[0] / DOTS, size[1] / DOTS), dpi=DOTS, facecolor=PAPER)
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1), xlim=(0, size[0]), ylim=(0, size[1]))
    axes.axis("off")
    for layer in _layers(surfaces):
        corners, colours = (
            np.concatenate(part) for part in zip(*(lit(one, view) for one in layer), strict=True)
        )
        far_first = np.argsort(corners.mean(axis=1) @ view.towards)
        opacity = layer[0].opacity
        # declared to take a list, but an array is drawn in half the time
        outlines: Any = in_dots(pane, corners[far_first])
        pieces = PolyCollection(
            outlines,
            facecolors=colours[far_first],
            edgecolors=colours[far_first],
            linewidths=0.4 if opacity == 1 else 0,
            alpha=opacity,
        )
        axes.add_collection(pieces, autolim=False)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3] / 255.0


def _layers(surfaces: Sequence[Surface]) -> list[list[Surface]]:
    """Return translucent surfaces one by one, then all opaque ones, to be sorted together."""
    through = [[one] for one in surfaces if one.opacity < 1]
    return [*through, [one for one in surfaces if one.opacity == 1]]
