"""The pictures of a run: shape, stress, and a close view of the peak of every case.

Set the environment variable BARWRIGHT_PICTURES to `plain` to draw without OpenGL, and without
trying whether it can be used.
"""

import os
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path

import numpy as np

from fea.stability.criteria import FATIGUE
from geometry.arrays import Floats
from geometry.bar import end_to_end_mm
from studies.assessment.bounds import deflection_mm
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures import marks
from studies.pictures.beside import Task, do_beside
from studies.pictures.close_up import draw_close_up
from studies.pictures.colour_scale import Legend
from studies.pictures.drawing import draw_shaded, import_once, usable_window
from studies.pictures.drawing_plain import draw_plain
from studies.pictures.fatigue import draw_fatigue, has_fatigue
from studies.pictures.figure_layout import Panel, Sheet
from studies.pictures.lettering import number_words
from studies.pictures.palette import GHOST, rgb
from studies.pictures.path_figures import draw_path
from studies.pictures.pieces import (
    GHOST_BEHIND_MM,
    sleeve,
)
from studies.pictures.scale import drawn_scale, scale_words
from studies.pictures.scene import (
    SPLIT,
    Draw,
    Pane,
    Surface,
    moved,
    painted,
    surface_of,
    wall_of,
)
from studies.pictures.sections import draw_sections
from studies.pictures.set_up_sheet import draw_set_up
from studies.pictures.sheet_drawing import write_sheet
from studies.pictures.stress import draw_stress_sheet
from studies.pictures.views import whole_pane
from studies.pictures.zones import draw_zones
from studies.records.places import on_ruler

FORCED = "BARWRIGHT_PICTURES"
"""Set to `plain` to draw without OpenGL."""

NO_OPENGL = (
    "pictures are drawn without OpenGL, which cannot be used here; on Debian install libegl1 and "
    "libgl1 for smoother ones"
)


def draw_figures(run: StudyRun, folder: Path, processes: int = 1) -> tuple[str, ...]:
    """Draw `<case>-deformed.png`, `-stress.png`, `-peak.png`, `-zones.png` into `folder`.

    One of each for every case; beside them goes `sections.png`, the bar's cross-sections. A case
    that is repeated also gets `<case>-fatigue.png`, and one with a path past yield what `draw_path`
    draws.

    Args:
        run: The results.
        folder: Where the pictures go.
        processes: So many draw beside each other; more than one only as `processors` says.

    Returns:
        Notes for the user, such as why the pictures are plain.
    """
    draw, notes = _drawer()
    do_beside(list(_tasks(run, draw, folder)), processes)
    return notes


def draw_governing(run: StudyRun, case: CaseRun, path: Path) -> str:
    """Draw the fatigue of a repeated case, the stress of another; return which of them it is."""
    draw, _ = _drawer()
    if has_fatigue(case):
        draw_fatigue(run, case, draw, path)
        return "Fatigue utilisation"
    draw_stress_sheet(run, case, draw, path)
    return "Stress"


def _drawer() -> tuple[Draw, tuple[str, ...]]:
    """Return what draws surfaces here, and a note where it is not asked to be plain but is."""
    plain = os.environ.get(FORCED) == "plain"
    if plain or usable_window() is None:
        return draw_plain, () if plain else (NO_OPENGL,)
    import_once()
    return draw_shaded, ()


def _tasks(run: StudyRun, draw: Draw, folder: Path) -> Iterator[Task]:
    yield partial(draw_sections, run.study.bar, folder / "sections.png")
    kinds = {
        "deformed": _draw_deformed,
        "stress": draw_stress_sheet,
        "peak": draw_close_up,
        "zones": draw_zones,
        "setup": draw_set_up,
        FATIGUE.id: draw_fatigue,
    }
    for case in run.cases:
        for kind, draw_kind in kinds.items():
            path = folder / f"{case.placed.case.id}-{kind}.png"
            yield partial(draw_kind, run, case, draw, path)
        yield partial(draw_path, run, case, draw, folder)


def _draw_deformed(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    mesh, shift = run.model.mesh, case.answer.displacement_mm
    sizes = np.linalg.norm(shift, axis=1)
    largest, worst = float(sizes.max()), int(np.argmax(sizes))
    scale = drawn_scale(largest, end_to_end_mm(run.study.bar))
    pane = whole_pane(np.concatenate([mesh.points_mm, mesh.points_mm + scale * shift]))
    words = [marks.displacement_words(point) for point in case.answer.load_points]
    shifts = scale * np.array([point.displacement_mm for point in case.answer.load_points])
    named, arrows = marks.loads(run.study.bar, case, pane, words, shifts)
    named += [
        marks.clamp(run.study.bar, run.study.clamp, pane),
        *marks.ends(run.study.bar, pane, scale * _end_shifts(run, case)),
    ]
    at = mesh.block[worst, 0]
    measured = "Ram travel" if case.placed.case.ram_force_n else "Deflection"
    sheet = Sheet(
        f"{case.placed.case.title}: deformation",
        f"{run.study.bar.spec.name}: deformation {scale_words(scale)}, grey: undeformed bar; "
        "rider's view",
        (_panel(pane, draw, _deformed_surfaces(run, case, pane, scale)),),
        tuple(named),
        tuple(arrows),
        Legend("displacement, mm", largest),
        (
            f"Largest displacement {number_words(largest)} mm at {on_ruler(at)}.",
            f"{measured} {number_words(deflection_mm(case.answer, case.supports))} mm.",
        ),
    )
    write_sheet(sheet, path)


def _panel(pane: Pane, draw: Draw, surfaces: Sequence[Surface], caption: str = "") -> Panel:
    return Panel(draw(surfaces, pane.view, pane.size), pane.left, pane.bottom, caption)


def _deformed_surfaces(run: StudyRun, case: CaseRun, pane: Pane, scale: float) -> list[Surface]:
    mesh, shift = run.model.mesh, case.answer.displacement_mm
    sizes = np.linalg.norm(shift[mesh.outer], axis=-1)
    shares = np.zeros(len(mesh.sheet.nodes))
    shares[mesh.sheet.quads] = sizes / max(float(np.linalg.norm(shift, axis=1).max()), 1e-300)
    # farther from the eye, which a parallel projection does not show: no flicker where both meet
    behind = -GHOST_BEHIND_MM * pane.view.towards
    ghost = painted(surface_of(mesh, mesh.outer, mesh.points_mm, shares), rgb(GHOST), 0.35)
    drawn, every = mesh.points_mm + scale * shift, np.arange(len(mesh.outer))
    return [
        moved(ghost, behind),
        surface_of(mesh, mesh.outer, drawn, shares),
        wall_of(mesh, drawn, (shares, shares), every, SPLIT),
        *sleeve(run.study.bar, mesh, scale * shift),
    ]


def _end_shifts(run: StudyRun, case: CaseRun) -> Floats:
    """Return (2, 3): mean displacement of the left and of the right end."""
    s = run.model.mesh.block[:, 0]
    at_ends = (np.abs(s - end) < 1e-6 for end in (s.min(), s.max()))
    return np.stack([case.answer.displacement_mm[at].mean(axis=0) for at in at_ends])
