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
from studies.pictures.colour_scale import Legend
from studies.pictures.fatigue import has_fatigue
from studies.pictures.figure_layout import EDGE, PICTURE, SMALL, WIDTH, Mark, Panel, Sheet
from studies.pictures.lettering import Lettering, width_of
from studies.pictures.palette import FAINT, GHOST, INK, SLEEVE, ramp, rgb
from studies.pictures.pieces import ring
from studies.pictures.scene import (
    Draw,
    Pane,
    Surface,
    fitted,
    in_dots,
    surface_of,
    view_from,
    within_quads,
)
from studies.pictures.sheet_drawing import write_sheet
from studies.pictures.unrolled import on_grid
from studies.pictures.views import RIDER, needed_height
from studies.records.places import utilisation_in_words

STRIP_GAP, STRIPS_HIGH, STRIP_STEP, FIRST_STRIP = 54, 330, 110, 44
"""Dots above a strip, for its heading; of all strips, of one, and below the lowest."""

BAR_SIZE, ROOM = (WIDTH, 420), (70, 84)
SWATCH = 24
NAMED = 4
"""Zones that are named on the bar."""

SPLIT_ZONES = 6

HOW_TO_READ = "Strips: middle = top at the clamp, front above; load bands excluded."


def draw_zones(run: StudyRun, case: CaseRun, draw: Draw, path: Path) -> None:
    """Write a case's zones as a PNG."""
    pane = bar_pane(run)
    picture = draw(_surfaces(run, case), pane.view, pane.size)
    sheet = Sheet(
        f"{case.placed.case.title}: zones",
        f"{run.study.bar.spec.name}: coloured where a utilisation is above "
        f"{THRESHOLD:g}; below, the wall unrolled, a strip for each limit",
        (Panel(picture, pane.left, pane.bottom), *strips(run, case), *_swatches()),
        (*_named(run, case.stability.zones[:NAMED], pane), *strip_marks(run, case)),
        (),
        Legend("utilisation", 1.0, (THRESHOLD,), open=float(_utilisation(case).max()) > 1),
        _notes(run, case),
        lettering=(*headings(case), *_along(run)),
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


def bar_pane(run: StudyRun) -> Pane:
    """Return the pane of the bar, above the strips."""
    points, bottom = run.model.mesh.points_mm, strips_top()
    view = view_from(RIDER, points, BAR_SIZE, ROOM)
    size = WIDTH, needed_height(view, points, BAR_SIZE, ROOM)
    return Pane(fitted(view, points, size, ROOM), 0, bottom, size)


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
        colour = zone.criterion.line_colour
        found.append(
            Mark((float(x), float(y)), words, marks.room_of(pane), ring=True, ring_colour=colour)
        )
    return found


def strips(run: StudyRun, case: CaseRun) -> list[Panel]:
    """Return the wall unrolled for each limit: left to right, and round from below upwards."""
    wide, line = WIDTH - 2 * EDGE, run.study.bar.line
    s = np.linspace(line.left_end_mm, line.right_end_mm, wide)
    theta = np.linspace(np.pi, -np.pi, _strip_high())
    used = _utilisation(case)
    grid = on_grid(run.model.mesh.sheet, used, s, theta)
    return [
        Panel(ramp(grid[..., row]), EDGE, _strip_bottom(row)) for row in range(len(criteria.LOCAL))
    ]


def strips_top() -> int:
    """Return the height where strips and their headings end."""
    return FIRST_STRIP + len(criteria.LOCAL) * _strip_step()


def _strip_step() -> int:
    """Return the height from strip to strip: less where there are many, for the bar above."""
    return max(min(STRIP_STEP, STRIPS_HIGH // len(criteria.LOCAL)), STRIP_GAP + SWATCH)


def _strip_high() -> int:
    return _strip_step() - STRIP_GAP


def _strip_bottom(row: int) -> int:
    return FIRST_STRIP + (len(criteria.LOCAL) - 1 - row) * _strip_step()


def _heading_bottom(row: int) -> int:
    return _strip_bottom(row) + _strip_high() + 12


def _swatches() -> list[Panel]:
    """Return the colour that each limit has on the bar, before its heading."""
    square = np.ones((SWATCH, SWATCH, 1))
    return [
        Panel(square * rgb(one.colour), EDGE, _heading_bottom(row))
        for row, one in enumerate(criteria.LOCAL)
    ]


def headings(case: CaseRun) -> list[Lettering]:
    """Return the names of the strips, with the largest utilisation of each."""
    worst = {
        zone.criterion: utilisation_in_words(zone.utilisation) for zone in case.stability.worst
    }
    return [
        Lettering(
            EDGE + SWATCH + 12,
            _heading_bottom(row) + 3,
            f"{one.label}, at most {worst[one]}" if one in worst else one.label,
            SMALL,
            INK,
        )
        for row, one in enumerate(criteria.LOCAL)
    ]


def strip_marks(run: StudyRun, case: CaseRun) -> list[Mark]:
    """Return a ring round the worst place of each strip."""
    worst = {zone.criterion: zone for zone in case.stability.worst}
    return [
        _worst_mark(run, worst[one], _strip_bottom(row))
        for row, one in enumerate(criteria.LOCAL)
        if one in worst
    ]


def _worst_mark(run: StudyRun, zone: Zone, bottom: int) -> Mark:
    turn = (zone.theta_rad + np.pi) % ONE_TURN
    at = (_strip_x(run, zone.s_mm), bottom + turn / ONE_TURN * _strip_high())
    return Mark(at, "", PICTURE, ring=True)


def _along(run: StudyRun) -> list[Lettering]:
    """Return the names of ends and clamp under the lowest strip."""
    line, held = run.study.bar.line, run.study.clamp.holds
    places = {
        "left end": line.left_end_mm,
        ("clamp" if held else "middle"): 0.0,
        "right end": line.right_end_mm,
    }
    found = []
    for words, at_mm in places.items():
        wide = width_of(words, SMALL)
        x = np.clip(_strip_x(run, at_mm) - wide / 2, EDGE, WIDTH - EDGE - wide)
        found.append(Lettering(float(x), FIRST_STRIP - 34, words, SMALL, FAINT))
    return found


def _strip_x(run: StudyRun, s_mm: float) -> float:
    line = run.study.bar.line
    share = (s_mm - line.left_end_mm) / (line.right_end_mm - line.left_end_mm)
    return float(EDGE + share * (WIDTH - 2 * EDGE))
