"""Section properties, mass and volume of a bar, by quadrature over the map."""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, local_wall_mm, outer_radius_mm, smooth_breaks_mm
from geometry.centreline import curvature_vector

ROUND_POINTS = 128
"""Trapezoidal points round the tube: spectrally exact for these smooth sections."""

LENGTH_POINTS = 8
"""Gauss points in each smooth piece of the bar."""


@dataclass(frozen=True, eq=False)
class SectionProperties:
    """Properties of the sections normal to the centre line.

    Second moments are about the area centroid; front and top are the frame's axes.

    Attributes:
        area_mm2: (...,) area of metal.
        centroid_front_mm: (...,) area centroid along front, from the centre line.
        centroid_top_mm: (...,) likewise along top.
        i_front_mm4: (...,) integral of top^2, for bending about the front axis.
        i_top_mm4: (...,) integral of front^2, for bending about the top axis.
        i_product_mm4: (...,) integral of front x top.
        j_mm4: (...,) torsion constant: Bredt's 4 A^2 / (integral of ds / t), scaled by the ratio of
            the true to the thin-wall polar moment so that a round tube is exact.
    """

    area_mm2: Floats
    centroid_front_mm: Floats
    centroid_top_mm: Floats
    i_front_mm4: Floats
    i_top_mm4: Floats
    i_product_mm4: Floats
    j_mm4: Floats


def section_properties(bar: Bar, s_mm: Floats) -> SectionProperties:
    """Return the properties of the sections at `s_mm` (any shape), bend effects included.

    Source: moments of an area in polar coordinates; torsion by Bredt's formula, textbook.
    """
    theta = np.linspace(0, 2 * np.pi, ROUND_POINTS, endpoint=False)
    s = np.asarray(s_mm, dtype=float)[..., None]
    outer = outer_radius_mm(bar, s, theta)
    inner = outer - local_wall_mm(bar, s, theta)
    step, front, top = 2 * np.pi / ROUND_POINTS, np.sin(theta), np.cos(theta)
    first = (outer**3 - inner**3) / 3 * step
    second = (outer**4 - inner**4) / 4 * step
    area = ((outer**2 - inner**2) / 2 * step).sum(-1)
    x, z = (first * front).sum(-1) / area, (first * top).sum(-1) / area
    i_front = (second * top**2).sum(-1) - area * z**2
    i_top = (second * front**2).sum(-1) - area * x**2
    return SectionProperties(
        area,
        x,
        z,
        i_front,
        i_top,
        (second * front * top).sum(-1) - area * x * z,
        (i_front + i_top) * _bredt_share(outer, inner, x, z),
    )


def volume_pappus_mm3(bar: Bar) -> float:
    """Return the volume of metal: the integral of A (1 - kappa . centroid) ds.

    Source: Pappus' second theorem with the area centroid, textbook.
    """
    s, weight = _along(bar)
    section = section_properties(bar, s)
    curvature = curvature_vector(bar.line, s)
    inward = (
        curvature[..., 0] * section.centroid_front_mm + curvature[..., 1] * section.centroid_top_mm
    )
    return float(np.sum(weight * section.area_mm2 * (1 - inward)))


def mass_g(bar: Bar) -> float:
    """Return the mass of the bare bar in g from volume and density.

    Source: mass = density x volume.
    """
    return volume_pappus_mm3(bar) * bar.spec.material.density_kg_m3 * 1e-6


def _bredt_share(outer: Floats, inner: Floats, x: Floats, z: Floats) -> Floats:
    """Return Bredt's torsion constant over the thin-wall polar moment, 1 for a round tube."""
    theta = np.linspace(0, 2 * np.pi, ROUND_POINTS, endpoint=False)
    middle, wall = (outer + inner) / 2, outer - inner
    arc = np.hypot(middle, _slope(middle))
    # the radial wall is thicker than the normal one where the mid line is not a circle
    normal_wall = wall * middle / arc
    to_centroid = (middle * np.sin(theta) - x[..., None]) ** 2
    to_centroid = to_centroid + (middle * np.cos(theta) - z[..., None]) ** 2
    enclosed = (middle**2 / 2).mean(-1) * 2 * np.pi
    round_trip = (arc / normal_wall).mean(-1) * 2 * np.pi
    polar = (to_centroid * normal_wall * arc).mean(-1) * 2 * np.pi
    result: Floats = 4 * enclosed**2 / round_trip / polar
    return result


def _slope(periodic: Floats) -> Floats:
    waves = np.fft.rfftfreq(ROUND_POINTS, 1 / ROUND_POINTS)
    return np.fft.irfft(1j * waves * np.fft.rfft(periodic, axis=-1), n=ROUND_POINTS, axis=-1)


def _along(bar: Bar) -> tuple[Floats, Floats]:
    """Return Gauss points and weights along the bar, (pieces, points)."""
    x, w = np.polynomial.legendre.leggauss(LENGTH_POINTS)
    breaks = smooth_breaks_mm(bar)
    half = np.diff(breaks)[:, None] / 2
    return (breaks[:-1, None] + half) + half * x, half * w
