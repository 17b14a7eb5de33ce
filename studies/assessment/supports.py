"""Cases on supports: their reactions, found first, are loads of everything that follows."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fea.beam.statics import BeamResult
from fea.solid.linear_solver import Factor
from fea.solid.model import Model
from fea.solid.statics import Solution
from fea.supports.compliance import Supported, beam_on_supports, solids_on_supports
from fea.supports.reactions import Reactions, SupportedBar, reactions_of
from fea.supports.set_down import beam_set_down, solid_set_down
from geometry.arrays import Floats
from geometry.bar import Bar
from loadcases.case import PlacedCase
from loadcases.load import PlacedLoad
from studies.study_file.study import Study

FRICTION_SCALES = (0.0, 1.0, 2.0)
"""Of the coefficient of friction, for the range of a stiffness: it is remembered, and a bed's
surface is hardly known."""

NOTHING = 1e-9
"""Share of the largest part of a force below which a part is round-off, of moments at 1 mm too."""


@dataclass(frozen=True, eq=False)
class SupportAnswer:
    """A case on supports.

    Attributes:
        ram_force_n: Of the ram, 0 where the supports stand still.
        reactions: The reactions of the supports.
        pushes: (n, 6) their parts along the normals, of those supports alone that touch: the last
            n loads of the case.
        rise: Sum of the normal forces, each times the share of the bed's rise along its normal, N.
        by_friction: (coefficient of friction, stiffness at the ram in N/mm), ascending.
    """

    ram_force_n: float
    reactions: Reactions
    pushes: Floats
    rise: float
    by_friction: tuple[tuple[float, float], ...]


@dataclass(frozen=True, eq=False)
class OnSupports:
    """A study's cases once the reactions of their supports are known.

    Attributes:
        cases: Loads hold the reactions.
        answers: Of each case, None where it has no supports.
    """

    cases: tuple[PlacedCase, ...]
    answers: tuple[SupportAnswer | None, ...]

    @property
    def loads(self) -> list[tuple[PlacedLoad, ...]]:
        """Return the loads of each case."""
        return [case.loads for case in self.cases]


def solid_supported(
    study: Study, model: Model, factor: Factor, clamp_scales: Sequence[float] = (1.0,)
) -> list[OnSupports]:
    """Return the cases with the reactions that the solid has, in clamps of scaled stiffness.

    Raises:
        SolveError: As `reactions_of`.
    """
    asked = [
        Supported(case.loads, case.supports, case.case.ram_force_n)
        for case in study.cases
        if case.supports
    ]
    if not asked:
        return [_supported(study.cases, []) for _ in clamp_scales]
    found = solids_on_supports(model, factor, asked, clamp_scales)
    return [_supported(study.cases, one) for one in found]


def beam_supported(study: Study, *, flexible: bool) -> OnSupports:
    """Return the cases with the reactions that the beam has.

    Raises:
        SolveError: As `reactions_of`.
    """
    known = [
        beam_on_supports(
            study.bar,
            study.clamp,
            case.loads,
            case.supports,
            case.case.ram_force_n,
            flexible=flexible,
        )
        for case in study.cases
        if case.supports
    ]
    return _supported(study.cases, known)


def set_down(known: OnSupports, model: Model, solution: Solution) -> Solution:
    """Return the solution with every free bar where supports that stand still hold it."""
    answers = (
        solid_set_down(model, one, on.reactions.shift) if on else one
        for one, on in zip(solution.answers, known.answers, strict=True)
    )
    return replace(solution, answers=tuple(answers))


def beams_set_down(known: OnSupports, bar: Bar, results: Sequence[BeamResult]) -> list[BeamResult]:
    """Return the beam's results likewise."""
    return [
        beam_set_down(bar, loads, one, on.reactions.shift) if on else one
        for one, on, loads in zip(results, known.answers, known.loads, strict=True)
    ]


def travel_mm(answer: SupportAnswer, moved_mm: Floats, turned_rad: Floats) -> float:
    """Return the ram's travel from the motions (loads, 3) of all load points of its case."""
    count = len(answer.pushes)
    motion = np.hstack([moved_mm[-count:], turned_rad[-count:]])
    return float(np.einsum("ni,ni->", answer.pushes, motion)) / answer.rise


def _supported(cases: Sequence[PlacedCase], known: Sequence[SupportedBar]) -> OnSupports:
    """Return cases and answers; `known` are the bars of those on supports, in order."""
    bars = iter(known)
    found = [_solved(case, next(bars)) if case.supports else (case, None) for case in cases]
    return OnSupports(tuple(case for case, _ in found), tuple(answer for _, answer in found))


def _solved(case: PlacedCase, bar: SupportedBar) -> tuple[PlacedCase, SupportAnswer]:
    reactions = reactions_of(bar)
    touching = [n for n, wrench in enumerate(reactions.wrenches) if wrench.any()]
    loads = tuple(_load(case, n, reactions.wrenches[n]) for n in touching)
    pushes = reactions.pushes[touching]
    along = [np.array(case.supports[n].direction) * (not case.supports[n].of_ram) for n in touching]
    rise = sum(float(push[:3] @ way) for push, way in zip(pushes, along, strict=True))
    answer = SupportAnswer(case.case.ram_force_n, reactions, pushes, rise, _by_friction(case, bar))
    return replace(case, loads=(*case.loads, *loads)), answer


def _load(case: PlacedCase, number: int, wrench: Floats) -> PlacedLoad:
    force = float(np.abs(wrench[:3]).max())
    least = NOTHING * np.repeat([force, max(force, float(np.abs(wrench[3:]).max()))], 3)
    x, y, z, a, b, c = map(float, np.where(np.abs(wrench) < least, 0.0, wrench))
    return case.supports[number].loaded((x, y, z), (a, b, c))


def _by_friction(case: PlacedCase, bar: SupportedBar) -> tuple[tuple[float, float], ...]:
    """Return the stiffness at the ram without friction, with that given, with twice as much."""
    friction = max(point.friction for one in case.supports for point in one.points)
    if not bar.ram_force_n:
        return ()
    scales = FRICTION_SCALES if friction else (1.0,)
    return tuple(
        (scale * friction, bar.ram_force_n / reactions_of(bar, scale).travel_mm) for scale in scales
    )
