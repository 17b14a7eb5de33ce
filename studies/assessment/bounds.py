"""Bounds beside the results of a run: beam bounds, other clamp stiffnesses, deflections."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import starmap

import numpy as np

from fea.beam.statics import BeamResult, solve_beam
from fea.solid.hot_spot import peak_stress
from fea.solid.linear_solver import Factor
from fea.solid.model import Model
from fea.solid.recovery import Recovery, SurfaceStress, surface_stress
from fea.solid.statics import LoadPoint, Solution, StaticAnswer, solve_scaled_clamps
from loadcases.load import PlacedLoad
from studies.study_file.study import Study

CLAMP_STIFFNESS_SCALES = (1 / 3, 3.0)
"""Factors on the stiffness of an elastic clamp in the clamp stiffness study."""


@dataclass(frozen=True)
class ClampStiffnessAnswer:
    """The results with another clamp stiffness.

    Attributes:
        scale: Factor on both stiffnesses of the clamp.
        deflection_mm: Largest displacement of a load point.
        peak_stress_mpa: Peak stress.
    """

    scale: float
    deflection_mm: float
    peak_stress_mpa: float


@dataclass(frozen=True, eq=False)
class BeamBounds:
    """The beam's two bounds on the deflection of a case.

    Attributes:
        rigid_bends: With bends as stiff as the straight tube, k = 1.
        flexible_bends: With full pipe-bend flexibility.
    """

    rigid_bends: BeamResult
    flexible_bends: BeamResult


def deflection_mm(answer: StaticAnswer) -> float:
    """Return the largest displacement magnitude over the load points."""
    return max(float(np.linalg.norm(point.displacement_mm)) for point in answer.load_points)


def stiffness_n_per_mm(answer: StaticAnswer) -> float | None:
    """Return the largest force over its displacement along itself; None for pure moments."""
    point = max(answer.load_points, key=lambda p: float(np.linalg.norm(p.load.force_n)))
    along_mm = displacement_along_force_mm(point)
    if along_mm is None or along_mm <= 0:
        return None
    return float(np.linalg.norm(point.load.force_n)) / along_mm


def displacement_along_force_mm(point: LoadPoint) -> float | None:
    """Return the displacement of a load's place along its force; None for a pure moment."""
    force_n = float(np.linalg.norm(point.load.force_n))
    return float(point.displacement_mm @ point.load.force_n) / force_n if force_n else None


def scaled_clamps(
    model: Model, loads: Sequence[Sequence[PlacedLoad]], factor: Factor, linear: Solution
) -> list[Solution]:
    """Return the solutions with a softer and a stiffer clamp."""
    if model.clamp.model == "rigid":
        return []
    return solve_scaled_clamps(model, loads, factor, linear, CLAMP_STIFFNESS_SCALES)


def stresses_of(model: Model, recovery: Recovery, solution: Solution) -> list[SurfaceStress]:
    """Return the stress of every case."""
    material = model.bar.spec.material
    return [
        surface_stress(recovery, model.mesh, model.grads, material, answer.displacement_mm)
        for answer in solution.answers
    ]


def beam_bounds(study: Study, loads: Sequence[Sequence[PlacedLoad]]) -> list[BeamBounds]:
    """Return the beam's bounds on every case."""
    rigid = solve_beam(study.bar, study.clamp, loads, flexible=False)
    flexible = solve_beam(study.bar, study.clamp, loads, flexible=True)
    return list(starmap(BeamBounds, zip(rigid, flexible, strict=True)))


def clamp_studies(
    model: Model,
    loads: Sequence[Sequence[PlacedLoad]],
    solutions: Sequence[Solution],
    stresses: Sequence[Sequence[SurfaceStress]],
) -> list[tuple[ClampStiffnessAnswer, ...]]:
    """Return, for each case, the answers with a softer and a stiffer clamp, from their stresses."""
    by_scale = [
        [
            ClampStiffnessAnswer(
                scale, deflection_mm(answer), peak_stress(model, stress, case).stress_mpa
            )
            for answer, stress, case in zip(solution.answers, of_cases, loads, strict=True)
        ]
        for scale, solution, of_cases in zip(
            CLAMP_STIFFNESS_SCALES, solutions, stresses, strict=False
        )
    ]
    return [tuple(answers[number] for answers in by_scale) for number in range(len(loads))]
