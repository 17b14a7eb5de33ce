"""Bounds beside the results of a run: beam bounds, other clamp stiffnesses, deflections."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.beam.statics import BeamResult, solve_beam
from fea.solid.hot_spot import peak_stress
from fea.solid.linear_solver import Factor
from fea.solid.model import Model
from fea.solid.recovery import Recovery, SurfaceStress, surface_stress
from fea.solid.statics import (
    LoadPoint,
    Solution,
    StaticAnswer,
    solve_cases,
    solve_scaled_clamps,
)
from geometry.arrays import Floats
from studies.assessment.supports import (
    OnSupports,
    SupportAnswer,
    beam_supported,
    beams_set_down,
    solid_supported,
    travel_mm,
)
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
        deflections_mm: Of both, as `deflection_mm`.
    """

    rigid_bends: BeamResult
    flexible_bends: BeamResult
    deflections_mm: tuple[float, float]


def deflection_mm(answer: StaticAnswer, supports: SupportAnswer | None) -> float:
    """Return the ram's travel; without one the largest displacement over the case's own loads."""
    points = answer.load_points
    moved = np.array([point.displacement_mm for point in points])
    return _deflection_mm(supports, moved, np.array([point.rotation_rad for point in points]))


def _deflection_mm(supports: SupportAnswer | None, moved_mm: Floats, turned_rad: Floats) -> float:
    if supports and supports.ram_force_n:
        return travel_mm(supports, moved_mm, turned_rad)
    return float(np.linalg.norm(moved_mm[: _own(len(moved_mm), supports)], axis=1).max())


def _own(loads: int, supports: SupportAnswer | None) -> int:
    """Return how many loads of a solved case are its own: reactions come last."""
    return loads - (len(supports.pushes) if supports else 0)


def stiffness_n_per_mm(answer: StaticAnswer, supports: SupportAnswer | None) -> float | None:
    """Return the ram's force over its travel, or the largest own force over the way along itself.

    None for pure moments.
    """
    if supports and supports.ram_force_n:
        return supports.ram_force_n / deflection_mm(answer, supports)
    own = answer.load_points[: _own(len(answer.load_points), supports)]
    point = max(own, key=lambda p: float(np.linalg.norm(p.load.force_n)))
    along_mm = displacement_along_force_mm(point)
    if along_mm is None or along_mm <= 0:
        return None
    return float(np.linalg.norm(point.load.force_n)) / along_mm


def displacement_along_force_mm(point: LoadPoint) -> float | None:
    """Return the displacement of a load's place along its force; None for a pure moment."""
    force_n = float(np.linalg.norm(point.load.force_n))
    return float(point.displacement_mm @ point.load.force_n) / force_n if force_n else None


def scaled_clamps(
    study: Study, model: Model, known: OnSupports, factor: Factor, linear: Solution
) -> list[tuple[OnSupports, Solution]]:
    """Return the cases and their solutions with a softer and a stiffer clamp.

    Args:
        study: Its cases without reactions, which each clamp has of its own.
        model: The equations.
        known: The cases with the reactions in the clamp itself.
        factor: From `factorise_model`.
        linear: The solutions in the clamp itself.
    """
    if model.clamp.model != "elastic":
        return []
    if any(known.answers):
        each = solid_supported(study, model, factor, CLAMP_STIFFNESS_SCALES)
        pairs = zip(each, CLAMP_STIFFNESS_SCALES, strict=True)
        return [(one, _in_clamp(one, model, factor, scale)) for one, scale in pairs]
    found = solve_scaled_clamps(model, known.loads, factor, linear, CLAMP_STIFFNESS_SCALES)
    return [(known, one) for one in found]


def _in_clamp(known: OnSupports, model: Model, factor: Factor, scale: float) -> Solution:
    linear = solve_cases(model, known.loads, factor)
    (found,) = solve_scaled_clamps(model, known.loads, factor, linear, (scale,))
    return found


def stresses_of(model: Model, recovery: Recovery, solution: Solution) -> list[SurfaceStress]:
    """Return the stress of every case."""
    material = model.bar.spec.material
    return [
        surface_stress(recovery, model.mesh, model.grads, material, answer.displacement_mm)
        for answer in solution.answers
    ]


def beam_bounds(study: Study) -> list[BeamBounds]:
    """Return the beam's bounds on every case, with its own reactions where that has supports.

    Args:
        study: Its cases without reactions.
    """
    rigid, flexible = (_beam(study, flexible=one) for one in (False, True))
    return [
        BeamBounds(low, high, (low_mm, high_mm))
        for (low, low_mm), (high, high_mm) in zip(rigid, flexible, strict=True)
    ]


def _beam(study: Study, *, flexible: bool) -> list[tuple[BeamResult, float]]:
    """Return the beam's results of every case with its deflection."""
    known = beam_supported(study, flexible=flexible)
    results = beams_set_down(
        known, study.bar, solve_beam(study.bar, study.clamp, known.loads, flexible)
    )
    return [
        (one, _deflection_mm(answer, one.displacement_mm, one.rotation_rad))
        for one, answer in zip(results, known.answers, strict=True)
    ]


def clamp_studies(
    model: Model,
    cases: int,
    scaled: Sequence[tuple[OnSupports, Solution]],
    stresses: Sequence[Sequence[SurfaceStress]],
) -> list[tuple[ClampStiffnessAnswer, ...]]:
    """Return, for each case, the answers with a softer and a stiffer clamp, from their stresses."""
    by_scale = [
        [
            ClampStiffnessAnswer(
                scale, deflection_mm(answer, on), peak_stress(model, stress, case).stress_mpa
            )
            for answer, stress, case, on in zip(
                solution.answers, of_cases, known.loads, known.answers, strict=True
            )
        ]
        for scale, (known, solution), of_cases in zip(
            CLAMP_STIFFNESS_SCALES, scaled, stresses, strict=False
        )
    ]
    return [tuple(answers[number] for answers in by_scale) for number in range(cases)]
