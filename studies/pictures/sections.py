"""Cross-sections of a bar, drawn to one scale with their walls."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline

from geometry.arrays import Floats
from geometry.bar import Bar, local_wall_mm, nominal_od_mm, outer_radius_mm
from geometry.centreline import arcs
from geometry.mesh import ONE_TURN
from studies.pictures.palette import FAINT, INK, ramp
from studies.pictures.paper import EDGE, HEIGHT, WIDTH, blank_sheet, write
from studies.places import facing_in_words, side_of
from studies.survey import GRIP_FROM_END_MM

CORNERS = 181
MOST_BENDS = 2
METAL = 0.35
"""Place on the ramp of the colour of cut metal."""


@dataclass(frozen=True)
class Cut:
    """A cross-section that is drawn: where it is, in words and along the bar."""

    name: str
    at_mm: float


def cuts_of(bar: Bar) -> tuple[Cut, ...]:
    """Return the sections that tell most of a bar: clamp, largest bends on the right, grip."""
    bends = [arc for arc in arcs(bar.line) if arc.s_from_mm + arc.s_to_mm > 0]
    largest = sorted(bends, key=lambda arc: -(arc.s_to_mm - arc.s_from_mm) / arc.radius_mm)
    middles = sorted((arc.s_from_mm + arc.s_to_mm) / 2 for arc in largest[:MOST_BENDS])
    return (
        Cut("clamp centre", 0.0),
        *(Cut("middle of a bend", at) for at in middles),
        Cut("grip", bar.line.right_end_mm - GRIP_FROM_END_MM),
    )


def section_outlines_mm(bar: Bar, at_mm: float) -> tuple[Floats, Floats]:
    """Return outer and inner outline (n, 2), front to the right and top up, closed, mm."""
    theta = np.linspace(0, ONE_TURN, CORNERS)
    s = np.full_like(theta, at_mm)
    outer = outer_radius_mm(bar, s, theta)
    ray = np.stack([np.sin(theta), np.cos(theta)], axis=-1)
    inner = outer - local_wall_mm(bar, s, theta)
    return outer[:, None] * ray, inner[:, None] * ray


def section_words(bar: Bar, cut: Cut) -> str:
    """Return what a section measures: place, outer diameter, wall with its range in bends."""
    s, theta = np.array(cut.at_mm), np.linspace(0, ONE_TURN, CORNERS)
    wall = local_wall_mm(bar, s, theta)
    across = outer_radius_mm(bar, s, theta) + outer_radius_mm(bar, s, theta + np.pi)
    place = f", {abs(cut.at_mm):.0f} mm {side_of(cut.at_mm)}" if cut.at_mm else ""
    right, up = (facing_in_words(bar, cut.at_mm, turn).split(",")[0] for turn in (np.pi / 2, 0.0))
    return (
        f"{cut.name}{place}\n"
        f"outer diameter {_range(across)} mm\n"
        f"wall {_range(wall)} mm\n"
        f"to the right: {right}, up: {up}"
    )


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
    canvas.print_png(path)


def _range(values: Floats) -> str:
    low, high = float(values.min()), float(values.max())
    return f"{low:.2f}" if high - low < 0.005 else f"{low:.2f} to {high:.2f}"


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
