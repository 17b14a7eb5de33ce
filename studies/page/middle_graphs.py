"""Graphs of the middle of a bent tube, as tests of tubes are published: against its curvature."""

from collections.abc import Sequence

import numpy as np

from geometry.arrays import Floats
from studies.page.graph import Curve, Drawing, Graph, graph
from studies.page.path_steps import shown_steps
from studies.records.collapse import CollapseRecord

HIGH, LOW = 250.0, 170.0
REACH = 1.03
"""Share of the largest curvature that graphs reach to."""


def middle_graphs(collapse: CollapseRecord) -> tuple[Graph, ...]:
    """Return moment, ovalisation and ripples against curvature; none of any other bar."""
    middle = collapse.middle
    if middle is None:
        return ()
    moments = np.array(middle.moment_nmm) / 1000
    drawings = [
        _drawing(collapse, "middle-moment", "Moment against curvature: moment, N·m", moments, HIGH),
        _drawing(
            collapse, "middle-oval", "Ovalisation, %", np.array(middle.ovalisation_percent), LOW
        ),
    ]
    ripples = middle.ripple_percent_of_wall
    if all(one is not None for one in ripples):
        share = np.array(ripples, dtype=float)
        drawings.append(_drawing(collapse, "middle-ripple", "Ripples, % of the wall", share, LOW))
    most = REACH * max(middle.curvature_per_m)
    return tuple(graph(drawing, 0.0, most) for drawing in drawings)


def _drawing(
    collapse: CollapseRecord, name: str, title: str, values: Floats, height: float
) -> Drawing:
    curvature = np.array(collapse.middle.curvature_per_m if collapse.middle else [])
    x, y = (np.concatenate([[0.0], column]) for column in (curvature, values))
    points = np.stack([curvature, values], axis=-1)
    words = f"Up to {values.max():.3g}, at {curvature[int(np.argmax(values))]:.3g} 1/m."
    across = "curvature of the middle, 1/m"
    curve = Curve("path past yield", "path", x, y)
    return Drawing(name, title, across, words, height, [curve], points, _numbers(collapse))


def _numbers(collapse: CollapseRecord) -> Sequence[int | None]:
    numbers = {step: number for number, step in enumerate(shown_steps(collapse))}
    return [numbers.get(step) for step in range(len(collapse.curve.phase))]
