"""Straight-beam compliance of the sections of a bar, and the stress of their resultants.

Six resultants in the local frame (tangent, front, top): the force and the moment about the
centre-line point that the part of larger s exerts on the part of smaller s. Their conjugates are
the strains of the centre line per mm. Left out: the shift of the neutral axis in a curved bar
(of order (r/R)^2 in stiffness), and the lever of shear about the shear centre of a section whose
wall varies in a bend (a few mm); `pipe_bend` states the limits of its factor.
"""

import numpy as np

from fea.beam.pipe_bend import bend_parameter, flexibility_factor
from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm, nominal_wall_mm
from geometry.centreline import curvature_at
from geometry.properties import SectionProperties, section_properties


def shear_coefficient(od_mm: Floats, wall_mm: Floats, poisson_ratio: float) -> Floats:
    """Return the Timoshenko shear coefficient (no unit) of round tubes, in one shape.

    Source: Cowper 1966, J. Appl. Mech. 33:335-340, hollow circle (from memory, unverified).

    `od_mm`, `wall_mm` and the result have the same shape.
    """
    nu = poisson_ratio
    m2 = (1.0 - 2.0 * wall_mm / od_mm) ** 2
    return np.asarray(
        6 * (1 + nu) * (1 + m2) ** 2 / ((7 + 6 * nu) * (1 + m2) ** 2 + (20 + 12 * nu) * m2)
    )


def bend_factor(bar: Bar, s_mm: Floats) -> Floats:
    """Return the pipe-bend factor K on bending compliance (no unit), shape of `s_mm`.

    1 on straights; in arcs the factor of an infinite bend of the nominal tube, in and out of the
    bend's plane alike (the same factor for both is the piping codes' practice, from memory).

    Source: `pipe_bend.flexibility_factor`.
    """
    s_mm = np.asarray(s_mm, dtype=np.float64)
    curvature = curvature_at(bar.line, s_mm)
    bent = curvature > 0.0
    factor = np.ones(s_mm.shape)
    wall, od = nominal_wall_mm(bar, s_mm[bent]), nominal_od_mm(bar, s_mm[bent])
    h = bend_parameter(wall, 1.0 / curvature[bent], (od - wall) / 2.0)
    factor[bent] = flexibility_factor(h, bar.spec.material.poisson_ratio)
    return factor


def section_compliance(bar: Bar, s_mm: Floats, flexible: bool) -> Floats:
    """Return the compliances (n, 6, 6) of the sections at `s_mm` (n,), in 1/N and 1/(N mm).

    Strains over resultants in the order tangent, front, top of forces, then of moments, about the
    centre-line point. Bending and tension act about the area centroid; shear and torsion about the
    centre line. Source: Timoshenko beam theory, textbook; G = E/(2 (1 + nu)).

    Args:
        bar: The bar.
        s_mm: Signed arc lengths.
        flexible: Whether bending compliance in arcs carries the pipe-bend factor.
    """
    material = bar.spec.material
    E, nu = material.youngs_modulus_mpa, material.poisson_ratio
    section = section_properties(bar, s_mm)
    kappa = shear_coefficient(nominal_od_mm(bar, s_mm), nominal_wall_mm(bar, s_mm), nu)
    G = E / (2.0 * (1.0 + nu))
    about_centroid = np.zeros((len(s_mm), 6, 6))
    about_centroid[:, 0, 0] = 1.0 / (E * section.area_mm2)
    about_centroid[:, 1, 1] = about_centroid[:, 2, 2] = 1.0 / (kappa * G * section.area_mm2)
    about_centroid[:, 3, 3] = 1.0 / (G * section.j_mm4)
    factor = bend_factor(bar, s_mm) if flexible else np.ones(len(s_mm))
    about_centroid[:, 4:, 4:] = factor[:, None, None] * np.linalg.inv(_bending(section)) / E
    shift = _to_centroid(section)
    return np.asarray(np.swapaxes(shift, 1, 2) @ about_centroid @ shift)


def nominal_von_mises_mpa(bar: Bar, s_mm: Floats, resultants: Floats) -> Floats:
    """Return the largest von Mises stress on the outer circle (n,), MPa.

    From tension, bending and torsion by straight-beam theory at the nominal diameter; shear force
    and the stress indices of bends are left out. Source: elementary beam theory, von Mises of axial
    and shear stress.

    Args:
        bar: The bar.
        s_mm: (n,) signed arc lengths.
        resultants: (n, 6) local force and moment about the centre-line point, N and N mm.
    """
    level, slopes, section = _fibres(bar, s_mm, resultants)
    radius = nominal_od_mm(bar, s_mm) / 2.0
    axial = np.abs(level) + radius * np.hypot(slopes[:, 0], slopes[:, 1])
    shear = resultants[:, 3] * radius / section.j_mm4
    return np.asarray(np.sqrt(axial**2 + 3.0 * shear**2))


def fibre_stress_mpa(bar: Bar, s_mm: Floats, resultants: Floats, theta_rad: Floats) -> Floats:
    """Return the axial stress (n, k) in MPa on the outer circle at k angles round the tube.

    From tension and bending by straight-beam theory at the nominal diameter, without the stress
    indices of bends; `s_mm` (n,), `theta_rad` (k,) and `resultants` (n, 6) as in
    `nominal_von_mises_mpa`.

    Source: elementary beam theory.
    """
    level, slopes, _ = _fibres(bar, s_mm, resultants)
    radius = nominal_od_mm(bar, s_mm) / 2.0
    bent = slopes @ np.stack([np.cos(theta_rad), -np.sin(theta_rad)])
    return np.asarray(level[:, None] + radius[:, None] * bent)


def torsion_stress_mpa(bar: Bar, s_mm: Floats, resultants: Floats) -> Floats:
    """Return the axial-hoop shear stress (n,) in MPa on the outer circle, of torsion alone.

    Positive where the part of larger s pulls towards larger theta; `s_mm` (n,) and `resultants`
    (n, 6) as in `nominal_von_mises_mpa`.

    Source: elementary theory, T r / J; theta runs against a right-handed turn about the tangent.
    """
    radius = nominal_od_mm(bar, s_mm) / 2.0
    return np.asarray(-resultants[:, 3] * radius / section_properties(bar, s_mm).j_mm4)


def _fibres(bar: Bar, s_mm: Floats, resultants: Floats) -> tuple[Floats, Floats, SectionProperties]:
    """Return the stress (n,) on the centre line, its slopes (n, 2) per mm, and the sections.

    The stress at y towards the front and z towards the top is level + slope_0 z - slope_1 y.
    """
    section = section_properties(bar, s_mm)
    central = np.einsum("nij,nj->ni", _to_centroid(section), resultants)
    slopes = np.linalg.solve(_bending(section), central[:, 4:, None])[..., 0]
    level = central[:, 0] / section.area_mm2 + (
        slopes[:, 1] * section.centroid_front_mm - slopes[:, 0] * section.centroid_top_mm
    )
    return level, slopes, section


def _bending(section: SectionProperties) -> Floats:
    """Return (n, 2, 2): moments about front and top over the curvatures, without E."""
    rows = [
        [section.i_front_mm4, -section.i_product_mm4],
        [-section.i_product_mm4, section.i_top_mm4],
    ]
    return np.moveaxis(np.array(rows), -1, 0)


def _to_centroid(section: SectionProperties) -> Floats:
    """Return (n, 6, 6): resultants with bending about the centroid over those about the line."""
    shift = np.tile(np.eye(6), (len(section.area_mm2), 1, 1))
    shift[:, 4, 0] = -section.centroid_top_mm
    shift[:, 5, 0] = section.centroid_front_mm
    return shift
