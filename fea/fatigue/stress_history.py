"""Stress history of a spectrum of repeated loads on the planes through surface places.

A free surface is in plane stress: axial, hoop and their shear. Cracks are taken to open under
the normal stress on one of 36 fixed planes normal to the surface, so that the damage of
different loads adds up only where they act on the same plane. The criterion suits bending,
where one principal stress dominates. In torsion it is unconservative for a ductile metal: a shear
amplitude may equal the bending amplitude, while tests give about 0.58 of it (von Mises; from
memory, unverified).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.errors import InputError, Problem, refuse
from geometry.limits import Range, number_problem

PLANES_DEG: Floats = np.arange(0.0, 180.0, 5.0)
"""(K,) angle of each plane's normal from the axial towards the hoop direction."""

NEGLIGIBLE_SHARE = 0.05
"""A plane whose amplitude is below this share of the largest of all is negligible."""

ZERO_MPA = 1e-6
"""An amplitude of no more than this is rounding."""

_CYCLES = Range(0, unit="cycles", remedy="give the number of cycles of the stage", above=True)


@dataclass(frozen=True, eq=False)
class Stage:
    """A cycle between two stress states, and its number of cycles.

    Attributes:
        first_mpa: (P, 3) axial, hoop and axial-hoop shear stress at one end of the cycle,
            of the repeated loads alone, without the steady stress.
        second_mpa: (P, 3) the same at the other end; minus the first for a reversed load.
        cycles: Number of cycles in one repetition of the spectrum.
    """

    first_mpa: Floats
    second_mpa: Floats
    cycles: float


@dataclass(frozen=True, eq=False)
class CyclicStress:
    """A spectrum at P surface places, as half ranges and means; see `cyclic_stress`.

    Attributes:
        half_range_mpa: (S, P, 3) half the signed difference of the ends of each stage.
        mean_mpa: (S, P, 3) mean of the ends of each stage.
        steady_mpa: (P, 3) constant stress.
        cycles: (S,) cycles of each stage in one repetition.
        negligible_mpa: Amplitude below which a plane is neglected.
    """

    half_range_mpa: Floats
    mean_mpa: Floats
    steady_mpa: Floats
    cycles: Floats
    negligible_mpa: float


def cyclic_stress(
    stages: Sequence[Stage], steady_mpa: Floats | None = None, kf: Floats | None = None
) -> CyclicStress:
    """Return the spectrum of some stages.

    Args:
        stages: At least one, all at the same P places.
        steady_mpa: (P, 3) stress of a preload, None for none.
        kf: (P,) fatigue notch factors, at least 1, None for 1 everywhere. They multiply the cyclic
            part and its mean due to the repeated loads, not the steady stress, which yielding at
            the notch relieves. Give 1 at a rigid clamp's edge, whose stress is singular already.

    Source: half range and mean by definition.

    Raises:
        InputError: Shapes that do not fit, a number that is not finite, a factor below 1.
    """
    if not stages:
        raise refuse("stages", "holds no stage; give at least one")
    shape = np.shape(stages[0].first_mpa)
    steady = np.zeros(shape) if steady_mpa is None else steady_mpa
    factors = np.ones(shape[:1]) if kf is None else kf
    _check(stages, steady, factors)
    first = np.array([stage.first_mpa for stage in stages], dtype=float)
    second = np.array([stage.second_mpa for stage in stages], dtype=float)
    half_range = (first - second) / 2 * factors[:, None]
    return CyclicStress(
        half_range_mpa=half_range,
        mean_mpa=(first + second) / 2 * factors[:, None],
        steady_mpa=np.asarray(steady, dtype=float),
        cycles=np.array([stage.cycles for stage in stages], dtype=float),
        negligible_mpa=NEGLIGIBLE_SHARE * _largest_amplitude_mpa(half_range),
    )


def scaled(cyclic: CyclicStress, factor: float) -> CyclicStress:
    """Return the spectrum with all repeated loads multiplied, the steady stress unchanged."""
    return replace(
        cyclic,
        half_range_mpa=factor * cyclic.half_range_mpa,
        mean_mpa=factor * cyclic.mean_mpa,
        negligible_mpa=factor * cyclic.negligible_mpa,
    )


def at_places(cyclic: CyclicStress, places: Ints) -> CyclicStress:
    """Return the spectrum at `places` (p,), indices, with the same threshold `negligible_mpa`."""
    return replace(
        cyclic,
        half_range_mpa=cyclic.half_range_mpa[:, places],
        mean_mpa=cyclic.mean_mpa[:, places],
        steady_mpa=cyclic.steady_mpa[places],
    )


def on_planes_mpa(stress_mpa: Floats) -> Floats:
    """Return (..., K) signed normal stress in MPa on each of K planes, of `stress_mpa` (..., 3).

    Source: plane stress, sx cos^2 + sy sin^2 + 2 txy sin cos, textbook.
    """
    angle = np.radians(PLANES_DEG)
    cos, sin = np.cos(angle), np.sin(angle)
    result: Floats = stress_mpa @ np.stack([cos**2, sin**2, 2 * sin * cos])
    return result


def amplitude_and_mean_mpa(cyclic: CyclicStress, stage: int) -> tuple[Floats, Floats]:
    """Return (P, K) amplitude and mean of the normal stress in a stage, MPa, both at least 0.

    A compressive mean counts as zero: its benefit is neglected.

    Source: half range and mean by definition; planes by `on_planes_mpa`.
    """
    amplitude = np.abs(on_planes_mpa(cyclic.half_range_mpa[stage]))
    mean = on_planes_mpa(cyclic.mean_mpa[stage] + cyclic.steady_mpa)
    return amplitude, np.maximum(mean, 0.0)


def largest_amplitude_mpa(cyclic: CyclicStress) -> float:
    """Return the largest amplitude over all stages, places and planes."""
    return _largest_amplitude_mpa(cyclic.half_range_mpa)


def shear_share(cyclic: CyclicStress, stage: int, place: int) -> float:
    """Return the ratio of the von Mises amplitude to the largest normal one, at one place.

    1 under one principal stress, 1.73 in torsion; 1 where no stress varies.

    Source: von Mises in plane stress, textbook.
    """
    axial, hoop, shear = cyclic.half_range_mpa[stage, place]
    normal = float(np.abs(on_planes_mpa(cyclic.half_range_mpa[stage, place])).max())
    mises = float(np.sqrt(axial**2 + hoop**2 - axial * hoop + 3 * shear**2))
    return mises / normal if normal > 0 else 1.0


def _largest_amplitude_mpa(half_range_mpa: Floats) -> float:
    # stage by stage: all planes of all stages at once may not fit in memory
    return max(float(np.abs(on_planes_mpa(stage)).max()) for stage in half_range_mpa)


def _check(stages: Sequence[Stage], steady: Floats, kf: Floats) -> None:
    places = len(kf)
    problems = [*_shape_problems("steady_mpa", steady, (places, 3))]
    for index, stage in enumerate(stages):
        for name in ("first_mpa", "second_mpa"):
            values = getattr(stage, name)
            problems += _shape_problems(f"stages[{index}].{name}", values, (places, 3))
        found = number_problem(f"stages[{index}].cycles", stage.cycles, _CYCLES)
        problems += [found] if found else []
    problems += _shape_problems("kf", kf, np.shape(stages[0].first_mpa)[:1])
    if np.any(kf < 1):
        problems.append(Problem("kf", f"has {np.min(kf):g} but must be at least 1; use 1"))
    if problems:
        raise InputError(*problems)


def _shape_problems(field: str, values: Floats, shape: tuple[int, ...]) -> list[Problem]:
    if np.shape(values) != shape or not np.size(values):
        sentence = f"has the shape {np.shape(values)} but must have {shape}, one row a place"
        return [Problem(field, f"{sentence}; correct it")]
    if not np.isfinite(values).all():
        return [Problem(field, "has a number that is not finite; correct it")]
    return []
