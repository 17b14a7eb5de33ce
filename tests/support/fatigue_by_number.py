"""Fatigue range of one place, number by number: an answer that shares no code with fea.fatigue.

A place is a list of stages of plain numbers; nothing here is an array. Stresses in MPa, lives in
cycles. Written from the model's statement: strength over local stress, clamp factor growing with
life, each unknown a 90 % band, bands added as squares of logarithms.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

MPA_PER_KSI = 6.894757
# 90 % of lives, one side each 5 %, deviation of log10 N 0.30
SCATTER = 10 ** (1.645 * 0.30)

# coefficients A1..A4 of MIL-HDBK-5J for ksi
ROWS = {
    "al-6061-t6": (20.68, -9.84, 0.63, 0.0),
    "al-7075-t6": (18.22, -7.77, 0.62, 10.15),
    "steel-4130-n": (9.27, -3.57, 0.0, 43.3),
}
# growth of the clamp factor, low, middle, high
ALUMINIUM_C = (0.25, 0.50, 0.80)
STEEL_C = (0.25, 0.38, 0.55)
# surface, low, middle, high
SURFACE = (0.70, 0.85, 1.00)

Row = tuple[float, float, float, float]
Three = tuple[float, float, float]


@dataclass(frozen=True)
class Stage:
    """Half range (axial, hoop, shear), the loads' own mean likewise, and the number of cycles."""

    half: Three
    mean: Three
    cycles: float


@dataclass(frozen=True)
class Place:
    """Stages at a place: with clamp growth c at an edge, with surface factors elsewhere."""

    row: Row
    stages: Sequence[Stage]
    c: Three | None = None
    surface: Three = SURFACE
    steady: Three = (0.0, 0.0, 0.0)
    scatter: float = SCATTER
    ultimate_mpa: float = math.inf  # no larger maximum is stood
    reliability: float = 1.0
    g: tuple[float, float] = (0.0, 0.0)  # log10 of what other clamp stiffnesses do, low, high


def strength_mpa(
    row: Row, cycles: float, ratio: float = -1.0, ultimate_mpa: float = math.inf
) -> float:
    """Return the plain amplitude that lives so many cycles at a stress ratio."""
    a1, a2, a3, a4 = row
    equivalent_ksi = 10 ** ((a1 - math.log10(cycles)) / -a2) + a4
    maximum = equivalent_ksi / (1 - ratio) ** a3 * MPA_PER_KSI
    return min(maximum, ultimate_mpa) * (1 - ratio) / 2


def clamp_factor(c: float, cycles: float) -> float:
    """Return K of a life, held within 1e3 and 1e7."""
    return 1 + c * (min(max(cycles, 1e3), 1e7) / 1e5) ** 0.3


def severity_mpa(axial: float, hoop: float, shear: float, few: bool = False) -> float:
    """Return the larger of von Mises and the largest principal; Tresca where cycles are few."""
    centre, radius = (axial + hoop) / 2, math.hypot((axial - hoop) / 2, shear)
    principals = (centre + radius, centre - radius, 0.0)
    if few:
        return max(principals) - min(principals)
    mises = math.sqrt(axial**2 - axial * hoop + hoop**2 + 3 * shear**2)
    return max(mises, *(abs(value) for value in principals))


def required(place: Place) -> float:
    """Return the cycles of all stages."""
    return sum(stage.cycles for stage in place.stages)


def amplitude_and_mean(place: Place, stage: Stage, x: float, k: float) -> tuple[float, float]:
    """Return amplitude and tensile mean of a stage at x times the loads, clamp factor k."""
    k_shear = 1 + (k - 1) / 5
    axial, hoop, shear = (x * value for value in stage.half)
    few = required(place) < 1e4
    amplitude = severity_mpa(k * axial, k * hoop, k_shear * shear, few)
    own = x * k * (stage.mean[0] + stage.mean[1])
    return amplitude, max(own + place.steady[0] + place.steady[1], 0.0)


def reserve(place: Place, stage: Stage, x: float, cycles: float, k: float, surface: float) -> float:
    """Return strength over amplitude at a life."""
    amplitude, mean = amplitude_and_mean(place, stage, x, k)
    if amplitude == 0:
        return math.inf
    ratio = (mean - amplitude) / (mean + amplitude)
    strength = strength_mpa(place.row, cycles, ratio, place.ultimate_mpa / place.reliability)
    return surface * place.reliability * strength / amplitude


def root(falling: Callable[[float], float], low: float, high: float) -> float:
    """Return where a falling function is 1, by halving, between two logarithms to base 10."""
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if falling(10**middle) > 1 else (low, middle)
    return 10 ** ((low + high) / 2)


def stage_life(place: Place, stage: Stage, x: float) -> float:
    """Return the life of one stage at x times the loads, middle factors."""

    def left(cycles: float) -> float:
        k = clamp_factor(place.c[1], cycles) if place.c else 1.0
        return reserve(place, stage, x, cycles, k, 1.0 if place.c else place.surface[1])

    return root(left, 0.0, 25.0)


def life(place: Place, x: float) -> float:
    """Return the cycles of all stages at Miner's sum 1, at x times the loads."""
    worn = sum(stage.cycles / stage_life(place, stage, x) for stage in place.stages)
    return required(place) / worn


def middle_factor(place: Place) -> float:
    """Return the multiple of the loads that lives the cycles required."""
    n = required(place)
    if len(place.stages) > 1:
        return root(lambda x: life(place, x) / n, -2.0, 2.0)
    k = clamp_factor(place.c[1], n) if place.c else 1.0
    surface = 1.0 if place.c else place.surface[1]
    return root(lambda x: reserve(place, place.stages[0], x, n, k, surface), -2.0, 2.0)


def bands(place: Place, stage: Stage) -> tuple[float, float]:
    """Return the logarithms h_low, h_high of one stage, at the loads as they are."""
    n, x = required(place), 1.0
    k = [clamp_factor(c, n) if place.c else 1.0 for c in place.c or SURFACE]
    f = (1.0, 1.0, 1.0) if place.c else place.surface
    log = math.log10
    ratio = stress_ratio(place, stage, x, k[1])
    lived = (n * place.scatter, n, n / place.scatter)
    scatter = [strength_mpa(place.row, n, ratio, place.ultimate_mpa) for n in lived]
    amplitude = [amplitude_and_mean(place, stage, x, each)[0] for each in k]
    worse = [log(amplitude[2] / amplitude[1]), log(f[1] / f[0])]
    better = [log(amplitude[1] / amplitude[0]), log(f[2] / f[1])]
    low = math.hypot(log(scatter[1] / scatter[0]), *worse, place.g[0])
    high = math.hypot(log(scatter[2] / scatter[1]), *better, place.g[1])
    return low, high


def stress_ratio(place: Place, stage: Stage, x: float, k: float) -> float:
    """Return R of a stage."""
    amplitude, mean = amplitude_and_mean(place, stage, x, k)
    return (mean - amplitude) / (mean + amplitude)


def factors(place: Place, ruling: int = 0) -> Three:
    """Return the multiples low, middle, high; bands are those of the ruling stage."""
    low, high = bands(place, place.stages[ruling])
    middle = middle_factor(place)
    return middle * 10**-low, middle, middle * 10**high


def lives(place: Place, ruling: int = 0) -> Three:
    """Return the lives low, middle, high."""
    low, high = bands(place, place.stages[ruling])
    return life(place, 10**low), life(place, 1.0), life(place, 10**-high)
