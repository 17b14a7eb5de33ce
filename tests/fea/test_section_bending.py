"""Elastic-plastic strains of sections, against closed forms and brute force."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import fsolve

from fea.section_bending import elastic_plastic_strain
from fea.stress_strain import Curve, neuber_strain, strain_at, stress_at
from geometry.arrays import Floats

ALUMINIUM = Curve(71e3, 0.33, 455.0, 22.0)
RADIUS_MM, PLACES = 10.0, 48
THETA = np.linspace(0, 2 * np.pi, PLACES, endpoint=False)
FRONT, TOP = RADIUS_MM * np.sin(THETA)[None], RADIUS_MM * np.cos(THETA)[None]
AREA = np.full((1, PLACES), 2 * np.pi * RADIUS_MM * 1.5 / PLACES)


def strains(curve: Curve, stress: Floats) -> Floats:
    """Return the strain (k,) of one ring."""
    return elastic_plastic_strain(curve, stress[None], FRONT, TOP, AREA)[0]


def bent(even: float, front: float, top: float) -> Floats:
    """Return a beam's stress (k,): a mean and two bending stresses in proof stresses."""
    shape = even + front * FRONT[0] / RADIUS_MM + top * TOP[0] / RADIUS_MM
    return ALUMINIUM.proof_stress_mpa * shape


def test_small_stress_is_elastic() -> None:
    """Half of the proof stress: plastic strain is 0.5^22 of 0.002."""
    stress = bent(0.1, 0.2, 0.2)
    np.testing.assert_allclose(strains(ALUMINIUM, stress), stress / 71e3, rtol=1e-5, atol=1e-12)


def test_a_pure_axial_force_is_the_curve_itself() -> None:
    """The whole section at one strain."""
    stress = bent(-1.05, 0.0, 0.0)
    np.testing.assert_allclose(strains(ALUMINIUM, stress), strain_at(ALUMINIUM, stress), rtol=1e-7)


@pytest.mark.parametrize("case", [(0.0, 0.0, 1.2), (-0.4, 0.5, 0.7), (0.0, -1.0, 0.9)])
def test_force_and_moments_balance(case: tuple[float, float, float]) -> None:
    """Against a general root finder on mean strain and two curvatures; 1e-6 of the strain."""
    stress = bent(*case)
    places = np.stack([np.ones(PLACES), FRONT[0], TOP[0]])
    loads = places @ (stress * AREA[0])

    def rest(motion: Floats) -> Floats:
        return places @ (stress_at(ALUMINIUM, motion @ places) * AREA[0]) - loads

    scale = np.array([1e-3, 1e-4, 1e-4])
    start = np.linalg.solve(places * AREA[0] @ places.T, loads) / 71e3
    motion = scale * fsolve(lambda m: rest(scale * m) / 1e3, start / scale, xtol=1e-12)
    largest = np.abs(motion @ places).max()
    local = np.abs(neuber_strain(ALUMINIUM, stress)).max()
    assert np.abs(strains(ALUMINIUM, stress)).max() == pytest.approx(max(largest, local), rel=1e-6)


def test_the_fully_plastic_moment() -> None:
    """A curve with a corner: elastic moment x 4/pi = 1.273 is the most a thin ring carries.

    At 1.26 an ideally plastic ring stands at 2.5 times the yield strain or more, at 1.28 the
    strain runs away as far as the curve's last hardening lets it.
    """
    corner = Curve(71e3, 0.33, 455.0, 300.0)
    yield_strain = 455.0 / 71e3
    assert 2.5 * yield_strain < strains(corner, bent(0, 0, 1.26)).max() < 6 * yield_strain
    assert strains(corner, bent(0, 0, 1.30)).max() > 20 * yield_strain


def test_a_local_peak_follows_neuber() -> None:
    """A self-balanced pattern of four waves has no force and no moment to yield the section."""
    stress = 500.0 * np.cos(4 * THETA)
    np.testing.assert_allclose(
        strains(ALUMINIUM, stress), neuber_strain(ALUMINIUM, stress), rtol=1e-12
    )


@settings(max_examples=30, deadline=None)
@given(
    even=st.floats(-1.0, 1.0),
    front=st.floats(-1.0, 1.0),
    top=st.floats(-1.0, 1.0),
    factors=st.tuples(st.floats(0.01, 1.6), st.floats(0.01, 1.6)),
)
def test_strain_grows_with_the_load(
    even: float, front: float, top: float, factors: tuple[float, float]
) -> None:
    """The largest strain of a section is monotone in a common factor on its stress."""
    low, high = sorted(factors)
    less, more = (np.abs(strains(ALUMINIUM, f * bent(even, front, top))).max() for f in (low, high))
    assert more >= less * (1 - 1e-9)
