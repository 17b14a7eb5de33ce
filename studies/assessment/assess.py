"""Assessment of each load case: stability, clamps and fatigue, from its linear solution."""

from collections.abc import Sequence
from dataclasses import dataclass

from fea.clamp.clamping import ClampCase, Clamping, clamp_case, preload_clamps
from fea.fatigue.life import Life, Repeated, case_life, study_life
from fea.solid.linear_solver import Factor
from fea.solid.model import Model
from fea.solid.recovery import Recovery, SurfaceStress
from fea.solid.statics import StaticAnswer
from fea.stability.buckling import Buckling, buckle_cases, no_buckling
from fea.stability.local_buckling import Walls
from fea.stability.stability import Stability, assess_stability, walls_of_model
from loadcases.case import PlacedCase
from studies.records.assessed import EVERY, Part, Parts
from studies.study_file.study import Study


@dataclass(frozen=True, eq=False)
class Shared:
    """The common inputs of every case's assessment.

    Attributes:
        model: The equations.
        factor: Their factor.
        walls: The walls with their strengths.
        clamping: The preloaded clamps, None where no bolts are given.
        repeated: All cases with their stress, for fatigue.
        parts: What is assessed.
    """

    model: Model
    factor: Factor
    walls: tuple[Walls, ...]
    clamping: Clamping | None
    repeated: Repeated
    parts: Parts


@dataclass(frozen=True, eq=False)
class Assessment:
    """The assessment of one load case.

    Attributes:
        stability: Elastic buckling, and the wall place by place.
        clamp: Slip, contact and yield with the preloaded clamps, None where no bolts are given.
        life: Fatigue life, None where the case comes once.
    """

    stability: Stability
    clamp: ClampCase | None
    life: Life | None


def share(  # noqa: PLR0913 each is a result of its own
    study: Study,
    model: Model,
    factor: Factor,
    recovery: Recovery,
    stresses: Sequence[SurfaceStress],
    others: Sequence[Sequence[SurfaceStress]] = (),
    *,
    parts: Parts = EVERY,
) -> Shared:
    """Return what the assessment of every case needs; `others` at the other clamp stiffnesses.

    Raises:
        SolveError: The bar does not balance under its own clamps.
    """
    # means of a cycle are those of the preloaded tube
    preloaded = not parts.isdisjoint({Part.CLAMP, Part.LIFE})
    clamping = preload_clamps(model, study.levers, recovery, factor) if preloaded else None
    repeated = Repeated(model, study.fatigue, study.cases, stresses, clamping, study.levers, others)
    return Shared(model, factor, walls_of_model(model), clamping, repeated, parts)


def buckling_of(shared: Shared, answers: Sequence[StaticAnswer]) -> tuple[Buckling, ...]:
    """Return the elastic buckling of every load case, that of none where it is not asked for.

    Raises:
        SolveError: The eigenvalues do not converge.
    """
    if Part.BUCKLING not in shared.parts:
        return (no_buckling(shared.model),) * len(answers)
    return buckle_cases(shared.model, shared.factor, [one.displacement_mm for one in answers])


def stability_of(
    shared: Shared, placed: PlacedCase, elastic: Buckling, stress: SurfaceStress
) -> Stability:
    """Return the stability of one load case.

    Raises:
        SolveError: A section does not balance.
    """
    return assess_stability(shared.model, elastic, shared.walls, placed, stress)


def clamp_of(
    shared: Shared, placed: PlacedCase, answer: StaticAnswer, stress: SurfaceStress
) -> ClampCase | None:
    """Return slip, contact and yield with the clamps' preload, None where no bolts are given."""
    if shared.clamping is None or Part.CLAMP not in shared.parts:
        return None
    model, factor, clamping = shared.model, shared.factor, shared.clamping
    return clamp_case(model, factor, clamping, placed, answer, stress)


def life_of(shared: Shared, placed: PlacedCase) -> Life | None:
    """Return the fatigue life of one load case, None where it comes once."""
    return case_life(shared.repeated, placed) if Part.LIFE in shared.parts else None


def life_of_study(shared: Shared) -> Life | None:
    """Return the life under the study's spectrum, or under all its repeated cases in turn."""
    return study_life(shared.repeated) if Part.LIFE in shared.parts else None
