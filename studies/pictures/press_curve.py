"""The curve of a press record: points, straight part, zero, offset lines, peak, unloading lines."""

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from geometry.arrays import Floats
from studies.bench.against import Prediction
from studies.bench.reduction import Reduction
from studies.bench.text import digits
from studies.pictures.figure_layout import EDGE, WIDTH, Mark, Sheet
from studies.pictures.graphs import Band, Graph, Line, at_dots, graphs_panel
from studies.pictures.labels import Box
from studies.pictures.palette import BAND, BESIDE, FAINT, LINE, LOAD, ramp, written
from studies.pictures.sheet_drawing import write_sheet

FORESEEN = BESIDE
CURVE = written(ramp(np.array(0.62)))
BOX = Box(140, 96, WIDTH - EDGE, 760)
ROOM = 1.15
"""How much higher and wider the graph is than what it shows."""

CAUTION = "Read off one record of one bar; see the cautions in press.json."


def draw_press_curve(found: Reduction, file: Path, prediction: Prediction | None = None) -> None:
    """Write the curve of a reduced record as a PNG, over that of a prediction."""
    graph = press_graph(found, prediction)
    name = found.ready.readings.name
    value, width = digits(found.line.slope)
    sheet = Sheet(
        f"Press record {name}",
        f"force against travel; stiffness {value} ± {width} N/mm (95 %)",
        (graphs_panel((graph,)),),
        (*_marks(found, graph), *_foreseen_marks(found, graph, prediction)),
        (),
        None,
        (),
        CAUTION,
    )
    write_sheet(sheet, file)


def press_graph(found: Reduction, prediction: Prediction | None = None) -> Graph:
    """Return force over travel from the record's least travel on, and a prediction's."""
    points = found.ready.points
    x, y = points.travel_mm - _origin(found), points.force_n
    foreseen = _foreseen(found, prediction)
    ends = ROOM * float(x.max()), ROOM * max(float(y.max()), *foreseen[1], 0.0)
    straight = found.straight
    lines = (
        _sloped(found, 0.0, ends, FAINT),
        *(_sloped(found, one.shift_mm, ends, LINE) for one in found.offsets if one.load_n),
        *_unloadings(found),
        *([Line(*foreseen, FORESEEN, 1.6)] if len(foreseen[0]) else []),
        Line(x, y, CURVE, 1.6),
        Line(straight.travel_mm - _origin(found), straight.force_n, LOAD, 4.0),
    )
    return Graph(BOX, ends, ("travel, mm", "force, N"), lines, _bands(found, prediction))


def _foreseen(found: Reduction, prediction: Prediction | None) -> tuple[Floats, Floats]:
    """Return travel and force of a prediction, from the record's zero on and no further than it."""
    curve = prediction.path.curve if prediction else None
    if curve is None or curve.deflection_mm is None or curve.load_n is None:
        return np.zeros(0), np.zeros(0)
    x = _zero(found) + np.append(0.0, curve.deflection_mm)
    y = np.append(0.0, curve.load_n)
    kept = x <= float(found.ready.points.travel_mm.max()) - _origin(found)
    return x[kept], y[kept]


def _bands(found: Reduction, prediction: Prediction | None) -> tuple[Band, ...]:
    band = prediction.path.band if prediction else None
    if band is None:
        return ()
    x = _zero(found) + np.array(band.deflection_mm)
    kept = x <= float(found.ready.points.travel_mm.max()) - _origin(found)
    low, high = (np.array(one)[kept] for one in (band.low_n, band.high_n))
    return (Band(x[kept], low, high, BAND),)


def _foreseen_marks(
    found: Reduction, graph: Graph, prediction: Prediction | None
) -> Iterator[Mark]:
    x, y = _foreseen(found, prediction)
    if len(x):
        at = at_dots(graph, float(x[-1]), float(y[-1]))
        yield Mark(at, "prediction", graph.box, (-1, 1), FORESEEN)


def _origin(found: Reduction) -> float:
    return min(float(found.ready.points.travel_mm.min()), found.line.zero.value)


def _zero(found: Reduction) -> float:
    return found.line.zero.value - _origin(found)


def _sloped(found: Reduction, shift_mm: float, ends: tuple[float, float], colour: str) -> Line:
    """Return the line of the slope, shifted, up to the graph's top or side."""
    start, k = _zero(found) + shift_mm, found.line.slope.value
    high = max(min(0.97 * ends[1], k * (ends[0] - start)), 0.0)
    return Line(np.array([start, start + high / k]), np.array([0.0, high]), colour, 1.2, "--")


def _unloadings(found: Reduction) -> Iterator[Line]:
    for one in found.unloadings:
        if one.fitted:
            foot = one.fitted.zero.value - _origin(found)
            top = one.from_n / one.fitted.slope.value
            x: Floats = np.array([foot, foot + top])
            yield Line(x, np.array([0.0, one.from_n]), LINE, 1.4, ":")


def _marks(found: Reduction, graph: Graph) -> Iterator[Mark]:
    zero = _zero(found)
    yield _mark(graph, zero, 0.0, "zero", -1)
    middle = found.straight.at(slice(len(found.straight.lines) // 2, None))
    at = float(middle.travel_mm[0]) - _origin(found), float(middle.force_n[0])
    yield _mark(graph, *at, "straight part", 1)
    for one in found.offsets:
        if one.load_n and one.travel_mm is not None:
            value, width = digits(one.load_n)
            words = f"offset {one.shift_mm:g} mm: {value} ± {width} N"
            yield _mark(graph, zero + one.travel_mm, one.load_n.value, words, 1, -1)
    value, width = digits(found.peak_n)
    name = "peak" if found.fell else "largest load"
    yield _mark(graph, zero + found.peak_mm, found.peak_n.value, f"{name}: {value} ± {width} N", 1)
    for loop in found.unloadings:
        if loop.set_mm:
            value, width = digits(loop.set_mm)
            words = f"permanent set {value} ± {width} mm"
            yield _mark(graph, zero + loop.set_mm.value, 0.0, words, 1)


def _mark(graph: Graph, x: float, y: float, words: str, right: int, up: int = 1) -> Mark:
    return Mark(at_dots(graph, x, y), words, graph.box, (right, up), ring=True)
