"""Materials with a curve of their own past yield, and the stress of a flow curve at a strain."""

from dataclasses import replace

import numpy as np

from fea.collapse.flow_curve import FlowCurve, flow
from geometry.material import load_material

PLAIN = load_material("al-6061-t6")
E, F, U = PLAIN.youngs_modulus_mpa, PLAIN.proof_stress_mpa, PLAIN.ultimate_stress_mpa
N = PLAIN.hardening.tension_n if PLAIN.hardening else 0.0
G = E / (2 * (1 + PLAIN.poisson_ratio))
POINTS = ((0.0035, 235.0), (0.0055, 241.0), (0.02, 262.0), (0.08, 290.0), (0.11, 270.0))
TRUE_POINTS = ((0.0035, 235.0), (0.0056, 242.0), (0.02, 268.0), (0.08, 315.0))
TABLE = replace(PLAIN, stress_strain=POINTS)
TRUE_TABLE = replace(PLAIN, stress_strain=TRUE_POINTS, curve="true")
STRAIGHT = replace(PLAIN, tangent_modulus_mpa=700.0)


def stress_at(curve: FlowCurve, strain: float) -> float:
    """Return Kirchhoff stress at a logarithmic strain: the mechanics' own return, bisected."""
    low, high = 0.0, 10 * E
    for _ in range(80):
        driver = (low + high) / 2
        stress = float(flow(curve, np.array(driver), G)[0])
        reached = (driver - stress) / (3 * G) + stress / E
        low, high = (driver, high) if reached < strain else (low, driver)
    return stress
