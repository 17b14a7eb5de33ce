"""Labels of a picture: loads with their arrows, clamp, peak, the two ends."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.solid.hot_spot import Peak
from fea.solid.statics import LoadPoint
from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm, position_mm
from geometry.centreline import locate
from geometry.mesh import ONE_TURN
from geometry.vectors import unit
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from studies.assessment.acting import own_count, ram_load
from studies.assessment.run import CaseRun
from studies.pictures.figure_layout import Arrow, Mark
from studies.pictures.labels import Box
from studies.pictures.lettering import number_words
from studies.pictures.palette import FAINT, INK, LOAD, REACTION
from studies.pictures.scene import Pane, in_dots
from studies.records.places import on_ruler, place_in_words

ARROW_DOTS, ARROW_SHARE = 80, 0.23
"""Length of a force's arrow, and its largest share of a low pane."""

SHORTEST_SHARE = 0.4
"""An arrow seen nearly end on is still drawn this long."""

TURN_RAD = np.linspace(0.15, 0.8, 40) * ONE_TURN
"""What of a circle the arrow of a moment goes round."""


@dataclass(frozen=True)
class Spot:
    """A place of the wall that is marked: along the bar, round it, on which surface; its words."""

    s_mm: float
    theta_rad: float
    surface: str
    words: str


def room_of(pane: Pane) -> Box:
    """Return where the words of a pane must stay."""
    edge = 12
    left, bottom = pane.left + edge, pane.bottom + edge
    return Box(left, bottom, left + pane.size[0] - 2 * edge, bottom + pane.size[1] - 2 * edge)


def loads(
    bar: Bar, case: CaseRun, pane: Pane, words: Sequence[str], moved_mm: Floats, factor: float = 1.0
) -> tuple[list[Mark], list[Arrow]]:
    """Return an arrow for every force and moment of a case, and its words; reactions are named.

    Args:
        bar: The bar.
        case: The case whose loads are shown.
        pane: Where.
        words: One for each load.
        moved_mm: (loads, 3) how far the place of each is drawn from where it was.
        factor: Multiple of the case's ram that is shown.
    """
    marks, arrows, own = [], [], own_count(case.placed, case.supports)
    every = list(zip(case.placed.loads, words, moved_mm, strict=True))
    shown = [(*one, LOAD) for one in every[:own]]
    shown += [
        (load, f"reaction {text}".rstrip(), shift, REACTION) for load, text, shift in every[own:]
    ]
    if ram := ram_load(case.placed):
        shown.append((ram, f"ram {load_words(ram, factor)}", np.zeros(3), LOAD))
    for load, text, shift, colour in shown:
        paths = _paths(bar, load, pane, shift)
        arrows += [Arrow(path, colour) for path in paths]
        at, away = _words_end(paths[0])
        marks.append(Mark(at, text, room_of(pane), away, colour, line=False))
    return marks, arrows


def load_words(load: PlacedLoad, factor: float = 1.0) -> str:
    """Return what a load is: `625 N` or `60.0 N·m` or both, so many times it."""
    force = factor * float(np.linalg.norm(load.force_n))
    moment = factor * float(np.linalg.norm(load.moment_nmm)) / 1000
    parts = [f"{number_words(force)} N"] if force else []
    return " and ".join([*parts, f"{number_words(moment)} N·m"] if moment else parts)


def placed_words(point: LoadPoint) -> str:
    """Return a load and its place: `625 N at right 327 mm`."""
    at = point.load.at_mm
    return f"{load_words(point.load)} at\n{on_ruler(at)}"


def displacement_words(point: LoadPoint) -> str:
    """Return a load and the displacement of its place."""
    size = float(np.linalg.norm(point.displacement_mm))
    return f"{load_words(point.load)}\ndisplacement {number_words(size)} mm"


def ends(bar: Bar, pane: Pane, shift: Floats) -> list[Mark]:
    """Return the names of the two ends, each end moved by its own shift (3,)."""
    line = bar.line
    s = np.array([line.left_end_mm, line.right_end_mm])
    at = locate(line, s)
    outwards = at.tangent * np.array([[-1.0], [1.0]])
    marks = []
    for place, out, name in zip(at.position_mm + shift, outwards, ("left", "right"), strict=True):
        seen = out @ pane.view.right, out @ pane.view.up
        x, y = in_dots(pane, place)
        words, bounds = f"rider's {name}", room_of(pane)
        marks.append(Mark((float(x), float(y)), words, bounds, seen, FAINT, line=False))
    return marks


def clamp(bar: Bar, held: Clamp, pane: Pane) -> Mark:
    """Return the name of the clamp."""
    x, y = in_dots(pane, np.zeros(3))
    top = float(y) + _radius_dots(bar, 0.0, pane)
    words = f"clamp {held.in_words}" if held.holds else "middle"
    return Mark((float(x), top), words, room_of(pane), (0, 1))


def peak(bar: Bar, at: Peak, pane: Pane) -> Mark:
    """Return the peak's value and place."""
    words = f"peak {number_words(at.stress_mpa)} MPa"
    return marked(bar, Spot(at.s_mm, at.theta_rad, at.surface, words), pane)


def marked(bar: Bar, at: Spot, pane: Pane) -> Mark:
    """Return a ring round a place, with its words and below them the place in words.

    It is broken where the place is inside.
    """
    inner = at.surface == "inner"
    place = position_mm(bar, np.array(at.s_mm), np.array(at.theta_rad), np.array(not inner, float))
    x, y = in_dots(pane, place)
    text = f"{at.words}\n{place_in_words(bar, at.s_mm, at.theta_rad, at.surface)}"
    return Mark((float(x), float(y)), text, room_of(pane), None, INK, ring=True, hidden=inner)


def _paths(bar: Bar, load: PlacedLoad, pane: Pane, shift_mm: Floats) -> list[Floats]:
    """Return the arrow of the force and that of the moment, as far as there are any."""
    place = locate(bar.line, np.array(load.at_mm)).position_mm + shift_mm
    paths = []
    if any(load.force_n):
        paths.append(
            _straight(np.array(load.force_n), place, _radius_dots(bar, load.at_mm, pane), pane)
        )
    if any(load.moment_nmm):
        radius_mm = 1.3 * float(nominal_od_mm(bar, np.array(load.at_mm)))
        paths.append(in_dots(pane, _circle(np.array(load.moment_nmm), place, radius_mm)))
    return paths


def _words_end(path: Floats) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return where the words of an arrow belong, and to which side: its tail, or a circle's top."""
    straight = len(path) == 2
    end = path[0] if straight else path[int(np.argmax(path[:, 1]))]
    away = path[0] - path[1] if straight else np.array([0.0, 1.0])
    return (float(end[0]), float(end[1])), (float(away[0]), float(away[1]))


def _straight(force: Floats, place: Floats, radius_dots: float, pane: Pane) -> Floats:
    """Return the arrow (2, 2) of a force: it ends where it meets the outside of the tube."""
    direction = unit(force)
    seen = np.array([direction @ pane.view.right, direction @ pane.view.up])
    share = float(np.linalg.norm(seen))
    along = seen / share if share > 1e-6 else np.array([0.0, -1.0])
    length = min(ARROW_DOTS, ARROW_SHARE * pane.size[1])
    head = in_dots(pane, place) - radius_dots * along
    return np.stack([head - max(share, SHORTEST_SHARE) * length * along, head])


def _circle(moment: Floats, place: Floats, radius_mm: float) -> Floats:
    """Return three quarters of a circle about a moment's axis, right-handed."""
    axis = unit(moment)
    other = np.eye(3)[int(np.argmin(np.abs(axis)))]
    first = unit(np.cross(axis, other))
    second = np.cross(axis, first)
    cos, sin = np.cos(TURN_RAD)[:, None], np.sin(TURN_RAD)[:, None]
    return place + radius_mm * (cos * first + sin * second)


def _radius_dots(bar: Bar, s_mm: float, pane: Pane) -> float:
    return float(nominal_od_mm(bar, np.array(s_mm))) / 2 * pane.dots_per_mm


def in_two_panes(
    bar: Bar,
    held: Clamp,
    case: CaseRun,
    words: Sequence[str],
    panes: Sequence[Pane],
) -> tuple[list[Mark], list[Arrow]]:
    """Return a case's loads and the clamp in the first of panes, both ends in each."""
    still = np.zeros((2, 3))
    named, arrows = loads(bar, case, panes[0], words, np.zeros((len(words), 3)))
    named.append(clamp(bar, held, panes[0]))
    return [*named, *(mark for pane in panes for mark in ends(bar, pane, still))], arrows
