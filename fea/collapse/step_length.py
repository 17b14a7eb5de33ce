"""How long the steps of a path are: by the bar and its loads, never by where the path ends.

So two paths of a bar share their steps up to the end of the shorter one, and so do their readings.
A step to about half of the elastic range is followed by short ones across the knee; from then on
the curvature of load over deflection decides, and how many tangents a step needed.

Limits: the deflection at first yield is the beam's. Where the metal yields before, as in clamps
that are preloaded or in bends that flatten, curvature alone shortens the steps.
"""

from dataclasses import dataclass

import numpy as np

from fea.beam.section import bend_factor, nominal_von_mises_mpa
from fea.beam.statics import resultants_of, solve_beam
from fea.collapse.path_model import PathModel
from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm, nominal_wall_mm
from loadcases.path_control import default_path_control

FIRST, KNEE, KNEE_ENDS = 0.4, 0.15, 1.5
"""The first step, the longest across the knee, and where that ends, over the deflection at first
yield. On four bars chords then lie within 0.6 % of the curve."""

STEPS = 16
"""Steps past the knee to the default deflection; each adds about 1 % to the strain of a hinge."""

BENT = 0.015
"""Share of the load by which a step may end beside the tangent that it began with: a chord is
then a quarter of that beside the curve."""

FEW, MANY = 4, 7
LONGER, SHORTER, HALF = 1.5, 0.6, 0.5
"""A step that took few tangents is followed by a longer one, many by a shorter; one that fails is
cut in half and begun again."""

LEAP, SHORT = 0.002, 0.05
"""Plastic strain in which a step that begins elastic may end, that at the proof stress; and a share
of the deflection at first yield below which it may: beside supports the metal yields before."""

LEAST = 1e-3
"""Smallest step over the largest."""


@dataclass(frozen=True)
class Pace:
    """What the steps of a bar are measured by.

    Attributes:
        yielding: Deflection along the loads at first yield: mm, or rad with moments alone.
        most: Largest deflection of a step.
    """

    yielding: float
    most: float

    @property
    def first(self) -> float:
        """Return the deflection of the first step, mm or rad.

        Source: judgement, module docstring.
        """
        return min(FIRST * self.yielding, self.most)

    @property
    def least(self) -> float:
        """Return the smallest deflection of a step, mm or rad, below which the path ends.

        Source: judgement, module docstring.
        """
        return LEAST * min(self.yielding, self.most)


def pace_of(path_model: PathModel) -> Pace:
    """Return the pace of a bar under the growing loads of a case, mm or rad.

    Source: the beam's deflection along the loads, times proof stress over its largest nominal
    stress, which in bends is raised by the root of their flexibility: judgement, as is the longest
    step.
    """
    bar, clamp, loads = path_model.model.bar, path_model.model.clamp, path_model.loads
    most = default_path_control(loads, bar, clamp) / STEPS
    if all(load.toward for load in loads):
        return Pace(_flattened_mm(bar, loads[0].at_mm), most)
    (beam,) = solve_beam(bar, clamp, [loads], flexible=True)
    nominal = nominal_von_mises_mpa(bar, beam.s_mm, resultants_of(beam))
    stress = np.max(nominal * np.sqrt(bend_factor(bar, beam.s_mm)))
    along = 2 * beam.work_nmm / path_model.unit
    return Pace(along * bar.spec.material.proof_stress_mpa / float(stress), most)


def _flattened_mm(bar: Bar, at_mm: float) -> float:
    """Return the approach of two platens at which a ring yields.

    (pi/4 - 2/pi) W R^3/EI with the moment W R/pi: Timoshenko, thin ring; derived as said.
    """
    wall_mm = float(nominal_wall_mm(bar, np.array(at_mm)))
    radius_mm = (float(nominal_od_mm(bar, np.array(at_mm))) - wall_mm) / 2
    metal = bar.spec.material
    strain = metal.proof_stress_mpa / metal.youngs_modulus_mpa
    return 2 * np.pi * (np.pi / 4 - 2 / np.pi) * strain * radius_mm**2 / wall_mm


def leaps(pace: Pace, length: float, before: Floats, after: Floats) -> bool:
    """Return whether a step is to be cut, for it would leap across first yield.

    Args:
        pace: The bar's.
        length: Deflection of the step, mm or rad.
        before: (cells, points) plastic strain at its beginning.
        after: The same at its end.

    Source: judgement, `LEAP`.
    """
    return length > SHORT * pace.yielding and not before.any() and float(after.max()) > LEAP


def next_length(pace: Pace, tried: float, have: float, factorisations: int, bent: float) -> float:
    """Return the deflection of the step after one, mm or rad.

    Args:
        pace: The bar's.
        tried: Deflection that the step was to have; a level may have cut it.
        have: Deflection at its end.
        factorisations: Tangents that it took.
        bent: Share of the load by which its end would lie beside the tangent at its beginning, had
            it not been cut.

    Source: a chord's distance from a curve grows with the square of its length.
    """
    longer = LONGER if factorisations <= FEW else 1.0
    length = tried * (SHORTER if factorisations > MANY else longer)
    if bent > 0:
        length = min(length, max(tried * (BENT / bent) ** 0.5, HALF * tried))
    most = min(KNEE * pace.yielding, pace.most) if have < KNEE_ENDS * pace.yielding else pace.most
    return min(max(length, pace.least), most)
