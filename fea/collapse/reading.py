"""Readings at each step of a path, and the loads of the whole path.

Deflections are counted from the bar's initial state, as by a gauge that is zeroed there: in its
preloaded clamps, under sustained loads. Strains and shapes are those from the undeformed bar,
preload included.

Offset loads are read from load and deflection alone: where the curve crosses a straight line of its
first slope that is shifted by a stated deflection.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from fea.collapse.collapse_mode import Kind, Rings, axial_strain, kind_of, rings_of, shape_of
from fea.collapse.equilibrium import Point, deflection
from fea.collapse.log_strain import tensor_of
from fea.collapse.path import Segment
from fea.collapse.path_model import PathModel
from fea.collapse.phase import Phase
from fea.collapse.strain import Lines, StrainPeak, along_lines, averaged, lines_of, peak_of
from fea.solid.surface import mean_displacement
from geometry.arrays import Floats

YIELD_STRAIN = 0.002
"""Plastic strain at the proof stress, the yield criterion of a place."""

LIMIT_DROP = 1e-3
"""Share of the largest load by which it must fall before that counts as a limit load."""


class PathPoint(NamedTuple):
    """A place on a path's curve.

    Attributes:
        factor: Of the case's loads.
        deflection: Along the loads: mm, or rad where there are only moments.
    """

    factor: float
    deflection: float


@dataclass(frozen=True, eq=False)
class Reading:
    """A step of the path, as it is reported.

    Attributes:
        phase: What the loads do in the step.
        cycle: Number, from 1, of the level that the step belongs to; of the last loading one more.
        factor: Of the case's loads.
        deflection: Along the loads since they began to grow: mm, or rad where there are only
            moments.
        moved_mm: (loads, 3) displacement of each load's place since then, area mean over its band.
        strain: Largest averaged plastic strain outside the clamp.
        edge: Largest plastic strain at a point anywhere, which depends on the mesh at an edge.
        oval_percent: Largest ovalisation of a ring, largest less smallest diameter over nominal.
        kind: Collapse mode where the averaged strain is largest; None while it is elastic there.
        negative: Negative pivots before the step, None where they are not known.
        iterations: Newton iterations.
        bifurcation: The points of the step before without and with a negative pivot, where this one
            begins with the first one while the load still rises.
    """

    phase: Phase
    cycle: int
    factor: float
    deflection: float
    moved_mm: Floats
    strain: StrainPeak
    edge: StrainPeak
    oval_percent: float
    kind: Kind | None
    negative: int | None
    iterations: int
    bifurcation: tuple[PathPoint, PathPoint] | None = None


@dataclass(frozen=True, eq=False)
class Reader:
    """The places of readings on a mesh: rows of points, rings of nodes."""

    lines: Lines
    rings: Rings


def reader_of(path_model: PathModel) -> Reader:
    """Return the reader of a bar's steps."""
    return Reader(lines_of(path_model.model.mesh), rings_of(path_model.model.mesh))


def reading_of(path_model: PathModel, reader: Reader, point: Point, segment: Segment) -> Reading:
    """Return the reading of a bar at a point of its path."""
    lines, state, model = reader.lines, point.response.state, path_model.model
    strain = along_lines(lines, state.equivalent)
    since = (point.displacement - path_model.equations.origin).reshape(-1, 3)
    peak = peak_of(lines, averaged(lines, strain, model.bar, model.clamp))
    displacement = point.displacement.reshape(-1, 3)
    shape = shape_of(reader.rings, model.mesh.points_mm, displacement)
    plastic = tensor_of(along_lines(lines, state.plastic)[peak.index])
    axial = axial_strain(model.bar, plastic, peak)
    return Reading(
        segment.phase,
        segment.cycle,
        point.factor,
        deflection(path_model.equations, point.displacement),
        np.array([mean_displacement(modes, since) for modes in path_model.modes]),
        peak,
        peak_of(lines, strain),
        float(shape.oval_percent.max()),
        kind_of(path_model, reader.rings, shape, peak, axial) if peak.value else None,
        point.negative,
        point.iterations,
    )


def envelope(path: Sequence[Reading]) -> list[Reading]:
    """Return the steps with a deflection beyond all earlier ones: the curve's envelope."""
    furthest, kept = -np.inf, []
    for reading in path:
        if reading.deflection > furthest:
            furthest = reading.deflection
            kept.append(reading)
    return kept


def strained_at(path: Sequence[Reading], strain: float = YIELD_STRAIN) -> PathPoint | None:
    """Return where the averaged plastic strain first reaches `strain`, None if never."""
    factors, deflections, strains = _columns(envelope(path))
    return _crossing(factors, deflections, strains - strain)


def offset_at(path: Sequence[Reading], shift: float) -> PathPoint | None:
    """Return where the curve crosses its first slope shifted by a deflection.

    None where the path ends before.

    Source: module docstring.
    """
    factors, deflections, _ = _columns(envelope(path))
    return _crossing(
        factors, deflections, factors[1] / deflections[1] * (deflections - shift) - factors
    )


def limit_at(path: Sequence[Reading]) -> PathPoint | None:
    """Return the largest load if the load fell after it, None if it was still rising.

    The factor is the height of a parabola through the highest step and its neighbours, the
    deflection that of the highest step: the top is flat.
    """
    kept = envelope(path)
    highest = max(kept, key=lambda reading: reading.factor)
    last = min(reading.factor for reading in kept[kept.index(highest) :])
    fell = last < highest.factor * (1 - LIMIT_DROP)
    return PathPoint(_top(kept), highest.deflection) if fell else None


def absorbed_energy_nmm(unit: float, path: Sequence[Reading]) -> float:
    """Return the work that the loads have done along the path, N mm.

    Args:
        unit: Sum of the loads at a factor of one, N or N mm.
        path: Every step.

    Source: work of a force, by trapezoids.
    """
    factors, deflections, _ = _columns(path)
    return unit * float(np.sum((factors[1:] + factors[:-1]) / 2 * np.diff(deflections)))


def _columns(path: Sequence[Reading]) -> tuple[Floats, Floats, Floats]:
    """Return factors, deflections and averaged strains of the start and of every step.

    A path that does not have its start began with a bar that had not yielded.
    """
    rows = [(reading.factor, reading.deflection, reading.strain.value) for reading in path]
    if not rows or rows[0][:2] != (0.0, 0.0):
        rows = [(0.0, 0.0, 0.0), *rows]
    factors, deflections, strains = np.array(rows).T
    return factors, deflections, strains


def _crossing(factors: Floats, deflections: Floats, over: Floats) -> PathPoint | None:
    """Return where `over` first reaches zero, straight between two steps."""
    reached = np.flatnonzero(over >= 0)
    if not len(reached):
        return None
    i = int(reached[0])
    if i == 0:
        return PathPoint(float(factors[0]), float(deflections[0]))
    share = over[i - 1] / (over[i - 1] - over[i])
    factor, along = (one[i - 1] + share * (one[i] - one[i - 1]) for one in (factors, deflections))
    return PathPoint(float(factor), float(along))


def _top(kept: Sequence[Reading]) -> float:
    """Return the height of a parabola through the highest step and its neighbours."""
    highest = int(np.argmax([reading.factor for reading in kept]))
    near = kept[max(highest - 1, 0) : highest + 2]
    if len(near) < 3:
        return kept[highest].factor
    middle = near[1].deflection
    x = np.array([reading.deflection - middle for reading in near])
    a, b, c = np.polyfit(x, [reading.factor for reading in near], 2)
    return float(c - b * b / (4 * a)) if a < 0 else kept[highest].factor
