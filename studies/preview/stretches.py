"""Stretches of the bar, each of which has a largest utilisation of its own.

A limit that moves from one place to another as a wall changes has a kink there, which no smooth
curve through a few designs follows. The largest utilisation of each stretch is smooth, and the
largest of them has the kink where it belongs, and the place.
"""

from collections.abc import Iterable

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.bar import nominal_od_mm
from geometry.centreline import arcs
from studies.study_file.study import Study

LONGEST_PER_OD = 2.0
SHORTEST_PER_OD = 0.5
"""Lengths of a stretch, in outer diameters: a mesh of the preview has nodes in each."""


def stretch_ends_mm(study: Study) -> Floats:
    """Return (n + 1,) places in mm, ascending: edges of clamps, ends of bends, stations, others."""
    line, clamp = study.bar.line, study.clamp
    bends = [at for arc in arcs(line) for at in (arc.s_from_mm, arc.s_to_mm)]
    levers = [at for lever in study.levers for at in (lever.from_mm, lever.to_mm)]
    od_mm = float(nominal_od_mm(study.bar, np.array(line.right_end_mm)))
    kept = [line.left_end_mm, line.right_end_mm]
    stations = [float(at) for at in study.bar.profile.at_mm if at]
    for at in (*(edge for edge, _ in clamp.edges), *bends, *levers, *stations):
        inside = line.left_end_mm < at < line.right_end_mm
        if inside and _clear(at, kept) >= SHORTEST_PER_OD * od_mm:
            kept.append(at)
    return _divided(np.sort(kept), LONGEST_PER_OD * od_mm)


def stretch_of(ends_mm: Floats, s_mm: Floats) -> Ints:
    """Return the number of the stretch that holds each place; a clamp's edge counts outwards."""
    inside = np.where(s_mm >= 0, np.searchsorted(ends_mm, s_mm + 1e-6), 0)
    inside = np.where(s_mm < 0, np.searchsorted(ends_mm, s_mm - 1e-6), inside)
    return np.asarray(np.clip(inside - 1, 0, len(ends_mm) - 2))


def _clear(at: float, kept: Iterable[float]) -> float:
    return min(abs(at - one) for one in kept)


def _divided(ends: Floats, longest_mm: float) -> Floats:
    counts = np.ceil(np.diff(ends) / longest_mm).astype(int)
    parts = [
        np.linspace(low, high, count, endpoint=False)
        for low, high, count in zip(ends[:-1], ends[1:], counts, strict=True)
    ]
    return np.concatenate([*parts, ends[-1:]])
