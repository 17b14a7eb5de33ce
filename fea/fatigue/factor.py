"""The fatigue factor: multiple of the repeated loads at which Miner's sum of the spectrum is 1."""

from dataclasses import dataclass

import numpy as np

from fea.fatigue.damage import Damage, Strength, damage_of
from fea.fatigue.stress_history import (
    ZERO_MPA,
    CyclicStress,
    at_places,
    largest_amplitude_mpa,
    on_planes_mpa,
    scaled,
)
from geometry.arrays import Floats, Ints
from geometry.material import Endurance

Place = tuple[int, int, int]
"""Stage, place and plane."""

FEW_PLACES = 50
"""Places considered at a time in the search."""

MIN_SHARE = 1e-4
"""The search begins at this share of the tensile strength, an amplitude without damage."""

STEP = 1.1
"""Ratio of the steps by which the search looks for the first crossing under a steady stress."""

HALVINGS = 55
"""They narrow a bracket of four decades to the last digits of a number."""


@dataclass(frozen=True)
class Factor:
    """A multiple of the repeated loads.

    Attributes:
        value: The multiple, None where no stress varies or no row holds where it is decided.
        unknown: Whether it is None because no row holds for the stress ratio there.
    """

    value: float | None
    unknown: bool = False


def factor_by_curve(cyclic: CyclicStress, strength: Strength) -> Factor:
    """Return the least multiple at which Miner's sum is 1, or at which the rows end.

    Exact for one stage without a steady stress. Else a search among the places of the largest use,
    which others join until none has a sum over 1 at the factor found. A steady stress may make the
    damage fall as the loads grow: the first crossing counts, looked for in steps of a tenth. 0
    where the steady stress alone is beyond the rows.

    Source: Miner's sum as in `fea.fatigue.damage`; the search is derived here.
    """
    largest = largest_amplitude_mpa(cyclic)
    if largest <= ZERO_MPA:
        return Factor(None)
    if len(cyclic.cycles) == 1 and not cyclic.steady_mpa.any():
        return _direct(damage_of(cyclic, strength))
    # at this multiple one amplitude is the tensile strength, which ends every row
    most = strength.ultimate_mpa / largest
    low, high = _among_all(cyclic, strength, most)
    return _decided(low, damage_of(scaled(cyclic, high), strength))


def factor_by_endurance(
    cyclic: CyclicStress, endurance: Endurance, ultimate_mpa: float, reliability: float
) -> tuple[float, Place]:
    """Return the least multiple at which a stage reaches the listed amplitude, and where.

    The lower end of the listed range, times the reliability factor, is Se in
    a / Se + m / Su = 1 with amplitude a and mean m; a compressive mean counts as none. inf
    where no stress varies.

    Source: Goodman's line with the tensile strength (from memory, unverified).
    """
    allowed = reliability * endurance.amplitude_from_mpa
    best, where = np.inf, (0, 0, 0)
    for stage in range(len(cyclic.cycles)):
        factors = _goodman(cyclic, stage, allowed, ultimate_mpa)
        place, plane = np.unravel_index(np.argmin(factors), factors.shape)
        if factors[place, plane] < best:
            best, where = float(factors[place, plane]), (stage, int(place), int(plane))
    return best, where


def worst(found: Damage) -> tuple[int, int]:
    """Return place and plane of the most damage; of the most use where several share it."""
    most = found.damage.max()
    if most in {0.0, np.inf}:
        index = np.argmax(np.where(found.damage == most, found.use, -1.0))
    else:
        index = np.argmax(found.damage)
    place, plane = np.unravel_index(index, found.damage.shape)
    return int(place), int(plane)


def _goodman(cyclic: CyclicStress, stage: int, allowed_mpa: float, ultimate_mpa: float) -> Floats:
    """Return (P, K) where each plane meets the line: without its mean, or on the sloping part."""
    amplitude = np.abs(on_planes_mpa(cyclic.half_range_mpa[stage]))
    mean, steady = on_planes_mpa(cyclic.mean_mpa[stage]), on_planes_mpa(cyclic.steady_mpa)
    varying = amplitude > ZERO_MPA
    level = np.divide(allowed_mpa, amplitude, out=np.full(mean.shape, np.inf), where=varying)
    slope = amplitude / allowed_mpa + mean / ultimate_mpa
    reserve = 1 - steady / ultimate_mpa
    # where there is reserve and the mean at `level` is tensile, the slope is positive
    sloping = varying & (reserve > 0) & (np.where(varying, level, 0.0) * mean + steady > 0)
    found = np.divide(reserve, slope, out=level, where=sloping)
    return np.where(varying & (reserve <= 0), 0.0, found)


def _direct(found: Damage) -> Factor:
    place, plane = np.unravel_index(np.argmax(found.use), found.use.shape)
    most, unknown = float(found.use[place, plane]), bool(found.unknown[place, plane])
    return Factor(None, unknown) if unknown or most <= 0 else Factor(1 / most)


def _decided(factor: float, found: Damage) -> Factor:
    unknown = bool(found.unknown[worst(found)])
    return Factor(None, unknown) if unknown else Factor(factor)


def _among_all(cyclic: CyclicStress, strength: Strength, most: float) -> tuple[float, float]:
    """Return the bracket of the multiple, by few places at first."""
    use = damage_of(cyclic, strength).use.max(axis=1)
    places: Ints = np.argsort(-use, kind="stable")[:FEW_PLACES]
    while True:
        low, high = _first_crossing(at_places(cyclic, places), strength, most)
        damage = damage_of(scaled(cyclic, low), strength).damage.max(axis=1)
        damage[places] = 0.0
        missed = np.flatnonzero(damage > 1 + 1e-6)
        if not len(missed) or low <= 0:
            return low, high
        missed = missed[np.argsort(-damage[missed], kind="stable")][:FEW_PLACES]
        places = np.concatenate([places, missed])


def _first_crossing(cyclic: CyclicStress, strength: Strength, most: float) -> tuple[float, float]:
    """Return two neighbouring multiples with Miner's sum at most 1 and above it."""

    def over(factor: float) -> bool:
        return bool(damage_of(scaled(cyclic, factor), strength).damage.max() > 1)

    least, most = MIN_SHARE * most, most * (1 + 1e-6)
    if over(least):
        return 0.0, least
    low, high = least, most
    if cyclic.steady_mpa.any():
        count = int(np.ceil(np.log(most / least) / np.log(STEP))) + 1
        steps = np.geomspace(least, most, count)
        high = float(next(step for step in steps if step == steps[-1] or over(step)))
        low = max(least, float(steps[np.searchsorted(steps, high) - 1]))
    for _ in range(HALVINGS):
        middle = float(np.sqrt(low * high))
        low, high = (low, middle) if over(middle) else (middle, high)
    return low, high
