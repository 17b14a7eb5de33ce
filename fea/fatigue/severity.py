"""What makes a bar's surface weaker than a smooth specimen: its clamps, and its finish.

At a clamp's edge the factor multiplies nominal stress, as in the tests behind it, which have the
contact's own concentration in them:

    K(N) = 1 + c (N / 1e5)^0.3, N held within 1e3 to 1e7;  K_tau = 1 + (K - 1) / 5 on shear

Fitted to factors on nominal stress: long life 2.05 to 4.1 of 2014A under pads, 2.1 to 2.5 of
steels, 2.1 of Ti-6Al-4V (a review, Adv. Mater. Sci. Eng. 2014, 474723, its cycles taken as 1e7 from
memory); shrink fits in bending 2 to 3, in torsion 1.28; short life of 7075-T6 under pads (Arora et
al. 2005) at most 1.06 to 1.18 or 1.37, by the slope taken. The shape was read, its ends are fitted,
its middle at 1e5 is judgement: from memory, unverified.

Elsewhere the finish counts: strength times a surface factor, which fretting drowns at a clamp.
"""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Flags, Floats
from geometry.material import Material
from loadcases.fatigue_inputs import FatigueInputs
from loadcases.levels import Levels

REFERENCE_CYCLES = 1e5
"""Cycles at which the clamp factor is given."""

EXPONENT = 0.3
"""How the clamp factor less one grows with life (fitted)."""

HELD_CYCLES = (1e3, 1e7)
"""The clamp factor grows between these lives only."""

SHEAR_SHARE = 0.2
"""Share of the clamp factor less one that acts on shear (shrink fits: 1.28 against 2 to 3)."""


@dataclass(frozen=True)
class Severity:
    """How much weaker than smooth specimens, at one level: low, middle or high.

    Attributes:
        clamp_factor: K at `REFERENCE_CYCLES`, on nominal stress.
        surface_factor: Share of the strength that the finish leaves, at most 1.
    """

    clamp_factor: float
    surface_factor: float


@dataclass(frozen=True)
class Severities:
    """The three levels, each with its own factors: the favourable end, the middle, the careful end.

    Attributes:
        favourable: Low clamp factor, high surface factor.
        middle: The middle of both.
        careful: High clamp factor, low surface factor.
    """

    favourable: Severity
    middle: Severity
    careful: Severity


ALUMINIUM = Levels(1.25, 1.50, 1.80)
"""Clamp factor of aluminium at `REFERENCE_CYCLES` (module docstring)."""

STEEL_AND_TITANIUM = Levels(1.25, 1.38, 1.55)
"""That of steel and titanium, likewise."""

LIGHT_METAL_MPA = 90_000.0
"""Young's modulus below which a metal counts as aluminium; titanium has 105 GPa and more."""


def clamp_factor_of(inputs: FatigueInputs, material: Material) -> Levels:
    """Return the clamp factor that a study gives, or else the default of its metal."""
    light = material.youngs_modulus_mpa < LIGHT_METAL_MPA
    return inputs.clamp_factor or (ALUMINIUM if light else STEEL_AND_TITANIUM)


def severities(inputs: FatigueInputs, material: Material) -> Severities:
    """Return the three levels of a study's factors on a metal."""
    clamp, surface = clamp_factor_of(inputs, material), inputs.surface_factor
    return Severities(
        favourable=Severity(clamp.low, surface.high),
        middle=Severity(clamp.middle, surface.middle),
        careful=Severity(clamp.high, surface.low),
    )


def clamp_factor_at(severity: Severity, cycles: Floats) -> Floats:
    """Return K (no unit) on nominal normal stress at lives in cycles, of the same shape.

    Source: module docstring.
    """
    held = np.clip(cycles, *HELD_CYCLES)
    growth: Floats = (held / REFERENCE_CYCLES) ** EXPONENT
    return 1 + (severity.clamp_factor - 1) * growth


def stress_factors(severity: Severity, cycles: Floats, at_clamp: Flags) -> Floats:
    """Return (..., 3) factors on axial, hoop and shear stress; `cycles` and `at_clamp` broadcast.

    At a clamp K, K and K_tau; elsewhere one over the surface factor.

    Source: module docstring.
    """
    normal = clamp_factor_at(severity, cycles)
    clamped = np.stack([normal, normal, 1 + SHEAR_SHARE * (normal - 1)], axis=-1)
    return np.where(np.asarray(at_clamp)[..., None], clamped, 1 / severity.surface_factor)
