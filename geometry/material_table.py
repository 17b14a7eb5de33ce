"""What the numbers of a material must obey, with every mistake named at once."""

from collections.abc import Iterator, Set
from typing import get_args

from geometry.errors import InputError, Problem
from geometry.given_curve import curve_problems
from geometry.limits import Range, limit_problems, unknown_name
from geometry.material import CurveKind, Material

MATERIAL_LIMITS: dict[str, Range] = {
    "youngs_modulus_mpa": Range(
        1e3, 1e6, "MPa", "give Young's modulus in MPa, for example 68300 for aluminium"
    ),
    "poisson_ratio": Range(0, 0.49, "", "give Poisson's ratio, for example 0.33 for aluminium"),
    "density_kg_m3": Range(
        500, 25_000, "kg/m3", "give the density in kg/m3, for example 2713 for aluminium"
    ),
    "proof_stress_mpa": Range(
        1, 5000, "MPa", "give the 0.2 % proof stress in MPa, for example 241"
    ),
    "ultimate_stress_mpa": Range(
        1, 5000, "MPa", "give the tensile strength in MPa, for example 290"
    ),
    "elongation_percent": Range(
        0, 100, "%", "give the elongation at fracture in percent, or leave it out", above=True
    ),
    "ramberg_osgood_n": Range(2, 200, "", "give the exponent n, for example 20, or leave it out"),
    "tangent_modulus_mpa": Range(
        0, 5e5, "MPa", "give the slope past yield, 0 for a perfectly plastic metal, or leave it out"
    ),
}
"""Plausible limits of each number that a user may give.

Poisson's ratio ends at 0.49: the element has displacements alone, and its stiffness grows without
limit towards 0.5; no structural metal lies beyond 0.45.
"""

REQUIRED = tuple(MATERIAL_LIMITS)[:5]
EXPONENT = "ramberg_osgood_n"
CURVES: tuple[CurveKind, ...] = get_args(CurveKind)


def material_problems(material: Material) -> tuple[Problem, ...]:
    """Return the values that are no number, impossible, or impossible together; empty for none."""
    known, limits = material.hardening, dict(MATERIAL_LIMITS)
    exponents = dict.fromkeys(("tension_n", "compression_n"), limits.pop(EXPONENT))
    found = limit_problems(material, limits)
    wrong = {problem.field for problem in found}
    hardening = InputError(*(limit_problems(known, exponents) if known else ())).within("hardening")
    return (
        *found,
        *hardening.problems,
        *_strength_problems(material, wrong),
        *_curve_problems(material, wrong),
    )


def _strength_problems(material: Material, wrong: Set[str]) -> Iterator[Problem]:
    proof, ultimate = material.proof_stress_mpa, material.ultimate_stress_mpa
    if not wrong & {"proof_stress_mpa", "ultimate_stress_mpa"} and ultimate < proof:
        sentence = (
            f"is {ultimate:g} MPa but must be at least the proof stress of {proof:g} MPa; "
            "exchange or correct the two"
        )
        yield Problem("ultimate_stress_mpa", sentence)


def _curve_problems(material: Material, wrong: Set[str]) -> Iterator[Problem]:
    if material.curve not in CURVES:
        yield unknown_name("curve", "kind of stress-strain curve", material.curve, CURVES)
    elif "tangent_modulus_mpa" not in wrong:
        keys = ("youngs_modulus_mpa", "proof_stress_mpa", "tangent_modulus_mpa")
        given = {key: getattr(material, key) for key in keys if key not in wrong}
        points = material.stress_strain or None
        yield from curve_problems({**given, "stress_strain": points, "curve": material.curve})
