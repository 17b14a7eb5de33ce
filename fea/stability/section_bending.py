"""Strains of a yielding tube from the axial membrane stress of a linear analysis.

Each of S sections is a ring of k places with position y, z about any one origin (mm) and a share
of the area (mm2). The linear stress of a section has a force and two moments; plane sections stay
plane, so the strain that carries them on the curve is e0 + ky y + kz z; `plane_section` finds it.

A place then strains by the larger of two estimates:
(a) Neuber's of the linear stress there, for a local peak within elastic surroundings;
(b) the linear strain there times the section's amplification, for a section that yields through:
    a statically determinate arm cannot shed its moment. The amplification is the largest strain
    of the plane section over the largest that it would have if it were elastic.
Both rise with the load: (a) by its formula, (b) in every section that was tried.

Limits: axial stress alone (no shear, no hoop stress), first loading, one curve for tension and
compression, the section round (it neither flattens nor wrinkles), and the force and the moments
of the linear analysis, as small displacements and a determinate arm have them.
"""

import numpy as np

from fea.stability.plane_section import balanced, largest_strain, plane_sections
from fea.stability.stress_strain import Curve, neuber_strain
from geometry.arrays import Floats


def elastic_plastic_strain(
    curve: Curve, stress_mpa: Floats, y_mm: Floats, z_mm: Floats, area_mm2: Floats
) -> Floats:
    """Return the larger estimate (S, k) of the strain, with the sign of the linear stress.

    An engineering estimate, no bound; limits in the module docstring. Infinite in a section whose
    largest strain is beyond `plane_section.HUGE_STRAIN`.

    Args:
        curve: The curve.
        stress_mpa: (S, k) axial membrane stress by a linear analysis, not necessarily plane.
        y_mm: (S, k) or (k,) coordinates.
        z_mm: The same.
        area_mm2: (S, k) or (k,) areas of the places: wall times arc.

    Raises:
        InputError: A value is not finite, an area not positive, or all places lie on one line.
        SolveError: The forces were not balanced to `plane_section.BALANCE`.

    Source: Neuber's rule and equilibrium, see the module docstring.
    """
    sections = plane_sections(curve, stress_mpa, y_mm, z_mm, area_mm2)
    largest = largest_strain(sections, balanced(curve, sections, sections.elastic))
    elastic = largest_strain(sections, sections.elastic)
    ratio = np.divide(largest, elastic, out=np.ones_like(elastic), where=elastic > 0.0)[:, None]
    stress = np.asarray(stress_mpa, dtype=np.float64)
    # infinity times zero is zero here
    yielded = np.abs(stress) / curve.youngs_modulus_mpa * np.where(stress == 0.0, 1.0, ratio)
    return np.copysign(np.maximum(np.abs(neuber_strain(curve, stress)), yielded), stress)
