"""Cross-sections of a bar, drawn to one scale with their walls."""

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm
from studies.pictures.cuts import Cut, cuts_of, section_outlines_mm, section_words
from studies.pictures.dots import write_png
from studies.pictures.figure_layout import EDGE, HEIGHT, WIDTH, blank_sheet, write
from studies.pictures.palette import FAINT, INK, ramp

METAL = 0.35
"""Place on the ramp of the colour of cut metal."""


def draw_sections(bar: Bar, path: Path) -> None:
    """Write the sections of a bar as a PNG."""
    cuts = cuts_of(bar)
    canvas, axes = blank_sheet()
    write(axes, EDGE, 846, f"{bar.spec.name}: sections", INK, 30).set_fontweight("bold")
    words = "drawn to one scale, as bent: wall change and ovality as given; seen from the right end"
    write(axes, EDGE, 811, words, INK, 20)
    widest = max(float(nominal_od_mm(bar, np.array(cut.at_mm))) for cut in cuts)
    column = (WIDTH - 2 * EDGE) / len(cuts)
    scale = min(0.82 * column, 400) / widest
    for i, cut in enumerate(cuts):
        centre = np.array([EDGE + (i + 0.5) * column, 0.6 * HEIGHT - 20])
        _draw_section(axes, bar, cut, centre, scale)
        text = write(axes, centre[0], 0.31 * HEIGHT, section_words(bar, cut), INK, 19)
        text.set(horizontalalignment="center", verticalalignment="top")
    _draw_ruler(axes, scale)
    write_png(canvas, path)


def _draw_section(axes: Axes, bar: Bar, cut: Cut, centre: Floats, scale: float) -> None:
    outer, inner = section_outlines_mm(bar, cut.at_mm)
    # the inner outline runs the other way, which makes it a hole
    ring = Outline.make_compound_path(
        Outline(centre + scale * outer, closed=True),
        Outline(centre + scale * inner[::-1], closed=True),
    )
    axes.add_patch(PathPatch(ring, facecolor=ramp(np.array(METAL)), edgecolor=INK, linewidth=1.2))
    for arm in (np.array([8.0, 0.0]), np.array([0.0, 8.0])):
        axes.plot(*np.stack([centre - arm, centre + arm]).T, color=FAINT, linewidth=1)


def _draw_ruler(axes: Axes, scale: float) -> None:
    axes.plot([EDGE, EDGE + 10 * scale], [60, 60], color=INK, linewidth=3, solid_capstyle="butt")
    write(axes, EDGE, 72, "10 mm", INK, 18)
