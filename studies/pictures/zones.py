"""The picture of a case's zones: on the bar, and unrolled over length and circumference."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from fea.stability import criteria
from fea.stability.zones import THRESHOLD, Zone
from geometry.arrays import Floats
from geometry.bar import position_mm
from geometry.mesh import ONE_TURN
from studies.assessment.limits import zone_in_words
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures import marks
from studies.pictures.fatigue import has_fatigue
from studies.pictures.figure_layout import (
    EDGE,
    PICTURE,
    WIDTH,
    Legend,
    Mark,
    Panel,
    Sheet,
    write_sheet,
)
from studies.pictures.labels import Box
from studies.pictures.palette import FAINT, GHOST, SLEEVE, ramp, rgb
from studies.pictures.pieces import ring
from studies.pictures.scene import Draw, Pane, Surface, in_dots, surface_of, view_from, within_quads
from studies.pictures.unrolled import on_grid
from studies.pictures.views import RIDER
from studies.records.places import utilisation_in_words

STRIP_LEFT, STRIP_GAP, STRIPS_HIGH, STRIP_STEP = 220, 28, 312, 104
BAR_HIGH, ROOM = 290, (130, 60)
NAMED = 4
"""Zones that are named on the bar."""

SPLIT_ZONES = 6

HOW_TO_READ = "Strips: middle = top at the clamp, front above; load bands excluded."


def draw_zones(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    """Write a case's zones as a PNG."""
    pane = _bar_pane(run)
    zones = case.stability.zones
    picture = draw(_surfaces(run, case), pane.view, pane.size)
    sheet = Sheet(
        f"{case.placed.case.title}: zones",
        f"{run.study.bar.spec.name}: coloured where a utilisation is above "
        f"{THRESHOLD:g}; below, the wall unrolled, a strip for each limit",
        (Panel(picture, pane.left, pane.bottom), *_strips(run, case)),
        (*_named(run, zones[:NAMED], pane), *_strip_marks(run, case)),
        (),
        Legend("utilisation", 1.0, (THRESHOLD,), open=float(_utilisation(case).max()) > 1),
        _notes(run, case),
    )
    write_sheet(sheet, path)


def _notes(run: StudyRun, case: CaseRun) -> tuple[str, ...]:
    if not case.stability.zones:
        fatigue = "; fatigue: its own picture" if has_fatigue(case) else ""
        none = f"No utilisation is above {THRESHOLD:g}{fatigue}."
        return (none, HOW_TO_READ)
    zone = case.stability.zones[0]
    count = len(case.stability.zones)
    return (
        f"{count} zone{'s' if count > 1 else ''}; the highest: {zone_in_words(run, zone)}, "
        f"{zone.mode.label}, {utilisation_in_words(zone.utilisation)}.",
        HOW_TO_READ,
    )


def _bar_pane(run: StudyRun) -> Pane:
    size = (WIDTH, BAR_HIGH)
    view = view_from(RIDER, run.model.mesh.points_mm, size, ROOM)
    return Pane(view, 0, round(PICTURE.top) - BAR_HIGH, size)


def _surfaces(run: StudyRun, case: CaseRun) -> list[Surface]:
    mesh, held = run.model.mesh, run.study.clamp
    used = _utilisation(case)
    every = np.arange(len(mesh.outer))
    plain = surface_of(mesh, mesh.outer, mesh.points_mm, used[:, 0], every, SPLIT_ZONES)
    colours = _by_limit(within_quads(used, mesh.sheet.quads, SPLIT_ZONES)).reshape(-1, 3)
    bar = replace(plain, colours=colours)
    return [bar, *(ring(run, at, SLEEVE) for at in (held.from_mm, held.to_mm))]


def _utilisation(case: CaseRun) -> Floats:
    """Return (P, L): utilisation of each local criterion."""
    return np.stack([case.stability.local.used[one.id] for one in criteria.LOCAL], axis=-1)


def _by_limit(used: Floats) -> Floats:
    """Return the colour (..., 3) of the most used limit (..., L) above the threshold."""
    colours = np.stack([rgb(one.colour) for one in criteria.LOCAL])
    chosen = colours[used.argmax(axis=-1)]
    return np.where(used.max(axis=-1, keepdims=True) >= THRESHOLD, chosen, rgb(GHOST))


def _named(run: StudyRun, zones: Sequence[Zone], pane: Pane) -> list[Mark]:
    found = []
    for zone in zones:
        place = position_mm(
            run.study.bar, np.array(zone.s_mm), np.array(zone.theta_rad), np.array(1.0)
        )
        x, y = in_dots(pane, place)
        words = f"{zone.mode.label} {utilisation_in_words(zone.utilisation)}"
        colour = zone.criterion.colour
        found.append(
            Mark((float(x), float(y)), words, marks.room_of(pane), None, colour, ring=True)
        )
    return found


def _strips(run: StudyRun, case: CaseRun) -> list[Panel]:
    """Return the wall unrolled for each limit: left to right, and round from below upwards."""
    wide, line = WIDTH - EDGE - STRIP_LEFT, run.study.bar.line
    s = np.linspace(line.left_end_mm, line.right_end_mm, wide)
    theta = np.linspace(np.pi, -np.pi, _strip_high())
    used = _utilisation(case)
    grid = on_grid(run.model.mesh.sheet, used, s, theta)
    return [
        Panel(ramp(grid[..., row]), STRIP_LEFT, _strip_bottom(row))
        for row in range(len(criteria.LOCAL))
    ]


def _strip_step() -> int:
    """Return the height from strip to strip: less where there are many, for the bar above."""
    return min(STRIP_STEP, STRIPS_HIGH // len(criteria.LOCAL))


def _strip_high() -> int:
    return _strip_step() - STRIP_GAP


def _strip_bottom(row: int) -> int:
    return round(PICTURE.bottom) + 22 + (len(criteria.LOCAL) - 1 - row) * _strip_step()


def _strip_marks(run: StudyRun, case: CaseRun) -> list[Mark]:
    """Return the names of the strips, each strip's worst place, and places along them."""
    worst = {zone.criterion: zone for zone in case.stability.worst}
    found = []
    for row, one in enumerate(criteria.LOCAL):
        bottom = _strip_bottom(row)
        room = Box(12, bottom - 14, STRIP_LEFT - 8, bottom + _strip_high() + 14)
        at = (float(STRIP_LEFT - 10), bottom + _strip_high() / 2)
        found.append(Mark(at, one.label, room, (-1, 0), one.colour, line=False))
        if one in worst:
            found.append(_worst_mark(run, worst[one], bottom))
    return [*found, *_along_marks(run)]


def _worst_mark(run: StudyRun, zone: Zone, bottom: int) -> Mark:
    turn = (zone.theta_rad + np.pi) % ONE_TURN
    at = (_strip_x(run, zone.s_mm), bottom + turn / ONE_TURN * _strip_high())
    room = Box(STRIP_LEFT, bottom - 24, WIDTH - EDGE, bottom + _strip_high() + 24)
    return Mark(at, utilisation_in_words(zone.utilisation), room, (1, 0), ring=True)


def _along_marks(run: StudyRun) -> list[Mark]:
    """Return the names of ends and clamp under the lowest strip."""
    line, bottom = run.study.bar.line, _strip_bottom(len(criteria.LOCAL) - 1)
    places = {
        "left end": line.left_end_mm,
        ("clamp" if run.study.clamp.holds else "middle"): 0.0,
        "right end": line.right_end_mm,
    }
    found = []
    for words, at_mm in places.items():
        x = _strip_x(run, at_mm)
        room = Box(x - 90, PICTURE.bottom - 12, min(x + 90, WIDTH - 8), bottom)
        found.append(Mark((x, float(bottom)), words, room, (0, -1), FAINT, line=False))
    return found


def _strip_x(run: StudyRun, s_mm: float) -> float:
    line = run.study.bar.line
    share = (s_mm - line.left_end_mm) / (line.right_end_mm - line.left_end_mm)
    return float(STRIP_LEFT + share * (WIDTH - EDGE - STRIP_LEFT))
