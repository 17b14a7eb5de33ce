"""A material of the user's own, from plain values, with every mistake named at once."""

from collections.abc import Iterable, Mapping
from typing import Any

from geometry.errors import InputError, Problem
from geometry.given_curve import curve_problems
from geometry.limits import Range, number_problem, unknown_name
from geometry.material import Hardening, Material
from geometry.source import KINDS, Source

LIMITS: dict[str, Range] = {
    "youngs_modulus_mpa": Range(
        1e3, 1e6, "MPa", "give Young's modulus in MPa, for example 68300 for aluminium"
    ),
    "poisson_ratio": Range(
        0, 0.5, "", "give Poisson's ratio, for example 0.33 for aluminium", below=True
    ),
    "density_kg_m3": Range(
        0, 1e5, "kg/m3", "give the density in kg/m3, for example 2713 for aluminium", above=True
    ),
    "proof_stress_mpa": Range(
        0, 1e5, "MPa", "give the 0.2 % proof stress in MPa, for example 241", above=True
    ),
    "ultimate_stress_mpa": Range(
        0, 1e5, "MPa", "give the tensile strength in MPa, for example 290", above=True
    ),
    "elongation_percent": Range(
        0, 1e3, "%", "give the elongation at fracture in percent, or leave it out", above=True
    ),
    "ramberg_osgood_n": Range(
        1, 1e3, "", "give the exponent n, for example 20, or leave it out", above=True
    ),
    "tangent_modulus_mpa": Range(
        0, 1e6, "MPa", "give the slope past yield, 0 for a perfectly plastic metal, or leave it out"
    ),
}
"""Physical and plausible limits of each number that a user may give."""

REQUIRED = tuple(LIMITS)[:5]
OPTIONAL = ("elongation_percent", "tangent_modulus_mpa")
CURVES = ("engineering", "true")
KEYS = (*LIMITS, "stress_strain", "source", "curve", "title")
SOURCE_KEYS = ("kind", "reference", "locator")


def material_from_table(table: Mapping[str, object], material_id: str = "own") -> Material:
    """Return the material that a table of plain values describes.

    Args:
        table: `youngs_modulus_mpa`, `poisson_ratio`, `density_kg_m3`, `proof_stress_mpa`,
            `ultimate_stress_mpa`, `source` (kind, reference, optional locator); optional
            `elongation_percent`, `ramberg_osgood_n`, `curve` ("engineering" or "true"),
            `stress_strain` (pairs of total strain and stress in MPa) or `tangent_modulus_mpa`,
            `title`. A key with the value None counts as left out.
        material_id: The id that results name.

    Raises:
        InputError: With a problem for each value that is missing, unknown or beyond its limit.
    """
    given: dict[str, Any] = {key: value for key, value in table.items() if value is not None}
    problems = (*_key_problems(given), *_value_problems(given), *_source_problems(given))
    if problems:
        raise InputError(*problems)
    source = Source(**given["source"])
    exponent = given.get("ramberg_osgood_n")
    return Material(
        id=material_id,
        title=given.get("title", material_id),
        **_numbers(given),
        source=source,
        hardening=None if exponent is None else Hardening(exponent, exponent, source),
        curve=given.get("curve", "engineering"),
        stress_strain=tuple((float(e), float(s)) for e, s in given.get("stress_strain", ())),
    )


def material_problems(material: Material) -> tuple[Problem, ...]:
    """Return what is wrong with the numbers of a material record; empty when all are possible."""
    given: dict[str, Any] = {key: getattr(material, key) for key in REQUIRED}
    given |= {key: value for key in OPTIONAL if (value := getattr(material, key)) is not None}
    if material.stress_strain:
        given["stress_strain"] = material.stress_strain
    problems = _value_problems({**given, "curve": material.curve})
    exponents = _exponents(material)
    found = (number_problem(key, n, LIMITS["ramberg_osgood_n"]) for key, n in exponents)
    return (*problems, *(problem for problem in found if problem))


def _numbers(given: Mapping[str, Any]) -> dict[str, Any]:
    return {key: float(given[key]) for key in (*REQUIRED, *OPTIONAL) if key in given}


def _exponents(material: Material) -> tuple[tuple[str, float], ...]:
    if material.hardening is None:
        return ()
    return (
        ("hardening.tension_n", material.hardening.tension_n),
        ("hardening.compression_n", material.hardening.compression_n),
    )


def _key_problems(given: Mapping[str, Any]) -> Iterable[Problem]:
    """Yield the keys that are unknown and those that are missing."""
    for key in given:
        if key not in KEYS:
            yield unknown_name(key, "material value", key, KEYS)
    for key in REQUIRED:
        if key not in given:
            yield Problem(key, f"is missing; {LIMITS[key].remedy}")


def _value_problems(given: Mapping[str, Any]) -> Iterable[Problem]:
    """Yield the values that are no number, impossible, or impossible together."""
    found = {key: number_problem(key, given[key], LIMITS[key]) for key in LIMITS if key in given}
    yield from (problem for problem in found.values() if problem)
    possible = {key: given[key] for key, problem in found.items() if problem is None}
    proof, ultimate = possible.get("proof_stress_mpa"), possible.get("ultimate_stress_mpa")
    if proof is not None and ultimate is not None and ultimate < proof:
        yield Problem(
            "ultimate_stress_mpa",
            f"is {ultimate:g} MPa but must be at least the proof stress of {proof:g} MPa; "
            "exchange or correct the two",
        )
    if given.get("curve", "engineering") not in CURVES:
        yield unknown_name("curve", "kind of stress-strain curve", given["curve"], CURVES)
    elif "tangent_modulus_mpa" in possible or "tangent_modulus_mpa" not in given:
        curve = {key: given[key] for key in ("stress_strain", "curve") if key in given}
        yield from curve_problems({**possible, **curve})


def _source_problems(given: Mapping[str, Any]) -> Iterable[Problem]:
    source = given.get("source")
    if not isinstance(source, Mapping):
        yield Problem(
            "source", 'is missing; write source = {kind = "measured", reference = "who, where"}'
        )
        return
    for key in source:
        if key not in SOURCE_KEYS:
            yield unknown_name(f"source.{key}", "part of a source", key, SOURCE_KEYS)
    if source.get("kind") not in KINDS:
        yield unknown_name("source.kind", "kind of source", source.get("kind"), KINDS)
    if not isinstance(source.get("reference"), str) or not source["reference"]:
        yield Problem("source.reference", "is missing; say where the values come from")
