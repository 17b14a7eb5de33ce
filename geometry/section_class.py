"""Section classes of round tubes in bending by diameter over wall: a screen, no assessment.

Both rules are for structural tubes of steel in buildings. Those of aluminium and titanium could not
be read, so no class is given for them: E and proof stress alone do not carry a rule over.
"""

from dataclasses import dataclass

COMPACT, SLENDER = 0.07, 0.31
"""Limits of D/t in E over proof stress, AISC 360."""

CLASS_LIMITS = (50.0, 70.0, 90.0)
"""Limits of D/t in epsilon squared, EN 1993-1-1; beyond the last the section is class 4."""


@dataclass(frozen=True)
class SectionClass:
    """How two standards class a section in bending.

    Attributes:
        aisc: compact, noncompact or slender.
        en_class: 1 to 4.
    """

    aisc: str
    en_class: int


STEEL_MPA = (180_000.0, 220_000.0)
"""Young's moduli of steels."""


def is_steel(youngs_modulus_mpa: float) -> bool:
    """Return whether a metal is a steel, by its Young's modulus."""
    low, high = STEEL_MPA
    return low <= youngs_modulus_mpa <= high


def section_class(
    od_mm: float, wall_mm: float, youngs_modulus_mpa: float, proof_stress_mpa: float
) -> SectionClass | None:
    """Return the classes of a round tube of steel, None for another metal.

    Source: AISC 360 F8 (compact up to D/t = 0.07 E/Fy, slender above 0.31 E/Fy) and EN 1993-1-1
    table 5.2 (50, 70 and 90 epsilon^2 with epsilon^2 = (235/fy) (E/210000)); both from memory,
    unverified.
    """
    if not is_steel(youngs_modulus_mpa):
        return None
    slimness, stiffness = od_mm / wall_mm, youngs_modulus_mpa / proof_stress_mpa
    epsilon_squared = 235 / proof_stress_mpa * youngs_modulus_mpa / 210000
    aisc = "slender" if slimness > SLENDER * stiffness else "noncompact"
    if slimness <= COMPACT * stiffness:
        aisc = "compact"
    passed = sum(slimness > limit * epsilon_squared for limit in CLASS_LIMITS)
    return SectionClass(aisc, 1 + passed)
