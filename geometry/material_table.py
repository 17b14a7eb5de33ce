"""A material of the user's own, from plain values, with every mistake named at once."""

from collections.abc import Iterator, Mapping
from typing import Any, get_args

from geometry.errors import InputError, Problem
from geometry.given_curve import curve_problems
from geometry.limits import Range, number_problem, unknown_name
from geometry.material import CurveKind, Hardening, Material
from geometry.source import Source

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
NUMBERS = (*REQUIRED, "elongation_percent", "tangent_modulus_mpa")
CURVES: tuple[CurveKind, ...] = get_args(CurveKind)


def material_from_table(table: Mapping[str, Any], material_id: str = "own") -> Material:
    """Return the material that a table of plain values describes.

    Args:
        table: `youngs_modulus_mpa`, `poisson_ratio`, `density_kg_m3`, `proof_stress_mpa`,
            `ultimate_stress_mpa`, `source` (kind, reference, optional locator); optional
            `elongation_percent`, `ramberg_osgood_n`, `curve` ("engineering" or "true"),
            `stress_strain` (pairs of total strain and stress in MPa) or `tangent_modulus_mpa`,
            `title`. A key with the value None counts as left out.
        material_id: The id that results name.

    Raises:
        InputError: With a problem for each value that is missing or beyond its limit.
    """
    given: dict[str, Any] = {key: value for key, value in table.items() if value is not None}
    problems = (*_missing(given), *value_problems(given))
    if problems:
        raise InputError(*problems)
    source = Source(**given["source"])
    numbers: dict[str, Any] = {key: float(given[key]) for key in NUMBERS if key in given}
    exponent = given.get("ramberg_osgood_n")
    return Material(
        id=material_id,
        title=given.get("title", material_id),
        **numbers,
        source=source,
        hardening=None if exponent is None else Hardening(exponent, exponent, source),
        curve=given.get("curve", "engineering"),
        stress_strain=tuple((float(e), float(s)) for e, s in given.get("stress_strain", ())),
    )


def material_problems(material: Material) -> tuple[Problem, ...]:
    """Return what is wrong with the numbers of a material record; empty when all are possible."""
    held = {key: getattr(material, key) for key in (*NUMBERS, "curve", "stress_strain")}
    given = {key: value for key, value in held.items() if value not in (None, ())}
    limits, known = MATERIAL_LIMITS["ramberg_osgood_n"], material.hardening
    names = ("tension_n", "compression_n") if known else ()
    found = (number_problem(f"hardening.{name}", getattr(known, name), limits) for name in names)
    return (*value_problems(given), *(problem for problem in found if problem))


def value_problems(given: Mapping[str, Any]) -> tuple[Problem, ...]:
    """Return the values that are no number, impossible, or impossible together."""
    found = {
        key: number_problem(key, given[key], limits)
        for key, limits in MATERIAL_LIMITS.items()
        if key in given
    }
    possible = {key: given[key] for key, problem in found.items() if problem is None}
    problems = [problem for problem in found.values() if problem]
    return (*problems, *_strength_problems(possible), *_curve_problems(given, possible))


def _missing(given: Mapping[str, Any]) -> Iterator[Problem]:
    for key in REQUIRED:
        if key not in given:
            yield Problem(key, f"is missing; {MATERIAL_LIMITS[key].remedy}")
    if "source" not in given:
        sentence = 'is missing; write source = {kind = "measured", reference = "who, where"}'
        yield Problem("source", sentence)


def _strength_problems(possible: Mapping[str, float]) -> Iterator[Problem]:
    proof, ultimate = possible.get("proof_stress_mpa"), possible.get("ultimate_stress_mpa")
    if proof is not None and ultimate is not None and ultimate < proof:
        sentence = (
            f"is {ultimate:g} MPa but must be at least the proof stress of {proof:g} MPa; "
            "exchange or correct the two"
        )
        yield Problem("ultimate_stress_mpa", sentence)


def _curve_problems(given: Mapping[str, Any], possible: Mapping[str, float]) -> Iterator[Problem]:
    if given.get("curve", "engineering") not in CURVES:
        yield unknown_name("curve", "kind of stress-strain curve", given["curve"], CURVES)
    elif "tangent_modulus_mpa" in possible or "tangent_modulus_mpa" not in given:
        curve = {key: given[key] for key in ("stress_strain", "curve") if key in given}
        yield from curve_problems({**possible, **curve})
