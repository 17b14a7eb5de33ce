"""A study with one input at the end of its interval, for the band of a path.

The curve past yield moves with the proof stress as a whole: plastic strain stays, stress is
multiplied. With the modulus only the elastic strain changes.
"""

from collections.abc import Iterator
from dataclasses import replace

from geometry.material import Material
from loadcases.case import PlacedCase
from loadcases.contact_points import ContactPoint
from loadcases.uncertainty import DEFAULT, FRICTION_TIMES, Input, Uncertainty, Variation
from studies.study_file.changes import Change
from studies.study_file.study import Study
from studies.study_file.variants import variant_of
from studies.study_file.wall_from_mass import station_paths, wall_from_mass

GIVEN, REMEMBERED, WEIGHED = "given by the study", "from memory", "mass of the specimen"
FRICTION = "none to twice, practice"


def variations_of(study: Study) -> tuple[Variation, ...]:
    """Return every input at the end of its interval, the clamp's stiffness at both.

    Raises:
        InputError: No wall gives the mass of the specimen.
    """
    return tuple(one for one in _variations(study) if one.factor != 1)


def varied_study(study: Study, variation: Variation) -> Study:
    """Return the study with an input changed.

    Raises:
        StudyError: The changed bar is not possible, such as a wall above the radius.
    """
    factor = variation.factor
    if variation.input == "wall":
        return variant_of(
            study, [Change(f"{one}.wall_mm", "factor", factor) for one in station_paths(study)]
        )
    if variation.input == "clamp stiffness":
        clamp = study.clamp
        return replace(
            study,
            clamp=replace(
                clamp,
                normal_n_per_mm3=factor * clamp.normal_n_per_mm3,
                tangential_n_per_mm3=factor * clamp.tangential_n_per_mm3,
            ),
        )
    if variation.input == "support friction":
        cases = tuple(_rubbing(placed, factor) for placed in study.cases)
        return replace(study, cases=cases)
    made = stronger if variation.input == "proof stress" else stiffer
    spec = study.bar.spec
    return replace(
        study, bar=replace(study.bar, spec=replace(spec, material=made(spec.material, factor)))
    )


def stronger(material: Material, factor: float) -> Material:
    """Return the metal with all stresses past yield multiplied, its plastic strains kept."""
    E, slope = material.youngs_modulus_mpa, material.tangent_modulus_mpa
    return replace(
        material,
        proof_stress_mpa=factor * material.proof_stress_mpa,
        ultimate_stress_mpa=factor * material.ultimate_stress_mpa,
        tangent_modulus_mpa=slope and _slope(E, factor * _plastic_slope(E, slope)),
        stress_strain=tuple(
            (strain + (factor - 1) * stress / E, factor * stress)
            for strain, stress in material.stress_strain
        ),
    )


def stiffer(material: Material, factor: float) -> Material:
    """Return the metal with Young's modulus multiplied, its plastic strains kept."""
    E, slope = material.youngs_modulus_mpa, material.tangent_modulus_mpa
    return replace(
        material,
        youngs_modulus_mpa=factor * E,
        tangent_modulus_mpa=slope and _slope(factor * E, _plastic_slope(E, slope)),
        stress_strain=tuple(
            (strain + stress * (1 / factor - 1) / E, stress)
            for strain, stress in material.stress_strain
        ),
    )


def _plastic_slope(E: float, slope_mpa: float) -> float:
    """Return the slope of stress over plastic strain of one over total strain."""
    return E * slope_mpa / (E - slope_mpa)


def _slope(E: float, plastic_mpa: float) -> float:
    """Return the slope of stress over total strain of one over plastic strain."""
    return E * plastic_mpa / (E + plastic_mpa)


def _variations(study: Study) -> Iterator[Variation]:
    given = study.uncertainty
    percent, evidence = _wall(study, given)
    yield Variation("wall", 1 + percent / 100, evidence)
    yield _of("proof stress", given.proof_stress_percent, DEFAULT.proof_stress_percent)
    yield _of("modulus", given.modulus_percent, DEFAULT.modulus_percent)
    if study.clamp.model == "elastic":
        times = given.clamp_stiffness_times or DEFAULT.clamp_stiffness_times or 1.0
        evidence = REMEMBERED if given.clamp_stiffness_times is None else GIVEN
        yield Variation("clamp stiffness", 1 / times, evidence)
        yield Variation("clamp stiffness", times, evidence)

    if any(point.friction for point in _contacts(study)):
        for times in FRICTION_TIMES:
            yield Variation("support friction", times, FRICTION)


def _contacts(study: Study) -> Iterator[ContactPoint]:
    return (point for placed in study.cases for one in placed.supports for point in one.points)


def _rubbing(placed: PlacedCase, factor: float) -> PlacedCase:
    """Return a case with the friction under all of its supports multiplied, at most 1."""
    supports = (
        replace(
            one,
            points=tuple(
                replace(point, friction=min(factor * point.friction, 1.0)) for point in one.points
            ),
        )
        for one in placed.supports
    )
    return replace(placed, supports=tuple(supports))


def _of(name: Input, given: float | None, default: float | None) -> Variation:
    percent, evidence = (default, REMEMBERED) if given is None else (given, GIVEN)
    return Variation(name, 1 + (percent or 0.0) / 100, evidence)


def _wall(study: Study, given: Uncertainty) -> tuple[float, str]:
    """Return within how many percent all walls are known.

    A weighed bar's walls are known as well as its mass gives them; where the file's are others,
    they are known no better than by that difference.
    """
    if given.wall_percent is not None:
        return given.wall_percent, GIVEN
    if study.specimen is None or study.specimen.walls:
        return DEFAULT.wall_percent or 0.0, REMEMBERED
    found = wall_from_mass(study, study.specimen)
    return 100 * max(found.within, abs(found.factor - 1)), WEIGHED
