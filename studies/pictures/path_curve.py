"""The curve of a path past yield: load over deflection, and below it the plastic strain."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import degrees
from pathlib import Path

import numpy as np

from fea.collapse.curve import Curve, curve_of, envelope
from fea.collapse.path_run import PathRun
from fea.collapse.phase import Phase
from fea.collapse.reading import PathPoint, Reading
from geometry.arrays import Floats
from studies.collapse.band import band_of
from studies.collapse.outcome import Outcome
from studies.collapse.ram_travel import own_deflection, own_deflections
from studies.collapse.text import (
    KINDS,
    YIELD_WORDS,
    deflection_in_words,
    ended_in_words,
    load_in_words,
)
from studies.pictures.figure_layout import EDGE, WIDTH, Mark, Sheet
from studies.pictures.graphs import ABOVE_DOTS, Band, Graph, Line, at_dots, graphs_panel
from studies.pictures.labels import Box
from studies.pictures.palette import BAND, BESIDE, FAINT, LINE, LOAD, ramp, written
from studies.pictures.path_steps import BEYOND_CAUTION, ShownPath, place_words
from studies.pictures.sheet_drawing import write_sheet
from studies.records.band import BandRecord
from studies.records.places import capitalised

PATH = written(ramp(np.array(0.62)))
"""The curve's own colour."""

BAND_WORDS = "Filled: what wall, proof stress, modulus and clamp leave open, 95 %."

OWN = BESIDE
"""Of the bar's own deflection."""

LEAST_APART = 0.01
"""Share of the travel below which the two curves would lie on each other."""

LEFT, RIGHT = 140, WIDTH - EDGE
LOADS, STRAINS = Box(LEFT, 316, RIGHT, 896), Box(LEFT, 86, RIGHT, 266)
"""Where the two graphs stand."""

ROOM = 1.2
"""How much higher a graph is than what it shows."""

ASIDE_DOTS = 210
"""From a graph's edge to the middle of a level's name."""

NAME_DOTS = 44
"""Room for the name of a line, between that and the next."""

LEAST_SET = 1e-3
"""A permanent set that is a smaller share of the axis is not marked."""

SAME = 0.02
"""Two strains that differ by less have one line."""


def draw_curve(shown: ShownPath, file: Path) -> None:
    """Write the curve of a case's path as a PNG."""
    case, path, outcome = shown.case, shown.path, shown.outcome
    band = band_of(shown.bar, case, path, outcome)
    loads, strains = load_graph(path, outcome, band), strain_graph(path, outcome)
    sheet = Sheet(
        f"{case.placed.case.title}: equilibrium path",
        f"{shown.bar.spec.name}: {_axes_in_words(shown)}; below, the largest plastic strain, "
        "averaged along the bar",
        (graphs_panel((loads, strains)),),
        (*_load_marks(path, outcome, loads), *_strain_marks(outcome, strains)),
        (),
        None,
        tuple(_notes(shown)),
        BEYOND_CAUTION,
    )
    write_sheet(sheet, file)


def _axes_in_words(shown: ShownPath) -> str:
    """Return what is drawn over what."""
    path = shown.path
    if path.by_ram:
        return "force of the ram against its travel"
    load, deflection = ("moment", "rotation") if path.by_moments else ("load", "deflection")
    if len(shown.case.placed.loads) > 1:
        load = "moment of one end" if path.by_moments else "sum of the loads"
    return f"{load} against the {deflection} along it"


def load_graph(path: PathRun, outcome: Outcome, band: BandRecord | None = None) -> Graph:
    """Return load over deflection: the path, its band, its offset lines, and the linear run."""
    own, curve = _load(path, 1.0), curve_of(path.readings, path.end_slope)
    loads = [_load(path, one.factor) for one in path.readings]
    ends = _last(path), ROOM * max(*loads, own)
    linear = _deflection(path, outcome.linear_deflection)
    most = min(ends[0] / linear, ends[1] / own)
    lines = (
        Line(np.array([0, ends[0]]), np.array([own, own]), LOAD, 1.2, ":"),
        Line(np.array([0, most * linear]), np.array([0, most * own]), FAINT, 1.2),
        *(_offset_line(path, one.shift, one.point) for one in outcome.offsets if one.point),
        *_unloadings(path),
        *_own_line(path),
        *_curve(path, outcome, curve, _load(path, 1.0) * curve.factors),
    )
    title = "moment, N·m" if path.by_moments else "ram force, N" if path.by_ram else "load, N"
    return Graph(LOADS, ends, ("", title), lines, filled(band))


def filled(band: BandRecord | None) -> tuple[Band, ...]:
    """Return what a path's band fills of a graph."""
    if band is None:
        return ()
    return (Band(np.array(band.deflection_mm), np.array(band.low_n), np.array(band.high_n), BAND),)


def strain_graph(path: PathRun, outcome: Outcome) -> Graph:
    """Return the averaged plastic strain over the same deflection, and the metal's limits."""
    curve = curve_of(path.readings, path.end_slope)
    strains = 100 * curve.strains
    ends = _last(path), ROOM * max(*strains, 100 * (outcome.elongation or outcome.uniform))
    levels = [100 * strain for strain, _ in _levels(outcome, ends[1])]
    across = np.array([0, ends[0]])
    lines = (
        *(Line(across, np.array([level, level]), FAINT, 1.2, "--") for level in levels),
        *_curve(path, outcome, curve, strains),
    )
    return Graph(STRAINS, ends, (_along(path), "strain, %"), lines)


def _along(path: PathRun) -> str:
    if path.by_ram:
        return "ram travel, mm"
    return (
        "rotation along the moments, deg" if path.by_moments else "deflection along the loads, mm"
    )


def _curve(path: PathRun, outcome: Outcome, curve: Curve, y: Floats) -> Iterator[Line]:
    """Yield the curve without unloading, grey and broken beyond the strain limit."""
    x = _deflection(path, 1.0) * curve.deflections
    limit = _deflection(path, outcome.strain_limit.deflection) if outcome.strain_limit else np.inf
    before = x <= limit
    if before.all():
        yield Line(x, y, PATH, 3.0)
        return
    height = float(np.interp(limit, x, y))
    yield Line(np.append(limit, x[~before]), np.append(height, y[~before]), LINE, 3.0, "--")
    yield Line(np.append(x[before], limit), np.append(y[before], height), PATH, 3.0)


def _unloadings(path: PathRun) -> Iterator[Line]:
    """Yield the thin lines of unloading and reloading."""
    for before, now in pairwise(path.readings):
        if now.phase is not Phase.LOADING:
            x = np.array([_deflection(path, one.deflection) for one in (before, now)])
            yield Line(x, np.array([_load(path, one.factor) for one in (before, now)]), PATH, 1.3)


def _own_line(path: PathRun) -> Iterator[Line]:
    """Yield the thin line of the bar's own deflection under a ram."""
    if _is_apart(path):
        x, y = np.array([(0.0, 0.0), *(_own(path, one) for one in envelope(path.readings))]).T
        yield Line(x, y, OWN, 1.3)


def _is_apart(path: PathRun) -> bool:
    """Return whether a path has the bar's own deflection, and not under the curve of its travel."""
    if not own_deflections(path):
        return False
    dents = [one.indentation_mm or 0.0 for one in path.readings]
    return max(dents) > LEAST_APART * max(one.deflection for one in path.readings)


def _own(path: PathRun, one: Reading) -> tuple[float, float]:
    """Return the bar's own deflection and the load at a step."""
    return own_deflection(one) or 0.0, _load(path, one.factor)


def _offset_line(path: PathRun, shift: float, end: PathPoint) -> Line:
    """Return the first slope shifted by an offset, up to the curve."""
    x = np.array([_deflection(path, shift), _deflection(path, end.deflection)])
    return Line(x, np.array([0.0, _load(path, end.factor)]), LINE, 1.2, "--")


def _load_marks(path: PathRun, outcome: Outcome, graph: Graph) -> Iterator[Mark]:
    last = {_bifurcation(outcome), outcome.limit_load, outcome.strain_limit}
    for point, words in marked_points(path, outcome):
        at = at_dots(graph, _deflection(path, point.deflection), _load(path, point.factor))
        yield Mark(at, words, graph.box, (1, 2 if point in last else -1), ring=True)
    own, linear = _load(path, 1.0), _deflection(path, outcome.linear_deflection)
    name = f"load of the case: {load_in_words(path, 1.0)}"
    yield _level_mark(graph, own, name, LOAD, graph.box.right - ASIDE_DOTS)
    most = 0.97 * min(graph.ends[0] / linear, graph.ends[1] / own)
    at = at_dots(graph, most * linear, most * own)
    yield Mark(at, "linear run", graph.box, (-1, 1), FAINT, line=False)
    if _is_apart(path):
        end = at_dots(graph, *_own(path, envelope(path.readings)[-1]))
        yield Mark(end, "bar's own deflection", graph.box, (-1, 1), OWN)


def marked_points(path: PathRun, outcome: Outcome) -> Iterator[tuple[PathPoint, str]]:
    """Yield every point that is marked on a curve, with its label."""
    named = [
        (_bifurcation(outcome), "last before bifurcation"),
        (outcome.limit_load, "limit load"),
        (outcome.strain_limit, "strain limit (elongation)"),
        (outcome.yield_load, f"yield load ({YIELD_WORDS})"),
        *((one.point, f"offset {deflection_in_words(path, one.shift)}") for one in outcome.offsets),
    ]
    yield from ((at, f"{name}: {load_in_words(path, at.factor)}") for at, name in named if at)
    for level in outcome.unloadings:
        if level.permanent_set and _deflection(path, level.permanent_set) > LEAST_SET * _last(path):
            size = (
                f"{_deflection(path, level.permanent_set):.2g} {'deg' if path.by_moments else 'mm'}"
            )
            words = f"permanent set {size} after {load_in_words(path, level.factor)}"
            yield PathPoint(0.0, level.permanent_set), words


def _bifurcation(outcome: Outcome) -> PathPoint | None:
    """Return the last point before the bifurcation, None without one."""
    return outcome.bifurcation.start if outcome.bifurcation else None


def _strain_marks(outcome: Outcome, graph: Graph) -> Iterator[Mark]:
    """Yield the names of the metal's limits, each above its line or below it, within the next."""
    named, x = sorted(_levels(outcome, graph.ends[1])), graph.box.left + ASIDE_DOTS
    heights = [at_dots(graph, 0.0, 100 * strain)[1] for strain, _ in named]
    edges = [graph.box.bottom, *heights, graph.box.top + ABOVE_DOTS]
    for (strain, name), (below, y, above) in zip(named, _triples(edges), strict=True):
        up = above - y >= NAME_DOTS
        bounds = graph.box._replace(bottom=y if up else below, top=above if up else y)
        words, towards = f"{name} {100 * strain:.1f} %", (0, 1 if up else -1)
        yield Mark((x, y), words, bounds, towards, FAINT, line=False)


def _triples(heights: Sequence[float]) -> Iterator[tuple[float, float, float]]:
    """Yield each height with those below and above it."""
    return zip(heights, heights[1:], heights[2:], strict=False)


def _level_mark(graph: Graph, height: float, words: str, colour: str, x: float) -> Mark:
    """Return the name of a level line, above it."""
    at = x, at_dots(graph, 0.0, height)[1]
    bounds = graph.box._replace(top=graph.box.top + ABOVE_DOTS)
    return Mark(at, words, bounds, (0, 1), colour, line=False)


def _levels(outcome: Outcome, top_percent: float) -> list[tuple[float, str]]:
    """Return the strains below the top that have a line of their own, and their names."""
    uniform, elongation = outcome.uniform, outcome.elongation
    if elongation is not None and abs(uniform - elongation) < SAME * elongation:
        return [(elongation, "uniform strain and elongation")]
    both = [(uniform, "uniform strain"), (elongation, "elongation")]
    return [(strain, name) for strain, name in both if strain and 100 * strain < top_percent]


def _notes(shown: ShownPath) -> Iterator[str]:
    strain = shown.reported.step.reading.strain
    if shown.outcome.kind:
        yield f"{capitalised(KINDS[shown.outcome.kind])}: {place_words(shown, strain)}."
    if shown.outcome.bifurcation:
        yield "Beyond the bifurcation a real bar leaves this path."
    if shown.outcome.strain_limit is not None:
        yield "Broken: beyond the strain limit (elongation) the path is not valid."
    if shown.path.varied_paths:
        yield BAND_WORDS
    yield ended_in_words(shown.path)


def _last(path: PathRun) -> float:
    """Return where the axis of deflections ends."""
    return 1.03 * max(_deflection(path, one.deflection) for one in path.readings)


def _load(path: PathRun, factor: float) -> float:
    return factor * path.load / (1000 if path.by_moments else 1)


def _deflection(path: PathRun, deflection: float) -> float:
    return degrees(deflection) if path.by_moments else deflection
