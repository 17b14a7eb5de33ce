"""What amplitude of stress a metal's smooth specimens stand for a life, at a stress ratio.

A row of the handbook gives Smax from life and ratio R; the amplitude is Smax (1 - R) / 2. Between
two rows the smaller amplitude counts. Above all rows a cycle is replaced by one that contains it,
of the same Smax at the greatest ratio of the rows: what it stands is then at least that. Below all
rows nothing is known, and no amplitude is stood. No Smax above the tensile strength is stood.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fea.fatigue.curve import cycles_at_equivalent, equivalent_at_life_mpa, equivalent_mpa
from geometry.arrays import Flags, Floats
from geometry.material import FatigueCurve, Material

RATIO_ROUNDING = 1e-3
"""No test holds its stress ratio closer than this (judgement)."""


@dataclass(frozen=True)
class Strength:
    """What smooth specimens stand.

    Attributes:
        rows: Life equations of one Kt, at least one.
        ultimate_mpa: Tensile strength.
        reliability: Allowable over median stress at a life and a ratio, 1 for the median.
    """

    rows: tuple[FatigueCurve, ...]
    ultimate_mpa: float
    reliability: float = 1.0


def strength_of(material: Material, reliability: float = 1.0) -> Strength:
    """Return the strength by the material's first rows, those of smooth specimens."""
    smooth = [row for row in material.fatigue if row.kt == material.fatigue[0].kt]
    return Strength(tuple(smooth), material.ultimate_stress_mpa, reliability)


def amplitude_at_mpa(strength: Strength, cycles: Floats, ratio: Floats) -> Floats:
    """Return the amplitude in MPa stood for `cycles` at stress ratios; the two broadcast.

    Source: MIL-HDBK-5J, Seq = Smax (1 - R)^A3, as in `curve.life_cycles`.
    """
    cycles, ratio = np.broadcast_arrays(cycles, ratio)
    least = np.full(ratio.shape, np.inf)
    for row, held in _rows_for(strength.rows, ratio):
        equivalent = strength.reliability * equivalent_at_life_mpa(row, cycles)
        maximum = equivalent / _depth(row, ratio) ** row.a3
        least = np.where(held, np.minimum(least, maximum), least)
    least = np.where(is_below_rows(strength.rows, ratio), 0.0, least)
    result: Floats = np.minimum(least, strength.ultimate_mpa) * (1 - ratio) / 2
    return result


def cycles_at(strength: Strength, amplitude_mpa: Floats, ratio: Floats) -> Floats:
    """Return the life in cycles at amplitudes in MPa and stress ratios, of the same shape.

    0 where the cycle is not stood at all, inf where no life equation reaches so low; the bare
    equation, not held to the lives that were tested. The inverse of `amplitude_at_mpa`.

    Source: MIL-HDBK-5J, as in `curve.life_cycles`.
    """
    maximum = 2 * amplitude_mpa / np.maximum(1 - ratio, 1e-12)
    lives = np.full(ratio.shape, np.inf)
    for _, of_row in _lives_by_row(strength, maximum, ratio):
        lives = np.minimum(lives, of_row)
    # the hair lets a stress at the tensile strength be stood, whatever its rounding
    refused = is_below_rows(strength.rows, ratio) | (maximum > strength.ultimate_mpa * (1 + 1e-9))
    lives[refused & (amplitude_mpa > 0)] = 0.0
    return lives


def stress_ratio(amplitude_mpa: Floats, mean_mpa: Floats) -> Floats:
    """Return R = (m - a) / (m + a) (no unit) for a mean of at least 0; -1 where there is no stress.

    `amplitude_mpa` and `mean_mpa` broadcast. Source: definition of the stress ratio.
    """
    maximum = amplitude_mpa + mean_mpa
    depth = np.full(np.shape(maximum), 2.0)
    np.divide(2 * amplitude_mpa, maximum, out=depth, where=maximum > 0)
    return 1.0 - depth


def ratio_range(rows: tuple[FatigueCurve, ...]) -> tuple[float, float]:
    """Return the least and the greatest ratio that any of the rows holds for."""
    ends = [_ends(row) for row in rows]
    return min(low for low, _ in ends), max(high for _, high in ends)


def is_below_rows(rows: tuple[FatigueCurve, ...], ratio: Floats) -> Flags:
    """Return where a stress ratio lies below all rows, so that nothing is known; same shape."""
    below: Flags = ratio < ratio_range(rows)[0] - RATIO_ROUNDING
    return below


def is_above_rows(rows: tuple[FatigueCurve, ...], ratio: float) -> bool:
    """Return whether a ratio lies above all rows, where a cycle that contains it counts."""
    return ratio > ratio_range(rows)[1] + RATIO_ROUNDING


def is_between_rows(rows: tuple[FatigueCurve, ...], ratio: float) -> bool:
    """Return whether a ratio lies between the ranges of two rows."""
    value = np.asarray(ratio)
    held = any(bool(_holds(row, value)) for row in rows)
    return not (held or is_above_rows(rows, ratio) or bool(is_below_rows(rows, value)))


def deciding_row(strength: Strength, amplitude_mpa: float, ratio: float) -> FatigueCurve:
    """Return the row of the shortest life at one cycle."""
    maximum = np.asarray(2 * amplitude_mpa / max(1 - ratio, 1e-12))
    lives = _lives_by_row(strength, maximum, np.asarray(ratio))
    return min(lives, key=lambda pair: float(pair[1]))[0]


def _lives_by_row(
    strength: Strength, maximum_mpa: Floats, ratio: Floats
) -> Iterator[tuple[FatigueCurve, Floats]]:
    """Yield each row with its lives, inf where it does not count; all of one shape."""
    for row, held in _rows_for(strength.rows, ratio):
        equivalent = equivalent_mpa(row, maximum_mpa, 1 - _depth(row, ratio))
        lives = cycles_at_equivalent(row, equivalent / strength.reliability)
        yield row, np.where(held, lives, np.inf)


def _depth(row: FatigueCurve, ratio: Floats | float) -> Floats:
    """Return 1 - R, never for a ratio above the row's greatest."""
    depth: Floats = np.maximum(1 - np.minimum(ratio, _ends(row)[1]), 1e-12)
    return depth


def _ends(row: FatigueCurve) -> tuple[float, float]:
    return row.stress_ratios or (-np.inf, 1.0)


def _holds(row: FatigueCurve, ratio: Floats) -> Flags:
    low, high = _ends(row)
    held: Flags = (ratio >= low - RATIO_ROUNDING) & (ratio <= high + RATIO_ROUNDING)
    return held


def _rows_for(
    rows: tuple[FatigueCurve, ...], ratio: Floats
) -> Iterator[tuple[FatigueCurve, Flags]]:
    """Yield each row and where it counts: in its range, or as a neighbour where no row holds."""
    none = ~np.any([_holds(row, ratio) for row in rows], axis=0)
    ends = [_ends(row) for row in rows]
    below = np.max([np.where(high < ratio, high, -np.inf) for _, high in ends], axis=0)
    above = np.min([np.where(low > ratio, low, np.inf) for low, _ in ends], axis=0)
    for row, (low, high) in zip(rows, ends, strict=True):
        yield row, _holds(row, ratio) | (none & ((high == below) | (low == above)))
