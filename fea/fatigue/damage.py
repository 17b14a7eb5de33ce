"""Miner's sum of a spectrum on every plane, by the life equations of one material.

A cycle of equivalent stress Seq has the median life N of the row that holds for its stress
ratio, and does the damage 1 / N. Below the range of the row (N over 1e8) the equation is
continued, so that many small cycles negligible count; above it (N under 1e3, or Smax over the
tensile strength) nothing is known and the damage is infinite.

Ratios that no row holds for: between two rows the one of shorter life counts. Above all rows
the cycle is replaced by one that contains it, of the same Smax at the greatest ratio of the
rows: the damage is then at most that; where such a plane decides, there is no answer. Below
all rows the damage is infinite. A plane of negligible amplitude does no damage at such a ratio.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fea.fatigue.curve import (
    MIN_LIFE,
    cycles_at_equivalent,
    equivalent_at_life_mpa,
    equivalent_mpa,
)
from fea.fatigue.stress_history import CyclicStress, amplitude_and_mean_mpa
from geometry.arrays import Flags, Floats
from geometry.material import FatigueCurve, Material

RATIO_ROUNDING = 1e-3
"""No test controls its stress ratio more closely than this (judgement)."""


@dataclass(frozen=True)
class Strength:
    """Fatigue strength of the places.

    Attributes:
        rows: Life equations of one Kt.
        ultimate_mpa: Tensile strength.
        reliability: Allowable over median stress at a life and a ratio, 1 for the median.
    """

    rows: tuple[FatigueCurve, ...]
    ultimate_mpa: float
    reliability: float = 1.0


@dataclass(frozen=True, eq=False)
class Damage:
    """The damage of a spectrum on K planes at P places.

    Attributes:
        damage: (P, K) Miner's sum (no unit) of one repetition, infinite above the range of the
            rows.
        use: (P, K) greatest stress over the stress of a damage of 1 in one stage, over the stages:
            it ranks the planes where the damage is zero or infinite.
        unknown: (P, K) whether damage comes from a stress ratio beyond all rows.
    """

    damage: Floats
    use: Floats
    unknown: Flags


def strength_of(material: Material, reliability: float = 1.0) -> Strength:
    """Return the strength by the material's first rows, those of smooth specimens."""
    smooth = [row for row in material.fatigue if row.kt == material.fatigue[0].kt]
    return Strength(tuple(smooth), material.ultimate_stress_mpa, reliability)


def damage_of(cyclic: CyclicStress, strength: Strength) -> Damage:
    """Return the damage of one repetition of the spectrum on each plane of each place.

    Source: Miner's rule, the sum of n / N (from memory, unverified); lives by MIL-HDBK-5J.
    """
    shape = amplitude_and_mean_mpa(cyclic, 0)[0].shape
    total = Damage(np.zeros(shape), np.zeros(shape), np.zeros(shape, dtype=bool))
    for stage in range(len(cyclic.cycles)):
        one = stage_damage(cyclic, strength, stage)
        damage = total.damage + one.damage
        total = Damage(damage, np.maximum(total.use, one.use), total.unknown | one.unknown)
    return total


def stage_damage(cyclic: CyclicStress, strength: Strength, stage: int) -> Damage:
    """Return the damage that one stage of the spectrum does in one repetition."""
    amplitude, mean = amplitude_and_mean_mpa(cyclic, stage)
    maximum = mean + amplitude
    ratio = stress_ratio(amplitude, mean)
    cycles = float(cyclic.cycles[stage])
    damage, use = np.zeros(ratio.shape), np.zeros(ratio.shape)
    for row, valid in _rows_for(strength.rows, ratio):
        row_damage, row_use = _by_row(row, strength, (maximum, ratio), cycles)
        damage = np.where(valid, np.maximum(damage, row_damage), damage)
        use = np.where(valid, np.maximum(use, row_use), use)
    beyond = ratio_problem(strength.rows, ratio)
    negligible = beyond & (amplitude <= cyclic.negligible_mpa)
    damage[negligible], use[negligible] = 0.0, 0.0
    below = beyond & (ratio < ratio_range(strength.rows)[0]) & ~negligible
    damage[below], use[below] = np.inf, np.inf
    return Damage(damage, use, beyond & (damage > 0))


def stress_ratio(amplitude_mpa: Floats, mean_mpa: Floats) -> Floats:
    """Return R = (m - a) / (m + a) (no unit) for a mean of at least 0; -1 where there is no stress.

    `amplitude_mpa` and `mean_mpa` broadcast. Source: definition of the stress ratio.
    """
    maximum = amplitude_mpa + mean_mpa
    depth = np.full(np.shape(maximum), 2.0)
    np.divide(2 * amplitude_mpa, maximum, out=depth, where=maximum > 0)
    return 1.0 - depth


def ratio_problem(rows: tuple[FatigueCurve, ...], ratio: Floats) -> Flags:
    """Return where a stress `ratio` lies beyond all rows, to one side or the other; same shape."""
    low, high = ratio_range(rows)
    beyond: Flags = (ratio < low - RATIO_ROUNDING) | (ratio > high + RATIO_ROUNDING)
    return beyond


def between_rows(rows: tuple[FatigueCurve, ...], ratio: float) -> bool:
    """Return whether a ratio lies between the ranges of two rows."""
    value = np.asarray(ratio)
    valid = [_is_valid(row, value) for row in rows]
    return not (np.any(valid) or ratio_problem(rows, value))


def ratio_range(rows: tuple[FatigueCurve, ...]) -> tuple[float, float]:
    """Return the least and the greatest ratio that any of the rows holds for."""
    ends = [_ends(row) for row in rows]
    return min(low for low, _ in ends), max(high for _, high in ends)


def deciding_row(cyclic: CyclicStress, strength: Strength, stage: int, plane: int) -> FatigueCurve:
    """Return the row of shortest life for a plane of the first place in a stage."""
    amplitude, mean = (values[:1, plane] for values in amplitude_and_mean_mpa(cyclic, stage))
    ratio, cycles = stress_ratio(amplitude, mean), float(cyclic.cycles[stage])
    best, most = strength.rows[0], -np.inf
    for row, valid in _rows_for(strength.rows, ratio):
        use = _by_row(row, strength, (mean + amplitude, ratio), cycles)[1]
        if valid[0] and use[0] > most:
            best, most = row, float(use[0])
    return best


def greatest_smax_mpa(row: FatigueCurve, strength: Strength, ratio: float) -> float:
    """Return the Smax in MPa above which nothing is known, with the reliability factor.

    Source: MIL-HDBK-5J, the equation of `curve.life_cycles` at `MIN_LIFE`.
    """
    row_ratio = min(ratio, _ends(row)[1])
    if row_ratio >= 1:
        return strength.ultimate_mpa
    by_life = equivalent_at_life_mpa(row, MIN_LIFE) / (1 - row_ratio) ** row.a3
    return float(min(strength.reliability * by_life, strength.ultimate_mpa))


def _ends(row: FatigueCurve) -> tuple[float, float]:
    return row.stress_ratios or (-np.inf, 1.0)


def _is_valid(row: FatigueCurve, ratio: Floats) -> Flags:
    low, high = _ends(row)
    valid: Flags = (ratio >= low - RATIO_ROUNDING) & (ratio <= high + RATIO_ROUNDING)
    return valid


def _rows_for(
    rows: tuple[FatigueCurve, ...], ratio: Floats
) -> Iterator[tuple[FatigueCurve, Flags]]:
    """Yield each row and where it counts: in its range, or as a neighbour where no row holds."""
    none = ~np.any([_is_valid(row, ratio) for row in rows], axis=0)
    ends = [_ends(row) for row in rows]
    below = np.max([np.where(high < ratio, high, -np.inf) for _, high in ends], axis=0)
    above = np.min([np.where(low > ratio, low, np.inf) for low, _ in ends], axis=0)
    for row, (low, high) in zip(rows, ends, strict=True):
        yield row, _is_valid(row, ratio) | (none & ((high == below) | (low == above)))


def _by_row(
    row: FatigueCurve, strength: Strength, smax_and_ratio: tuple[Floats, Floats], cycles: float
) -> tuple[Floats, Floats]:
    """Return damage and use by one row, never evaluated above its greatest ratio."""
    maximum, ratio = smax_and_ratio
    row_ratio = np.minimum(ratio, _ends(row)[1])
    equivalent = equivalent_mpa(row, maximum, row_ratio) / strength.reliability
    lives = cycles_at_equivalent(row, equivalent)
    # a stress at the end of the range is within it, whatever its last digit
    known = (lives >= MIN_LIFE * (1 - 1e-9)) & (maximum <= strength.ultimate_mpa * (1 + 1e-9))
    damage = np.full(maximum.shape, np.inf)
    np.divide(cycles, lives, out=damage, where=known)
    allowed = equivalent_at_life_mpa(row, max(cycles, MIN_LIFE))
    return damage, np.maximum(equivalent / allowed, maximum / strength.ultimate_mpa)
