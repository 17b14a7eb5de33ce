"""Draws skins with matplotlib alone: far pieces first, near ones over them.

This is what a machine without usable OpenGL gets; it needs no graphics driver.
"""

from collections.abc import Sequence

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.figure import Figure

from geometry.arrays import Floats
from studies.pictures.palette import INK, PAPER
from studies.pictures.scene import Skin, View, lit, on_paper

DOTS = 100


def draw_plain(skins: Sequence[Skin], view: View, size: tuple[int, int]) -> Floats:
    """Return the picture (height, width, 3) in [0, 1] of skins, the later ones nearer."""
    aspect = size[0] / size[1]
    figure = Figure(figsize=(size[0] / DOTS, size[1] / DOTS), dpi=DOTS, facecolor=PAPER)
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1), xlim=(0, 1), ylim=(0, 1))
    axes.axis("off")
    for skin in skins:
        corners, colours = lit(skin, view)
        far_first = np.argsort(corners.mean(axis=1) @ view.towards)
        axes.add_collection(
            PolyCollection(
                list(on_paper(view, corners[far_first], aspect)),
                facecolors=colours[far_first],
                edgecolors=colours[far_first],
                linewidths=0.4 if skin.opacity == 1 else 0,
                alpha=skin.opacity,
            )
        )
        if skin.edges is not None:
            near = skin.edges[(skin.edges.mean(axis=1) - view.centre_mm) @ view.towards > 0]
            lines = LineCollection(list(on_paper(view, near, aspect)), colors=INK)
            lines.set(linewidths=0.4, alpha=0.35)
            axes.add_collection(lines)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3] / 255.0
