"""Within what wall, proof stress, modulus, clamp stiffness and support friction are known.

Every "within" is half of the interval that holds the true value in 95 of 100.
"""

from dataclasses import dataclass
from typing import Literal

from geometry.limits import Range
from geometry.source import Source

Input = Literal["wall", "proof stress", "modulus", "clamp stiffness", "support friction"]

UNCERTAINTY_LIMITS = {
    "wall_percent": Range(0, 40, "%", "give that of all walls, 2 to 10 commonly"),
    "proof_stress_percent": Range(0, 40, "%", "give that of the metal, 5 to 15 commonly"),
    "modulus_percent": Range(0, 20, "%", "give that of Young's modulus, 1 to 3 commonly"),
    "clamp_stiffness_times": Range(
        1, 100, "", "give a factor such as 3, for a third to three times the stiffness"
    ),
}

UNCERTAINTY_SOURCE = Source(
    "memory", "drawn tubes, alloys of one temper, stems; none of them of this bar"
)
"""Of the defaults."""


@dataclass(frozen=True)
class Uncertainty:
    """What a prediction's band is made of; None where the study says nothing.

    Attributes:
        wall_percent: Of all walls together.
        proof_stress_percent: Of the whole stress-strain curve past yield.
        modulus_percent: Of Young's modulus.
        clamp_stiffness_times: Factor f of an elastic clamp: from 1/f to f times its stiffness.
    """

    wall_percent: float | None = None
    proof_stress_percent: float | None = None
    modulus_percent: float | None = None
    clamp_stiffness_times: float | None = None


DEFAULT = Uncertainty(5.0, 10.0, 2.0, 3.0)
"""From memory, unverified; see `UNCERTAINTY_SOURCE`."""

FRICTION_TIMES = (0.0, 2.0)
"""Factors on the friction under feet and rollers: none, and twice, as of a linear answer."""


@dataclass(frozen=True)
class Variation:
    """An input at the end of its interval.

    Attributes:
        input: Which.
        factor: On it.
        evidence: What the interval rests on, in words.
    """

    input: Input
    factor: float
    evidence: str
