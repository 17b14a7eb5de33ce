"""A design on the preview's mesh, without what a preview does not show.

It leaves out elastic buckling and loss of contact, most of a run's time: neither follows the walls.
Slip needs no solution: loads and bolts make it, walls do not, but for supports.
"""

from dataclasses import dataclass, replace
from itertools import chain

from fea.clamp.clamping import Clamping
from fea.fatigue.life import Repeated
from fea.solid.assembly import PatternMaker
from fea.solid.hot_spot import SurfaceReading, read_surface
from fea.solid.linear_solver import SolverName
from fea.solid.model import Model, build_model, mesh_for
from fea.solid.recovery import SurfaceStress, build_recovery
from fea.solid.statics import StaticAnswer, factorise_model, solve_cases
from fea.stability.local_buckling import Walls
from fea.stability.local_map import LocalMap, local_map
from fea.stability.stability import walls_of_model
from loadcases.case import PlacedCase
from studies.assessment.assess import share
from studies.assessment.bounds import stresses_of
from studies.assessment.run import StudyRun
from studies.assessment.supports import SupportAnswer, set_down, solid_supported
from studies.records.assessed import Part
from studies.study_file.study import Study


@dataclass(frozen=True, eq=False)
class RoughCase:
    """A load case of a design.

    Attributes:
        placed: The case.
        answer: Displacements of its load points.
        supports: Its supports, None where it has none.
        stress: On both surfaces.
        read: The stress by the rules of the peak.
        local: Utilisation place by place.
    """

    placed: PlacedCase
    answer: StaticAnswer
    supports: SupportAnswer | None
    stress: SurfaceStress
    read: SurfaceReading
    local: LocalMap


@dataclass(frozen=True, eq=False)
class RoughRun:
    """A design.

    Attributes:
        study: The study with its walls.
        model: Mesh and equations.
        walls: Sections with their strengths.
        cases: Of each load case.
        clamping: The preloaded clamps, None where no bolts are given.
        repeated: All cases, for fatigue.
    """

    study: Study
    model: Model
    walls: tuple[Walls, ...]
    cases: tuple[RoughCase, ...]
    clamping: Clamping | None
    repeated: Repeated


def rough_run(study: Study, solver: SolverName, pattern_of: PatternMaker) -> RoughRun:
    """Return a design.

    Raises:
        MeshError, SolveError: As `run_study`.
    """
    bands = chain.from_iterable(placed.bands for placed in study.cases)
    mesh = mesh_for(study.bar, study.clamp, bands, "preview", 1, study.levers)
    pattern = pattern_of(mesh.cells, len(mesh.points_mm))
    model = build_model(study.bar, study.clamp, mesh, pattern)
    factor = factorise_model(model, solver)
    (known,) = solid_supported(study, model, factor)
    study = replace(study, cases=known.cases)
    solution = set_down(known, model, solve_cases(model, known.loads, factor))
    recovery = build_recovery(study.bar, mesh)
    stresses = stresses_of(model, recovery, solution)
    lives = frozenset({Part.LIFE})
    shared = share(study, model, factor, recovery, stresses, parts=lives)
    cases = []
    solved = zip(study.cases, solution.answers, known.answers, stresses, strict=True)
    for placed, answer, supports, stress in solved:
        read = read_surface(model, stress, placed.loads)
        local = local_map(shared.walls, read)
        cases.append(RoughCase(placed, answer, supports, stress, read, local))
    return RoughRun(study, model, shared.walls, tuple(cases), shared.clamping, shared.repeated)


def as_rough(run: StudyRun) -> RoughRun:
    """Return what a preview needs of a whole run, on the run's own mesh."""
    study, model = run.study, run.model
    stresses = [case.stress for case in run.cases]
    repeated = Repeated(model, study.fatigue, study.cases, stresses, run.clamping, study.levers)
    cases = tuple(
        RoughCase(
            case.placed,
            case.answer,
            case.supports,
            case.stress,
            read_surface(model, case.stress, case.placed.loads),
            case.stability.local,
        )
        for case in run.cases
    )
    return RoughRun(study, model, walls_of_model(model), cases, run.clamping, repeated)
