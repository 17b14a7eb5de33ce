"""Which cross-sections of a bar are drawn, their outlines, and what they measure in words."""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, local_wall_mm, outer_radius_mm
from geometry.centreline import arcs
from geometry.mesh import ONE_TURN
from studies.records.places import facing_in_words, on_ruler
from studies.study_file.geometry_summary import GRIP_FROM_END_MM

CORNERS = 181
MOST_BENDS = 2


@dataclass(frozen=True)
class Cut:
    """A cross-section that is drawn: its name and its place along the bar."""

    name: str
    at_mm: float


def cuts_of(bar: Bar) -> tuple[Cut, ...]:
    """Return the sections that are drawn: clamp, largest bends on the right, hand grip."""
    bends = [arc for arc in arcs(bar.line) if arc.s_from_mm + arc.s_to_mm > 0]
    largest = sorted(bends, key=lambda arc: -(arc.s_to_mm - arc.s_from_mm) / arc.radius_mm)
    middles = sorted((arc.s_from_mm + arc.s_to_mm) / 2 for arc in largest[:MOST_BENDS])
    return (
        Cut("clamp centre", 0.0),
        *(Cut("middle of a bend", at) for at in middles),
        Cut("hand grip", bar.line.right_end_mm - GRIP_FROM_END_MM),
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
    place = f", {on_ruler(cut.at_mm)}" if cut.at_mm else ""
    right, up = (facing_in_words(bar, cut.at_mm, turn).split()[0] for turn in (np.pi / 2, 0.0))
    return (
        f"{cut.name}{place}\n"
        f"outer diameter {_range(across)} mm\n"
        f"wall {_range(wall)} mm\n"
        f"to the right: {right}, up: {up}"
    )


def _range(values: Floats) -> str:
    low, high = float(values.min()), float(values.max())
    return f"{low:.2f}" if high - low < 0.005 else f"{low:.2f} to {high:.2f}"
