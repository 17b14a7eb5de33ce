"""The picture of a repeated case's fatigue utilisation, at the low end of its range."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from fea.fatigue.low_end_field import LowEndField, low_end_field
from geometry.arrays import Floats
from geometry.bar import axes, position_mm
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures import marks
from studies.pictures.figure_layout import Legend, Mark, Panel, Sheet, write_sheet
from studies.pictures.palette import GHOST, ramp, rgb, written
from studies.pictures.pieces import ring
from studies.pictures.scene import SPLIT, Draw, Pane, Surface, in_dots, surface_of, within_quads
from studies.pictures.views import best_of, two_panes

RING_MM = 1.6
"""Half the width of an edge's ring."""

OUTER = np.array(1.0)
UP = np.array([0.0, 0.0, 1.0])


def has_fatigue(case: CaseRun) -> bool:
    """Return whether a case has a fatigue factor, so that there is something to draw."""
    return case.life is not None and case.life.result.factor is not None


def draw_fatigue(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    """Write a case's fatigue utilisation as a PNG; nothing where the case has no factor."""
    field = low_end_field(run.model, case.life) if case.life else None
    if field is None:
        return
    panes = two_panes(run, case, run.model.mesh.points_mm)
    surfaces = _surfaces(run, field)
    top = panes[0][0]
    sheet = Sheet(
        f"{case.placed.case.title}: fatigue utilisation",
        f"{run.study.bar.spec.name}: 1 / low end of the fatigue factor, outer surface; rings: "
        "clamp edges by nominal stress; grey: not judged",
        tuple(
            Panel(draw(surfaces, pane.view, pane.size), pane.left, pane.bottom, caption)
            for pane, caption in panes
        ),
        (
            *_edges(run, field, best_of(panes, UP)),
            *_worst(run, field, panes),
            *marks.ends(run, top, np.zeros((2, 3))),
        ),
        (),
        Legend("fatigue utilisation, low end", 1.0, open=field.largest > 1),
        _notes(case, field),
    )
    write_sheet(sheet, path)


def _surfaces(run: StudyRun, field: LowEndField) -> list[Surface]:
    mesh = run.model.mesh
    every = np.arange(len(mesh.outer))
    plain = surface_of(mesh, mesh.outer, mesh.points_mm, np.zeros(len(field.outer)), every, SPLIT)
    used = within_quads(field.outer, mesh.sheet.quads, SPLIT)[..., None]
    colours = np.where(np.isnan(used), rgb(GHOST), ramp(np.nan_to_num(used[..., 0])))
    shades = ramp(np.array([edge.value for edge in field.edges]))
    rings = [
        ring(run, edge.s_mm, written(shade), RING_MM)
        for edge, shade in zip(field.edges, shades, strict=True)
    ]
    return [replace(plain, colours=colours.reshape(-1, 3)), *rings]


def _edges(run: StudyRun, field: LowEndField, pane: Pane) -> list[Mark]:
    """Return the number of each edge, at the top of its ring."""
    found = []
    for edge in field.edges:
        x, y = in_dots(pane, position_mm(run.study.bar, np.array(edge.s_mm), np.array(0.0), OUTER))
        away = (1.0 if edge.s_mm > 0 else -1.0, 1.0)
        words = f"edge {edge.value:.2f}"
        found.append(Mark((float(x), float(y)), words, marks.room_of(pane), away))
    return found


def _worst(run: StudyRun, field: LowEndField, panes: list[tuple[Pane, str]]) -> list[Mark]:
    """Return the number of the most used place of the outer surface, none where none is judged."""
    if np.isnan(field.outer).all():
        return []
    place = int(np.nanargmax(field.outer))
    s, theta = run.model.mesh.sheet.nodes[place]
    outward: Floats = axes(run.study.bar, s, theta)[2]
    pane = best_of(panes, outward)
    x, y = in_dots(pane, position_mm(run.study.bar, s, theta, OUTER))
    words = f"{field.outer[place]:.2f}"
    return [Mark((float(x), float(y)), words, marks.room_of(pane), None, ring=True)]


def _notes(case: CaseRun, field: LowEndField) -> tuple[str, ...]:
    """Return the range of the factor, and what the inner surface comes to."""
    factor = case.life.result.factor if case.life else None
    range_ = f"Fatigue factor {factor.low:.2f} to {factor.high:.2f} x load." if factor else ""
    if np.isnan(field.inner).all():
        return (range_,)
    return (range_, f"Inner surface: at most {np.nanmax(field.inner):.2f}.")
