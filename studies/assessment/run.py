"""The whole chain, from a study to answers: mesh, solve, stress, second opinion, checks."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, starmap
from time import perf_counter
from typing import ParamSpec, TypeVar

import numpy as np

from fea.beam.statics import BeamResult, solve_beam
from fea.clamp.clamping import ClampCase, Clamping
from fea.collapse.path_run import PathRun
from fea.fatigue.life import Life
from fea.solid.assembly import PatternMaker, build_pattern
from fea.solid.error_estimate import ErrorEstimate, estimate_error
from fea.solid.hot_spot import Peak, band_peak, peak_stress
from fea.solid.linear_solver import Factor, SolverName
from fea.solid.model import Model, build_model, mesh_for
from fea.solid.recovery import Recovery, SurfaceStress, build_recovery, surface_stress
from fea.solid.statics import LoadPoint, Solution, StaticAnswer, factorise_model, solve_cases
from fea.stability.stability import Stability
from fea.verification.checks import Check, balance_checks, bracket_checks, volume_check
from geometry.grading import LevelName
from loadcases.case import PlacedCase
from loadcases.load import PlacedLoad
from studies.assessment.assess import (
    Assessment,
    clamp_of,
    life_of,
    life_of_study,
    share,
    stability_of,
)
from studies.study_file.study import Study, require_cases

Given = ParamSpec("Given")
Made = TypeVar("Made")

CLAMP_STIFFNESS_SCALES = (1 / 3, 3.0)
"""Factors on the elastic grip's stiffness at which deflection and peak are shown beside."""


@dataclass(frozen=True)
class ClampStiffnessAnswer:
    """What a softer or firmer grip would give.

    Attributes:
        scale: Factor on both stiffnesses of the grip.
        deflection_mm: Largest displacement of a load point.
        peak_stress_mpa: Peak stress.
    """

    scale: float
    deflection_mm: float
    peak_stress_mpa: float


@dataclass(frozen=True, eq=False)
class CaseRun:
    """Everything about one load case.

    Attributes:
        placed: The case with its loads on the bar.
        answer: Displacements, load points, reactions.
        stress: Recovered stress on both faces.
        peak: Peak stress outside the load bands.
        band: Peak stress inside the load bands.
        error: Estimated error of the mesh.
        plain: The frame with plain bends.
        flexible: The frame with full pipe-bend flexibility.
        grips: Answers with a softer and a firmer grip; none for a rigid one.
        checks: Every check of the case.
        stability: Elastic buckling, and the wall place by place.
        clamp: What the tightened clamps mean for it, None where no bolts are given.
        life: Fatigue life, None where the case comes once.
        path: Its path past yield, None where none was asked for.
    """

    placed: PlacedCase
    answer: StaticAnswer
    stress: SurfaceStress
    peak: Peak
    band: Peak
    error: ErrorEstimate
    plain: BeamResult
    flexible: BeamResult
    grips: tuple[ClampStiffnessAnswer, ...]
    checks: tuple[Check, ...]
    stability: Stability
    clamp: ClampCase | None
    life: Life | None
    path: PathRun | None = None


@dataclass(frozen=True, eq=False)
class StudyRun:
    """Answers to a study.

    Attributes:
        study: What was asked.
        level: Mesh level used.
        model: Mesh and equations.
        solver: Direct solver used.
        cases: One for each case of the study, in order.
        clamping: The tightened clamps, None where no bolts are given.
        life: Under the spectrum or all repeated cases in turn, None where there are no two.
        seconds: What each stage took.
    """

    study: Study
    level: LevelName
    model: Model
    solver: str
    cases: tuple[CaseRun, ...]
    clamping: Clamping | None
    life: Life | None
    seconds: dict[str, float]


@dataclass(frozen=True, eq=False)
class _Shared:
    """What the judgement of every case needs."""

    model: Model
    recovery: Recovery
    volume: Check
    residual: float


_Part = tuple[
    PlacedCase,
    StaticAnswer,
    SurfaceStress,
    tuple[BeamResult, BeamResult],
    tuple[ClampStiffnessAnswer, ...],
    Assessment,
]
"""What is known of a case before it is judged."""


def run_study(
    study: Study,
    level: LevelName | None = None,
    solver: SolverName = "auto",
    tell: Callable[[str], None] = lambda stage: None,
    pattern_of: PatternMaker = build_pattern,
) -> StudyRun:
    """Return the answers to all cases of a study.

    Args:
        study: From `read_study`.
        level: Mesh level, that of the study where it is None.
        solver: Which direct solver.
        tell: Called with the name of each stage as it begins.
        pattern_of: Makes the pattern of the matrix; a sweep hands in one that remembers.

    Raises:
        StudyError: The study has no case.
        MeshError: The mesh cannot be made or does not follow the bar.
        SolveError: The equations cannot be solved, or the solution does not balance.
    """
    require_cases(study)
    seconds: dict[str, float] = {}

    def timed(stage: str, make: Callable[Given, Made], *a: Given.args, **k: Given.kwargs) -> Made:
        tell(stage)
        start = perf_counter()
        made = make(*a, **k)
        seconds[stage] = seconds.get(stage, 0.0) + perf_counter() - start
        return made

    level = level or study.mesh_level
    loads = [case.loads for case in study.cases]
    mesh = timed("mesh", mesh_for, study.bar, study.clamp, chain(*loads), level, 1, study.levers)
    pattern = timed("assemble", pattern_of, mesh.cells, len(mesh.points_mm))
    model = timed("assemble", build_model, study.bar, study.clamp, mesh, pattern)
    volume = volume_check(model)
    factor = timed("factorise", factorise_model, model, solver)
    solution = timed("solve", solve_cases, model, loads, factor)
    others = timed("grip", _other_grips, model, loads, factor)
    recovery = timed("stress", build_recovery, study.bar, mesh)
    stresses = timed("stress", _stresses, model, recovery, solution)
    grips = timed("grip", _grips, model, recovery, loads, others)
    frames = timed("frame", _frames, study, loads)
    given = timed("clamp", share, study, model, factor, recovery, stresses)
    answered = list(zip(study.cases, solution.answers, stresses, strict=True))
    stable = [timed("stability", stability_of, given, *part) for part in answered]
    clamped = [timed("clamp", clamp_of, given, *part) for part in answered]
    lives = [timed("fatigue", life_of, given, placed) for placed in study.cases]
    assessed = starmap(Assessment, zip(stable, clamped, lives, strict=True))
    life = timed("fatigue", life_of_study, given)
    shared = _Shared(model, recovery, volume, solution.residual)
    parts = zip(study.cases, solution.answers, stresses, frames, grips, assessed, strict=True)
    cases = tuple(timed("judge", _judged, shared, part) for part in parts)
    return StudyRun(study, level, model, solution.solver, cases, given.clamping, life, seconds)


def with_paths(run: StudyRun, paths: Mapping[str, PathRun]) -> StudyRun:
    """Return the answers with the paths of cases, by the case's id, beside them."""
    cases = (replace(case, path=paths.get(case.placed.case.id)) for case in run.cases)
    return replace(run, cases=tuple(cases))


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


def _other_grips(
    model: Model, loads: Sequence[Sequence[PlacedLoad]], factor: Factor
) -> list[Solution]:
    """Return the solutions with a softer and a firmer grip."""
    if model.clamp.model == "rigid":
        return []
    return [solve_cases(model, loads, factor, scale) for scale in CLAMP_STIFFNESS_SCALES]


def _stresses(model: Model, recovery: Recovery, solution: Solution) -> list[SurfaceStress]:
    material = model.bar.spec.material
    return [
        surface_stress(recovery, model.mesh, model.grads, material, answer.displacement_mm)
        for answer in solution.answers
    ]


def _frames(
    study: Study, loads: Sequence[Sequence[PlacedLoad]]
) -> list[tuple[BeamResult, BeamResult]]:
    plain = solve_beam(study.bar, study.clamp, loads, flexible=False)
    flexible = solve_beam(study.bar, study.clamp, loads, flexible=True)
    return list(zip(plain, flexible, strict=True))


def _grips(
    model: Model,
    recovery: Recovery,
    loads: Sequence[Sequence[PlacedLoad]],
    solutions: Sequence[Solution],
) -> list[tuple[ClampStiffnessAnswer, ...]]:
    """Return, for each case, what the softer and the firmer grip give."""
    by_grip = [
        [
            ClampStiffnessAnswer(
                scale, deflection_mm(answer), peak_stress(model, stress, case).stress_mpa
            )
            for answer, stress, case in zip(
                solution.answers, _stresses(model, recovery, solution), loads, strict=True
            )
        ]
        for scale, solution in zip(CLAMP_STIFFNESS_SCALES, solutions, strict=False)
    ]
    return [tuple(grips[number] for grips in by_grip) for number in range(len(loads))]


def _judged(shared: _Shared, part: _Part) -> CaseRun:
    placed, answer, stress, frames, grips, assessed = part
    model, loads = shared.model, placed.loads
    peak = peak_stress(model, stress, loads)
    balance = balance_checks(model, loads, answer, shared.residual)
    return CaseRun(
        placed,
        answer,
        stress,
        peak,
        band_peak(model, stress, loads),
        estimate_error(model, shared.recovery, answer, peak),
        *frames,
        grips,
        (shared.volume, *balance, *bracket_checks(answer, *frames)),
        assessed.stability,
        assessed.clamp,
        assessed.life,
    )
