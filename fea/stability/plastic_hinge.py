"""Whether a tube in bending is a plastic hinge before it wrinkles.

The bending moment at which the section analysis has the wall wrinkle, over the full plastic
moment of the section, decides. From 1 on all of the section has yielded and bends as a hinge
before it wrinkles; below 1 it wrinkles first, with a part of it still elastic. In a determinate
arm that moment is the linear one times the multiple of the load at which the wall wrinkles.

The full plastic moment is the proof stress times the first moments of the two halves of equal
area; 4 R^2 t of a thin ring, (D^3 - d^3)/6 of any. The axis is that of the elastic moment.

Limits: bending alone (axial force, shear and torsion lower the plastic moment) and a section that
stays round, so that a hinge may be one that flattens. The moment hardly rises with the curvature
there: near 1 the two are close, and imperfections decide.

Source: textbook of plastic bending, checked against the closed forms in `tests`. That the plastic
moment parts the two is the idea of section classes (EN 1993-1-1, from memory, unverified).
"""

from typing import Literal

import numpy as np

from fea.solid.cross_sections import Rings
from fea.solid.recovery import AXIAL
from fea.stability.local_buckling import Walls, WallStress
from geometry.arrays import Floats

Failure = Literal["plastic hinge", "wrinkle"]
"""Named as the modes of a path's collapse."""


def expected_failure(moment_ratio: float) -> Failure:
    """Return which comes first at a moment of wrinkling over the full plastic moment.

    Source: module docstring.
    """
    return "plastic hinge" if moment_ratio >= 1 else "wrinkle"


def wrinkling_moment_ratio(stress: WallStress, s_mm: Floats, at_mm: float, factor: float) -> float:
    """Return the moment of the section at `at_mm` over its full plastic moment, no unit.

    Args:
        stress: Linear stress at the load itself.
        s_mm: (P,) places of the sheet's nodes.
        at_mm: Where the wall wrinkles.
        factor: Multiple of the load at which it does.

    Source: module docstring.
    """
    walls, row = _section(stress.walls, s_mm, at_mm)
    ring = walls.rings
    axial = stress.membrane[ring.nodes[row], AXIAL]
    moment = _moment_nmm(ring, row, axial)
    size = float(np.linalg.norm(moment))
    if not size:
        return 0.0
    height = np.stack([ring.front_mm[row], ring.top_mm[row]], axis=-1) @ (moment / size)
    plastic = walls.proof_stress_mpa * plastic_modulus_mm3(height, ring.area_mm2[row])
    return factor * size / plastic


def plastic_modulus_mm3(height_mm: Floats, area_mm2: Floats) -> float:
    """Return the first moments of the halves of equal area, mm3.

    Args:
        height_mm: (k,) distance of each place from any line along the axis of bending.
        area_mm2: (k,) area of each.

    Source: textbook; the line that halves the area has the least sum of first moments.
    """
    off = np.abs(height_mm[:, None] - height_mm)
    return float((area_mm2[:, None] * off).sum(axis=0).min())


def _moment_nmm(ring: Rings, row: int, axial_mpa: Floats) -> Floats:
    """Return (2,): moments of an axial stress (k,) in a section by front and by top, N mm."""
    area = ring.area_mm2[row]
    bent = area * (axial_mpa - (area * axial_mpa).sum() / area.sum())
    return np.array([bent @ ring.front_mm[row], bent @ ring.top_mm[row]])


def _section(walls: tuple[Walls, ...], s_mm: Floats, at_mm: float) -> tuple[Walls, int]:
    """Return the walls and the row of the section nearest to a place."""
    found = []
    for each in walls:
        off = np.abs(s_mm[each.rings.nodes[:, 0]] - at_mm)
        row = int(np.argmin(off))
        found.append((float(off[row]), each, row))
    _, nearest, row = min(found, key=lambda one: one[0])
    return nearest, row
