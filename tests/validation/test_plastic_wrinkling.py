"""Plastic wrinkling of a cylinder under axial compression, deformation theory of J2 plasticity.

S. C. Batterman, AIAA J. 3 (1965) 316-325; S. Kyriakides and E. Corona, Mechanics of Offshore
Pipelines vol. 1 (2007). Both from memory, unverified: what is tested is the closed form against a
second route of our own that shares none of its algebra. There the moduli are differences of the
total law, solved for the stress state; and the buckling stress is the least root of the energy of
a wrinkle whose axial and radial parts are both unknowns, minimised numerically over its length.
"""

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from fea.stress_strain import Curve, curve_of, strain_at
from fea.wrinkling import classical_stress_mpa, plastic_wrinkle
from geometry.arrays import Floats
from geometry.material import load_material

SLIMNESS = (15.0, 20.0, 30.0, 45.0, 60.0)

AL_6061_T6 = Curve(68300.0, 0.33, 241.0, 40.0)
TI_3AL_2_5V = Curve(103000.0, 0.30, 724.0, 20.0)

# wrinkling stress over proof stress at the five D/t, as the second route gives it
TABLE = {
    AL_6061_T6: (1.04772, 1.03837, 1.02478, 1.01034, 0.99935),
    TI_3AL_2_5V: (1.11188, 1.09058, 1.05937, 1.02587, 1.00005),
}


def total_strain(curve: Curve, stress: Floats) -> Floats:
    """Return both strains (2,) of a plane stress state (2,): the total law of the theory."""
    first, second = stress
    equivalent = np.sqrt(first**2 - first * second + second**2)
    e, nu = curve.youngs_modulus_mpa, curve.poisson_ratio
    more = float(strain_at(curve, equivalent)) / equivalent - 1 / e
    mean = (first + second) / 3
    elastic = np.array([first - nu * second, second - nu * first]) / e
    return elastic + 1.5 * more * (stress - mean)


def moduli(curve: Curve, stress_mpa: float) -> Floats:
    """Return C (2, 2) by central differences of the total law about uniaxial compression."""
    step = 1e-5 * stress_mpa
    columns = []
    for push in np.eye(2) * step:
        at = np.array([-stress_mpa, 0.0])
        columns.append((total_strain(curve, at + push) - total_strain(curve, at - push)) / 2 / step)
    return np.linalg.inv(np.column_stack(columns))


def needed_mpa(c: Floats, radius: float, wall: float, half_wave: float) -> float:
    """Return the stress at which the wrinkle u = b sin kx, w = a cos kx costs no energy.

    Membrane strains u' and w/R, curvature w''; the axial stress works on w'^2/2. The energy is a
    quadratic form in (b, a), so the stress is the root of a two by two determinant.
    """
    k = np.pi / half_wave
    strain_of = np.array([[k, 0.0], [0.0, 1 / radius]])
    stiff = wall * strain_of.T @ c @ strain_of
    stiff[1, 1] += c[0, 0] * wall**3 / 12 * k**4
    # the axial displacement is free to follow: eliminate it
    left = stiff[1, 1] - stiff[0, 1] ** 2 / stiff[0, 0]
    return float(left / (wall * k**2))


def second_route(curve: Curve, radius: float, wall: float) -> tuple[float, float]:
    """Return wrinkling stress and half wave."""

    def least(stress: float) -> tuple[float, float]:
        c = moduli(curve, stress)
        scale = np.sqrt(radius * wall)
        found = minimize_scalar(
            lambda half_wave: needed_mpa(c, radius, wall, half_wave),
            bounds=(0.5 * scale, 6 * scale),
            method="bounded",
            options={"xatol": 1e-9 * scale},
        )
        return float(found.fun), float(found.x)

    e, nu = curve.youngs_modulus_mpa, curve.poisson_ratio
    highest = float(classical_stress_mpa(e, nu, np.array(radius), np.array(wall)))
    stress = float(brentq(lambda s: least(s)[0] - s, 0.01 * highest, 1.01 * highest, xtol=1e-9))
    return stress, least(stress)[1]


@pytest.mark.parametrize("curve", [AL_6061_T6, TI_3AL_2_5V], ids=["6061-T6", "Ti-3Al-2.5V"])
@pytest.mark.parametrize("place", range(len(SLIMNESS)))
def test_table(curve: Curve, place: int) -> None:
    """Closed form, second route and table agree: 1e-6 for differences, 1e-5 for five digits."""
    wall, radius = 1.0, (SLIMNESS[place] - 1.0) / 2
    stress, half_wave = second_route(curve, radius, wall)
    ours = plastic_wrinkle(curve, np.array(radius), np.array(wall))
    assert float(ours.stress_mpa) == pytest.approx(stress, rel=1e-6)
    # the least is flat in the length, so the length is known to the root of the stress's digits
    assert float(ours.half_wave_mm) == pytest.approx(half_wave, rel=1e-3)
    assert stress / curve.proof_stress_mpa == pytest.approx(TABLE[curve][place], abs=1.1e-5)


@pytest.mark.parametrize("curve", [AL_6061_T6, TI_3AL_2_5V], ids=["6061-T6", "Ti-3Al-2.5V"])
def test_thicker_walls_wrinkle_later_and_above_proof(curve: Curve) -> None:
    """Monotone in D/t from 15 to 60, and above the proof stress up to D/t 45."""
    radius = (np.linspace(15, 60, 46) - 1.0) / 2
    found = plastic_wrinkle(curve, radius, np.ones_like(radius))
    assert np.all(np.diff(found.stress_mpa) < 0)
    assert np.all(np.diff(found.strain) < 0)
    assert np.all(found.stress_mpa[:31] > curve.proof_stress_mpa)


@pytest.mark.parametrize("name", ["al-6061-t6", "ti-3al-2.5v-cwsr", "steel-4130-n"])
def test_catalogue_materials_agree_with_the_second_route(name: str) -> None:
    """Their own exponents, D/t 25."""
    curve = curve_of(load_material(name))
    stress, _ = second_route(curve, 12.0, 1.0)
    ours = plastic_wrinkle(curve, np.array(12.0), np.array(1.0))
    assert float(ours.stress_mpa) == pytest.approx(stress, rel=1e-6)


def test_elastic_limits_are_exact() -> None:
    """With no yield 0.60523 E t/R and 1.7282 (R t)^1/2 at nu 0.3, to round-off."""
    curve = Curve(2e5, 0.3, 1e9, 20.0)
    radius, wall = np.array([10.0, 100.0]), np.array([1.0, 0.7])
    found = plastic_wrinkle(curve, radius, wall)
    classical = 2e5 * wall / radius / np.sqrt(3 * (1 - 0.09))
    np.testing.assert_allclose(found.stress_mpa, classical, rtol=1e-12)
    half_wave = np.pi * np.sqrt(radius * wall) / (12 * (1 - 0.09)) ** 0.25
    np.testing.assert_allclose(found.half_wave_mm, half_wave, rtol=1e-12)
    assert classical[0] / (2e5 / 10) == pytest.approx(0.60523, abs=5e-6)
    assert half_wave[0] / np.sqrt(10) == pytest.approx(1.7282, abs=5e-5)


@pytest.mark.parametrize("curve", [AL_6061_T6, TI_3AL_2_5V], ids=["6061-T6", "Ti-3Al-2.5V"])
def test_five_percent_turn_it_red(curve: Curve) -> None:
    """A wall, a modulus or a proof stress 5 % off leaves the table."""
    stress, _ = second_route(curve, 9.5, 1.0)
    for other, wall in (
        (curve, 1.05),
        (Curve(1.05 * curve.youngs_modulus_mpa, *list(vars(curve).values())[1:]), 1.0),
        (Curve(*list(vars(curve).values())[:2], 1.05 * curve.proof_stress_mpa, 20.0), 1.0),
    ):
        found = plastic_wrinkle(other, np.array(9.5), np.array(wall))
        assert float(found.stress_mpa) != pytest.approx(stress, rel=1e-5)
