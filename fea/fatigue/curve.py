"""From a life to a stress and back, by the handbook's median life equation, and its range.

The equation is a fit to specimens that lived about 1e3 to 1e8 cycles, as far as the figures
plot (from memory, unverified). `life_cycles` and `amplitude_at_life_mpa` are the bare
equation, continued beyond that range.
"""

import math

import numpy as np

from geometry.arrays import Floats
from geometry.errors import refuse
from geometry.material import FatigueCurve

MPA_PER_KSI = 6.894757

LEAST_LIFE = 1e3
"""Cycles below which the figures plot no specimen (from memory, unverified)."""

GREATEST_LIFE = 1e8
"""Cycles beyond which the figures plot no specimen (from memory, unverified)."""


def life_cycles(curve: FatigueCurve, amplitude_mpa: float, stress_ratio: float = -1.0) -> float:
    """Return the median life in cycles at a stress amplitude in MPa, inf below the curve.

    Valid for axial load on the net section at a stress ratio R < 1 within the row's own
    range; half of all specimens fail earlier. The bare equation: it is not held to the lives
    that were tested.

    Raises:
        InputError: The row does not hold for this stress ratio, or the amplitude is negative.

    Source: MIL-HDBK-5J, log10 N = A1 + A2 log10(Seq - A4), Seq = Smax (1 - R)^A3.
    """
    _check(curve, stress_ratio)
    if not amplitude_mpa >= 0:
        raise refuse("amplitude_mpa", f"is {amplitude_mpa} MPa but must be at least 0; correct it")
    maximum_mpa = 2 * amplitude_mpa / (1 - stress_ratio)
    equivalent = equivalent_mpa(curve, np.asarray(maximum_mpa), np.asarray(stress_ratio))
    return float(cycles_at_equivalent(curve, equivalent))


def amplitude_at_life_mpa(curve: FatigueCurve, cycles: float, stress_ratio: float = -1.0) -> float:
    """Return the stress amplitude in MPa that half of all specimens stand for `cycles`.

    Valid as `life_cycles`, whose inverse it is.

    Raises:
        InputError: The row does not hold for this stress ratio, or cycles is not positive.

    Source: as `life_cycles`.
    """
    _check(curve, stress_ratio)
    if not 0 < cycles < math.inf:
        raise refuse("cycles", f"is {cycles} but must be above 0 and finite; correct it")
    maximum_mpa = equivalent_at_life_mpa(curve, np.asarray(cycles)) / (1 - stress_ratio) ** curve.a3
    return float(maximum_mpa * (1 - stress_ratio) / 2)


def equivalent_mpa(curve: FatigueCurve, maximum_mpa: Floats, stress_ratio: Floats) -> Floats:
    """Return Seq = Smax (1 - R)^A3 in MPa, of the same shape; the ratio is not checked.

    Source: MIL-HDBK-5J, as `life_cycles`.
    """
    result: Floats = maximum_mpa * (1 - stress_ratio) ** curve.a3
    return result


def cycles_at_equivalent(curve: FatigueCurve, equivalent: Floats) -> Floats:
    """Return the median lives at equivalent stresses in MPa, inf at or below A4.

    The bare equation, of the same shape.

    Source: MIL-HDBK-5J, as `life_cycles`.
    """
    above_ksi = equivalent / MPA_PER_KSI - curve.a4
    lives = np.full(np.shape(above_ksi), np.inf)
    # a hair above A4 the life is beyond all numbers
    with np.errstate(over="ignore"):
        np.power(above_ksi, curve.a2, out=lives, where=above_ksi > 0)
        lives *= 10**curve.a1
    return lives


def equivalent_at_life_mpa(curve: FatigueCurve, cycles: Floats) -> Floats:
    """Return the Seq in MPa of median lives, the inverse of `cycles_at_equivalent`; same shape.

    Source: MIL-HDBK-5J, as `life_cycles`.
    """
    result: Floats = (curve.a4 + 10 ** ((np.log10(cycles) - curve.a1) / curve.a2)) * MPA_PER_KSI
    return result


def _check(curve: FatigueCurve, stress_ratio: float) -> None:
    low, high = curve.stress_ratios or (-math.inf, 1.0)
    if not low <= stress_ratio <= high or stress_ratio >= 1:
        raise refuse(
            "stress_ratio",
            f"is {stress_ratio:g} but {curve.source.locator} is valid for {low:g} to {high:g}; "
            "use another row of the material",
        )
