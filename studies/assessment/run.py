"""The whole chain, from a study to results: mesh, solution, stress, beam bounds, checks."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain
from time import perf_counter
from typing import ParamSpec, TypeVar

from fea.clamp.clamping import ClampCase, Clamping
from fea.collapse.path_run import PathRun
from fea.fatigue.life import Life
from fea.solid.assembly import PatternMaker, build_pattern
from fea.solid.error_estimate import ErrorEstimate, estimate_error
from fea.solid.hot_spot import Peak, band_peak, peak_stress
from fea.solid.linear_solver import SolverName
from fea.solid.model import Model, build_model, mesh_for, without_stiffness
from fea.solid.recovery import Recovery, SurfaceStress, build_recovery
from fea.solid.statics import StaticAnswer, factorise_model, solve_cases
from fea.stability.stability import Stability
from fea.verification.checks import (
    Check,
    balance_checks,
    bracket_checks,
    section_checks,
    volume_check,
)
from geometry.grading import AnyLevelName
from loadcases.case import PlacedCase
from loadcases.levers import LeverClamp
from studies.assessment.assess import (
    Assessment,
    buckling_of,
    clamp_of,
    life_of,
    life_of_study,
    share,
    stability_of,
)
from studies.assessment.bounds import (
    BeamBounds,
    ClampStiffnessAnswer,
    beam_bounds,
    clamp_studies,
    scaled_clamps,
    stresses_of,
)
from studies.assessment.supports import SupportAnswer, set_down, solid_supported
from studies.records.assessed import EVERY, Part, Parts
from studies.study_file.chosen_cases import require_cases
from studies.study_file.study import Study

Given = ParamSpec("Given")
Made = TypeVar("Made")


class Stage(StrEnum):
    """The stages of a run: the value is shown as one begins, the name with its seconds."""

    MESH = "mesh"
    ASSEMBLY = "assembly"
    FACTORISATION = "factorisation"
    SOLUTION = "solution"
    STRESS_RECOVERY = "stress recovery"
    CLAMP_STIFFNESS_STUDY = "clamp stiffness study"
    SUPPORTS = "reactions of supports"
    BEAM_BOUNDS = "beam bounds"
    CLAMP_PRELOAD = "clamp preload"
    BUCKLING = "buckling"
    FATIGUE = "fatigue life"
    CHECKS = "peaks and checks"


@dataclass(frozen=True, eq=False)
class SolvedCase:
    """A load case and its linear solution, before the assessment.

    Attributes:
        placed: The case with its loads on the bar.
        answer: Displacements, load points, reactions.
        stress: Recovered stress on both surfaces.
        beam: The beam's two bounds.
        clamp_stiffness_study: With a softer and a stiffer clamp; none for a rigid one.
        supports: Its supports, None where it has none.
    """

    placed: PlacedCase
    answer: StaticAnswer
    stress: SurfaceStress
    beam: BeamBounds
    clamp_stiffness_study: tuple[ClampStiffnessAnswer, ...]
    supports: SupportAnswer | None


@dataclass(frozen=True, eq=False)
class CaseRun(SolvedCase):
    """Everything about one load case.

    Attributes:
        peak: Peak stress outside the load bands.
        band: Peak stress inside the load bands.
        error: Estimated error of the mesh.
        checks: Every check of the case.
        stability: Elastic buckling, and the wall place by place.
        clamp: Slip, contact and yield with the preloaded clamps, None where no bolts are given.
        life: Fatigue life, None where the case comes once.
        path: Its path past yield, None where none is requested.
    """

    peak: Peak
    band: Peak
    error: ErrorEstimate
    checks: tuple[Check, ...]
    stability: Stability
    clamp: ClampCase | None
    life: Life | None
    path: PathRun | None = None


@dataclass(frozen=True, eq=False)
class StudyRun:
    """Results of a study.

    Attributes:
        study: The study.
        level: Mesh level used.
        model: Mesh and gradients; its stiffness is left out.
        solver: Direct solver used.
        cases: One for each case of the study, in order.
        clamping: The preloaded clamps, None where no bolts are given.
        life: Under the spectrum or all repeated cases in turn, None where there are no two.
        seconds: Of each stage.
        square: Results of the square bar beside one out of square, None where there are none.
    """

    study: Study
    level: AnyLevelName
    model: Model
    solver: str
    cases: tuple[CaseRun, ...]
    clamping: Clamping | None
    life: Life | None
    seconds: dict[Stage, float]
    square: "StudyRun | None" = None


@dataclass(frozen=True, eq=False)
class _Shared:
    """The common inputs of every case's checks."""

    model: Model
    recovery: Recovery
    volume: Check
    residual: float
    levers: tuple[LeverClamp, ...]


def run_study(
    study: Study,
    level: AnyLevelName | None = None,
    solver: SolverName = "auto",
    progress: Callable[[str], None] = lambda stage: None,
    pattern_of: PatternMaker = build_pattern,
    parts: Parts = EVERY,
) -> StudyRun:
    """Return the results of all cases of a study.

    Args:
        study: From `read_study`.
        level: Mesh level, that of the study where it is None.
        solver: Which direct solver.
        progress: Called with the name of each stage as it begins.
        pattern_of: Makes the pattern of the matrix; that of a sweep stores the last one.
        parts: What of the assessment is done; results.json is made of every part.

    Raises:
        StudyError: The study has no case.
        MeshError: The mesh cannot be made or does not follow the bar.
        SolveError: The equations cannot be solved, or the solution is not in equilibrium.
    """
    require_cases(study)
    seconds: dict[Stage, float] = {}

    def timed(stage: Stage, make: Callable[Given, Made], *a: Given.args, **k: Given.kwargs) -> Made:
        progress(stage)
        start = perf_counter()
        made = make(*a, **k)
        seconds[stage] = seconds.get(stage, 0.0) + perf_counter() - start
        return made

    level = level or study.mesh_level
    bands = chain.from_iterable(case.bands for case in study.cases)
    mesh = timed(Stage.MESH, mesh_for, study.bar, study.clamp, bands, level, 1, study.levers)
    pattern = timed(Stage.ASSEMBLY, pattern_of, mesh.cells, len(mesh.points_mm))
    model = timed(Stage.ASSEMBLY, build_model, study.bar, study.clamp, mesh, pattern)
    del pattern  # as large as half a matrix, and no other one is filled
    volume = volume_check(model)
    factor = timed(Stage.FACTORISATION, factorise_model, model, solver)
    beams = timed(Stage.BEAM_BOUNDS, beam_bounds, study)
    (known,) = timed(Stage.SUPPORTS, solid_supported, study, model, factor)
    asked, study = study, replace(study, cases=known.cases)
    solution = timed(Stage.SOLUTION, solve_cases, model, known.loads, factor)
    solution = timed(Stage.SUPPORTS, set_down, known, model, solution)
    scaled = (
        timed(Stage.CLAMP_STIFFNESS_STUDY, scaled_clamps, asked, model, known, factor, solution)
        if Part.CLAMP_STIFFNESS in parts
        else []
    )
    recovery = timed(Stage.STRESS_RECOVERY, build_recovery, study.bar, mesh)
    stresses = timed(Stage.STRESS_RECOVERY, stresses_of, model, recovery, solution)
    others = [
        timed(Stage.CLAMP_STIFFNESS_STUDY, stresses_of, model, recovery, one) for _, one in scaled
    ]
    beside = timed(
        Stage.CLAMP_STIFFNESS_STUDY, clamp_studies, model, len(study.cases), scaled, others
    )
    solved = [
        SolvedCase(placed, answer, stress, beam, at, on)
        for placed, answer, stress, beam, at, on in zip(
            study.cases, solution.answers, stresses, beams, beside, known.answers, strict=True
        )
    ]
    given = timed(
        Stage.CLAMP_PRELOAD, share, study, model, factor, recovery, stresses, others, parts=parts
    )
    shared = _Shared(model, recovery, volume, solution.residual, study.levers)
    buckled = timed(Stage.BUCKLING, buckling_of, given, solution.answers)
    cases = []
    for case, elastic in zip(solved, buckled, strict=True):
        answered = case.placed, case.answer, case.stress
        assessed = Assessment(
            stability=timed(Stage.BUCKLING, stability_of, given, case.placed, elastic, case.stress),
            clamp=timed(Stage.CLAMP_PRELOAD, clamp_of, given, *answered),
            life=timed(Stage.FATIGUE, life_of, given, case.placed),
        )
        cases.append(timed(Stage.CHECKS, _judged, shared, case, assessed))
    life = timed(Stage.FATIGUE, life_of_study, given)
    solved_model = without_stiffness(model)
    return StudyRun(
        study, level, solved_model, solution.solver, tuple(cases), given.clamping, life, seconds
    )


def with_paths(run: StudyRun, paths: Mapping[str, PathRun]) -> StudyRun:
    """Return the results with the paths of cases, by the case's id."""
    cases = (replace(case, path=paths.get(case.placed.case.id)) for case in run.cases)
    return replace(run, cases=tuple(cases))


def _judged(shared: _Shared, case: SolvedCase, assessed: Assessment) -> CaseRun:
    model, loads, beam = shared.model, case.placed.loads, case.beam
    peak = peak_stress(model, case.stress, loads)
    balance = balance_checks(model, loads, case.answer, shared.residual)
    bracket = bracket_checks(case.answer, beam.rigid_bends, beam.flexible_bends)
    sections = section_checks(model, loads, shared.levers, case.stress)
    return CaseRun(
        placed=case.placed,
        answer=case.answer,
        stress=case.stress,
        beam=beam,
        clamp_stiffness_study=case.clamp_stiffness_study,
        supports=case.supports,
        peak=peak,
        band=band_peak(model, case.stress, loads),
        error=estimate_error(model, shared.recovery, case.answer, peak),
        checks=(shared.volume, *balance, *bracket, *sections),
        stability=assessed.stability,
        clamp=assessed.clamp,
        life=assessed.life,
    )
