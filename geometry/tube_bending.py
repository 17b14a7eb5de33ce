"""Cold bending of a tube on a tool: springback, strain, and practical limits.

All are estimates for the bench; none enters the stress analysis.
"""

from math import pi

from geometry.source import Source

MIN_RADIUS_PER_OD_TITANIUM = (2.0, 3.0)
"""Smallest centre-line radius over outer diameter that shops name for titanium tube."""

MAX_OVALITY_PERCENT = 8.0
"""Ovality that piping rules allow in a bend; none for handlebars was found."""

SOURCES = {
    "springback": Source("derived", "elastic recovery of the full plastic moment, plane sections"),
    "outer_strain": Source("derived", "plane sections, neutral axis on the centre line"),
    "wall": Source("derived", "volume constant, neutral axis on the centre line"),
    "least_radius": Source("secondary", "titanium tube benders' practice, 2 to 3 x OD"),
    "ovality": Source("secondary", "piping codes on pipe bends, at most 8 %"),
}


def springback_fraction(
    radius_mm: float, od_mm: float, wall_mm: float, *, proof_mpa: float, modulus_mpa: float
) -> float:
    """Return the share of a bend angle that springs back, R F02 Zp / (E I), at most 1.

    The plastic moment is F02 Zp with Zp = (D^3 - d^3)/6 and unloading takes off
    M/(E I) of curvature. A lower bound: hardening at the large strains of a bend is
    left out. Valid where the bend is fully plastic, that is far below 1.

    Source: derived from textbook plasticity.
    """
    D, d = od_mm, od_mm - 2 * wall_mm
    Zp, I = (D**3 - d**3) / 6, pi * (D**4 - d**4) / 64  # noqa: E741 - the textbook's letter
    return min(radius_mm * proof_mpa * Zp / (modulus_mpa * I), 1.0)


def outer_strain_percent(radius_mm: float, od_mm: float) -> float:
    """Return the strain of the outer fibre of a bend in percent, OD/(2 CLR).

    Source: plane sections, neutral axis on the centre line (derived).
    """
    return 100 * od_mm / (2 * radius_mm)


def extrados_wall_mm(radius_mm: float, od_mm: float, wall_mm: float) -> float:
    """Return the wall at the extrados, t R/(R + r) with the mean radius r, mm.

    Source: volume constant, neutral axis on the centre line (derived).
    """
    return wall_mm * radius_mm / (radius_mm + (od_mm - wall_mm) / 2)


def intrados_wall_mm(radius_mm: float, od_mm: float, wall_mm: float) -> float:
    """Return the wall at the intrados, t R/(R - r) with the mean radius r < R, mm.

    Source: volume constant, neutral axis on the centre line (derived).
    """
    return wall_mm * radius_mm / (radius_mm - (od_mm - wall_mm) / 2)
