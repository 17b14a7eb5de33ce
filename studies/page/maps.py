"""The wall unrolled over length and circumference, as small pictures with marks."""

from dataclasses import dataclass, replace

import numpy as np

from fea.solid.recovery import von_mises_mpa
from fea.stability import criteria
from fea.stability.zones import THRESHOLD, Zone
from geometry.arrays import Floats
from geometry.mesh import ONE_TURN
from studies.assessment.run import CaseRun, StudyRun
from studies.page.curves import axis_of
from studies.pictures.palette import GHOST, rgb
from studies.pictures.raster import flat_uri, map_uri
from studies.pictures.unrolled import on_grid

ACROSS, ROUND, HEIGHT = 920, 72, 88
"""Dots of a map along the bar and round it, and its height as drawn, in chart units."""

MOST_MARKED = 9

BESIDE = ((7, 13), (7, -6), (-16, 13), (-16, -6), (7, 27), (-16, 27), (20, 4))
"""Where a mark's words may begin, in chart units from it, the preferred first."""

NEAR = (15, 12)
"""Words closer than this to each other cannot be read."""


@dataclass(frozen=True)
class Spot:
    """A marked place: in chart units along, and as a share of a map's height from its top."""

    x: float
    share: float
    words: str
    kind: str = ""
    aside: tuple[int, int] = BESIDE[0]


@dataclass(frozen=True)
class Map:
    """An unrolled wall.

    Attributes:
        name: Short, file-name safe.
        title: What it shows, with the unit.
        picture: As a data: address.
        words: Its text alternative.
        spots: Marked places.
    """

    name: str
    title: str
    picture: str
    words: str
    spots: tuple[Spot, ...]


def study_maps(run: StudyRun) -> tuple[tuple[Map, ...], ...]:
    """Return, for each case, the maps of stress on both surfaces and of zones."""
    # one interpolation for all cases: the places are the same
    columns = np.concatenate([_columns(case) for case in run.cases], axis=-1)
    line = run.study.bar.line
    s = np.linspace(line.left_end_mm, line.right_end_mm, ACROSS)
    theta = np.linspace(np.pi, -np.pi, ROUND)
    grids = np.split(on_grid(run.model.mesh.sheet, columns, s, theta), len(run.cases), axis=-1)
    return tuple(
        _maps(run, case, np.moveaxis(grid, -1, 0))
        for case, grid in zip(run.cases, grids, strict=True)
    )


def _columns(case: CaseRun) -> Floats:
    """Return (P, 2 + limits): von Mises outside and inside, utilisations."""
    stress, used = case.stress, case.stability.local.used
    both = [von_mises_mpa(stress.outer), von_mises_mpa(stress.inner)]
    return np.stack([*both, *(used[one.id] for one in criteria.LOCAL)], axis=-1)


def _maps(run: StudyRun, case: CaseRun, grid: Floats) -> tuple[Map, ...]:
    top = case.peak.stress_mpa
    peak = case.peak
    spot = (_spot(run, peak.s_mm, peak.theta_rad, f"{top:.0f}"),)
    stresses = []
    for row, (name, surface) in enumerate((("outer", "outer surface"), ("inner", "inner surface"))):
        here = spot if peak.surface == name else ()
        words = f"von Mises stress on the {surface}, from 0 to {top:.0f} MPa and above"
        title = f"von Mises stress, {surface}, 0 to {top:.0f} MPa"
        stresses.append(Map(name, title, map_uri(grid[row] / top), words, here))
    return (*stresses, _zone_map(run, case.stability.zones, grid[2:]))


def _zone_map(run: StudyRun, zones: tuple[Zone, ...], used: Floats) -> Map:
    most = used.argmax(axis=0) + 1
    kinds = np.where(used.max(axis=0) >= THRESHOLD, most, 0)
    colours = np.stack([rgb(GHOST), *(rgb(one.colour) for one in criteria.LOCAL)])
    spots = tuple(
        _spot(run, zone.s_mm, zone.theta_rad, f"{number}", zone.criterion.id)
        for number, zone in enumerate(zones[:MOST_MARKED], start=1)
    )
    words = f"{len(zones)} zones, listed below" if zones else "no zone"
    title = f"zones: utilisation above {THRESHOLD:g}"
    return Map("zones", title, flat_uri(kinds, colours), words, _apart(spots))


def _apart(spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    """Return marks whose words do not meet, where that can be."""
    taken: list[tuple[float, float]] = []
    found = []
    for spot in spots:
        centre = spot.x, HEIGHT * spot.share
        places = [(centre[0] + across, centre[1] + down) for across, down in BESIDE]
        best = next((k for k, place in enumerate(places) if _free(place, taken)), 0)
        taken.append(places[best])
        found.append(replace(spot, aside=BESIDE[best]))
    return tuple(found)


def _free(place: tuple[float, float], taken: list[tuple[float, float]]) -> bool:
    inside = -4 < place[1] < HEIGHT + 14
    return inside and all(
        abs(place[0] - other[0]) > NEAR[0] or abs(place[1] - other[1]) > NEAR[1] for other in taken
    )


def _spot(run: StudyRun, s_mm: float, theta_rad: float, words: str, kind: str = "") -> Spot:
    """Return a mark; a map's middle is theta = 0, and theta grows upwards."""
    turn = (theta_rad + np.pi) % ONE_TURN - np.pi
    x = float(axis_of(run.study.bar).x(s_mm))
    return Spot(x, float(0.5 - turn / ONE_TURN), words, kind)
