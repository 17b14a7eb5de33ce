"""What the bar is made of: elastic, strength, hardening and fatigue values with their sources.

The catalogue is one file per material in `geometry/materials`. Values there are
minimum or typical room-temperature values of the form named in the title; each
block carries its own source, so that one row may hold values of different marks.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Literal

from geometry.errors import InputError
from geometry.limits import unknown_name
from geometry.source import Source

CurveKind = Literal["engineering", "true"]

MATERIAL_IDS = (
    "al-6061-t6",
    "al-6061-t4",
    "al-7075-t6",
    "al-2014-t6",
    "al-2024-t3",
    "al-7050-t73511",
    "steel-4130-n",
    "steel-4130-qt125",
    "steel-304-a",
    "ti-3al-2.5v-cwsr",
    "ti-3al-2.5v-a",
    "ti-6al-4v-a",
    "ti-cp2",
)


@dataclass(frozen=True)
class Hardening:
    """Ramberg-Osgood exponents n of strain = f/E + 0.002 (f/F02)^n.

    The typical curve is scaled to the minimum proof stress F02 of the material.

    Attributes:
        tension_n: Exponent in tension.
        compression_n: Exponent in compression, the same where no other is known.
        source: Where the exponents come from.
        notes: What to know about them, such as a range.

    Source: MIL-HDBK-5J, equation 1.3.9.
    """

    tension_n: float
    compression_n: float
    source: Source
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class FatigueCurve:
    """Median life under axial load, net section: log10 N = A1 + A2 log10(Seq - A4).

    Seq = Smax (1 - R)^A3, with stresses in ksi as the handbook prints them. A median curve has no
    scatter factor in it.

    Attributes:
        kt: Theoretical stress concentration of the specimens, 1 for smooth ones.
        a1: A1, no unit.
        a2: A2, no unit.
        a3: A3, no unit; 0 where the row is to be read with Smax itself.
        a4: A4 in ksi.
        source: The figure.
        stress_ratios: Least and greatest R that the row holds for, None where none is named.
        notes: What to know about the row.
    """

    kt: float
    a1: float
    a2: float
    a3: float
    a4: float
    source: Source
    stress_ratios: tuple[float, float] | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Endurance:
    """The fully reversed endurance amplitude of smooth specimens at `cycles` cycles.

    Attributes:
        cycles: Life in cycles.
        amplitude_from_mpa: Lower end of the published range.
        amplitude_to_mpa: Upper end, the same where one value is given.
        source: Where the range comes from.
    """

    cycles: float
    amplitude_from_mpa: float
    amplitude_to_mpa: float
    source: Source


@dataclass(frozen=True)
class Material:
    """An isotropic metal.

    Attributes:
        id: Catalogue id, or the name that a study gives.
        title: Alloy, condition and form in words.
        youngs_modulus_mpa: Young's modulus E.
        poisson_ratio: Poisson's ratio.
        density_kg_m3: Density in kg/m3.
        proof_stress_mpa: 0.2 % proof stress F02.
        ultimate_stress_mpa: Tensile strength.
        source: Of the strengths, and of all values that have no source of their own.
        elongation_percent: At fracture, the lower end of a range; None where not known.
        elastic_source: Of modulus, ratio and density, None where `source` covers them.
        hardening: Ramberg-Osgood exponents, None where not known.
        fatigue: Life equations, smooth specimens first.
        endurance: Amplitude at a long life, None where not known.
        curve: What all stress-strain data of the material relate: engineering stress and strain, or
            true stress and logarithmic strain.
        stress_strain: Points (total strain, stress in MPa) of a curve past yield, which the path to
            collapse follows in place of `hardening`; empty where none are given.
        tangent_modulus_mpa: Slope of stress over total strain past the proof stress, of a bilinear
            curve in place of `hardening`; None where none is given.
        stress_strain_source: Of these two and of `curve`, None where `source` covers them.
        notes: What to know about the material.
    """

    id: str
    title: str
    youngs_modulus_mpa: float
    poisson_ratio: float
    density_kg_m3: float
    proof_stress_mpa: float
    ultimate_stress_mpa: float
    source: Source
    elongation_percent: float | None = None
    elastic_source: Source | None = None
    hardening: Hardening | None = None
    fatigue: tuple[FatigueCurve, ...] = ()
    endurance: Endurance | None = None
    curve: CurveKind = "engineering"
    stress_strain: tuple[tuple[float, float], ...] = ()
    tangent_modulus_mpa: float | None = None
    stress_strain_source: Source | None = None
    notes: tuple[str, ...] = ()


def shear_modulus_mpa(material: Material) -> float:
    """Return the shear modulus G = E / (2 (1 + nu)) in MPa.

    Source: isotropic elasticity, textbook.
    """
    return material.youngs_modulus_mpa / (2 * (1 + material.poisson_ratio))


def has_own_curve(material: Material) -> bool:
    """Return whether points or a slope past yield are given, in place of Ramberg-Osgood."""
    return bool(material.stress_strain) or material.tangent_modulus_mpa is not None


def material_sources(material: Material) -> tuple[tuple[str, Source], ...]:
    """Return (block of values, source) for everything that the material holds."""
    blocks = [
        ("elastic", material.elastic_source or material.source),
        ("strength", material.source),
    ]
    if material.hardening:
        blocks.append(("hardening", material.hardening.source))
    if has_own_curve(material) or material.stress_strain_source:
        blocks.append(("stress-strain curve", material.stress_strain_source or material.source))
    blocks += [(f"fatigue, Kt {curve.kt:g}", curve.source) for curve in material.fatigue]
    if material.endurance:
        blocks.append(("endurance", material.endurance.source))
    return tuple(blocks)


def material_ids() -> tuple[str, ...]:
    """Return the ids of the catalogue, in its order."""
    return MATERIAL_IDS


def load_material(material_id: str) -> Material:
    """Return a material of the catalogue.

    Raises:
        InputError: No material has this id; the nearest ids are named.
    """
    if material_id not in MATERIAL_IDS:
        raise InputError(unknown_name("material", "material", material_id, MATERIAL_IDS))
    text = (files("geometry.materials") / f"{material_id}.toml").read_text(encoding="utf-8")
    return _material(material_id, tomllib.loads(text))


def _material(material_id: str, table: Mapping[str, Any]) -> Material:
    elastic, strength = dict(table["elastic"]), dict(table["strength"])
    elastic_source, source = Source(**elastic.pop("source")), Source(**strength.pop("source"))
    numbers: dict[str, Any] = {key: float(v) for key, v in (elastic | strength).items()}
    return Material(
        id=material_id,
        title=table["title"],
        **numbers,
        source=source,
        elastic_source=elastic_source,
        hardening=Hardening(**_block(table["hardening"])) if "hardening" in table else None,
        fatigue=tuple(FatigueCurve(**_block(row)) for row in table.get("fatigue", ())),
        endurance=Endurance(**_block(table["endurance"])) if "endurance" in table else None,
        notes=tuple(table.get("notes", ())),
    )


def _block(table: Mapping[str, Any]) -> dict[str, Any]:
    """Return the fields of a block, its source as a record and its lists as tuples."""
    fields = {key: tuple(v) if isinstance(v, list) else v for key, v in table.items()}
    return {**fields, "source": Source(**table["source"])}
