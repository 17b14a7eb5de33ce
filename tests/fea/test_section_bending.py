"""Yielding sections: against the curve, closed forms, brute force; balance and order."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import bisect, fsolve
from scipy.special import beta

from fea.stability import plane_section
from fea.stability.plane_section import balanced, largest_strain, plane_sections, plane_strain
from fea.stability.section_bending import elastic_plastic_strain
from fea.stability.stress_strain import Curve, neuber_strain, strain_at, stress_at
from geometry.arrays import Floats
from geometry.errors import InputError, SolveError

ALUMINIUM = Curve(68300.0, 0.33, 241.0, 34.0)
TITANIUM = Curve(103000.0, 0.30, 724.0, 20.0)
RADIUS_MM, WALL_MM = 15.0, 1.2


@dataclass(frozen=True, eq=False)
class Ring:
    """Places of one section, (k,) each."""

    y_mm: Floats
    z_mm: Floats
    area_mm2: Floats

    def stress(self, axial: float, top: float, front: float) -> Floats:
        """Return the plane stress (1, k) of its mean and of its largest by two moments."""
        y, z = self.y_mm / RADIUS_MM, self.z_mm / RADIUS_MM
        return (axial + top * z + front * y)[None]


def ring(places: int = 48, thinning: float = 0.0) -> Ring:
    """Return a ring, its wall thinner in front than behind if wanted."""
    a = 2 * np.pi * (np.arange(places) + 0.5) / places
    wall = WALL_MM * (1 - thinning * np.cos(a))
    area = wall * 2 * np.pi * RADIUS_MM / places
    return Ring(RADIUS_MM * np.cos(a), RADIUS_MM * np.sin(a), area)


def places(section: Ring) -> tuple[Floats, Floats, Floats]:
    """Return coordinates and areas as arguments."""
    return section.y_mm, section.z_mm, section.area_mm2


def section_strain(
    curve: Curve, stress_mpa: Floats, y_mm: Floats, z_mm: Floats, area_mm2: Floats
) -> Floats:
    """Return the plane strain (S, k) that carries a linear stress, infinite in a huge section."""
    sections = plane_sections(curve, stress_mpa, y_mm, z_mm, area_mm2)
    found = balanced(curve, sections, sections.elastic)
    strain = plane_strain(sections, found)
    huge = np.isinf(largest_strain(sections, found))[:, None]
    return np.where(huge, np.copysign(np.inf, strain), strain)


ROUND, UNEVEN = ring(), ring(36, 0.3)
levels = st.floats(-1.5, 1.5)
curves = st.builds(
    Curve, st.floats(5e4, 2.2e5), st.just(0.3), st.floats(100.0, 1000.0), st.floats(3.0, 50.0)
)


def resultants(section: Ring, stress_mpa: Floats) -> Floats:
    """Return force and moments over the radius of stress (1, k), N."""
    y, z, area = places(section)
    return np.array([(stress_mpa * area * f).sum() for f in (1.0, y / RADIUS_MM, z / RADIUS_MM)])


@given(curves, levels, levels, levels)
def test_force_and_moments_are_carried(curve, axial, top, front):
    """The stress of the strain found has the resultants of the linear one, and is plane."""
    stress = UNEVEN.stress(axial, top, front) * curve.proof_stress_mpa
    strain = section_strain(curve, stress, *places(UNEVEN))
    # the load may be beyond what can be carried at a strain that a number holds
    if np.all(np.isfinite(strain)):
        carried = resultants(UNEVEN, stress_at(curve, strain))
        scale = np.abs(stress).sum() * UNEVEN.area_mm2.max()
        # as the strain below: numbers under 1e-300 have too few digits left to be carried
        atol = 2e-6 * scale + 1e-300
        np.testing.assert_allclose(carried, resultants(UNEVEN, stress), atol=atol)
        basis = np.column_stack([np.ones(36), UNEVEN.y_mm, UNEVEN.z_mm])
        plane = basis @ np.linalg.lstsq(basis, strain[0], rcond=None)[0]
        np.testing.assert_allclose(strain[0], plane, atol=1e-12 * np.abs(strain).max() + 1e-300)


@pytest.mark.parametrize("load", [(0.3, 0.5, -0.4), (0.0, 1.0, 0.0), (-0.9, 0.0, 0.0)])
def test_elastic_identity(load):
    """With the proof stress out of reach all strains are the linear ones."""
    stress = UNEVEN.stress(*load) * 700.0
    elastic = replace(TITANIUM, proof_stress_mpa=1e9)
    for function in (section_strain, elastic_plastic_strain):
        strain = function(elastic, stress, *places(UNEVEN))
        np.testing.assert_allclose(strain, stress / 103000, rtol=1e-12, atol=1e-15)


@pytest.mark.parametrize("level", [-1.1, 0.4, 1.0, 1.2])
def test_axial_force_alone_strains_as_the_curve(level):
    """A section in plain tension or compression is a test piece."""
    stress = ROUND.stress(level, 0.0, 0.0) * 724.0
    strain = section_strain(TITANIUM, stress, *places(ROUND))
    # n = 20 times the imbalance that is allowed
    np.testing.assert_allclose(strain, strain_at(TITANIUM, stress), rtol=1e-10)


def first_factor(curve: Curve, section: Ring, stress_mpa: Floats, strain: float) -> float:
    """Return the load factor at which the place of the largest stress has a strain."""
    top = int(np.argmax(stress_mpa))

    def excess(factor: float) -> float:
        at = elastic_plastic_strain(curve, factor * stress_mpa, *places(section))
        return -1.0 if at[0, top] < strain else 1.0

    return float(bisect(excess, 0.1, 10.0, xtol=1e-9))


def power_law_factor(n: float, strain: float) -> float:
    """Return M/(pi R^2 t F02) of a thin ring of a purely plastic metal at its largest strain.

    4 R^2 t F02 (strain/0.002)^(1/n) times the integral of cos^(1 + 1/n) over a quarter.
    """
    quarter = beta(1 + 1 / (2 * n), 0.5) / 2
    return float(4 / np.pi * (strain / 0.002) ** (1 / n) * quarter)


@pytest.mark.parametrize("n", [5.0, 20.0, 200.0])
def test_moment_of_a_power_law_ring(n):
    """Load factor of first yield in a ring whose elastic strain is nothing, in closed form."""
    fine, curve = ring(720), Curve(1e12, 0.3, 300.0, n)
    stress = fine.stress(0.0, 1.0, 0.0) * 300.0
    factor = first_factor(curve, fine, stress, 0.02)
    # 1e-4: 720 places round an integrand with a kink, elastic strain 1e-9
    assert factor == pytest.approx(power_law_factor(n, 0.02), rel=1e-4)
    soft = replace(curve, proof_stress_mpa=300 / 1.05)
    off = first_factor(soft, fine, stress, 0.02)
    assert abs(off / power_law_factor(n, 0.02) - 1) > 0.04


def test_shape_factor_of_a_thin_ring():
    """Without hardening the fully plastic moment is 4/pi of that at first yield."""
    fine = ring(720)
    curve = Curve(1e9, 0.3, 300.0, 1000.0)
    stress = fine.stress(0.0, 0.6, 0.8) * 300.0  # about a skew axis
    factor = first_factor(curve, fine, stress, 0.002)
    # 1e-3: (cos)^(1/n) takes 0.3/n off
    assert factor == pytest.approx(4 / np.pi, rel=1e-3)


def brute_force(curve: Curve, axial: float, top: float) -> Floats:
    """Return the extreme strains of a thin ring, by quadrature on a table of the curve."""
    stresses = np.linspace(0.0, 1.5 * curve.proof_stress_mpa, 200001)
    strains = stresses / curve.youngs_modulus_mpa
    strains = strains + 0.002 * (stresses / curve.proof_stress_mpa) ** curve.exponent_n
    a = 2 * np.pi * (np.arange(4000) + 0.5) / 4000

    def off(unknown: Floats) -> Floats:
        strain = (unknown[0] + unknown[1] * np.sin(a)) * 1e-3
        stress = np.sign(strain) * np.interp(np.abs(strain), strains, stresses)
        return np.array([stress.mean() - axial, 2 * (stress * np.sin(a)).mean() - top])

    level, slope = fsolve(off, np.array([axial, top]) / curve.youngs_modulus_mpa * 1e3, xtol=1e-12)
    return np.array([level - slope, level + slope]) * 1e-3


@pytest.mark.parametrize("curve", [ALUMINIUM, TITANIUM])
@pytest.mark.parametrize("load", [(0.0, 1.1), (0.3, 0.9), (-0.5, 0.7)])
def test_against_brute_force(curve, load):
    """Extreme strains of a ring in bending and tension or compression."""
    fine = ring(720)
    axial, top = (part * curve.proof_stress_mpa for part in load)
    strain = section_strain(curve, fine.stress(axial, top, 0.0), *places(fine))
    low, high = brute_force(curve, axial, top)
    # 2e-4: the last places lie a quarter of a degree off the extremes (1e-5), n times the errors
    # of both quadratures
    assert strain.min() == pytest.approx(low, rel=2e-4)
    assert strain.max() == pytest.approx(high, rel=2e-4)
    assert not np.allclose(1.05 * strain.max(), high, rtol=2e-4)


def test_a_local_peak_strains_by_neuber():
    """Where one place is far above its section, its strain is Neuber's; elsewhere linear."""
    stress = ROUND.stress(0.0, 0.3, 0.0) * 724.0
    stress[0, 5] = 1.5 * 724
    strain = elastic_plastic_strain(TITANIUM, stress, *places(ROUND))
    assert strain[0, 5] == neuber_strain(TITANIUM, 1.5 * 724.0)
    others = np.delete(strain - stress / 103000, 5)
    np.testing.assert_allclose(others, 0.0, atol=1e-9)  # the curve's own, far below yield


def test_a_section_that_yields_through_strains_by_its_moment():
    """Beyond the plastic moment a section strains more than Neuber says."""
    stress = ROUND.stress(0.0, 1.4, 0.0) * 724.0
    strain = elastic_plastic_strain(TITANIUM, stress, *places(ROUND))
    plane = section_strain(TITANIUM, stress, *places(ROUND))
    np.testing.assert_allclose(strain, plane, rtol=1e-9, atol=1e-15)
    top = np.argmax(stress)
    assert strain[0, top] > 1.5 * neuber_strain(TITANIUM, stress[0, top])


@given(curves, levels, levels, levels, st.integers(0, 35), st.floats(-1.0, 1.0))
def test_strain_rises_with_the_load(curve, axial, top, front, place, peak):
    """At every place, from a twentieth of a load to twice of it, with a local peak somewhere."""
    stress = UNEVEN.stress(axial, top, front)
    stress[0, place] += peak
    factors = np.geomspace(0.05, 2.0, 25)[:, None] * curve.proof_stress_mpa
    strain = np.abs(elastic_plastic_strain(curve, factors * stress, *places(UNEVEN)))
    # rounding: n times the imbalance that is allowed
    assert np.all(strain[1:] >= strain[:-1] * (1 - 1e-9))


def test_sections_are_solved_apart():
    """Each of many sections has the answer that it has alone, in any frame."""
    stress = np.concatenate(
        [UNEVEN.stress(0.2, 0.9, -0.3), UNEVEN.stress(0.0, -0.5, 0.0), 0 * UNEVEN.stress(0, 0, 0)]
    )
    together = section_strain(ALUMINIUM, stress * 241, *places(UNEVEN))
    for row in range(3):
        y, z, area = places(UNEVEN)
        alone = section_strain(ALUMINIUM, stress[row : row + 1] * 241, y + 7.0, z - 300.0, area)
        np.testing.assert_allclose(alone[0], together[row], rtol=1e-8, atol=1e-15)
    assert np.all(together[2] == 0.0)


def test_a_load_far_beyond_yield_strains_without_limit():
    """Ten times the proof stress is 1e28 of strain at n = 34: infinite, and no failure."""
    stress = ROUND.stress(1.0, 9.0, 2.0) * 241
    strain = elastic_plastic_strain(ALUMINIUM, stress, *places(ROUND))
    np.testing.assert_array_equal(strain, np.copysign(np.inf, stress))
    assert np.all(np.isinf(section_strain(ALUMINIUM, stress, *places(ROUND))))


@pytest.mark.parametrize("name", ["stress_mpa", "y_mm", "z_mm", "area_mm2"])
def test_what_is_no_number_is_refused(name):
    """The sentence begins with the field."""
    given_ = dict(zip(("y_mm", "z_mm", "area_mm2"), places(ROUND), strict=True))
    given_["stress_mpa"] = ROUND.stress(0.0, 1.0, 0.0)
    given_[name] = given_[name] * np.nan
    with pytest.raises(InputError, match=f"{name}: is not finite"):
        section_strain(ALUMINIUM, **given_)


def test_what_is_no_section_is_refused():
    """A line has no stiffness across, a place needs an area, a stress two axes."""
    stress, (y, z, area) = ROUND.stress(0.0, 1.0, 0.0), places(ROUND)
    with pytest.raises(InputError, match="of section 0 put all places on one line"):
        section_strain(ALUMINIUM, stress, y, 2 * y, area)
    with pytest.raises(InputError, match="area_mm2: must be above 0"):
        section_strain(ALUMINIUM, stress, y, z, 0 * area)
    with pytest.raises(InputError, match="stress_mpa: has 1 axes"):
        section_strain(ALUMINIUM, stress[0], y, z, area)


def test_too_few_steps_raise(monkeypatch):
    """No strain is returned before it is found."""
    stress = ROUND.stress(0.1, 1.0, 0.0) * 300.0
    monkeypatch.setattr(plane_section, "ITERATIONS", 1)
    with pytest.raises(SolveError, match="1 sections were not balanced"):
        section_strain(ALUMINIUM, stress, *places(ROUND))
