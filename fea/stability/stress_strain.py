"""The Ramberg-Osgood curve e = f/E + 0.002 (f/F02)^n and its moduli and inverse.

One curve serves stress and strain of either sign: every function is odd (a modulus even). It
holds for the first loading, without unloading. Whether stress and strain are engineering or true
ones is the material's own statement (`Material.curve`); nothing here converts between them.

Source: MIL-HDBK-5J, equation 1.3.9.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from geometry.errors import SolveError, refuse
from geometry.limits import Range, number_problem
from geometry.material import Material
from geometry.source import Source

OFFSET = 0.002
"""Plastic strain at the proof stress."""

LARGEST_STRAIN = 1e100
"""A stress whose strain would be larger is refused: the number would overflow unseen."""

ELASTIC_MPA = 1e-200
"""Below it a strain is elastic at once: its reciprocal may overflow."""

ELONGATION, EXPONENTS = 0.08, (5.0, 60.0)
"""What an unknown elongation is taken as, and the range of estimated exponents."""

ITERATIONS = 100
TIGHT = 4 * np.finfo(np.float64).eps

Sense = Literal["tension", "compression"]

LIMITS = {
    "youngs_modulus_mpa": Range(0.0, unit="MPa", above=True),
    "poisson_ratio": Range(0.0, 0.5),
    "proof_stress_mpa": Range(0.0, unit="MPa", above=True),
    "exponent_n": Range(1.0, 1e4, remedy="give n, for example 20"),
}


@dataclass(frozen=True)
class Curve:
    """A Ramberg-Osgood curve of a metal that is isotropic and elastic inside it.

    Attributes:
        youngs_modulus_mpa: E.
        poisson_ratio: Elastic Poisson's ratio, 0 to 0.5.
        proof_stress_mpa: F02, at a plastic strain of 0.002.
        exponent_n: n, 1 to 10 000.

    Raises:
        InputError: A value lies outside these limits.
    """

    youngs_modulus_mpa: float
    poisson_ratio: float
    proof_stress_mpa: float
    exponent_n: float

    def __post_init__(self) -> None:
        """Refuse values beyond the limits."""
        for field, limits in LIMITS.items():
            problem = number_problem(field, getattr(self, field), limits)
            if problem:
                raise refuse(problem.field, problem.sentence)


def curve_of(material: Material, sense: Sense = "compression") -> Curve:
    """Return the curve of a material in tension or compression.

    The proof stress of the catalogue is that in tension; it is used for both senses. An exponent
    that is not known is estimated: `curve_source` says so.

    Raises:
        InputError: The sense is neither.
    """
    if sense not in ("tension", "compression"):
        raise refuse("sense", f"is {sense!r}; use 'tension' or 'compression'")
    hardening = material.hardening
    if hardening is None:
        n = estimated_exponent(material)
    else:
        n = hardening.tension_n if sense == "tension" else hardening.compression_n
    E, nu = material.youngs_modulus_mpa, material.poisson_ratio
    return Curve(E, nu, material.proof_stress_mpa, n)


def curve_source(material: Material) -> Source:
    """Return where the exponent of a material's curve comes from."""
    if material.hardening:
        return material.hardening.source
    known = "its elongation" if material.elongation_percent else f"{ELONGATION:.0%} elongation"
    return Source("derived", f"exponent estimated from proof stress, tensile strength and {known}")


def estimated_exponent(material: Material) -> float:
    """Return n of the curve through the proof stress and the tensile strength at its elongation.

    Where the elongation is not known 8 % is taken. A ratio of strengths near one would make the
    curve a corner, so n is kept within 5 to 60.

    Source: two points on MIL-HDBK-5J equation 1.3.9.
    """
    stretch = (material.elongation_percent or 100 * ELONGATION) / 100
    ratio = material.ultimate_stress_mpa / material.proof_stress_mpa
    low, high = EXPONENTS
    n = np.log(max(stretch, 2 * OFFSET) / OFFSET) / np.log(max(ratio, 1.001))
    return float(np.clip(n, low, high))


def strain_at(curve: Curve, stress_mpa: Floats | float) -> Floats:
    """Return the strain (no unit), shape and sign of `stress_mpa`.

    Raises:
        InputError: A stress is not finite, or its strain is beyond `LARGEST_STRAIN`.

    Source: MIL-HDBK-5J, equation 1.3.9.
    """
    stress = np.asarray(stress_mpa, dtype=np.float64)
    return np.asarray(stress * inverse_secant_per_mpa(curve, stress))


def tangent_modulus_mpa(curve: Curve, stress_mpa: Floats | float) -> Floats:
    """Return the slope of the curve in MPa, shape of `stress_mpa`.

    Raises:
        InputError: As `strain_at`.

    Source: the derivative of MIL-HDBK-5J, equation 1.3.9.
    """
    return np.asarray(1.0 / inverse_tangent_per_mpa(curve, stress_mpa))


def inverse_secant_per_mpa(curve: Curve, stress_mpa: Floats | float) -> Floats:
    """Return 1/Es in 1/MPa, shape of `stress_mpa`; limits as `strain_at`.

    Source: the secant of MIL-HDBK-5J, equation 1.3.9.
    """
    return np.asarray(1.0 / curve.youngs_modulus_mpa + _plastic_per_mpa(curve, stress_mpa))


def inverse_tangent_per_mpa(curve: Curve, stress_mpa: Floats | float) -> Floats:
    """Return 1/Et in 1/MPa, shape of `stress_mpa`; limits as `strain_at`.

    Source: the derivative of MIL-HDBK-5J, equation 1.3.9.
    """
    plastic = curve.exponent_n * _plastic_per_mpa(curve, stress_mpa)
    return np.asarray(1.0 / curve.youngs_modulus_mpa + plastic)


def stress_at(curve: Curve, strain: Floats | float) -> Floats:
    """Return the stress in MPa, shape and sign of `strain`, to rounding.

    Newton's method from the smaller of the elastic and the plastic bound: there the curve's strain
    is too large, and it is convex in stress, so every step falls and none passes the root.

    Source: MIL-HDBK-5J, equation 1.3.9, inverted by Newton's method.

    Raises:
        InputError: A strain is not finite, or beyond `LARGEST_STRAIN`.
        SolveError: The steps do not shrink to rounding.
    """
    strain = np.asarray(strain, dtype=np.float64)
    if not np.all(np.abs(strain) <= LARGEST_STRAIN):
        raise refuse("strain", f"must be finite and at most {LARGEST_STRAIN:g}; correct it")
    size = np.abs(strain)
    elastic = 1.0 / curve.youngs_modulus_mpa
    bound = curve.proof_stress_mpa * (size / OFFSET) ** (1.0 / curve.exponent_n)
    start = np.minimum(size / elastic, bound)

    def step(stress: Floats) -> Floats:
        plastic = _plastic_per_mpa(curve, stress)
        over = stress * (elastic + plastic) - size
        return np.asarray(over / (elastic + curve.exponent_n * plastic))

    return np.copysign(_descended(start, step), strain)


def neuber_strain(curve: Curve, linear_stress_mpa: Floats | float) -> Floats:
    """Return the strain with stress * strain = linear stress^2 / E, sign of the input.

    `linear_stress_mpa` and the result have the same shape. An estimate of the strain at a local
    peak within elastic surroundings, for the first loading; it is no bound, and too low where the
    section as a whole yields.

    Raises:
        InputError: A linear stress is not finite, or as `strain_at`.
        SolveError: The steps do not shrink to rounding.

    Source: H. Neuber, J. Appl. Mech. 28 (1961) 544-550 (from memory, unverified).
    """
    linear = np.asarray(linear_stress_mpa, dtype=np.float64)
    if not np.all(np.isfinite(linear)):
        raise refuse("linear_stress_mpa", "is not a finite number; correct it")
    E, elastic = curve.youngs_modulus_mpa, np.abs(linear) < ELASTIC_MPA
    size = np.where(elastic, 1.0, np.abs(linear))  # any number, so as not to divide by nothing

    def step(stress: Floats) -> Floats:
        strain = stress * inverse_secant_per_mpa(curve, stress)
        over = stress / size * (E * strain) - size
        slope = E / size * (strain + stress * inverse_tangent_per_mpa(curve, stress))
        return np.asarray(over / slope)

    stress = _descended(_neuber_bound_mpa(curve, size), step)
    return np.where(elastic, linear / E, np.copysign(size / stress * (size / E), linear))


def _neuber_bound_mpa(curve: Curve, linear_mpa: Floats) -> Floats:
    """Return the smaller of the stresses by the elastic or the plastic strain alone.

    In logarithms, since (f/F02)^n of the linear stress may be too large a number.
    """
    E, F, n = curve.youngs_modulus_mpa, curve.proof_stress_mpa, curve.exponent_n
    plastic = (2 * np.log(linear_mpa) + n * np.log(F) - np.log(OFFSET * E)) / (n + 1)
    return np.asarray(np.minimum(linear_mpa, np.exp(plastic)))


def _descended(start: Floats, step: Callable[[Floats], Floats]) -> Floats:
    """Return `start` less Newton steps, until all of them are rounding."""
    stress = start
    for _ in range(ITERATIONS):
        by = step(stress)
        stress = stress - by
        if np.all(np.abs(by) <= TIGHT * np.abs(stress) + np.finfo(np.float64).tiny):
            return stress
    raise SolveError(
        f"stress_mpa: the curve was not inverted to rounding in {ITERATIONS} steps; "
        f"the largest last step was {np.max(np.abs(by)):.3g} MPa"
    )


def _plastic_per_mpa(curve: Curve, stress_mpa: Floats | float) -> Floats:
    """Return plastic strain over stress in 1/MPa, refused beyond `LARGEST_STRAIN`."""
    ratio = np.abs(np.asarray(stress_mpa, dtype=np.float64)) / curve.proof_stress_mpa
    n = curve.exponent_n
    greatest = (LARGEST_STRAIN / OFFSET) ** (1.0 / n)
    # a little more than the greatest, for stresses found from the greatest strain
    if not np.all(ratio <= greatest * (1 + 1e-9)):
        raise refuse(
            "stress_mpa",
            f"reaches {np.max(ratio):.4g} times the proof stress but must be finite and at most "
            f"{greatest:.4g} times, where the strain is {LARGEST_STRAIN:g}; lower the load",
        )
    return np.asarray(OFFSET / curve.proof_stress_mpa * ratio ** (n - 1.0))
