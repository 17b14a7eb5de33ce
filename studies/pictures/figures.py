"""The pictures of a run: shape, stress, and a close view of the peak of every case.

Set the environment variable BARWRIGHT_PICTURES to `plain` to draw without OpenGL, and without
trying whether it can be used.
"""

import os
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path

import numpy as np

from fea.solid.hot_spot import AT_CLAMP_EDGE, IN_LOAD_BAND, ON_SURFACE
from fea.solid.recovery import von_mises_mpa
from fea.stability.criteria import FATIGUE
from geometry.arrays import Floats, Ints
from geometry.bar import end_to_end_mm
from studies.assessment.acting import own_count
from studies.assessment.bounds import deflection_mm
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures import marks
from studies.pictures.beside import Task, do_beside
from studies.pictures.drawing import draw_shaded, import_once, usable_window
from studies.pictures.drawing_plain import draw_plain
from studies.pictures.fatigue import draw_fatigue
from studies.pictures.figure_layout import Legend, Mark, Panel, Sheet, number_words, write_sheet
from studies.pictures.palette import GHOST, LINE, LOAD, REACTION, SLEEVE, rgb
from studies.pictures.path_figures import draw_path
from studies.pictures.pieces import (
    GHOST_BEHIND_MM,
    near_quads,
    peak_outward,
    peak_place_mm,
    ring,
    sleeve,
)
from studies.pictures.scale import drawn_scale, scale_words
from studies.pictures.scene import (
    CLOSE_SPLIT,
    SPLIT,
    Draw,
    Pane,
    Surface,
    View,
    edges_of,
    in_dots,
    moved,
    painted,
    surface_of,
    wall_of,
)
from studies.pictures.sections import draw_sections
from studies.pictures.set_up_sheet import draw_set_up
from studies.pictures.views import best_of, close_pane, two_panes, whole_pane
from studies.pictures.zones import draw_zones
from studies.records.places import on_ruler, place_in_words

FORCED = "BARWRIGHT_PICTURES"
"""Set to `plain` to draw without OpenGL."""

NO_OPENGL = (
    "pictures are drawn without OpenGL, which cannot be used here; on Debian install libegl1 and "
    "libgl1 for smoother ones"
)

READ = {
    ON_SURFACE: "Surface stress.",
    AT_CLAMP_EDGE: "Hot-spot stress at the clamp edge, from 0.4 and 1.0 wall thicknesses outside.",
    IN_LOAD_BAND: "Inside a load band.",
}


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


def draw_stress(run: StudyRun, case: CaseRun, path: Path) -> None:
    """Draw the stress of one case alone, as `draw_figures` does beside the others."""
    draw, _ = _drawer()
    _draw_stress(run, case, draw, path)


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
        "stress": _draw_stress,
        "peak": _draw_peak,
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
    named += [marks.clamp(run, pane), *marks.ends(run, pane, scale * _end_shifts(run, case))]
    at = mesh.block[worst, 0]
    measured = "Ram travel" if case.placed.case.ram_force_n else "Deflection"
    sheet = Sheet(
        case.placed.case.title,
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


def _draw_stress(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    mesh = run.model.mesh
    panes = two_panes(run, case, mesh.points_mm)
    surfaces = _stressed_surfaces(run, case)
    words = [marks.placed_words(point) for point in case.answer.load_points]
    pane = panes[0][0]
    named, arrows = marks.loads(run.study.bar, case, pane, words, np.zeros((len(words), 3)))
    named.append(marks.peak(run, case, best_of(panes, peak_outward(run, case))))
    named += [marks.clamp(run, pane)]
    named += [mark for each, _ in panes for mark in marks.ends(run, each, np.zeros((2, 3)))]
    sheet = Sheet(
        case.placed.case.title,
        f"{run.study.bar.spec.name}: von Mises stress on the outer surface of the undeformed bar; "
        f"{_grey(run)}, red rings: load bands{_blue(case)}",
        tuple(_panel(each, draw, surfaces, caption) for each, caption in panes),
        tuple(named),
        tuple(arrows),
        *_stress_legend(run, case, "von Mises stress, outer surface, MPa"),
    )
    write_sheet(sheet, path)


def _grey(run: StudyRun) -> str:
    return "grey rings: clamp edges" if run.study.clamp.holds else "grey ring: the middle"


def _blue(case: CaseRun) -> str:
    return ", blue rings: supports" if case.supports else ""


def _draw_peak(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    peak = case.peak
    quads = near_quads(run, case)
    pane = close_pane(
        run, case, run.model.mesh.points_mm[run.model.mesh.cells[quads]].reshape(-1, 3)
    )
    x, y = in_dots(pane, peak_place_mm(run, case))
    spot = Mark(
        (float(x), float(y)),
        f"peak {number_words(peak.stress_mpa)} MPa",
        marks.room_of(pane),
        (1, 1),
        ring=True,
    )
    cut = "; the near half is cut away" if peak.surface == "inner" else ""
    place = place_in_words(run.study.bar, peak.s_mm, peak.theta_rad, peak.surface)
    legend, notes = _stress_legend(run, case, "von Mises stress, MPa")
    sheet = Sheet(
        f"{case.placed.case.title}: peak stress",
        f"{run.study.bar.spec.name}: {place}{cut}; outboard is to the right",
        (_panel(pane, draw, _close_surfaces(run, case, quads, pane.view)),),
        (spot,),
        (),
        legend,
        (f"{READ[peak.rule]} Lines are element edges.", *notes),
    )
    write_sheet(sheet, path)


def _panel(pane: Pane, draw: Draw, surfaces: Sequence[Surface], caption: str = "") -> Panel:
    return Panel(draw(surfaces, pane.view, pane.size), pane.left, pane.bottom, caption)


def _stress_legend(run: StudyRun, case: CaseRun, title: str) -> tuple[Legend, tuple[str, ...]]:
    """Return the scale up to the peak, and a note on the proof stress."""
    top, proof = case.peak.stress_mpa, run.study.bar.spec.material.proof_stress_mpa
    if top < proof:
        return Legend(title, top), (f"Proof stress {number_words(proof)} MPa.",)
    note = (
        f"Mark on the scale: proof stress {number_words(proof)} MPa. The linear stress above is "
        "not valid."
    )
    return Legend(title, top, (proof,)), (note,)


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


def _stressed_surfaces(run: StudyRun, case: CaseRun) -> list[Surface]:
    mesh, held = run.model.mesh, run.study.clamp
    inner, outer = _stress_shares(case)
    every = np.arange(len(mesh.outer))
    own = own_count(case.placed, case.supports)
    colours = [LOAD if number < own else REACTION for number in range(len(case.placed.loads))]
    loads = zip(case.placed.loads, colours, strict=True)
    bands = [(at, colour) for load, colour in loads for at in (load.from_mm, load.to_mm)]
    return [
        surface_of(mesh, mesh.outer, mesh.points_mm, outer),
        wall_of(mesh, mesh.points_mm, (inner, outer), every, SPLIT),
        *(ring(run, at, SLEEVE) for at in (held.from_mm, held.to_mm)),
        *(ring(run, at, colour, 0.5) for at, colour in bands),
    ]


def _close_surfaces(run: StudyRun, case: CaseRun, quads: Ints, view: View) -> list[Surface]:
    mesh, (inner, outer) = run.model.mesh, _stress_shares(case)
    faces = mesh.outer if case.peak.surface == "outer" else mesh.inner
    lines = edges_of(faces[quads], mesh.points_mm, CLOSE_SPLIT)
    return [
        surface_of(mesh, mesh.outer, mesh.points_mm, outer, quads, CLOSE_SPLIT),
        surface_of(mesh, mesh.inner, mesh.points_mm, inner, quads, CLOSE_SPLIT),
        wall_of(mesh, mesh.points_mm, (inner, outer), quads, CLOSE_SPLIT),
        moved(painted(lines, rgb(LINE)), 0.25 * view.towards),
    ]


def _stress_shares(case: CaseRun) -> tuple[Floats, Floats]:
    """Return von Mises stress over the peak on inner and outer surface, (P,) each."""
    top = case.peak.stress_mpa
    return von_mises_mpa(case.stress.inner) / top, von_mises_mpa(case.stress.outer) / top
