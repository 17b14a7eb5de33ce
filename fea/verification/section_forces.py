"""Section forces and moments along a bar, and the stress of four fibres.

The solid's come from its recovered stress, the beam's from equilibrium alone. An arm is
statically determinate, so the two must agree away from loads: a check of the stress recovery that
needs no handbook.

In the local frame (tangent t, front f, top u) the part of larger s acts on the part of smaller s
with a stress sigma along t and tau along the hoop. With y towards the front and z towards the
top, (y f + z u) x t = z f - y u, so the moments about the centre-line point are
M_front = integral of sigma z dA, M_top = -integral of sigma y dA. Theta runs from the top to the
front, which is against a right-handed turn about t, so the torsion is minus the integral of tau
times the radius. Stress is linear through the wall between the recovered values on its two
surfaces, for which the two-point rule in the radius is exact but for the fourth power.
"""

from dataclasses import dataclass

import numpy as np

from fea.beam.section import fibre_stress_mpa
from fea.beam.statics import BeamResult, resultants_of
from fea.solid.cross_sections import Rings
from fea.solid.recovery import AXIAL, SHEAR, SurfaceStress
from geometry.arrays import Floats
from geometry.bar import Bar

FIBRES_RAD = tuple(np.pi / 2 * turn for turn in range(4))
"""Theta of the fibres: top, front, underside and rear at the clamp."""

GAUSS = (0.5 - 0.5 / np.sqrt(3), 0.5 + 0.5 / np.sqrt(3))
"""Depths of the two points of Gauss-Legendre on [0, 1], weight 1/2 each."""


@dataclass(frozen=True, eq=False)
class SectionForces:
    """Quantities along a bar, ascending in s.

    Attributes:
        s_mm: (n,) places.
        axial_n: (n,) force along the tangent.
        torsion_nmm: (n,) moment about the tangent.
        bending_front_nmm: (n,) moment about the front axis, which bends up and down.
        bending_top_nmm: (n,) moment about the top axis, which bends fore and aft.
        fibres_mpa: (n, 4) axial stress on the outer surface at `FIBRES_RAD`.
    """

    s_mm: Floats
    axial_n: Floats
    torsion_nmm: Floats
    bending_front_nmm: Floats
    bending_top_nmm: Floats
    fibres_mpa: Floats


def solid_section_forces(rings: Rings, s_mm: Floats, stress: SurfaceStress) -> SectionForces:
    """Return the resultants of a solid's surface stress, section by section.

    Source: integrals of stress over a section, textbook; signs as in the module docstring.

    Args:
        rings: Cross-sections of the sheet, ascending in s.
        s_mm: (S,) their places.
        stress: Recovered stress at the sheet's nodes.
    """
    outer, inner = stress.outer[rings.nodes], stress.inner[rings.nodes]
    axial, torsion, front, top = np.mean(
        [_sums(rings, (1 - depth) * inner + depth * outer, depth) for depth in GAUSS], axis=0
    )
    return SectionForces(s_mm, axial, torsion, front, top, _at_fibres(rings, outer[..., AXIAL]))


def beam_section_forces(bar: Bar, beam: BeamResult) -> SectionForces:
    """Return the section forces of a beam; its stress is that of a straight beam."""
    fibres = fibre_stress_mpa(bar, beam.s_mm, resultants_of(beam), np.array(FIBRES_RAD))
    return SectionForces(
        beam.s_mm,
        beam.axial_n,
        beam.torsion_nmm,
        beam.bending_front_nmm,
        beam.bending_top_nmm,
        fibres,
    )


def _sums(rings: Rings, stress: Floats, depth: float) -> Floats:
    """Return (4, S): force, torsion and two moments of the stress (S, k, 6) at one depth."""
    radius = rings.radius_mm + (depth - 0.5) * rings.wall_mm
    share = radius / rings.radius_mm
    area = rings.area_mm2 * share
    axial, shear = stress[..., AXIAL] * area, stress[..., SHEAR] * area
    return np.stack(
        [
            axial.sum(axis=1),
            -(shear * radius).sum(axis=1),
            (axial * share * rings.top_mm).sum(axis=1),
            -(axial * share * rings.front_mm).sum(axis=1),
        ]
    )


def _at_fibres(rings: Rings, values: Floats) -> Floats:
    """Return (S, 4): values (S, k) at the fibres, linear between the nodes round the tube."""
    theta = np.arctan2(rings.front_mm, rings.top_mm) % (2 * np.pi)
    return np.stack(
        [
            np.interp(FIBRES_RAD, turn, row, period=2 * np.pi)
            for turn, row in zip(theta, values, strict=True)
        ]
    )
