"""The flow curve: Kirchhoff stress against plastic logarithmic strain in uniaxial tension.

The mechanics of this package work in logarithmic strain, whose conjugate in uniaxial tension is the
Kirchhoff stress: the force over the undeformed area times the stretch. So a curve of engineering
stress S and strain e is converted without assuming constant volume (`geometry/given_curve.py`),

    stress = S (1 + e),   strain = ln(1 + e),   plastic strain = strain - stress / E.

Up to the uniform strain only: there an engineering curve has its maximum and the specimen begins
to neck, so what follows describes the neck and not the metal. Beyond, the stress is constant, the
lower bound of a metal that has not cracked. A true curve is valid to its last point.

Every curve here is monotone, so that the return to it needs one number: with G the shear modulus
and y = trial stress + 3 G (plastic strain so far), the stress f is the root of f + 3 G p(f) = y,
a function of y alone.

Source: the definitions of the strains and stresses, written out; MIL-HDBK-5J, equation 1.3.9, for
the shape of the curve; the maximum of the force as onset of the neck: A. Considere (1885), from
memory.
"""

from dataclasses import dataclass
from math import inf

import numpy as np

from fea.stability.stress_strain import OFFSET
from geometry.arrays import Floats
from geometry.errors import SolveError, refuse
from geometry.given_curve import SLACK, true_log_curve, yield_index
from geometry.material import CurveKind

NO_PLASTIC = 1e-12
"""Plastic strain that counts as none; a curve begins where it is reached."""

FINE = 4000
"""Points along a curve where its largest force is looked for."""

ROUNDS, TIGHT = 60, 1e-14


@dataclass(frozen=True)
class PowerCurve:
    """A Ramberg-Osgood curve, strain = S/E + 0.002 (S/F02)^n.

    Attributes:
        youngs_modulus_mpa: E.
        proof_stress_mpa: F02.
        exponent_n: n, above 2.
        kind: What S and the strain are: engineering, or true and logarithmic.
        last_mpa: S beyond which the stress is constant; infinite where the curve has no end.
    """

    youngs_modulus_mpa: float
    proof_stress_mpa: float
    exponent_n: float
    kind: CurveKind = "engineering"
    last_mpa: float = inf


@dataclass(frozen=True, eq=False)
class TableCurve:
    """Straight pieces between points; beyond the last the stress is constant.

    Attributes:
        plastic: (k,) plastic logarithmic strain, ascending from 0.
        stress_mpa: (k,) Kirchhoff stress, positive and not falling.
    """

    plastic: Floats
    stress_mpa: Floats


FlowCurve = PowerCurve | TableCurve


def flow(curve: FlowCurve, driver_mpa: Floats, shear_modulus_mpa: float) -> tuple[Floats, Floats]:
    """Return stress f in MPa with f + 3 G p(f) = driver, and its slope df/dp in MPa there.

    Where the driver lies below the curve the stress is the driver itself and its slope infinite.

    Args:
        curve: The metal's.
        driver_mpa: Trial stress + 3 G (plastic strain so far), any shape, not negative.
        shear_modulus_mpa: G.

    Source: module docstring.

    Raises:
        SolveError: The root is not found to rounding.
    """
    if isinstance(curve, TableCurve):
        return _flow_in_table(curve, driver_mpa, 3 * shear_modulus_mpa)
    return _flow_on_power(curve, driver_mpa, 3 * shear_modulus_mpa)


def points(curve: FlowCurve, count: int = 200) -> tuple[Floats, Floats]:
    """Return plastic strain (k,) and stress (k,), MPa, along a curve, for tables and pictures.

    Source: module docstring.

    A power curve ends where its stress becomes constant, or at a strain of one.
    """
    if isinstance(curve, TableCurve):
        return curve.plastic, curve.stress_mpa
    F, n = curve.proof_stress_mpa, curve.exponent_n
    last = min(curve.last_mpa, F * (1.0 / OFFSET) ** (1.0 / n))
    known = np.geomspace(F * (NO_PLASTIC / OFFSET) ** (1.0 / n), last, count)
    stress, plastic, *_ = _along(curve, known)
    on = plastic > 0
    return plastic[on], stress[on]


def table_curve(
    youngs_modulus_mpa: float, strain: Floats, stress_mpa: Floats, kind: CurveKind
) -> TableCurve:
    """Return the curve through points of total `strain` (k,) and `stress_mpa` (k,), of either kind.

    Engineering points after the highest one describe a neck and are left out. Yield begins where
    the points leave the elastic line; at the first of them where that lies beyond it.

    Source: module docstring.

    Raises:
        InputError: Fewer than one point, strains that do not ascend, stresses that fall before the
            highest, points left of the elastic line, or a rise past yield that is steeper.
    """
    strain, stress = np.asarray(strain, float), np.asarray(stress_mpa, float)
    _check_points(strain, stress)
    strain, stress = true_log_curve(strain, stress, kind)
    plastic = strain - stress / youngs_modulus_mpa
    # a straight engineering line bends by 1.5 e^2 when it is converted
    left = np.any(plastic < -SLACK - 2 * strain**2)
    start = yield_index(plastic)
    if left or np.any(np.diff(stress) < 0) or np.any(np.diff(plastic[start:]) <= 0):
        sentence = "has points left of the elastic line or stresses that fall; correct them"
        raise refuse("curve", sentence)
    plastic, stress = plastic[start:], stress[start:]
    if plastic[0] > 0:
        # it yields at the first stress that is known, and flows there up to that point
        return TableCurve(np.append(0.0, plastic), np.append(stress[0], stress))
    first = np.interp(0.0, plastic, stress)
    return TableCurve(np.append(0.0, plastic[1:]), np.append(first, stress[1:]))


def constant_beyond(curve: FlowCurve, youngs_modulus_mpa: float) -> float:
    """Return the logarithmic strain beyond which the stress is constant; infinite without one.

    Source: module docstring.
    """
    if isinstance(curve, TableCurve):
        return float(curve.plastic[-1] + curve.stress_mpa[-1] / youngs_modulus_mpa)
    if curve.last_mpa == inf:
        return inf
    stress, plastic, *_ = _along(curve, np.asarray(curve.last_mpa))
    return float(plastic + stress / curve.youngs_modulus_mpa)


def uniform_strain(curve: FlowCurve, youngs_modulus_mpa: float) -> float:
    """Return the uniform strain, logarithmic: that of the largest tensile force, at most 1.

    Beyond it a neck begins. The force is that of a bar of unit undeformed area, stress over
    stretch; where the stress is constant it falls.

    Source: A. Considere (1885), from memory.
    """
    plastic, stress = points(curve, FINE)
    known = plastic + stress / youngs_modulus_mpa
    strain = np.linspace(known[0], known[-1], FINE)
    return float(strain[np.argmax(np.interp(strain, known, stress) * np.exp(-strain))])


def _check_points(strain: Floats, stress: Floats) -> None:
    fits = strain.ndim == 1 and strain.shape == stress.shape and strain.size > 0
    if not fits or not np.all(np.isfinite([strain, stress])) or stress.min() <= 0:
        raise refuse("curve", "must have as many positive stresses as strains; correct it")
    if np.any(np.diff(strain) <= 0):
        raise refuse("curve", "has strains that do not ascend; sort the points by strain")


def _flow_in_table(curve: TableCurve, driver: Floats, thrice: float) -> tuple[Floats, Floats]:
    knots = curve.stress_mpa + thrice * curve.plastic
    piece = np.searchsorted(knots, driver, side="right") - 1
    rise = np.append(np.diff(curve.stress_mpa), 0.0)
    run = np.append(np.diff(curve.plastic), 1.0)
    slope = rise / run
    at = np.maximum(piece, 0)
    stress = curve.stress_mpa[at] + (driver - knots[at]) * slope[at] / (thrice + slope[at])
    below = piece < 0
    return np.where(below, driver, stress), np.where(below, np.inf, slope[at])


def _flow_on_power(curve: PowerCurve, driver: Floats, thrice: float) -> tuple[Floats, Floats]:
    F, n = curve.proof_stress_mpa, curve.exponent_n
    least = F * (NO_PLASTIC / OFFSET) ** (1.0 / n)
    yields = driver > least
    stress, slope = driver.astype(float), np.full(driver.shape, np.inf)
    # most points of a bar are elastic, and its powers cost as much as all else
    stress[yields], slope[yields] = _yielding_on_power(curve, driver[yields], thrice)
    return stress, slope


def _yielding_on_power(curve: PowerCurve, y: Floats, thrice: float) -> tuple[Floats, Floats]:
    """Return the root by Newton's method from the right, where all rises and is convex."""
    F, n = curve.proof_stress_mpa, curve.exponent_n
    # both elastic and plastic part alone lie to the right of the root
    s = np.minimum(y, 1.02 * F * (y / thrice / OFFSET) ** (1.0 / n))
    s = np.minimum(s, curve.last_mpa)
    for _ in range(ROUNDS):
        stress, plastic, rise, run = _along(curve, s)
        step = (stress + thrice * plastic - y) / (rise + thrice * run)
        s = np.minimum(s - step, curve.last_mpa)
        if np.all((np.abs(step) <= TIGHT * s) | (s >= curve.last_mpa)):
            break
    else:
        raise SolveError(f"the flow stress does not converge to rounding in {ROUNDS} iterations")
    stress, plastic, rise, run = _along(curve, s)
    held = s >= curve.last_mpa
    slope = np.where(held, 0.0, rise / run)
    return np.where(plastic <= 0, y, stress), np.where(plastic <= 0, np.inf, slope)


def _along(curve: PowerCurve, s: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return stress, plastic strain, and the slopes of both over s, in the package's measures."""
    E, n = curve.youngs_modulus_mpa, curve.exponent_n
    plastic = _plastic_engineering(curve, s)
    if curve.kind == "true":
        return s, plastic, np.ones_like(s), n * plastic / s
    strain = s / E + plastic
    growth = 1 / E + n * plastic / s
    stress, rise = s * (1 + strain), 1 + strain + s * growth
    return stress, np.log1p(strain) - stress / E, rise, growth / (1 + strain) - rise / E


def _plastic_engineering(curve: PowerCurve, s: Floats | float) -> Floats:
    return np.asarray(OFFSET * (np.asarray(s) / curve.proof_stress_mpa) ** curve.exponent_n)
