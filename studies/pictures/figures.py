"""The pictures of a run: shape, stress, and a close look at the peak of every case."""

import os
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from fea.recovery import von_mises_mpa
from geometry.arrays import Flags, Floats, Ints
from geometry.bar import Bar, axes, end_to_end_mm, nominal_od_mm, position_mm
from geometry.centreline import locate
from geometry.mesh import ONE_TURN
from loadcases.load import PlacedLoad
from studies.pictures.drawing import draw_shaded, usable_window
from studies.pictures.drawing_plain import draw_plain
from studies.pictures.palette import GHOST, INK, LOAD, SLEEVE, ramp, rgb
from studies.pictures.paper import Label, Sheet, picture_size, towards_bottom, write_sheet
from studies.pictures.scene import (
    CLOSE_SPLIT,
    Skin,
    View,
    on_paper,
    plain_colours,
    skin_of,
    view_from,
)
from studies.places import place_in_words
from studies.runner import CaseRun, StudyRun, deflection_mm

Draw = Callable[[Sequence[Skin], View, tuple[int, int]], Floats]

FORCED = "BARWRIGHT_PICTURES"
"""Set to `plain` to draw without OpenGL."""

NO_OPENGL = (
    "pictures are drawn without OpenGL, which cannot be used here; on Debian install libegl1 and "
    "libgl1 for smoother ones"
)

LOOK = np.array([-0.2, -1.0, 0.6])
"""Where the eye is: the rider's, behind the bar and above it."""

DRAWN_SHARE = 0.08
"""Largest drawn displacement over the bar's length."""

CLOSE_DIAMETERS = 1.6
"""What the close look shows to each side of the peak."""

GHOST_BEHIND_MM = 6.0

MARGIN_MM = 45.0
"""Room round the bar for arrows and words."""


def draw_figures(run: StudyRun, folder: Path) -> tuple[str, ...]:
    """Draw `<case>-deformed.png`, `-stress.png` and `-peak.png` of every case into `folder`.

    Returns:
        Notes for the user, such as why the pictures are plain.
    """
    plain = os.environ.get(FORCED) == "plain"
    shaded = not plain and usable_window() is not None
    draw = draw_shaded if shaded else draw_plain
    for case in run.cases:
        name = case.placed.case.id
        _draw_deformed(run, case, draw, folder / f"{name}-deformed.png")
        _draw_stress(run, case, draw, folder / f"{name}-stress.png")
        _draw_peak(run, case, draw, folder / f"{name}-peak.png")
    return () if shaded or plain else (NO_OPENGL,)


def drawn_scale(largest_mm: float, length_mm: float) -> float:
    """Return the 1-2-5 factor that draws `largest_mm` as about 8 % of `length_mm`."""
    if not largest_mm > 0:
        return 1.0
    wanted = DRAWN_SHARE * length_mm / largest_mm
    decade = 10.0 ** np.floor(np.log10(wanted))
    return float(decade * max(step for step in (1, 2, 5) if step * decade <= wanted * 1.0001))


def _draw_deformed(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    mesh, moved = run.model.mesh, case.answer.displacement_mm
    largest = float(np.linalg.norm(moved, axis=1).max())
    scale = drawn_scale(largest, end_to_end_mm(run.study.bar))
    drawn = mesh.points_mm + scale * moved
    sizes = np.linalg.norm(moved[mesh.outer], axis=-1)
    colours = _on_sheet(run, sizes / largest)
    view = _whole_view(run, np.concatenate([mesh.points_mm, drawn]))
    # farther from the eye, which a parallel projection does not show: no flicker where both meet
    behind = GHOST_BEHIND_MM * view.towards
    ghost = skin_of(mesh, mesh.outer, mesh.points_mm, plain_colours(mesh, rgb(GHOST)))
    skins = [
        Skin(ghost.points_mm - behind, ghost.pieces, ghost.colours, opacity=0.35),
        _without_edges(skin_of(mesh, mesh.outer, drawn, colours)),
        _sleeve(run, scale * moved),
    ]
    labels = _load_labels(run, case, view, scale)
    subtitle = (
        f"{run.study.bar.spec.name}: deformation drawn {scale:g} times over the undeformed bar, "
        f"seen by the rider; deflection at the loads {deflection_mm(case.answer):.2f} mm"
    )
    sheet = Sheet(case.placed.case.title, subtitle, labels, ("displacement, mm", largest))
    write_sheet(sheet, draw(skins, view, picture_size()), path)


def _draw_stress(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    mesh, top = run.model.mesh, case.peak.stress_mpa
    colours = ramp(von_mises_mpa(case.stress.outer) / top)
    skin = _without_edges(skin_of(mesh, mesh.outer, mesh.points_mm, colours))
    view = _whole_view(run, mesh.points_mm)
    labels = [*_load_labels(run, case, view, 0.0), _clamp_label(run, view)]
    labels.append(_peak_label(run, case, view))
    subtitle = (
        f"{run.study.bar.spec.name}: von Mises stress on the outer face of the undeformed bar, "
        "seen by the rider; grey rings: clamp edges"
    )
    sheet = Sheet(case.placed.case.title, subtitle, tuple(labels), ("von Mises stress, MPa", top))
    rings = [_ring(run, at) for at in (run.study.clamp.from_mm, run.study.clamp.to_mm)]
    write_sheet(sheet, draw([skin, *rings], view, picture_size()), path)


def _draw_peak(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    mesh, peak, bar = run.model.mesh, case.peak, run.study.bar
    face, values = (
        (mesh.outer, case.stress.outer) if peak.face == "outer" else (mesh.bore, case.stress.bore)
    )
    outward = axes(bar, np.array(peak.s_mm), np.array(peak.theta_rad))[2]
    colours = ramp(von_mises_mpa(values) / peak.stress_mpa)
    near = _near_quads(run, case)
    skins = [skin_of(mesh, face, mesh.points_mm, colours, near, CLOSE_SPLIT)]
    if peak.face == "bore":
        # the wall behind it, seen where the near half is cut away
        behind = skin_of(mesh, mesh.outer, mesh.points_mm, plain_colours(mesh, rgb(GHOST)), near)
        skins.insert(0, _without_edges(behind))
    view = _close_view(bar, case, outward if peak.face == "outer" else -outward)
    at = _peak_place(bar, case)
    aspect = picture_size()[0] / picture_size()[1]
    spot = on_paper(view, at, aspect)
    label = Label((float(spot[0]), float(spot[1])), f"{peak.stress_mpa:.0f} MPa", (150, 120), INK)
    words = place_in_words(bar, peak.s_mm, peak.theta_rad, peak.face)
    cut = "; the near half is cut away" if peak.face == "bore" else ""
    sheet = Sheet(
        f"{case.placed.case.title}: the peak",
        f"{words}; read: {peak.rule}{cut}; lines are element edges",
        (label,),
        (
            f"von Mises stress on the {'outer face' if peak.face == 'outer' else 'bore'}, MPa",
            peak.stress_mpa,
        ),
    )
    write_sheet(sheet, draw(skins, view, picture_size()), path)


def _whole_view(run: StudyRun, points_mm: Floats) -> View:
    width, height = picture_size()
    room = MARGIN_MM * np.array([[0, 0, 1], [0, 0, -1], [0, 0, 0]])
    return view_from(LOOK, (points_mm[:, None] + room).reshape(-1, 3), width / height)


def _close_view(bar: Bar, case: CaseRun, towards: Floats) -> View:
    along = locate(bar.line, np.array(case.peak.s_mm)).tangent
    along = along if case.peak.s_mm >= 0 else -along
    right = along - towards * (along @ towards)
    right = right / np.linalg.norm(right)
    half = CLOSE_DIAMETERS * float(nominal_od_mm(bar, np.array(case.peak.s_mm))) / 2
    return View(_peak_place(bar, case), right, np.cross(towards, right), half)


def _near_quads(run: StudyRun, case: CaseRun) -> Ints:
    """Return the elements of the close look; on the bore only the half that holds the peak."""
    places = run.model.mesh.sheet.places.mean(axis=1)
    reach = 4 * CLOSE_DIAMETERS * float(nominal_od_mm(run.study.bar, np.array(case.peak.s_mm)))
    chosen: Flags = np.abs(places[:, 0] - case.peak.s_mm) < reach
    if case.peak.face == "bore":
        turn = (places[:, 1] - case.peak.theta_rad + np.pi) % ONE_TURN - np.pi
        chosen &= np.abs(turn) < np.pi / 2
    return np.flatnonzero(chosen)


def _on_sheet(run: StudyRun, at_faces: Floats) -> Floats:
    """Return ramp colours (P, 3) from shares (Q, 8) given at the faces' nodes."""
    sheet = run.model.mesh.sheet
    shares = np.zeros(len(sheet.nodes))
    shares[sheet.quads] = at_faces
    return ramp(shares)


def _sleeve(run: StudyRun, shift: Floats) -> Skin:
    """Return the clamped length as a grey sleeve a little outside the bar."""
    mesh = run.model.mesh
    quads = mesh.sheet.regions["clamp"]
    moved = mesh.points_mm + shift
    moved[mesh.outer] += 1.5 * _outward(run)[mesh.sheet.quads]
    grey = plain_colours(mesh, rgb(SLEEVE))
    return _without_edges(skin_of(mesh, mesh.outer, moved, grey, quads))


def _ring(run: StudyRun, at_mm: float) -> Skin:
    """Return a narrow grey ring round the bar at a clamp edge."""
    theta = np.linspace(0, ONE_TURN, 73)
    s = at_mm + np.array([-0.8, 0.8])[:, None]
    points = position_mm(run.study.bar, s, theta, np.array(1.25)).reshape(-1, 3)
    first = np.arange(72)
    pieces = np.column_stack([first, first + 1, first + 74, first + 73])
    return Skin(points, pieces, np.tile(rgb(SLEEVE), (len(points), 1)))


def _outward(run: StudyRun) -> Floats:
    return axes(run.study.bar, *run.model.mesh.sheet.nodes.T)[:, 2]


def _without_edges(skin: Skin) -> Skin:
    return Skin(skin.points_mm, skin.pieces, skin.colours, skin.opacity)


def _load_labels(run: StudyRun, case: CaseRun, view: View, scale: float) -> tuple[Label, ...]:
    """Return an arrow for each force, and words for each moment."""
    width, height = picture_size()
    labels = []
    for point in case.answer.load_points:
        place = locate(run.study.bar.line, np.array(point.load.at_mm)).position_mm
        x, y = on_paper(view, place + scale * point.displacement_mm, width / height)
        labels.append(Label((float(x), float(y)), *_load_words(point.load, view), LOAD, arrow=True))
    return tuple(labels)


def _load_words(load: PlacedLoad, view: View) -> tuple[str, tuple[float, float]]:
    """Return words and the arrow's tail, in dots from its head."""
    force = np.array(load.force_n)
    size = float(np.linalg.norm(force))
    if size == 0:
        moment = float(np.linalg.norm(load.moment_nmm)) / 1000
        return f"moment {moment:.1f} N m", (0.0, 90.0)
    seen = np.array([force @ view.right, force @ view.up]) / size
    tail = -130 * seen
    return f"{size:.0f} N", (float(tail[0]), float(tail[1]))


def _clamp_label(run: StudyRun, view: View) -> Label:
    width, height = picture_size()
    x, y = on_paper(view, np.zeros(3), width / height)
    clamp = run.study.clamp
    return Label((float(x), float(y)), f"clamp {clamp.width_mm:g} mm, {clamp.grip} grip", (0, 95))


def _peak_label(run: StudyRun, case: CaseRun, view: View) -> Label:
    width, height = picture_size()
    x, y = on_paper(view, _peak_place(run.study.bar, case), width / height)
    peak = case.peak
    words = place_in_words(run.study.bar, peak.s_mm, peak.theta_rad, peak.face)
    at = float(x), float(y)
    return Label(at, f"peak {peak.stress_mpa:.0f} MPa\n{words}", towards_bottom(at))


def _peak_place(bar: Bar, case: CaseRun) -> Floats:
    depth = 1.0 if case.peak.face == "outer" else 0.0
    s, theta = np.array(case.peak.s_mm), np.array(case.peak.theta_rad)
    return position_mm(bar, s, theta, np.array(depth))
