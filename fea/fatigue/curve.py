"""Fatigue life and stress by the handbook's median life equation, and its range.

The equation is a fit to specimens that lived about 1e3 to 1e8 cycles, as far as the figures
plot (from memory, unverified). `life_cycles` and `amplitude_at_life_mpa` are the bare
equation; `life_within_range` refuses a stress above the range and says so below it.
"""

import math
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.errors import InputError, refuse
from geometry.material import FatigueCurve

MPA_PER_KSI = 6.894757

MIN_LIFE = 1e3
"""Cycles below which the figures plot no specimen (from memory, unverified)."""

MAX_LIFE = 1e8
"""Cycles beyond which the figures plot no specimen (from memory, unverified)."""


@dataclass(frozen=True)
class CurveLife:
    """A median life read within the range of a row.

    Attributes:
        cycles: The life; where `beyond_curve`, what it is at least.
        beyond_curve: Whether the stress lies below what the figures plot: the life is then
            known only to be `MAX_LIFE` or more.
    """

    cycles: float
    beyond_curve: bool


def life_cycles(curve: FatigueCurve, amplitude_mpa: float, stress_ratio: float = -1.0) -> float:
    """Return the median life in cycles at a stress amplitude in MPa, inf below the curve.

    Valid for axial load on the net section at a stress ratio R < 1 within the row's own
    range; half of all specimens fail earlier. The bare equation: it is not limited to the lives
    that were tested, as `life_within_range` is.

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
    """Return the median fatigue strength, a stress amplitude in MPa, at `cycles`.

    Valid as `life_cycles`, whose inverse it is.

    Raises:
        InputError: The row does not hold for this stress ratio, or cycles is not positive.

    Source: as `life_cycles`.
    """
    _check(curve, stress_ratio)
    if not 0 < cycles < math.inf:
        raise refuse("cycles", f"is {cycles} but must be above 0 and finite; correct it")
    maximum_mpa = equivalent_at_life_mpa(curve, cycles) / (1 - stress_ratio) ** curve.a3
    return float(maximum_mpa * (1 - stress_ratio) / 2)


def stress_range_mpa(
    curve: FatigueCurve, ultimate_stress_mpa: float, stress_ratio: float = -1.0
) -> tuple[float, float]:
    """Return the least and greatest Smax in MPa of a row's range.

    The least has a median life of 1e8 cycles, the greatest one of 1e3 or the tensile
    strength, whichever is lower: no specimen carries more than that. Near R = 1 the tensile
    strength may come before the life of 1e8; then both are the tensile strength.

    Raises:
        InputError: The row does not hold for this ratio, or the strength is not positive.

    Source: as `life_cycles`; the two lives from memory, unverified.
    """
    _check(curve, stress_ratio)
    if not 0 < ultimate_stress_mpa < math.inf:
        sentence = f"is {ultimate_stress_mpa} MPa but must be above 0 and finite; correct it"
        raise refuse("ultimate_stress_mpa", sentence)
    per_maximum = (1 - stress_ratio) ** curve.a3
    low, high = (equivalent_at_life_mpa(curve, n) / per_maximum for n in (MAX_LIFE, MIN_LIFE))
    return min(low, ultimate_stress_mpa), min(high, ultimate_stress_mpa)


def life_within_range(
    curve: FatigueCurve,
    ultimate_stress_mpa: float,
    maximum_mpa: float,
    stress_ratio: float = -1.0,
) -> CurveLife:
    """Return the median life at Smax in MPa, limited to the range of the row.

    Below the range the record says that the life is at least 1e8 cycles.

    Raises:
        InputError: The stress is negative or above the range, which the sentence names, or
            the row does not hold for this stress ratio.

    Source: as `life_cycles`.
    """
    low, high = stress_range_mpa(curve, ultimate_stress_mpa, stress_ratio)
    if not 0 <= maximum_mpa <= high:
        raise _out_of_range(curve, maximum_mpa, (low, high), stress_ratio)
    if maximum_mpa <= low:
        return CurveLife(MAX_LIFE, beyond_curve=True)
    equivalent = equivalent_mpa(curve, np.asarray(maximum_mpa), np.asarray(stress_ratio))
    return CurveLife(float(cycles_at_equivalent(curve, equivalent)), beyond_curve=False)


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


def equivalent_at_life_mpa(curve: FatigueCurve, cycles: float) -> float:
    """Return the Seq in MPa of a median life, the inverse of `cycles_at_equivalent`.

    Source: MIL-HDBK-5J, as `life_cycles`.
    """
    return float((curve.a4 + 10 ** ((math.log10(cycles) - curve.a1) / curve.a2)) * MPA_PER_KSI)


def _check(curve: FatigueCurve, stress_ratio: float) -> None:
    low, high = curve.stress_ratios or (-math.inf, 1.0)
    if not low <= stress_ratio <= high or stress_ratio >= 1:
        raise refuse(
            "stress_ratio",
            f"is {stress_ratio:g} but {curve.source.locator} is valid for {low:g} to {high:g}; "
            "use another row of the material",
        )


def _out_of_range(
    curve: FatigueCurve, maximum_mpa: float, limits_mpa: tuple[float, float], stress_ratio: float
) -> InputError:
    low, high = limits_mpa
    return refuse(
        "maximum_mpa",
        f"is {maximum_mpa:g} MPa but {curve.source.locator} is valid for {low:.0f} to "
        f"{high:.0f} MPa at R = {stress_ratio:g}; lower the stress",
    )
