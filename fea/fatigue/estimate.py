"""The range of a multiple and of a life: three causes that are independent, each a 90 % interval.

With S(n) the amplitude that smooth specimens stand for the n cycles required and a the factored
amplitude of the middle level, logarithms to base 10:

    f = S(n) / a
    h_low^2  = log(S(n) / S(3.115 n))^2 + log(a_careful / a)^2 + g^2
    h_high^2 = log(S(n / 3.115) / S(n))^2 + log(a / a_favourable)^2 + g^2
    f from f 10^-h_low to f 10^h_high

3.115 = 10^(1.645 x 0.30): lives scatter log-normally with a deviation of log10 N of 0.30 (from
memory, unverified). g is how far a third and three times the clamp stiffness move a. The lives
belong to the loads times 10^h_low, 1 and 10^-h_high, so that the low factor is at least 1 exactly
where the low life is at least n. A reliability factor that is given multiplies S and takes the
place of the scatter. A listed endurance has its own ends in place of the scatter, and no lives.

Source: derived here; the construction of the bands is judgement.
"""

from dataclasses import dataclass

import numpy as np

from fea.fatigue.miner import (
    Resistance,
    damage,
    held_cycles,
    least_multiples,
    place_multiples,
    stage_damage,
    utilisation,
)
from fea.fatigue.range_widths import (
    Cause,
    Judged,
    Widths,
    at_stage,
    factored_stages,
    severity_widths,
    widths_of,
)
from fea.fatigue.severity import Severity, stress_factors
from fea.fatigue.strength import Strength, strength_of
from fea.fatigue.stress_cycles import CyclicStress
from geometry.arrays import Floats, Ints
from geometry.material import Endurance, Material
from loadcases.levels import Levels


@dataclass(frozen=True)
class Worst:
    """The place of the shortest middle life among some, and what stands there.

    Attributes:
        place: Index of it.
        stage: The stage that does most damage there.
        amplitude_mpa: Factored amplitude of that stage at the cycles required, middle level.
        mean_mpa: Mean that counts, likewise.
        ratio: Stress ratio of the two.
        widths: Half widths downwards and upwards by cause, in log10 of the stress.
    """

    place: int
    stage: int
    amplitude_mpa: float
    mean_mpa: float
    ratio: float
    widths: dict[Cause, tuple[float, float]]


@dataclass(frozen=True)
class Estimate:
    """What a spectrum comes to at some places.

    Attributes:
        factor: Multiple of the repeated loads that uses the life up, the least over the places at
            each end; None where nothing is known.
        life: Cycles of all stages together, likewise; None without a life equation.
        damage: Miner's sum of one repetition at the worst place, None without a life equation.
        worst: That place.
    """

    factor: Levels | None
    life: Levels | None
    damage: float | None
    worst: Worst


def by_life_equation(judged: Judged, strength: Strength) -> Estimate:
    """Return the estimate at P places by the rows of a metal; see the module's docstring."""
    cyclic, middle = judged.cyclic, Resistance(strength, judged.severities.middle)
    stages = _deciding_stages(cyclic, middle)
    widths = widths_of(judged, strength, stages)
    shifts = 10 ** widths.total(0), np.ones(len(stages)), 10 ** -widths.total(1)
    factor = Levels(*least_multiples(cyclic, middle, shifts))
    sums = [damage(cyclic, middle, shift) for shift in shifts]
    life = Levels(*(_life(cyclic.required_cycles, float(total.max())) for total in sums))
    place = _most_damaged(sums[1], utilisation(cyclic, middle).max(axis=0))
    worst = _worst(judged, place, int(stages[place]), widths)
    return Estimate(factor, life, float(sums[1][place]), worst)


def by_endurance(
    judged: Judged, endurance: Endurance, ultimate_mpa: float, reliability: float
) -> Estimate:
    """Return the estimate at P places by a listed endurance, without lives.

    The geometric mean of the listed ends, times the reliability, is Se in a / Se + m / Su = 1.
    Nothing is known beyond the cycles it is listed for.

    Source: Goodman's line with the tensile strength (from memory, unverified).
    """
    multiples, widths = _listed(judged, endurance, ultimate_mpa, reliability)
    stages, least = np.argmin(multiples, axis=0), multiples.min(axis=0)
    known = judged.cyclic.required_cycles <= endurance.cycles and np.isfinite(least.min())
    ends = 10 ** -widths.total(0), np.ones(len(stages)), 10 ** widths.total(1)
    factor = Levels(*(float((least * end).min()) for end in ends))
    place = int(np.argmin(least))
    worst = _worst(judged, place, int(stages[place]), widths)
    return Estimate(factor if known else None, None, None, worst)


def low_factors(judged: Judged, material: Material, reliability: float) -> Floats:
    """Return (P,) the low end of the multiple at each place, inf where nothing varies there.

    The least of them is the low factor of the estimate of the same places. `material` must have a
    life equation or a listed endurance.

    Source: module docstring.
    """
    if not material.fatigue and material.endurance:
        ultimate = material.ultimate_stress_mpa
        multiples, widths = _listed(judged, material.endurance, ultimate, reliability)
        return np.asarray(multiples.min(axis=0) * 10 ** -widths.total(0))
    strength = strength_of(material, reliability)
    middle = Resistance(strength, judged.severities.middle)
    widths = widths_of(judged, strength, _deciding_stages(judged.cyclic, middle))
    return np.asarray(place_multiples(judged.cyclic, middle) * 10 ** -widths.total(0))


def unjudged(judged: Judged) -> Estimate:
    """Return the place of the largest factored amplitude, where nothing is known of the metal."""
    amplitudes = np.array(
        [one.amplitude_mpa for one in factored_stages(judged, judged.severities.middle)]
    )
    stage, place = np.unravel_index(np.argmax(amplitudes), amplitudes.shape)
    zero = np.zeros(amplitudes.shape[1])
    widths = Widths(np.zeros((2, len(zero))), np.zeros((2, len(zero))), zero)
    return Estimate(None, None, None, _worst(judged, int(place), int(stage), widths))


def _deciding_stages(cyclic: CyclicStress, middle: Resistance) -> Ints:
    """Return (P,) the stage that does most damage at each place, by its use where none does any."""
    use = utilisation(cyclic, middle)
    if len(use) == 1:
        return np.zeros(use.shape[1], dtype=int)
    ones = np.ones(use.shape[1])
    single = [stage_damage(cyclic, stage, middle, ones) for stage in range(len(use))]
    rank = np.lexsort((use, np.array(single)), axis=0)
    return np.asarray(rank[-1])


def _listed(
    judged: Judged, endurance: Endurance, ultimate_mpa: float, reliability: float
) -> tuple[Floats, Widths]:
    """Return (S, P) the middle multiples of a listed endurance, and their half widths."""
    low, high = endurance.amplitude_from_mpa, endurance.amplitude_to_mpa
    allowed = reliability * float(np.sqrt(low * high))
    multiples = _goodman(judged, judged.severities.middle, allowed, ultimate_mpa)
    stages = np.argmin(multiples, axis=0)
    listed = np.full((2, len(stages)), np.log10(high / low) / 2)
    change = at_stage(judged.clamp_change, stages)
    return multiples, Widths(severity_widths(judged, stages), listed, change)


def _goodman(judged: Judged, severity: Severity, allowed_mpa: float, ultimate_mpa: float) -> Floats:
    """Return (S, P) where each stage meets the line: without its mean, or on the sloping part."""
    cyclic, rows = judged.cyclic, []
    finish = np.where(cyclic.at_clamp, 1.0, 1 / severity.surface_factor)
    steady = finish * cyclic.steady_mpa[:, :2].sum(axis=1)
    room = 1 - steady / ultimate_mpa
    for one, own in zip(
        factored_stages(judged, severity), _own_means(judged, severity), strict=True
    ):
        moving = one.amplitude_mpa > 0
        level = np.full(len(steady), np.inf)
        np.divide(allowed_mpa, one.amplitude_mpa, out=level, where=moving)
        slope = one.amplitude_mpa / allowed_mpa + own / ultimate_mpa
        # where there is room and the mean at `level` pulls, the slope is positive
        pulled = moving & (room > 0) & (np.where(moving, level, 0.0) * own + steady > 0)
        found = np.divide(room, slope, out=level.copy(), where=pulled)
        rows.append(np.where(moving & (room <= 0), 0.0, found))
    return np.array(rows)


def _own_means(judged: Judged, severity: Severity) -> list[Floats]:
    """Return each stage's (P,) factored sum of normal means, of its own loads, of either sign."""
    cyclic = judged.cyclic
    cycles = np.full(len(cyclic.at_clamp), held_cycles(cyclic.required_cycles))
    factors = stress_factors(severity, cycles, cyclic.at_clamp)
    return [(mean * factors)[:, :2].sum(axis=1) for mean in cyclic.mean_mpa]


def _worst(judged: Judged, place: int, stage: int, widths: Widths) -> Worst:
    one = factored_stages(judged, judged.severities.middle)[stage]
    cause: Cause = "clamp factor" if judged.cyclic.at_clamp[place] else "surface factor"
    return Worst(
        place=place,
        stage=stage,
        amplitude_mpa=float(one.amplitude_mpa[place]),
        mean_mpa=float(one.mean_mpa[place]),
        ratio=float(one.ratio[place]),
        widths={
            cause: (float(widths.severity[0, place]), float(widths.severity[1, place])),
            "scatter of lives": (float(widths.scatter[0, place]), float(widths.scatter[1, place])),
            "clamp stiffness": (float(widths.clamp[place]), float(widths.clamp[place])),
        },
    )


def _most_damaged(sums: Floats, use: Floats) -> int:
    """Return the place of the largest sum, of the most use among equals."""
    return int(np.lexsort((use, sums))[-1])


def _life(required: float, total: float) -> float:
    return float("inf") if total == 0 else required / total
