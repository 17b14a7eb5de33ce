"""A close view of a case's peak stress, with the whole bar small beside it: where on it this is."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from fea.solid.hot_spot import AT_CLAMP_EDGE, IN_LOAD_BAND, ON_SURFACE
from geometry.arrays import Ints
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures import marks
from studies.pictures.figure_layout import Mark, Panel, Sheet
from studies.pictures.inset import inset_of
from studies.pictures.lettering import number_words
from studies.pictures.palette import LINE, rgb
from studies.pictures.pieces import near_quads, peak_place_mm
from studies.pictures.scene import (
    CLOSE_SPLIT,
    Draw,
    Surface,
    View,
    edges_of,
    in_dots,
    moved,
    painted,
    surface_of,
    wall_of,
)
from studies.pictures.sheet_drawing import write_sheet
from studies.pictures.stress import stress_legend, stress_shares
from studies.pictures.views import close_pane
from studies.records.places import place_in_words

READ = {
    ON_SURFACE: "Surface stress.",
    AT_CLAMP_EDGE: "Hot-spot stress at the clamp edge, from 0.4 and 1.0 wall thicknesses outside.",
    IN_LOAD_BAND: "Inside a load band.",
}


def draw_close_up(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    """Write the place of a case's peak stress as a PNG."""
    peak, quads = case.peak, near_quads(run, case)
    points = run.model.mesh.points_mm[run.model.mesh.cells[quads]].reshape(-1, 3)
    pane = close_pane(run, case, points)
    x, y = in_dots(pane, peak_place_mm(run, case))
    words = f"peak {number_words(peak.stress_mpa)} MPa"
    spot = Mark((float(x), float(y)), words, marks.room_of(pane), (1, 1), ring=True)
    place = place_in_words(run.study.bar, peak.s_mm, peak.theta_rad, peak.surface)
    inset = inset_of(run.study.bar, run.study.clamp, pane.size[1], peak.s_mm, place)
    cut = "; the near half is cut away" if peak.surface == "inner" else ""
    shown = np.unique(run.model.mesh.sheet.quads[quads])
    shares = np.concatenate([one[shown] for one in stress_shares(case)])
    legend, notes = stress_legend(run, case, "von Mises stress, MPa", shares)
    picture = draw(_surfaces(run, case, quads, pane.view), pane.view, pane.size)
    sheet = Sheet(
        f"{case.placed.case.title}: peak stress",
        f"{run.study.bar.spec.name}: {place}{cut}; outboard is to the right",
        (Panel(picture, pane.left, pane.bottom), inset.panel),
        (spot, inset.mark),
        (),
        legend,
        (f"{READ[peak.rule]} Lines are element edges.", *notes),
    )
    write_sheet(sheet, path)


def _surfaces(run: StudyRun, case: CaseRun, quads: Ints, view: View) -> Sequence[Surface]:
    mesh, (inner, outer) = run.model.mesh, stress_shares(case)
    faces = mesh.outer if case.peak.surface == "outer" else mesh.inner
    lines = edges_of(faces[quads], mesh.points_mm, CLOSE_SPLIT)
    return [
        surface_of(mesh, mesh.outer, mesh.points_mm, outer, quads, CLOSE_SPLIT),
        surface_of(mesh, mesh.inner, mesh.points_mm, inner, quads, CLOSE_SPLIT),
        wall_of(mesh, mesh.points_mm, (inner, outer), quads, CLOSE_SPLIT),
        moved(painted(lines, rgb(LINE)), 0.25 * view.towards),
    ]
