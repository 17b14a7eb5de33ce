"""Half widths of the ranges at each place, in log10 of the stress, by cause.

See `estimate` for how they make the range of a multiple and of a life, and for what is judgement.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from fea.fatigue.miner import Factored, factored, held_cycles
from fea.fatigue.severity import Severities, Severity
from fea.fatigue.strength import Strength, amplitude_at_mpa
from fea.fatigue.stress_cycles import CyclicStress
from geometry.arrays import Floats, Ints

LIFE_DEVIATION = 0.30
"""Deviation of log10 of the life about its median (from memory, unverified)."""

SCATTER = 10 ** (1.645 * LIFE_DEVIATION)
"""Ratio of the median life to that which one in twenty falls short of."""

Cause = Literal["clamp factor", "surface factor", "scatter of lives", "clamp stiffness"]


@dataclass(frozen=True, eq=False)
class Judged:
    """Places with all that bears on them.

    Attributes:
        cyclic: Their spectrum.
        severities: The three levels of clamp and surface factor.
        clamp_change: (S, P) |log10| of the ratio of amplitudes between clamp stiffnesses.
    """

    cyclic: CyclicStress
    severities: Severities
    clamp_change: Floats


@dataclass(frozen=True, eq=False)
class Widths:
    """Half widths of the ranges at P places, in log10 of the stress.

    Attributes:
        severity: (2, P) by the clamp or surface factor, downwards and upwards.
        scatter: (2, P) by the scatter of lives, or by the ends of a listed endurance.
        clamp: (P,) by the clamp stiffness.
    """

    severity: Floats
    scatter: Floats
    clamp: Floats

    def total(self, end: int) -> Floats:
        """Return (P,) the half width downwards (0) or upwards (1), no unit.

        Source: independent causes, squares add.
        """
        squares = self.severity[end] ** 2 + self.scatter[end] ** 2 + self.clamp**2
        total: Floats = np.sqrt(squares)
        return total


def widths_of(judged: Judged, strength: Strength, stages: Ints) -> Widths:
    """Return the half widths by a life equation; `stages` (P,) decide at each place.

    Source: `estimate`.
    """
    severity, clamp = severity_widths(judged, stages), at_stage(judged.clamp_change, stages)
    if strength.reliability != 1:
        return Widths(severity, np.zeros_like(severity), clamp)
    cycles = held_cycles(judged.cyclic.required_cycles)
    ratios = np.array([one.ratio for one in factored_stages(judged, judged.severities.middle)])
    ratio = at_stage(ratios, stages)
    longer, stood, shorter = (
        amplitude_at_mpa(strength, np.asarray(n), ratio)
        for n in (SCATTER * cycles, cycles, cycles / SCATTER)
    )
    return Widths(
        severity, np.array([_log_ratio(stood, longer), _log_ratio(shorter, stood)]), clamp
    )


def severity_widths(judged: Judged, stages: Ints) -> Floats:
    """Return (2, P) half widths by the clamp or surface factor, downwards and upwards.

    Source: `estimate`; `stages` (P,) decide.
    """
    levels = judged.severities
    careful, middle, favourable = (
        at_stage(np.array([one.amplitude_mpa for one in factored_stages(judged, level)]), stages)
        for level in (levels.careful, levels.middle, levels.favourable)
    )
    return np.array([_log_ratio(careful, middle), _log_ratio(middle, favourable)])


def factored_stages(judged: Judged, severity: Severity) -> list[Factored]:
    """Return the S stages, each (P,), with the factors of a level at the cycles required.

    Source: `miner.factored`.
    """
    cyclic, count = judged.cyclic, len(judged.cyclic.at_clamp)
    cycles, ones = np.full(count, held_cycles(cyclic.required_cycles)), np.ones(count)
    return [factored(cyclic, stage, severity, cycles, ones) for stage in range(len(cyclic.cycles))]


def at_stage(values: Floats, stages: Ints) -> Floats:
    """Return (P,) from `values` (S, P) those of each place; `stages` (P,) say which, no unit.

    Source: definition.
    """
    found: Floats = np.take_along_axis(values, stages[None], axis=0)[0]
    return found


def _log_ratio(over: Floats, under: Floats) -> Floats:
    """Return |log10| of a ratio of stresses, 0 where either is nothing."""
    both = (over > 0) & (under > 0) & np.isfinite(over) & np.isfinite(under)
    return np.abs(np.log10(np.where(both, over, 1.0) / np.where(both, under, 1.0)))
