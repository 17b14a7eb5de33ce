"""A close view of the place of a collapse mode, and a cut across the bar there."""

from collections.abc import Iterator, Sequence
from itertools import chain
from pathlib import Path

import numpy as np

from fea.collapse.strain import StrainPeak
from geometry.arrays import Floats
from geometry.bar import Bar, axes, nominal_od_mm
from geometry.vectors import unit
from studies.collapse.text import KINDS
from studies.pictures.figure_layout import PICTURE, WIDTH, Mark, Panel, Sheet
from studies.pictures.inset import inset_of
from studies.pictures.marks import room_of
from studies.pictures.palette import LINE, SLEEVE, rgb
from studies.pictures.path_cut import Cut, collapse_ring, cut_at, cut_surfaces, view_of
from studies.pictures.path_steps import (
    BEYOND_CAUTION,
    ShownPath,
    ShownStep,
    legend_note,
    moved_place_mm,
    moved_points_mm,
    outward_at,
    place_words,
    shares_of,
    step_words,
)
from studies.pictures.pieces import quads_near, ring
from studies.pictures.scene import (
    Draw,
    Pane,
    Surface,
    View,
    edges_of,
    fitted,
    in_dots,
    moved,
    painted,
    surface_of,
    wall_of,
)
from studies.pictures.sheet_drawing import write_sheet
from studies.records.places import facing_in_words, on_ruler

VIEWS_WIDE, GAP, CAPTIONS = 776, 12, 78
CUT_WIDE = WIDTH - VIEWS_WIDE - GAP
"""Widths in dots of the close views, and of the cuts to their right; room above for captions."""

SPLIT, LINES_BEFORE_MM, EDGE_HALF_MM = 8, 0.25, 0.5

VIEW_ROOM, CUT_ROOM = (60, 44), (30, 44)
"""Dots kept free at the sides, and above and below."""

ROUND, OUTBOARD = 1.2, 0.3
"""How far the eye goes round the tube from the place, and outboard of it, over its height there: a
fold shows in profile, and its place is still seen."""


def draw_collapse(shown: ShownPath, draw: Draw, file: Path) -> None:
    """Write the place of the collapse mode, at the reported step and at the end; none without."""
    reading, kind = shown.reported.step.reading, shown.outcome.kind
    if kind is None:
        return
    steps = [shown.reported, *(one for one in shown.steps[-1:] if not one.reported)]
    views = list(zip(steps, _view_panes(shown, steps), strict=True))
    cuts = _cuts(shown, steps)
    top = round(PICTURE.top - PICTURE.bottom) + CAPTIONS
    place = place_words(shown, reading.strain)
    inset = inset_of(shown.bar, shown.run.study.clamp, top, reading.strain.s_mm, place)
    sheet = Sheet(
        f"{shown.case.placed.case.title}: collapse mode and place",
        f"{shown.bar.spec.name}: {KINDS[kind]}; {place}; "
        f"true to scale; outboard is to the {_outboard(shown, views[0][1].view)}"
        + ", rings: clamp edges"
        * shown.run.study.clamp.holds,
        (
            *(_view_panel(shown, *view, draw) for view in views),
            *_cut_panels(shown, steps, cuts, draw),
            inset.panel,
        ),
        (*chain(*(_spots(shown, *view) for view in views)), inset.mark),
        (),
        shown.legend,
        (_cut_words(shown, cuts[0]), legend_note(shown)),
        BEYOND_CAUTION,
    )
    write_sheet(sheet, file)


def _view_panes(shown: ShownPath, steps: Sequence[ShownStep]) -> list[Pane]:
    """Return a pane for each step, one above the other, all with one view and scale."""
    peak, mesh = shown.reported.step.reading.strain, shown.path.mesh
    view = _view_at(shown.bar, peak)
    nodes = np.unique(mesh.outer[quads_near(shown.bar, mesh, peak.s_mm)])
    points = np.concatenate([moved_points_mm(mesh, one.step)[nodes] for one in steps])
    return _column(view, points, len(steps), round(PICTURE.left), VIEWS_WIDE, VIEW_ROOM)


def _view_at(bar: Bar, peak: StrainPeak) -> View:
    """Return the view of a place: up is up, and outboard to the right if it then can be."""
    outboard, facing, views = _outboard_at(bar, peak), outward_at(bar, peak), []
    for way, side in ((-1, 1), (1, 1), (-1, -1), (1, -1)):
        towards = unit(facing + OUTBOARD * outboard + way * ROUND * np.cross(facing, outboard))
        right = side * unit(outboard - towards * (outboard @ towards))
        views.append(View(np.zeros(3), right, np.cross(towards, right), 1.0))
    # the most upright, rather from above; the first of those that are alike
    return max(views, key=lambda view: (view.up[2].round(6), view.towards[2].round(6)))


def _outboard_at(bar: Bar, peak: StrainPeak) -> Floats:
    along: Floats = axes(bar, np.array(peak.s_mm), np.array(peak.theta_rad))[0]
    return along if peak.s_mm >= 0 else -along


def _outboard(shown: ShownPath, view: View) -> str:
    outboard = _outboard_at(shown.bar, shown.reported.step.reading.strain)
    return "right" if outboard @ view.right > 0 else "left"


def _column(
    view: View, points_mm: Floats, count: int, left: int, wide: int, room: tuple[int, int]
) -> list[Pane]:
    """Return panes one above the other, in each of which all points fit."""
    high = (round(PICTURE.top - PICTURE.bottom) - (count - 1) * CAPTIONS) // count
    seen = fitted(view, points_mm, (wide, high), room)
    rows = reversed(range(count))
    return [
        Pane(seen, left, round(PICTURE.bottom) + row * (high + CAPTIONS), (wide, high))
        for row in rows
    ]


def _view_panel(shown: ShownPath, one: ShownStep, pane: Pane, draw: Draw) -> Panel:
    picture = draw(_view_surfaces(shown, one, pane.view), pane.view, pane.size)
    return Panel(picture, pane.left, pane.bottom, step_words(shown, one))


def _view_surfaces(shown: ShownPath, one: ShownStep, view: View) -> list[Surface]:
    mesh, (inner, outer) = shown.path.mesh, shares_of(one.step, shown.legend)
    points = moved_points_mm(mesh, one.step)
    quads = quads_near(shown.bar, mesh, shown.reported.step.reading.strain.s_mm)
    lines = edges_of(mesh.outer[quads], points, SPLIT)
    ends = mesh.sheet.places[quads, :, 0]
    held = shown.run.study.clamp
    edges = [at for at, _ in held.edges if ends.min() < at < ends.max()]
    return [
        *(ring(shown.run, at, SLEEVE, EDGE_HALF_MM) for at in edges),
        surface_of(mesh, mesh.outer, points, outer, quads, SPLIT),
        surface_of(mesh, mesh.inner, points, inner, quads, SPLIT),
        wall_of(mesh, points, (inner, outer), quads, SPLIT),
        moved(painted(lines, rgb(LINE)), LINES_BEFORE_MM * view.towards),
    ]


def _spots(shown: ShownPath, one: ShownStep, pane: Pane) -> Iterator[Mark]:
    """Yield the place where a step's averaged strain is largest, if the view shows it."""
    peak, centre = one.step.reading.strain, shown.reported.step.reading.strain
    if abs(peak.s_mm - centre.s_mm) > float(nominal_od_mm(shown.bar, np.array(centre.s_mm))):
        return
    x, y = in_dots(pane, moved_place_mm(shown.bar, shown.path.mesh, one.step, peak))
    words = f"averaged plastic strain {100 * peak.value:.1f} %"
    yield Mark((float(x), float(y)), words, room_of(pane), (1, 1), ring=True)


def _cuts(shown: ShownPath, steps: Sequence[ShownStep]) -> list[Cut]:
    mesh = shown.path.mesh
    ring = collapse_ring(shown.bar, mesh, shown.reported.step)
    return [cut_at(mesh, ring, one.step) for one in steps]


def _cut_panels(
    shown: ShownPath, steps: Sequence[ShownStep], cuts: Sequence[Cut], draw: Draw
) -> Iterator[Panel]:
    points = np.concatenate([at.reshape(-1, 3) for c in cuts for at in (c.before_mm, c.after_mm)])
    view, left = view_of(shown.bar, cuts[0]), round(PICTURE.left) + VIEWS_WIDE + GAP
    panes = _column(view, points, len(cuts), left, CUT_WIDE, CUT_ROOM)
    for one, cut, pane in zip(steps, cuts, panes, strict=True):
        surfaces = cut_surfaces(cut, shares_of(one.step, shown.legend), pane.view)
        picture = draw(surfaces, pane.view, pane.size)
        yield Panel(picture, pane.left, pane.bottom, f"section flattened {cut.oval_percent:.1f} %")


def _cut_words(shown: ShownPath, cut: Cut) -> str:
    """Return the place of the cut, and the directions in it."""
    right, up = (facing_in_words(shown.bar, cut.s_mm, turn).split()[0] for turn in (np.pi / 2, 0.0))
    place = on_ruler(cut.s_mm)
    return f"Cut {place}; to the right: {right}, up: {up}; grey: undeformed."
