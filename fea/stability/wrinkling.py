"""Axial wrinkling of a long circular tube beyond the elastic range, and when it stays elastic.

Derivation. J2 deformation theory is e_x = (f_x - f_t/2)/Es + (1/2 - nu) f_t/E in plane stress,
e_t likewise with x and t exchanged, 1/Es read at the effective stress. Its differential under
uniaxial f_x, where d(f_e) = df_x - df_t/2 and f d(1/Es) = (1/Et - 1/Es) d(f_e), is de = M df with

    M11 = 1/Et,  M22 = 3/(4 Es) + 1/(4 Et),  M12 = M21 = -1/(2 Et) + (1 - 2 nu)/(2 E)

(x, axial, is 1; t, hoop, is 2). M is its own inverse's: C11 = M22/det, C22 = M11/det,
C12 = -M12/det, and with a = 1/Et, b = 1/Es, c = (1 - 2 nu)/E

    det = M11 M22 - M12^2 = (3 a b + 2 a c - c^2)/4 = 1/(C11 C22 - C12^2).

A Donnell cylinder under axial compression f that wrinkles as w = A cos(q x), without increment
of axial force: the hoop modulus is C22 - C12^2/C11 = 1/M22, and

    C11 t^3/12 w'''' + f t w'' + t/(R^2 M22) w = 0,   f = C11 t^2 q^2/12 + 1/(M22 R^2 q^2).

The least f over q, with all moduli at that f (no unloading), is

    f = (t/R) sqrt((C11 C22 - C12^2)/3) = (t/R)/sqrt(3 det)
    half wave pi/q = pi (R t)^(1/2) (C11^2/(12 (C11 C22 - C12^2)))^(1/4).

Both a and b never fall as f rises, and det grows with either, so the right side falls while the
left rises: one root. Since a >= b, det >= 3 b^2/4, so the strain f b is at most 2 t/(3 R), which
with the elastic stress bounds the root from above.

Limits: a perfect, long, thin tube (R the mean radius, t/R small), uniform compression, first
wrinkle and not the maximum load, which comes later where the metal hardens; deformation theory,
which is known to agree better with tests than flow theory although it is no plasticity law.

Source: S. C. Batterman, AIAA J. 3 (1965) 316; S. Kyriakides and E. Corona, Mechanics of offshore
pipelines I (2007) (both from memory, unverified; derived anew above).
"""

from dataclasses import dataclass

import numpy as np

from fea.stability.stress_strain import (
    OFFSET,
    Curve,
    inverse_secant_per_mpa,
    inverse_tangent_per_mpa,
    strain_at,
)
from fea.stability.tube_buckling import tube_sizes_mm
from geometry.arrays import Flags, Floats
from geometry.errors import refuse

HALVINGS = 60
"""Of the bracket: 1e-18 of it is below rounding."""

SLIMMEST = 1500.0
"""Largest r/t of the knock-down factors."""


@dataclass(frozen=True, eq=False)
class Wrinkle:
    """The first wrinkle of a perfect tube in uniform axial compression, arrays of one shape."""

    stress_mpa: Floats
    """Compressive stress, positive."""
    strain: Floats
    """Strain of the curve at that stress, positive."""
    half_wave_mm: Floats
    """Length of one dent or bulge along the tube."""


@dataclass(frozen=True, eq=False)
class CriticalWrinkle(Wrinkle):
    """The first wrinkle with imperfections counted where it is elastic, arrays of one shape."""

    elastic: Flags
    """Where the elastic stress with its knock-down governs, not the plastic wrinkle."""


@dataclass(frozen=True, eq=False)
class PlaneModuli:
    """Moduli of further plane-stress strain under uniaxial stress along 1, MPa, in one shape."""

    c11_mpa: Floats
    c12_mpa: Floats
    c22_mpa: Floats


def plane_moduli(curve: Curve, stress_mpa: Floats | float) -> PlaneModuli:
    """Return the moduli of J2 deformation theory under a uniaxial `stress_mpa`, in the same shape.

    Loading goes on everywhere. Shear in the plane is not coupled to these.

    Raises:
        InputError: As `strain_at`.

    Source: the module docstring.
    """
    a, b, c = _compliances(curve, stress_mpa)
    det = (3 * a * b + 2 * a * c - c**2) / 4
    return PlaneModuli((3 * b + a) / 4 / det, (a - c) / 2 / det, a / det)


def plastic_wrinkle(curve: Curve, radius_mm: Floats | float, wall_mm: Floats | float) -> Wrinkle:
    """Return the plastic wrinkle of tubes of mean radius R and wall t, in their common shape.

    Elastic where the curve is; limits in the module docstring.

    Raises:
        InputError: As `tube_sizes_mm`.

    Source: the module docstring.
    """
    radius, wall = tube_sizes_mm(radius_mm, wall_mm)
    stress = _root_mpa(curve, wall / radius)
    moduli = plane_moduli(curve, stress)
    return Wrinkle(stress, strain_at(curve, stress), _half_wave_mm(moduli, radius, wall))


def classical_stress_mpa(
    youngs_modulus_mpa: float,
    poisson_ratio: float,
    radius_mm: Floats | float,
    wall_mm: Floats | float,
) -> Floats:
    """Return the elastic critical axial stress E t/(R sqrt(3 (1 - nu^2))), MPa.

    `radius_mm` and `wall_mm` broadcast to the result. A perfect tube, neither very long (a column)
    nor very short. A real one buckles lower: see `axial_knock_down`.

    Raises:
        InputError: As `plastic_wrinkle`.

    Source: NASA SP-8007 (read in a secondary source); also the elastic limit derived above.
    """
    radius, wall = tube_sizes_mm(radius_mm, wall_mm)
    factor = np.sqrt(3 * (1 - poisson_ratio**2))
    return np.asarray(youngs_modulus_mpa * wall / (radius * factor))


def elastic_half_wave_mm(
    poisson_ratio: float, radius_mm: Floats | float, wall_mm: Floats | float
) -> Floats:
    """Return the half wave pi (R t)^(1/2)/(12 (1 - nu^2))^(1/4) of the elastic ring wrinkle, mm.

    `radius_mm` and `wall_mm` broadcast to the result.

    Raises:
        InputError: As `plastic_wrinkle`.

    Source: Timoshenko & Gere, Theory of elastic stability (from memory, unverified); also the
    elastic limit derived above.
    """
    radius, wall = tube_sizes_mm(radius_mm, wall_mm)
    return np.asarray(np.pi * np.sqrt(radius * wall) / (12 * (1 - poisson_ratio**2)) ** 0.25)


def axial_knock_down(radius_mm: Floats | float, wall_mm: Floats | float) -> Floats:
    """Return gamma = 1 - 0.901 (1 - e^-phi), phi = sqrt(r/t)/16, for axial compression.

    `radius_mm` and `wall_mm` broadcast to the result (no unit). A lower bound of tests on elastic
    shells, r/t < 1500.

    Raises:
        InputError: As `plastic_wrinkle`, or r/t is 1500 or more.

    Source: NASA SP-8007 (read in a secondary source).
    """
    return _knock_down(0.901, radius_mm, wall_mm)


def bending_knock_down(radius_mm: Floats | float, wall_mm: Floats | float) -> Floats:
    """Return gamma = 1 - 0.731 (1 - e^-phi), phi = sqrt(r/t)/16, for bending.

    `radius_mm` and `wall_mm` broadcast to the result (no unit). Limits, Raises and Source as
    `axial_knock_down`.
    """
    return _knock_down(0.731, radius_mm, wall_mm)


def critical_wrinkle(
    curve: Curve,
    radius_mm: Floats | float,
    wall_mm: Floats | float,
    bending_share: Floats | float,
) -> CriticalWrinkle:
    """Return the lower of the plastic wrinkle and the elastic one with its knock-down.

    Args:
        curve: In compression.
        radius_mm: Mean radius.
        wall_mm: Wall.
        bending_share: Bending's part of the largest compression, 0 (axial) to 1.

    All arguments broadcast. 1/gamma = share/gamma_bending + (1 - share)/gamma_axial: the two
    stresses, each over its own critical one, add up to one. The plastic wrinkle is that of uniform
    compression also under bending, where it is somewhat later. Imperfections are not counted where
    it governs; where the two are close together both matter, and the lower one is still too high.

    Raises:
        InputError: As `axial_knock_down`, or a share is outside 0 to 1.

    Source: NASA SP-8007 for the factors and the linear interaction (read in a secondary source, the
    interaction from memory, unverified).
    """
    share = np.asarray(bending_share, dtype=np.float64)
    if not np.all((share >= 0.0) & (share <= 1.0)):
        raise refuse("bending_share", "must be at least 0 and at most 1; correct it")
    bending, axial = (f(radius_mm, wall_mm) for f in (bending_knock_down, axial_knock_down))
    E, nu = curve.youngs_modulus_mpa, curve.poisson_ratio
    classical = classical_stress_mpa(E, nu, radius_mm, wall_mm)
    reduced_mpa = classical / (share / bending + (1 - share) / axial)
    plastic = plastic_wrinkle(curve, radius_mm, wall_mm)
    stress, elastic = np.minimum(plastic.stress_mpa, reduced_mpa), reduced_mpa < plastic.stress_mpa
    wave = _half_wave_mm(plane_moduli(curve, stress), *tube_sizes_mm(radius_mm, wall_mm))
    return CriticalWrinkle(stress, strain_at(curve, stress), wave, elastic)


def _compliances(curve: Curve, stress_mpa: Floats | float) -> tuple[Floats, Floats, float]:
    """Return a = 1/Et, b = 1/Es and c = (1 - 2 nu)/E in 1/MPa."""
    c = (1 - 2 * curve.poisson_ratio) / curve.youngs_modulus_mpa
    return (
        inverse_tangent_per_mpa(curve, stress_mpa),
        inverse_secant_per_mpa(curve, stress_mpa),
        c,
    )


def _root_mpa(curve: Curve, slimness: Floats) -> Floats:
    """Return the stress with 3 det (f/slimness)^2 = 1 by bisection, shape of slimness = t/R."""
    elastic = slimness / np.sqrt(3 * (1 - curve.poisson_ratio**2)) * curve.youngs_modulus_mpa
    strain = 2 * slimness / 3
    plastic = curve.proof_stress_mpa * (strain / OFFSET) ** (1 / curve.exponent_n)
    low, high = np.zeros_like(elastic), np.minimum(elastic, plastic)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        a, b, c = _compliances(curve, middle)
        over = 3 * (3 * a * b + 2 * a * c - c**2) / 4 * (middle / slimness) ** 2 > 1.0
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return np.asarray(high)


def _half_wave_mm(moduli: PlaneModuli, radius_mm: Floats, wall_mm: Floats) -> Floats:
    det = moduli.c11_mpa * moduli.c22_mpa - moduli.c12_mpa**2
    ratio = moduli.c11_mpa**2 / (12 * det)
    return np.asarray(np.pi * np.sqrt(radius_mm * wall_mm) * ratio**0.25)


def _knock_down(factor: float, radius_mm: Floats | float, wall_mm: Floats | float) -> Floats:
    radius, wall = tube_sizes_mm(radius_mm, wall_mm)
    slim = radius / wall
    if not np.all(slim < SLIMMEST):
        raise refuse(
            "wall_mm",
            f"gives r/t of {np.max(slim):.4g} but the knock-down factors are valid below "
            f"{SLIMMEST:g}; give a thicker wall",
        )
    return np.asarray(1 + factor * np.expm1(-np.sqrt(slim) / 16))
