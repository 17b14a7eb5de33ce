"""Elastic buckling of long round tubes other than by axial wrinkles, in closed forms.

All are least values, of tubes so long that their ends do not matter. A real one is supported at
some distance: the figure is then too low, by much where that is below the buckle's length.
None counts imperfections. R is the mean radius, t the wall, thin against it; D = E t^3/12/(1-nu^2).

Brazier. A bent tube flattens by w = -z R cos 2a, inextensional round the section, which takes
the second moment pi R^3 t to pi R^3 t (1 - 3z/2) and bends the wall by 3z cos 2a/R. The energy per
length pi E R^3 t k^2 (1 - 3z/2)/2 + 9 pi D z^2/(2 R) is stationary for z = k^2 R^4 (1 - nu^2)/t^2;
the moment pi E R^3 t k (1 - 3z/2) is then largest at z = 2/9.

Pressure. A slice of the wall is a ring that loses round shape as cos 2a at p = 3 D/R^3.

Torsion. w = A sin(n a - k x) with no hoop and no shear strain has the axial strain R A k^2/n^2
and the hoop bending (n^2 - 1) A/R^2; the shear t_xy does work on w_x (w_a - v)/R, in the mean
A^2 k (n^2 - 1)/(2 n R). The energies balance at

    t_xy t = n R/(2 k (n^2 - 1)) (D (n^2 - 1)^2/R^4 + E t R^2 k^4/n^4)

least for k R = (4 t^2/(R^2 (1 - nu^2)))^(1/4) at n = 2, the lowest n that dents the section.
Donnell's equations, which set n for (n^2 - 1)/n and n^2 for n^2 - 1, make of it the often printed
0.272, higher by 2/sqrt 3: shallow shells are a poor model of two waves.
"""

import numpy as np

from geometry.arrays import Floats
from geometry.errors import refuse


def brazier_moment_nmm(
    youngs_modulus_mpa: float,
    poisson_ratio: float,
    radius_mm: Floats | float,
    wall_mm: Floats | float,
) -> Floats:
    """Return the largest moment (2 sqrt 2/9) pi E R t^2/sqrt(1 - nu^2), N mm.

    `radius_mm` and `wall_mm` broadcast to the result. Of an elastic tube in pure bending, to first
    order in the flattening (2/9 of R there); the full theory gives a few per cent less, and a
    wrinkle may come first.

    Raises:
        InputError: As `tube_sizes_mm`.

    Source: L. G. Brazier 1927 (from memory, unverified; derived in the module docstring).
    """
    radius, wall = tube_sizes_mm(radius_mm, wall_mm)
    factor = 2 * np.sqrt(2) / 9 * np.pi / np.sqrt(1 - poisson_ratio**2)
    return np.asarray(factor * youngs_modulus_mpa * radius * wall**2)


def hoop_critical_mpa(
    youngs_modulus_mpa: float,
    poisson_ratio: float,
    radius_mm: Floats | float,
    wall_mm: Floats | float,
) -> Floats:
    """Return the hoop compression p R/t at the pressure p = E (t/R)^3/(4 (1 - nu^2)), MPa.

    `radius_mm` and `wall_mm` broadcast to the result. Pressure from outside that turns with the
    wall; no support keeps the tube round.

    Raises:
        InputError: As `tube_sizes_mm`.

    Source: the ring of Bresse and Levy (from memory, unverified; see the module docstring).
    """
    radius, wall = tube_sizes_mm(radius_mm, wall_mm)
    return np.asarray(youngs_modulus_mpa * (wall / radius) ** 2 / (4 * (1 - poisson_ratio**2)))


def torsion_critical_mpa(
    youngs_modulus_mpa: float,
    poisson_ratio: float,
    radius_mm: Floats | float,
    wall_mm: Floats | float,
) -> Floats:
    """Return the shear stress E (t/R)^1.5/(3 sqrt 2 (1 - nu^2)^0.75), MPa: two spiral waves.

    `radius_mm` and `wall_mm` broadcast to the result. A tube many times longer than the wave 2 pi/k
    = 2 pi R (R/(2 t))^0.5 (1 - nu^2)^0.25, that is 14 R for R/t = 10; a shorter one buckles later.
    Buckling as a shaft, n = 1, is left out.

    Raises:
        InputError: As `tube_sizes_mm`.

    Source: E. Schwerin 1925 (from memory, unverified; derived in the module docstring).
    """
    radius, wall = tube_sizes_mm(radius_mm, wall_mm)
    factor = 1 / (3 * np.sqrt(2) * (1 - poisson_ratio**2) ** 0.75)
    return np.asarray(factor * youngs_modulus_mpa * (wall / radius) ** 1.5)


def rounded_critical_mpa(elastic_mpa: Floats | float, yield_mpa: Floats | float) -> Floats:
    """Return s with 1/s^2 = 1/elastic^2 + 1/yield^2, MPa, broadcast over both.

    An engineering interpolation between buckling and yield, not a theory: at elastic = yield
    it takes 0.71 of either. In shear give the yield stress in shear.

    Raises:
        InputError: A stress is not above 0.

    Source: the rule of Merchant and Rankine with squares (from memory, unverified).
    """
    elastic, limit = np.asarray(elastic_mpa, dtype=float), np.asarray(yield_mpa, dtype=float)
    for field, stress in (("elastic_mpa", elastic), ("yield_mpa", limit)):
        if not np.all(stress > 0.0):
            raise refuse(field, "must be above 0 MPa everywhere; give the size of the stress")
    return np.asarray(1 / np.hypot(1 / elastic, 1 / limit))


def tube_sizes_mm(radius_mm: Floats | float, wall_mm: Floats | float) -> tuple[Floats, Floats]:
    """Return mean radius and wall as arrays of one shape.

    Source: limits of the thin-wall formulas of this module.

    Raises:
        InputError: One is not above 0 and finite, or the wall exceeds the mean radius.
    """
    radius, wall = np.broadcast_arrays(
        np.asarray(radius_mm, dtype=np.float64), np.asarray(wall_mm, dtype=np.float64)
    )
    for field, size in (("radius_mm", radius), ("wall_mm", wall)):
        if not np.all((size > 0.0) & np.isfinite(size)):
            raise refuse(field, "must be above 0 mm and finite everywhere; correct it")
    if not np.all(wall <= radius):
        at = np.argmax(wall / radius)
        raise refuse(
            "wall_mm",
            f"is {wall.flat[at]:.4g} mm but must be at most the mean radius, "
            f"{radius.flat[at]:.4g} mm; correct the one that is wrong",
        )
    return radius, wall
