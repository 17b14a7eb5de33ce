"""From a life to a stress amplitude and back, by the handbook's median life equation."""

import math

from geometry.errors import refuse
from geometry.material import FatigueCurve

MPA_PER_KSI = 6.894757


def life_cycles(curve: FatigueCurve, amplitude_mpa: float, stress_ratio: float = -1.0) -> float:
    """Return the median life in cycles at a stress amplitude in MPa, inf below the curve.

    Valid for axial load on the net section at a stress ratio R < 1 within the row's own
    range; half of all specimens fail earlier.

    Raises:
        InputError: The row does not hold for this stress ratio, or the amplitude is negative.

    Source: MIL-HDBK-5J, log10 N = A1 + A2 log10(Seq - A4), Seq = Smax (1 - R)^A3.
    """
    _check(curve, stress_ratio)
    if not amplitude_mpa >= 0:
        raise refuse("amplitude_mpa", f"is {amplitude_mpa} MPa but must be at least 0; correct it")
    maximum_ksi = 2 * amplitude_mpa / (1 - stress_ratio) / MPA_PER_KSI
    above = maximum_ksi * (1 - stress_ratio) ** curve.a3 - curve.a4
    if above <= 0:
        return math.inf
    return float(10 ** (curve.a1 + curve.a2 * math.log10(above)))


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
    equivalent_ksi = curve.a4 + 10 ** ((math.log10(cycles) - curve.a1) / curve.a2)
    maximum_ksi = equivalent_ksi / (1 - stress_ratio) ** curve.a3
    return float(maximum_ksi * MPA_PER_KSI * (1 - stress_ratio) / 2)


def _check(curve: FatigueCurve, stress_ratio: float) -> None:
    low, high = curve.stress_ratios or (-math.inf, 1.0)
    if not low <= stress_ratio <= high or stress_ratio >= 1:
        raise refuse(
            "stress_ratio",
            f"is {stress_ratio:g} but {curve.source.locator} holds for {low:g} to {high:g}; "
            "use another row of the material",
        )
