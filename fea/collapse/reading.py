"""Readings at each step of a path.

Deflections are counted from the bar's initial state, as by a gauge that is zeroed there: in its
preloaded clamps, under sustained loads. Strains and shapes are those from the undeformed bar,
preload included.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from fea.collapse.collapse_mode import Kind, Rings, axial_strain, kind_of, rings_of, shape_of
from fea.collapse.contact import contact_forces, rubbing
from fea.collapse.equilibrium import Point, deflection, moved_mm
from fea.collapse.friction import rubs
from fea.collapse.indentation import indentation_of
from fea.collapse.log_strain import tensor_of
from fea.collapse.middle_bend import Middle, MiddleBend, middle_bend, middle_of
from fea.collapse.path import Segment
from fea.collapse.path_model import PathModel
from fea.collapse.phase import Phase
from fea.collapse.strain import Lines, StrainPeak, along_lines, averaged, lines_of, peak_of
from fea.solid.surface import mean_displacement
from geometry.arrays import Floats

YIELD_STRAIN = 0.002
"""Plastic strain at the proof stress, the yield criterion of a place."""


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
        negative: Negative pivots before the step, None where they are not known, as with friction.
        iterations: Iterations of the step.
        bifurcation: The points of the step before without and with a negative pivot, where this one
            begins with the first one while the load still rises.
        slope: Of the factor over the deflection at its beginning, None where it is not known.
        reactions_n: (supports, 3) force of each support on the bar.
        indentation_mm: Dents' part of a ram's travel, None where it has none.
        dents_mm: (supports,) dent under each, 0 where it has none.
        bend: Of the middle of a free straight tube under couples, else None.
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
    slope: float | None = None
    reactions_n: Floats = field(default_factory=lambda: np.zeros((0, 3)))
    indentation_mm: float | None = None
    dents_mm: Floats = field(default_factory=lambda: np.zeros(0))
    bend: MiddleBend | None = None


@dataclass(frozen=True, eq=False)
class Reader:
    """The places of readings on a mesh: rows of points, rings of nodes, a bent tube's middle."""

    lines: Lines
    rings: Rings
    middle: Middle | None = None


def reader_of(path_model: PathModel) -> Reader:
    """Return the reader of a bar's steps."""
    rings = rings_of(path_model.model.mesh)
    return Reader(lines_of(path_model.model.mesh), rings, middle_of(path_model))


def reading_of(path_model: PathModel, reader: Reader, point: Point, segment: Segment) -> Reading:
    """Return the reading of a bar at a point of its path."""
    lines, state, model = reader.lines, point.response.state, path_model.model
    strain = along_lines(lines, state.equivalent)
    since = (point.displacement - path_model.equations.origin).reshape(-1, 3)
    peak = peak_of(lines, averaged(lines, strain, model.bar, model.clamp))
    displacement = moved_mm(path_model.equations, point.displacement)
    shape = shape_of(reader.rings, model.mesh.points_mm, displacement)
    plastic = tensor_of(along_lines(lines, state.plastic)[peak.index])
    axial = axial_strain(model.bar, plastic, peak)
    reactions = reactions_n(path_model, point)
    dents = indentation_of(path_model, reader.rings, point, reactions)
    bend = middle_bend(reader.middle, path_model, point) if reader.middle else None
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
        None if rubs(path_model.equations) else point.negative,
        point.iterations,
        slope=point.slope,
        reactions_n=reactions,
        indentation_mm=dents.total_mm,
        dents_mm=dents.at_supports_mm,
        bend=bend,
    )


def reactions_n(path_model: PathModel, point: Point) -> Floats:
    """Return (supports, 3) the force of each support on the bar at a point, N.

    Source: sum of the forces at its points of contact.
    """
    total = np.zeros((len(path_model.standing.supports), 3))
    if contact := path_model.equations.contact:
        rubbed = rubbing(contact, point.displacement)
        forces = contact_forces(rubbed, point.displacement, point.before.anchors_mm)
        np.add.at(total, [contact.surfaces[one].support for one in contact.owner], forces)
    return total
