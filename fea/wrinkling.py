"""When the wall of a round tube wrinkles: elastic with flaws, and plastic.

Plastic wrinkling (derivation). A long cylinder, mean radius R, wall t, carries the axial
compression sigma. A small axisymmetric wrinkle w = a cos(pi x/l) changes the membrane hoop
strain by w/R while the axial resultant stays, and bends the wall along the axis. With the
instantaneous plane-stress moduli C_ab (1 along, 2 round the tube)

    C11 t^3/12 w'''' + sigma t w'' + (t/R^2) (C22 - C12^2/C11) w = 0,

and the sigma that this needs is least for a certain l:

    sigma_c = (t/R) sqrt((C11 C22 - C12^2)/3),
    l = pi sqrt(R t) (C11^2/(12 (C11 C22 - C12^2)))^(1/4).

The moduli are those of the deformation theory of J2 plasticity. Its total law, strain = elastic
+ (3/2)(1/Es - 1/E) s, is differentiated about a uniaxial stress, where the equivalent stress
changes by d sigma_1 - d sigma_2/2. With secant and tangent modulus Es and Et the compliances are

    M11 = 1/Et,  M12 = (1/2 - nu)/E - 1/(2 Et),  M22 = 3/(4 Es) + 1/(4 Et),

C = M^-1, so that C11 C22 - C12^2 = 1/det M. Elastic limits: 0.605 E t/R and 1.728 sqrt(R t) at
nu = 0.3. sigma_c falls with sigma through the moduli, so there is one sigma = sigma_c.

Limits: long straight perfect tube, thin wall, axial stress changing little over a few half
waves. Deformation theory is known to meet tests where flow theory is far too high.

Source: Batterman, AIAA J. 3 (1965) 316-325, and Kyriakides & Corona, Mechanics of Offshore
Pipelines vol. 1 (2007), remembered and derived anew here.
"""

from dataclasses import dataclass

import numpy as np

from fea.stress_strain import Curve, secant_modulus_mpa, strain_at, tangent_modulus_mpa
from geometry.arrays import Flags, Floats

HALVINGS = 60

AXIAL_LOSS, BENDING_LOSS = 0.901, 0.731
MOST_RADIUS_PER_WALL = 1500.0


@dataclass(frozen=True, eq=False)
class Wrinkle:
    """When and how a wall wrinkles, arrays of one shape.

    Attributes:
        stress_mpa: Axial compression.
        strain: On the curve at that stress.
        half_wave_mm: Half wave along the tube, of the plastic wrinkle.
        elastic: Where the knocked-down elastic stress is the lower one.
    """

    stress_mpa: Floats
    strain: Floats
    half_wave_mm: Floats
    elastic: Flags


def critical_wrinkle(
    curve: Curve, radius_mm: Floats, wall_mm: Floats, bending_share: float
) -> Wrinkle:
    """Return the lower of plastic wrinkling and knocked-down elastic buckling.

    Args:
        curve: Stress-strain curve in compression.
        radius_mm: (...,) mean radius.
        wall_mm: (...,) wall.
        bending_share: 0 where the section is compressed evenly, 1 where it is bent: the two
            knock-downs apart, joined by a straight line of interaction.
    """
    plastic = plastic_wrinkle(curve, radius_mm, wall_mm)
    even, bent = axial_knock_down(radius_mm, wall_mm), bending_knock_down(radius_mm, wall_mm)
    down = 1 / (bending_share / bent + (1 - bending_share) / even)
    e, nu = curve.youngs_modulus_mpa, curve.poisson_ratio
    elastic = down * classical_stress_mpa(e, nu, radius_mm, wall_mm)
    stress = np.minimum(plastic.stress_mpa, elastic)
    return Wrinkle(
        stress,
        strain_at(curve, stress),
        plastic.half_wave_mm,
        elastic < plastic.stress_mpa,
    )


def plastic_wrinkle(curve: Curve, radius_mm: Floats, wall_mm: Floats) -> Wrinkle:
    """Return the wrinkling of a perfect tube on its curve, by halving the stress's interval.

    Source: the module's derivation.
    """
    radius, wall = np.broadcast_arrays(radius_mm, wall_mm)
    e, nu = curve.youngs_modulus_mpa, curve.poisson_ratio
    low, high = np.zeros(radius.shape), 1.000001 * classical_stress_mpa(e, nu, radius, wall)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        holds = middle < wall / radius * np.sqrt(_determinant(curve, middle) / 3)
        low, high = np.where(holds, middle, low), np.where(holds, high, middle)
    stress = (low + high) / 2
    _, _, m22 = _compliances(curve, stress)
    determinant = _determinant(curve, stress)
    c11 = m22 * determinant
    half_wave = np.pi * np.sqrt(radius * wall) * (c11**2 / (12 * determinant)) ** 0.25
    return Wrinkle(stress, strain_at(curve, stress), half_wave, np.zeros(radius.shape, bool))


def classical_stress_mpa(
    youngs_modulus_mpa: float, poisson_ratio: float, radius_mm: Floats, wall_mm: Floats
) -> Floats:
    """Return the classical elastic stress (...,) E t/(R sqrt(3 (1 - nu^2))) of a perfect cylinder.

    Source: NASA SP-8007, seen in a secondary source.
    """
    return np.asarray(
        youngs_modulus_mpa * wall_mm / (radius_mm * np.sqrt(3 * (1 - poisson_ratio**2)))
    )


def axial_knock_down(radius_mm: Floats, wall_mm: Floats) -> Floats:
    """Return the share (...,) of the classical stress that flaws leave under even compression.

    1 - 0.901 (1 - exp(-sqrt(R/t)/16)) for R/t below 1500.

    Source: NASA SP-8007, seen in a secondary source.
    """
    return _knock_down(AXIAL_LOSS, radius_mm, wall_mm)


def bending_knock_down(radius_mm: Floats, wall_mm: Floats) -> Floats:
    """Return the share (...,) that flaws leave in bending, 0.731 in place of 0.901.

    Source: as `axial_knock_down`.
    """
    return _knock_down(BENDING_LOSS, radius_mm, wall_mm)


def _knock_down(loss: float, radius_mm: Floats, wall_mm: Floats) -> Floats:
    slimness = np.minimum(np.divide(radius_mm, wall_mm), MOST_RADIUS_PER_WALL)
    return np.asarray(1 - loss * (1 - np.exp(-np.sqrt(slimness) / 16)))


def _compliances(curve: Curve, stress_mpa: Floats) -> tuple[Floats, Floats, Floats]:
    """Return M11, M12 and M22 (...,) in 1/MPa at a uniaxial stress (...,)."""
    tangent, secant = tangent_modulus_mpa(curve, stress_mpa), secant_modulus_mpa(curve, stress_mpa)
    elastic = (0.5 - curve.poisson_ratio) / curve.youngs_modulus_mpa
    return 1 / tangent, elastic - 0.5 / tangent, 0.75 / secant + 0.25 / tangent


def _determinant(curve: Curve, stress_mpa: Floats) -> Floats:
    """Return C11 C22 - C12^2 (...,) in MPa^2."""
    m11, m12, m22 = _compliances(curve, stress_mpa)
    result: Floats = 1 / (m11 * m22 - m12**2)
    return result
