"""Lives of places under a spectrum, and the multiple of its loads that uses a life up.

A cycle of factored amplitude a and mean m has the life N at which the metal stands a; at a clamp
the factor grows with the life, so that N is where K(N) a meets the strength, which falls: there is
one such N. Miner's rule sums n / N over the stages. Below the range of the rows (N over 1e8) the
equation is continued, so that many small cycles still count; above it (N under 1e3, or Smax over
the tensile strength) nothing is known and the life is none.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from fea.fatigue.curve import LEAST_LIFE
from fea.fatigue.falling_zero import falling_zero
from fea.fatigue.severity import HELD_CYCLES, Severity, stress_factors
from fea.fatigue.strength import Strength, amplitude_at_mpa, cycles_at, stress_ratio
from fea.fatigue.stress_cycles import CyclicStress, amplitude_mpa, at_places, mean_mpa
from geometry.arrays import Flags, Floats

HALVINGS = 36
"""They narrow a bracket of four decades to the tenth digit of a number."""

LIFE_NUMBERS = 1e-30, 1e30
"""Lives of none and without end, as numbers that have a logarithm."""

FEW_PLACES = 60
"""How many places are taken along at a time in a search."""

LEAST_SHARE = 1e-4
"""A search begins at this share of the multiple that reaches the tensile strength."""

STEP = 1.1
"""Ratio of the steps that look for the first crossing where loads relieve a steady tension."""

CROSSED = 1e-6
"""By how much Miner's sum may be over 1 at the least multiple found: the search's own rounding."""


@dataclass(frozen=True, eq=False)
class Resistance:
    """What places stand.

    Attributes:
        strength: Of smooth specimens.
        severity: Factors on the stress.
    """

    strength: Strength
    severity: Severity


@dataclass(frozen=True, eq=False)
class Factored:
    """A stage's stress with the factors at a life.

    Attributes:
        amplitude_mpa: (P,) as it counts.
        mean_mpa: (P,) likewise.
        ratio: (P,) stress ratio of the two.
    """

    amplitude_mpa: Floats
    mean_mpa: Floats
    ratio: Floats


def factored(
    cyclic: CyclicStress, stage: int, severity: Severity, cycles: Floats, multiple: Floats
) -> Factored:
    """Return a stage with the factors at lives `cycles`, its loads times `multiple`; both (P,).

    The steady stress is not multiplied, and at a clamp not factored. Elsewhere it is, for there the
    factor is one over a share of the strength, and the ratio stays that of the stress itself.

    Source: `stress_cycles` and `severity`.
    """
    level = stress_factors(severity, cycles, cyclic.at_clamp)
    factors = level * multiple[:, None]
    amplitude = amplitude_mpa(cyclic.half_range_mpa[stage] * factors, cyclic.required_cycles)
    steady = np.where(cyclic.at_clamp[:, None], 1.0, level) * cyclic.steady_mpa
    mean = mean_mpa(cyclic.mean_mpa[stage] * factors, steady)
    return Factored(amplitude, mean, stress_ratio(amplitude, mean))


def stage_lives(
    cyclic: CyclicStress, stage: int, resistance: Resistance, multiple: Floats
) -> Floats:
    """Return (P,) the lives in cycles of one stage alone, its loads times `multiple` (P,).

    Source: module docstring.
    """
    lives = _lives_at(cyclic, stage, resistance, np.full(len(multiple), HELD_CYCLES[0]), multiple)
    edges = np.flatnonzero(cyclic.at_clamp)
    if edges.size and resistance.severity.clamp_factor > 1:
        here, few = at_places(cyclic, edges), multiple[edges]
        lives[edges] = _self_consistent(
            lambda cycles: _lives_at(here, stage, resistance, cycles, few), len(edges)
        )
    return np.where(lives < LEAST_LIFE, 0.0, lives)


def stage_damage(
    cyclic: CyclicStress, stage: int, resistance: Resistance, multiple: Floats
) -> Floats:
    """Return (P,) the damage (no unit) of one stage, its loads times `multiple` (P,).

    Of one repetition, inf where it is not stood. Source: n / N with the life N of `stage_lives`.
    """
    lives = stage_lives(cyclic, stage, resistance, multiple)
    found: Floats = np.full(len(lives), np.inf)
    np.divide(cyclic.cycles[stage], lives, out=found, where=lives > 0)
    return found


def damage(cyclic: CyclicStress, resistance: Resistance, multiple: Floats) -> Floats:
    """Return (P,) Miner's sum of one repetition, the loads of each place times `multiple` (P,).

    inf where a stage is not stood. Source: Miner's rule, the sum of n / N (from memory,
    unverified).
    """
    total = np.zeros(len(multiple))
    for stage in range(len(cyclic.cycles)):
        total += stage_damage(cyclic, stage, resistance, multiple)
    return total


def utilisation(cyclic: CyclicStress, resistance: Resistance) -> Floats:
    """Return (S, P) each stage's factored amplitude over what the required cycles allow.

    Source: as `damage`; one over the multiple at which a stage alone lives for all of them.
    """
    cycles = np.full(len(cyclic.at_clamp), held_cycles(cyclic.required_cycles))
    rows = []
    for stage in range(len(cyclic.cycles)):
        found = factored(cyclic, stage, resistance.severity, cycles, np.ones(len(cycles)))
        stood = amplitude_at_mpa(resistance.strength, cycles, found.ratio)
        rows.append(
            np.divide(
                found.amplitude_mpa,
                stood,
                out=np.where(found.amplitude_mpa > 0, np.inf, 0.0),
                where=stood > 0,
            )
        )
    return np.array(rows)


def held_cycles(required_cycles: float) -> float:
    """Return the cycles at which strength is read: no fewer than where the curves begin."""
    return max(required_cycles, LEAST_LIFE)


def least_multiples(
    cyclic: CyclicStress, resistance: Resistance, shifts: Sequence[Floats]
) -> list[float]:
    """Return for each of `shifts`, (P,) each, the least of multiple over shift (no unit).

    A place's multiple is that of its loads at which its life is used up. For one stage without a
    steady stress it is the strength over the stress. Else it is searched for among the places that
    are used most, which others join until none has a sum over 1. 0 where the steady stress alone is
    beyond the rows, inf where nothing varies.

    Source: Miner's sum as in `damage`; the search is derived here.
    """
    use = utilisation(cyclic, resistance).max(axis=0)
    if use.max() <= 0:
        return [float("inf") for _ in shifts]
    if len(cyclic.cycles) == 1 and not cyclic.steady_mpa.any():
        return [float(1 / (use * shift).max()) for shift in shifts]
    # nan: not searched yet; a multiple found for one shift serves the others
    multiples: Floats = np.full(len(use), np.nan)
    return [_search(cyclic, resistance, shift, use * shift, multiples) for shift in shifts]


def place_multiples(cyclic: CyclicStress, resistance: Resistance) -> Floats:
    """Return (P,) the multiple of the loads that uses up the life of each place.

    0 where the steady stress alone is beyond the rows, inf where nothing varies. As
    `least_multiples`, but at every place, which for many of them takes far longer.

    Source: as `least_multiples`.
    """
    if len(cyclic.cycles) > 1 or cyclic.steady_mpa.any():
        return _multiples(cyclic, resistance)
    use = utilisation(cyclic, resistance)[0]
    multiples: Floats = np.divide(1.0, use, out=np.full(len(use), np.inf), where=use > 0)
    return multiples


def _search(
    cyclic: CyclicStress, resistance: Resistance, shift: Floats, use: Floats, multiples: Floats
) -> float:
    """Return the least multiple over `shift`, and note in `multiples` (P,) those of its places."""
    places = np.argsort(-use, kind="stable")[:FEW_PLACES]
    while True:
        new = places[np.isnan(multiples[places])]
        if new.size:
            multiples[new] = _multiples(at_places(cyclic, new), resistance)
        least = float((multiples[places] / shift[places]).min())
        sums = damage(cyclic, resistance, least * shift * (1 - CROSSED))
        sums[places] = 0.0
        missed = np.flatnonzero(sums > 1 + CROSSED)
        if not missed.size or least <= 0:
            return least
        worst = missed[np.argsort(-sums[missed], kind="stable")][:FEW_PLACES]
        places = np.concatenate([places, worst])


def _multiples(cyclic: CyclicStress, resistance: Resistance) -> Floats:
    """Return (P,) the first multiple at which each place's Miner sum passes 1, 0 where always over.

    At the upper end of the bracket the amplitude alone is the tensile strength.
    """
    largest = amplitude_mpa(cyclic.half_range_mpa, cyclic.required_cycles).max(axis=0)
    most = np.full(len(largest), np.inf)
    np.divide(resistance.strength.ultimate_mpa, largest, out=most, where=largest > 0)
    moving = np.isfinite(most)
    high: Floats = np.where(moving, most * (1 + 1e-6), 1.0)
    low: Floats = LEAST_SHARE * high
    stuck = _is_used_up(cyclic, resistance, low)
    if _may_fall(cyclic).any():
        low, high = _first_crossing(cyclic, resistance, low, high)
    for _ in range(HALVINGS):
        middle = np.sqrt(low * high)
        over = _is_used_up(cyclic, resistance, middle)
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return np.where(stuck, 0.0, np.where(moving, low, np.inf))


def _may_fall(cyclic: CyclicStress) -> Flags:
    """Return (P,) where loads relieve a steady tension, so that more of them may do less damage."""
    own = cyclic.mean_mpa[..., :2].sum(axis=-1).min(axis=0)
    return np.asarray((own < 0) & (cyclic.steady_mpa[:, :2].sum(axis=1) > 0))


def _first_crossing(
    cyclic: CyclicStress, resistance: Resistance, low: Floats, high: Floats
) -> tuple[Floats, Floats]:
    """Return neighbouring steps (P,) that hold the first crossing, the last if there is none."""
    count = int(np.ceil(-np.log(LEAST_SHARE) / np.log(STEP))) + 1
    steps = np.geomspace(low, high, count)
    over = np.array([_is_used_up(cyclic, resistance, step) for step in steps[1:-1]])
    last = np.ones((1, over.shape[1]), dtype=bool)
    first = np.argmax(np.concatenate([over, last]), axis=0)[None]
    below, above = (np.take_along_axis(steps, first + k, axis=0)[0] for k in (0, 1))
    return below, above


def _is_used_up(cyclic: CyclicStress, resistance: Resistance, multiple: Floats) -> Flags:
    """Return (P,) where Miner's sum is over 1.

    One stage uses its life up where it is below the cycles required at the factors of these
    cycles, which needs no search for the life itself.
    """
    if len(cyclic.cycles) > 1:
        return np.asarray(damage(cyclic, resistance, multiple) > 1)
    required = held_cycles(cyclic.required_cycles)
    lives = _lives_at(cyclic, 0, resistance, np.full(len(multiple), required), multiple)
    return np.asarray(lives < required)


def _lives_at(
    cyclic: CyclicStress, stage: int, resistance: Resistance, cycles: Floats, multiple: Floats
) -> Floats:
    """Return (P,) the lives at the factors of `cycles` (P,), held to no range."""
    found = factored(cyclic, stage, resistance.severity, cycles, multiple)
    return cycles_at(resistance.strength, found.amplitude_mpa, found.ratio)


def _self_consistent(life_at: Callable[[Floats], Floats], count: int) -> Floats:
    """Return (count,) lives N with `life_at(N)` = N, which falls and is level beyond the ends."""

    def decades(lives: Floats, exponents: Floats) -> Floats:
        return np.asarray(np.log10(np.clip(lives, *LIFE_NUMBERS)) - exponents)

    low, high = (np.full(count, np.log10(end)) for end in HELD_CYCLES)
    first, last = life_at(10**low), life_at(10**high)
    above, below = decades(first, low), decades(last, high)
    found = 10 ** falling_zero(
        lambda exponents: decades(life_at(10**exponents), exponents), (low, high), (above, below)
    )
    # beyond the ends factors are level, and lives what they are there
    return np.where(above <= 0, first, np.where(below >= 0, last, found))
