"""The stress-strain curve of a metal, after Ramberg and Osgood, and what follows from it.

Source: MIL-HDBK-5J, equation 1.3.9: strain = f/E + 0.002 (f/F02)^n, the same in tension and
compression here but for n. The curve is read as it stands: no difference is made between
engineering and true stress, which at strains below 5 % is less than 5 % of the strain.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from geometry.errors import SolveError
from geometry.material import Material
from geometry.source import Source

OFFSET = 0.002
ELONGATION, EXPONENTS = 0.08, (5.0, 60.0)
MOST_ROUNDS = 60
ROUND_OFF, TINY_MPA = 1e-13, 1e-100


@dataclass(frozen=True)
class Curve:
    """A Ramberg-Osgood curve.

    Attributes:
        youngs_modulus_mpa: E.
        poisson_ratio: Elastic.
        proof_stress_mpa: F02.
        exponent_n: n.
    """

    youngs_modulus_mpa: float
    poisson_ratio: float
    proof_stress_mpa: float
    exponent_n: float


def curve_of(material: Material, sense: Literal["tension", "compression"] = "compression") -> Curve:
    """Return the curve of a material; an exponent that is not known is estimated."""
    hardening = material.hardening
    if hardening is None:
        n = estimated_exponent(material)
    else:
        n = hardening.tension_n if sense == "tension" else hardening.compression_n
    return Curve(material.youngs_modulus_mpa, material.poisson_ratio, material.proof_stress_mpa, n)


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


def strain_at(curve: Curve, stress_mpa: Floats) -> Floats:
    """Return the strain (...,) at a stress (...,), odd in its sign."""
    size = np.abs(stress_mpa)
    plastic = OFFSET * (size / curve.proof_stress_mpa) ** curve.exponent_n
    result: Floats = np.sign(stress_mpa) * (size / curve.youngs_modulus_mpa + plastic)
    return result


def tangent_modulus_mpa(curve: Curve, stress_mpa: Floats) -> Floats:
    """Return the slope of the curve (...,) at a stress (...,)."""
    n, proof = curve.exponent_n, curve.proof_stress_mpa
    plastic = OFFSET * n / proof * (np.abs(stress_mpa) / proof) ** (n - 1)
    result: Floats = 1 / (1 / curve.youngs_modulus_mpa + plastic)
    return result


def secant_modulus_mpa(curve: Curve, stress_mpa: Floats) -> Floats:
    """Return stress over strain (...,) at a stress (...,), E at zero."""
    n, proof = curve.exponent_n, curve.proof_stress_mpa
    plastic = OFFSET / proof * (np.abs(stress_mpa) / proof) ** (n - 1)
    result: Floats = 1 / (1 / curve.youngs_modulus_mpa + plastic)
    return result


def stress_at(curve: Curve, strain: Floats) -> Floats:
    """Return the stress (...,) at a strain (...,), odd in its sign.

    Newton on the convex function strain(stress) from above, where it never overshoots.

    Raises:
        SolveError: It does not settle, as where a strain is not a number.
    """
    size = np.abs(np.asarray(strain, dtype=float))
    stress = _upper_bound_mpa(curve, size)
    for _ in range(MOST_ROUNDS):
        step = (strain_at(curve, stress) - size) * tangent_modulus_mpa(curve, stress)
        stress = np.maximum(stress - step, 0.0)
        if np.all(np.abs(step) <= ROUND_OFF * (stress + 1e-300)):
            return np.asarray(np.sign(strain) * stress)
    msg = f"the stress at a strain of up to {np.max(size):.3g} cannot be found on the curve"
    raise SolveError(msg)


def neuber_strain(curve: Curve, linear_mpa: Floats) -> Floats:
    """Return the strain (...,) where stress times strain is linear stress squared over E.

    Source: Neuber, J. Appl. Mech. 28 (1961) 544-550; from memory, unverified. For a local peak
    that its surroundings hold.
    """
    size = np.abs(np.asarray(linear_mpa, dtype=float))
    n, proof = curve.exponent_n, curve.proof_stress_mpa
    goal = size**2 / curve.youngs_modulus_mpa
    # from above: neither the elastic nor the plastic part of the strain alone may exceed the goal
    stress = np.minimum(size, proof * (goal / (OFFSET * proof)) ** (1 / (n + 1)))
    # ln(stress strain) is increasing and nearly straight in ln(stress)
    for _ in range(MOST_ROUNDS):
        strain = strain_at(curve, stress)
        slope = 1 + stress / np.maximum(strain, 1e-300) / tangent_modulus_mpa(curve, stress)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = np.where(size > TINY_MPA, np.log(stress * strain / goal) / slope, 0.0)
        stress = stress * np.exp(-step)
        if np.all(np.abs(step) <= ROUND_OFF):
            return np.asarray(np.sign(linear_mpa) * strain_at(curve, stress))
    msg = f"Neuber's rule has no strain for a linear stress of up to {np.max(size):.4g} MPa"
    raise SolveError(msg)


def _upper_bound_mpa(curve: Curve, strain: Floats) -> Floats:
    elastic = curve.youngs_modulus_mpa * strain
    plastic = curve.proof_stress_mpa * (strain / OFFSET) ** (1 / curve.exponent_n)
    return np.asarray(np.minimum(elastic, plastic))
