"""The bar past yield, true to scale: at first yield, at the reported step, at the end."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain
from pathlib import Path

import numpy as np

from studies.assessment.acting import own_count
from studies.collapse.text import KINDS
from studies.pictures import marks
from studies.pictures.figure_layout import Arrow, Mark, Panel, Sheet
from studies.pictures.palette import GHOST, rgb
from studies.pictures.path_steps import (
    BEYOND_CAUTION,
    ShownPath,
    ShownStep,
    legend_note,
    moved_place_mm,
    moved_points_mm,
    outward_at,
    shares_of,
    step_words,
)
from studies.pictures.pieces import GHOST_BEHIND_MM, sleeve
from studies.pictures.scene import (
    SPLIT,
    Draw,
    Pane,
    Surface,
    in_dots,
    moved,
    painted,
    surface_of,
    wall_of,
)
from studies.pictures.sheet_drawing import write_sheet
from studies.pictures.views import shared_view, side_in_words


def draw_bar(shown: ShownPath, draw: Draw, file: Path) -> None:
    """Write the bar at the steps that are drawn of its path as a PNG."""
    panes = _panes(shown)
    rows = list(zip(shown.steps, panes, strict=True))
    loads = [_loads(shown, *row) for row in rows]
    places = (_places(shown, *row) for row in rows)
    sheet = Sheet(
        f"{shown.case.placed.case.title}: the bar past yield",
        f"{shown.bar.spec.name}: plastic strain on the outer surface; deformation true to scale, "
        f"grey: undeformed bar; seen from {side_in_words(panes[0].view.towards)}",
        tuple(_panel(shown, *row, draw) for row in rows),
        (*chain(*places), *chain(*(words for words, _ in loads))),
        tuple(chain(*(arrows for _, arrows in loads))),
        shown.legend,
        (legend_note(shown),),
        BEYOND_CAUTION,
    )
    write_sheet(sheet, file)


def _panes(shown: ShownPath) -> list[Pane]:
    mesh, peak = shown.path.mesh, shown.reported.step.reading.strain
    seen = [mesh.points_mm, *(moved_points_mm(mesh, one.step) for one in shown.steps)]
    return shared_view(np.concatenate(seen), outward_at(shown.bar, peak), len(shown.steps))


def _panel(shown: ShownPath, one: ShownStep, pane: Pane, draw: Draw) -> Panel:
    picture = draw(_surfaces(shown, one, pane), pane.view, pane.size)
    return Panel(picture, pane.left, pane.bottom, step_words(shown, one))


def _surfaces(shown: ShownPath, one: ShownStep, pane: Pane) -> list[Surface]:
    mesh, shares = shown.path.mesh, shares_of(one.step, shown.legend)
    points, every = moved_points_mm(mesh, one.step), np.arange(len(mesh.outer))
    ghost = painted(surface_of(mesh, mesh.outer, mesh.points_mm, shares[1]), rgb(GHOST), 0.35)
    return [
        moved(ghost, -GHOST_BEHIND_MM * pane.view.towards),
        surface_of(mesh, mesh.outer, points, shares[1]),
        wall_of(mesh, points, shares, every, SPLIT),
        *sleeve(shown.bar, mesh, points - mesh.points_mm),
    ]


def _places(shown: ShownPath, one: ShownStep, pane: Pane) -> Iterator[Mark]:
    """Yield the place where a step's averaged strain is largest; none while it is elastic."""
    reading = one.step.reading
    if reading.kind is None:
        return
    x, y = in_dots(pane, moved_place_mm(shown.bar, shown.path.mesh, one.step, reading.strain))
    words = f"averaged plastic strain {100 * reading.strain.value:.1f} %"
    if one.reported and shown.outcome.kind:
        words = f"{KINDS[shown.outcome.kind]},\n{words}"
    yield Mark((float(x), float(y)), words, marks.room_of(pane), ring=True)


def _loads(shown: ShownPath, one: ShownStep, pane: Pane) -> tuple[list[Mark], list[Arrow]]:
    """Return the loads of a step with their size, and where supports press, whose forces it moves.

    What supports bear was known of the linear bar alone, and the moments are those of friction.
    """
    factor = shown.point_of(one).factor
    own = own_count(shown.case.placed, shown.case.supports)
    words = [marks.load_words(load, factor) for load in shown.path.loads[:own]]
    pressed = [replace(one, moment_nmm=(0.0, 0.0, 0.0)) for one in shown.path.loads[own:]]
    loads = (*shown.path.loads[:own], *pressed)
    words += [""] * len(pressed)
    case = replace(shown.case, placed=replace(shown.case.placed, loads=loads))
    return marks.loads(shown.bar, case, pane, words, one.step.reading.moved_mm, factor)
