"""The curve of a path past yield: load over deflection, and below it the strain that it costs."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import degrees
from pathlib import Path

import numpy as np

from fea.collapse.path_run import PathRun
from fea.collapse.phase import Phase
from fea.collapse.reading import PathPoint, envelope
from studies.collapse.outcome import Outcome
from studies.collapse.text import KINDS, YIELD_WORDS, ended_in_words, load_in_words, move_in_words
from studies.pictures.figure_layout import EDGE, WIDTH, Mark, Sheet, write_sheet
from studies.pictures.graphs import Graph, Line, at_dots, graphs_panel
from studies.pictures.labels import Box
from studies.pictures.palette import FAINT, LINE, LOAD, ramp, written
from studies.pictures.path_steps import BEYOND_CAUTION, ShownPath, place_words
from studies.records.places import capitalised

PATH = written(ramp(np.array(0.62)))
"""The curve's own colour."""

LEFT, RIGHT = 150, WIDTH - EDGE
LOADS, STRAINS = Box(LEFT, 376, RIGHT, 762), Box(LEFT, 214, RIGHT, 344)
"""Where the two graphs stand."""

ROOM = 1.2
"""How much higher a graph is than what it shows."""

ASIDE_DOTS, ABOVE_DOTS = 160, 30
"""From a graph's edge to the middle of a level's name, and how far above the graph it may stand."""

SEEN = 1e-3
"""A set that is a smaller share of the axis is not marked."""

SAME = 0.02
"""Two strains that differ by less have one line."""


def draw_curve(shown: ShownPath, file: Path) -> None:
    """Write the curve of a case's path as a PNG."""
    case, path, found = shown.case, shown.path, shown.found
    loads, strains = load_graph(path, found), strain_graph(path, found)
    load, move = ("moment", "turn") if path.by_moments else ("load", "deflection")
    load = f"sum of the {load}s" if len(case.placed.loads) > 1 else load
    sheet = Sheet(
        f"{case.placed.case.title}: the path past yield",
        f"{shown.bar.spec.name}: {load} against the {move} along it; below, the largest plastic "
        "strain, averaged along the bar",
        (graphs_panel((loads, strains)),),
        (*_load_marks(path, found, loads), *_strain_marks(found, strains)),
        (),
        None,
        tuple(_notes(shown)),
        BEYOND_CAUTION,
    )
    write_sheet(sheet, file)


def load_graph(path: PathRun, found: Outcome) -> Graph:
    """Return load over deflection: the path, its offset lines, and the linear answer."""
    own = _load(path, 1.0)
    loads = [_load(path, one.factor) for one in path.readings]
    ends = _last(path), ROOM * max(*loads, own)
    linear = _move(path, found.linear_deflection)
    most = min(ends[0] / linear, ends[1] / own)
    lines = (
        Line(np.array([0, ends[0]]), np.array([own, own]), LOAD, 1.2, ":"),
        Line(np.array([0, most * linear]), np.array([0, most * own]), FAINT, 1.2),
        *(_offset_line(path, one.shift, one.met) for one in found.offsets if one.met),
        *_visits(path),
        *_curve(path, found, [_load(path, one.factor) for one in envelope(path.readings)]),
    )
    title = "moment, N m" if path.by_moments else "load, N"
    return Graph(LOADS, ends, ("", title), lines)


def strain_graph(path: PathRun, found: Outcome) -> Graph:
    """Return the averaged plastic strain over the same deflection, and what it is set beside."""
    strains = [100 * one.strain.value for one in envelope(path.readings)]
    ends = _last(path), ROOM * max(*strains, 100 * (found.elongation or found.uniform))
    levels = [100 * strain for strain, _ in _levels(found, ends[1])]
    across = np.array([0, ends[0]])
    lines = (
        *(Line(across, np.array([level, level]), FAINT, 1.2, "--") for level in levels),
        *_curve(path, found, strains),
    )
    along = "turn along the moments, deg" if path.by_moments else "deflection along the loads, mm"
    return Graph(STRAINS, ends, (along, "strain, %"), lines)


def _curve(path: PathRun, found: Outcome, heights: Sequence[float]) -> Iterator[Line]:
    """Yield the curve without what goes back, grey from where the metal's elongation is used up."""
    x = np.array([0.0, *(_move(path, one.deflection) for one in envelope(path.readings))])
    y = np.array([0.0, *heights])
    torn = _move(path, found.strain_limit.deflection) if found.strain_limit else np.inf
    before = x <= torn
    if before.all():
        yield Line(x, y, PATH, 3.0)
        return
    met = float(np.interp(torn, x, y))
    yield Line(np.append(torn, x[~before]), np.append(met, y[~before]), LINE, 3.0)
    yield Line(np.append(x[before], torn), np.append(y[before], met), PATH, 3.0)


def _visits(path: PathRun) -> Iterator[Line]:
    """Yield the thin lines on which a load is taken away and put on again."""
    for before, now in pairwise(path.readings):
        if now.phase is not Phase.LOADING:
            x = np.array([_move(path, one.deflection) for one in (before, now)])
            yield Line(x, np.array([_load(path, one.factor) for one in (before, now)]), PATH, 1.3)


def _offset_line(path: PathRun, shift: float, met: PathPoint) -> Line:
    """Return the first slope shifted by an offset, up to where it meets the curve."""
    x = np.array([_move(path, shift), _move(path, met.deflection)])
    return Line(x, np.array([0.0, _load(path, met.factor)]), LINE, 1.2, "--")


def _load_marks(path: PathRun, found: Outcome, graph: Graph) -> Iterator[Mark]:
    for met, words in told_places(path, found):
        at = at_dots(graph, _move(path, met.deflection), _load(path, met.factor))
        up = (
            2
            if met
            in {found.bifurcation and found.bifurcation.start, found.limit_load, found.strain_limit}
            else -1
        )
        yield Mark(at, words, graph.box, (1, up), ring=True)
    own, linear = _load(path, 1.0), _move(path, found.linear_deflection)
    name = f"the case's own {load_in_words(path, 1.0)}"
    yield _level_mark(graph, own, name, LOAD, graph.box.right - ASIDE_DOTS)
    most = 0.97 * min(graph.ends[0] / linear, graph.ends[1] / own)
    at = at_dots(graph, most * linear, most * own)
    yield Mark(at, "linear answer", graph.box, (-1, 1), FAINT, line=False)


def told_places(path: PathRun, found: Outcome) -> Iterator[tuple[PathPoint, str]]:
    """Yield every place that is marked on a curve, with its words."""
    named = [
        (found.bifurcation and found.bifurcation.start, "last before it buckles"),
        (found.limit_load, "at most"),
        (found.strain_limit, "elongation used up"),
        (found.yield_load, f"yields ({YIELD_WORDS})"),
        *((one.met, f"offset {move_in_words(path, one.shift)}") for one in found.offsets),
    ]
    yield from ((met, f"{name}: {load_in_words(path, met.factor)}") for met, name in named if met)
    for level in found.unloadings:
        if level.permanent_set and _move(path, level.permanent_set) > SEEN * _last(path):
            stays = f"{_move(path, level.permanent_set):.2g} {'deg' if path.by_moments else 'mm'}"
            words = f"set {stays} after {load_in_words(path, level.factor)}"
            yield PathPoint(0.0, level.permanent_set), words


def _strain_marks(found: Outcome, graph: Graph) -> Iterator[Mark]:
    for strain, name in _levels(found, graph.ends[1]):
        words = f"{name} {100 * strain:.1f} %"
        yield _level_mark(graph, 100 * strain, words, FAINT, graph.box.left + ASIDE_DOTS)


def _level_mark(graph: Graph, height: float, words: str, colour: str, x: float) -> Mark:
    """Return the name of a level line, above it."""
    at = x, at_dots(graph, 0.0, height)[1]
    bounds = graph.box._replace(top=graph.box.top + ABOVE_DOTS)
    return Mark(at, words, bounds, (0, 1), colour, line=False)


def _levels(found: Outcome, top_percent: float) -> list[tuple[float, str]]:
    """Return the strains below the top that have a line of their own, and their names."""
    uniform, elongation = found.uniform, found.elongation
    if elongation is not None and abs(uniform - elongation) < SAME * elongation:
        return [(elongation, "uniform strain and elongation")]
    both = [(uniform, "uniform strain"), (elongation, "elongation")]
    return [(strain, name) for strain, name in both if strain and 100 * strain < top_percent]


def _notes(shown: ShownPath) -> Iterator[str]:
    told = shown.told.step.reading
    if shown.found.kind:
        yield f"{capitalised(KINDS[shown.found.kind])}: {place_words(shown.bar, told.strain)}."
    if shown.found.bifurcation:
        yield "Beyond the last step before it buckles, a real bar leaves this path."
    if shown.found.strain_limit is not None:
        yield "Grey: beyond the metal's elongation, where it has torn, which no model here knows."
    yield ended_in_words(shown.path)


def _last(path: PathRun) -> float:
    """Return where the axis of deflections ends."""
    return 1.03 * max(_move(path, one.deflection) for one in path.readings)


def _load(path: PathRun, factor: float) -> float:
    return factor * path.unit / (1000 if path.by_moments else 1)


def _move(path: PathRun, deflection: float) -> float:
    return degrees(deflection) if path.by_moments else deflection
