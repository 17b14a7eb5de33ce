"""A spectrum of repeated loads at surface places, and the amplitude and mean that count.

A free surface carries plane stress: axial, hoop and their shear. The path of a cycle between two
load states is straight, so its half range is one tensor; its amplitude is the larger of von Mises
and the largest principal stress of it. Torsion then allows 0.577 of bending, and equal biaxial
bends count as by Tresca. Below 1e4 cycles Tresca counts: 7075-T6 follows von Mises above and
Tresca below (Tanaka, Matsuoka, Kimura). The mean is the sum of the normal means (Sines); a
compressive one counts as none, and a mean torsion does little.

Stages add up whatever their direction, which is careful: planes only tell how a crack runs.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Flags, Floats, Ints
from geometry.errors import InputError, Problem, refuse
from geometry.limits import Range, number_problem

FEW_CYCLES = 1e4
"""Cycles below which Tresca counts (read at source for 7075-T6; carried over to other metals)."""

NOTHING_MPA = 1e-6
"""An amplitude of no more than this is rounding."""

_CYCLES = Range(0, unit="cycles", remedy="give how often the stage comes", above=True)


@dataclass(frozen=True, eq=False)
class Stage:
    """A cycle between two stress states, and how often it comes.

    Attributes:
        first_mpa: (P, 3) axial, hoop and axial-hoop shear stress at one end of the cycle,
            of the repeated loads alone, without the steady stress.
        second_mpa: (P, 3) the same at the other end; minus the first for a reversed load.
        cycles: Number of cycles in one repetition of the spectrum.
    """

    first_mpa: Floats
    second_mpa: Floats
    cycles: float


@dataclass(frozen=True, eq=False)
class CyclicStress:
    """A spectrum at P surface places, as half ranges and means; see `cyclic_stress`.

    Attributes:
        half_range_mpa: (S, P, 3) half the signed difference of the ends of each stage.
        mean_mpa: (S, P, 3) mean of the ends of each stage.
        steady_mpa: (P, 3) stress that is there all the time.
        cycles: (S,) cycles of each stage in one repetition.
        at_clamp: (P,) whether a place is at a clamp's edge, with nominal stress.
    """

    half_range_mpa: Floats
    mean_mpa: Floats
    steady_mpa: Floats
    cycles: Floats
    at_clamp: Flags

    @property
    def required_cycles(self) -> float:
        """Cycles of all stages together, which the bar is to stand."""
        return float(self.cycles.sum())


def cyclic_stress(
    stages: Sequence[Stage], steady_mpa: Floats | None = None, at_clamp: Flags | None = None
) -> CyclicStress:
    """Return the spectrum of some stages.

    Args:
        stages: At least one, all at the same P places.
        steady_mpa: (P, 3) stress that does not vary, None for none.
        at_clamp: (P,) which places are clamp edges, None for none of them.

    Source: half range and mean by definition.

    Raises:
        InputError: Shapes that do not fit, a number that is not finite, no stage.
    """
    if not stages:
        raise refuse("stages", "holds no stage; give at least one")
    shape = np.shape(stages[0].first_mpa)
    steady = np.zeros(shape) if steady_mpa is None else steady_mpa
    edges = np.zeros(shape[:1], dtype=bool) if at_clamp is None else at_clamp
    _check(stages, steady, edges)
    first = np.array([stage.first_mpa for stage in stages], dtype=float)
    second = np.array([stage.second_mpa for stage in stages], dtype=float)
    return CyclicStress(
        half_range_mpa=(first - second) / 2,
        mean_mpa=(first + second) / 2,
        steady_mpa=np.asarray(steady, dtype=float),
        cycles=np.array([stage.cycles for stage in stages], dtype=float),
        at_clamp=np.asarray(edges, dtype=bool),
    )


def at_places(cyclic: CyclicStress, places: Ints | Flags) -> CyclicStress:
    """Return the spectrum at some places: `places` (p,) indices, or (P,) flags."""
    return replace(
        cyclic,
        half_range_mpa=cyclic.half_range_mpa[:, places],
        mean_mpa=cyclic.mean_mpa[:, places],
        steady_mpa=cyclic.steady_mpa[places],
        at_clamp=cyclic.at_clamp[places],
    )


def amplitude_mpa(half_range_mpa: Floats, cycles: float) -> Floats:
    """Return (...,) the amplitude in MPa that counts of `half_range_mpa` (..., 3).

    The larger of von Mises and the largest principal stress; Tresca where fewer than `FEW_CYCLES`
    are required; 0 where it is no more than `NOTHING_MPA`.

    Source: module docstring; plane stress, textbook.
    """
    axial, hoop, shear = np.moveaxis(half_range_mpa, -1, 0)
    middle, radius = (axial + hoop) / 2, np.hypot((axial - hoop) / 2, shear)
    principal = np.abs(middle) + radius
    if cycles < FEW_CYCLES:
        found = np.maximum(principal, 2 * radius)
    else:
        found = np.maximum(principal, np.sqrt(axial**2 + hoop**2 - axial * hoop + 3 * shear**2))
    return np.where(found > NOTHING_MPA, found, 0.0)


def mean_mpa(mean: Floats, steady: Floats) -> Floats:
    """Return (...,) the mean in MPa that counts of `mean` and `steady` (..., 3), at least 0.

    Source: Sines, the sum of the normal means; a compressive one is not relied on.
    """
    total: Floats = (mean + steady)[..., :2].sum(axis=-1)
    return np.maximum(total, 0.0)


def _check(stages: Sequence[Stage], steady: Floats, edges: Flags) -> None:
    shape = np.shape(stages[0].first_mpa)
    problems = [*_shape_problems("steady_mpa", steady, (*shape[:1], 3))]
    for index, stage in enumerate(stages):
        for name in ("first_mpa", "second_mpa"):
            values = getattr(stage, name)
            problems += _shape_problems(f"stages[{index}].{name}", values, (*shape[:1], 3))
        found = number_problem(f"stages[{index}].cycles", stage.cycles, _CYCLES)
        problems += [found] if found else []
    problems += _shape_problems("at_clamp", edges, shape[:1])
    if problems:
        raise InputError(*problems)


def _shape_problems(field: str, values: Floats | Flags, shape: tuple[int, ...]) -> list[Problem]:
    if np.shape(values) != shape or not np.size(values):
        sentence = f"has the shape {np.shape(values)} but must have {shape}, one row a place"
        return [Problem(field, f"{sentence}; correct it")]
    if not np.isfinite(values).all():
        return [Problem(field, "holds a number that is not finite; correct it")]
    return []
