"""Cross-sections of a bar, drawn to one scale with their walls."""

from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm
from studies.pictures.cuts import Cut, cuts_of, section_outlines_mm, section_words
from studies.pictures.figure_layout import EDGE, SMALL, WIDTH, Sheet
from studies.pictures.lettering import LEADING, Lettering, lines_below
from studies.pictures.palette import FAINT, INK, ramp
from studies.pictures.sheet_drawing import write_sheet

METAL = 0.35
"""Place on the ramp of the colour of cut metal."""

COLUMNS, MOST_WIDE = 2, 330
"""Sections beside each other, and the largest one's diameter in dots."""

WORDS_HIGH, GAP = 4 * LEADING * SMALL, 24
CELL_HIGH = MOST_WIDE + WORDS_HIGH + 2 * GAP

RULER_HIGH = 60

CAUTION = "Nominal sizes and the changes that bending makes to them, as the study file gives them."


def draw_sections(bar: Bar, path: Path) -> None:
    """Write the sections of a bar as a PNG."""
    sheet = sections_sheet(bar)
    cuts = cuts_of(bar)
    widest = max(float(nominal_od_mm(bar, np.array(cut.at_mm))) for cut in cuts)
    scale = MOST_WIDE / widest

    def paint(axes: Axes) -> None:
        for cut, centre in zip(cuts, _centres(len(cuts)), strict=True):
            _draw_section(axes, bar, cut, centre, scale)
        _draw_ruler(axes, scale)

    write_sheet(sheet, path, paint)


def sections_sheet(bar: Bar) -> Sheet:
    """Return title and words of the sections of a bar."""
    cuts = cuts_of(bar)
    centres = _centres(len(cuts))
    words = [
        line
        for cut, (x, y) in zip(cuts, centres, strict=True)
        for line in lines_below(
            section_words(bar, cut).split("\n"),
            float(y) - MOST_WIDE / 2 - GAP,
            SMALL,
            INK,
            left=float(x) - MOST_WIDE / 2,
        )
    ]
    return Sheet(
        f"{bar.spec.name}: sections",
        "drawn to one scale, as bent: wall change and ovality as given; seen from the right end",
        (),
        (),
        (),
        None,
        (),
        CAUTION,
        (*words, Lettering(EDGE, 24.0, "10 mm", SMALL, INK)),
        float(centres[0][1]) + MOST_WIDE / 2 + GAP,
    )


def _centres(count: int) -> list[Floats]:
    """Return the middle (2,) of each section on the sheet."""
    rows = -(-count // COLUMNS)
    wide = (WIDTH - 2 * EDGE) / COLUMNS
    return [
        np.array(
            [
                EDGE + (number % COLUMNS) * wide + MOST_WIDE / 2,
                RULER_HIGH + (rows - number // COLUMNS) * CELL_HIGH - MOST_WIDE / 2 - GAP,
            ]
        )
        for number in range(count)
    ]


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
    axes.plot([EDGE, EDGE + 10 * scale], [10, 10], color=INK, linewidth=3, solid_capstyle="butt")
