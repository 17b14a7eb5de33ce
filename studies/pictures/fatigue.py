"""The picture of a repeated case's fatigue utilisation, at the low end of its range."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from fea.fatigue.low_end_field import LowEndField, low_end_field
from geometry.arrays import Floats
from geometry.bar import axes, position_mm
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures import marks
from studies.pictures.colour_scale import Legend
from studies.pictures.figure_layout import Mark, Panel, Sheet
from studies.pictures.palette import GHOST, PAPER, ramp, rgb, written
from studies.pictures.pieces import ring
from studies.pictures.scene import SPLIT, Draw, Pane, Surface, in_dots, surface_of, within_quads
from studies.pictures.sheet_drawing import write_sheet
from studies.pictures.views import best_of, panes_towards

RING_MM = 1.6
"""Half the width of an edge's ring."""

STRIPE_MM = 4.0
"""Of what is not judged: in grey print a plain grey would be a value."""

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
    worst = _worst_place(run, field)
    outward = _worst_outward(run, worst)
    panes = panes_towards(outward, run.model.mesh.points_mm)
    surfaces = _surfaces(run, field)
    words = [marks.placed_words(point) for point in case.answer.load_points]
    shown, study = [pane for pane, _ in panes], run.study
    named, arrows = marks.in_two_panes(study.bar, study.clamp, case, words, shown)
    sheet = Sheet(
        f"{case.placed.case.title}: fatigue utilisation",
        f"{run.study.bar.spec.name}: 1 / low end of the fatigue factor, the larger of both "
        "surfaces; rings: clamp edges by nominal stress; striped: not judged",
        tuple(
            Panel(draw(surfaces, pane.view, pane.size), pane.left, pane.bottom, caption)
            for pane, caption in panes
        ),
        (
            *([marks.marked(run.study.bar, worst, best_of(panes, outward))] if worst else []),
            *named,
            *_edges(run, field, best_of(panes, UP)),
        ),
        tuple(arrows),
        Legend("fatigue utilisation, low end", 1.0, open=field.largest > 1),
        _notes(case),
    )
    write_sheet(sheet, path)


def through_wall(field: LowEndField) -> Floats:
    """Return (P,): the larger utilisation of both surfaces; NaN where nothing is judged."""
    larger: Floats = np.fmax(field.outer, field.inner)
    return larger


def _surfaces(run: StudyRun, field: LowEndField) -> list[Surface]:
    mesh, used = run.model.mesh, through_wall(field)
    every = np.arange(len(mesh.outer))
    plain = surface_of(mesh, mesh.outer, mesh.points_mm, np.zeros(len(used)), every, SPLIT)
    within = within_quads(used, mesh.sheet.quads, SPLIT)[..., None]
    s = within_quads(mesh.sheet.nodes[:, 0], mesh.sheet.quads, SPLIT)[..., None]
    striped = np.where(s // STRIPE_MM % 2 == 0, rgb(GHOST), rgb(PAPER))
    colours = np.where(np.isnan(within), striped, ramp(np.nan_to_num(within[..., 0])))
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


def _worst_place(run: StudyRun, field: LowEndField) -> marks.Spot | None:
    """Return the most used place, None where nothing is judged."""
    used = through_wall(field)
    if np.isnan(used).all():
        return None
    node = int(np.nanargmax(used))
    surface = "outer" if field.outer[node] >= used[node] else "inner"
    s, theta = (float(one) for one in run.model.mesh.sheet.nodes[node])
    return marks.Spot(s, theta, surface, f"utilisation {used[node]:.2f}")


def _worst_outward(run: StudyRun, worst: marks.Spot | None) -> Floats:
    """Return (3,): the normal of the most used place, up where nothing is judged."""
    if worst is None:
        return UP
    outward: Floats = axes(run.study.bar, np.array(worst.s_mm), np.array(worst.theta_rad))[2]
    return outward


def _notes(case: CaseRun) -> tuple[str, ...]:
    """Return the range of the factor."""
    factor = case.life.result.factor if case.life else None
    return (f"Fatigue factor {factor.low:.2f} to {factor.high:.2f} x load.",) if factor else ()
