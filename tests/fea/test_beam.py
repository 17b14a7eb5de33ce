"""The beam against closed forms: straight, quarter-circle and tapered cantilevers."""

import numpy as np
import pytest
from scipy.integrate import quad

from fea.beam.pipe_bend import flexibility_factor
from fea.beam.section import shear_coefficient
from fea.beam.statics import BeamResult, solve_beam
from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_effects import BendEffects
from geometry.bend_table import Polyline
from geometry.material import Material
from geometry.section import Station
from geometry.source import Source
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad

E, NU = 107e3, 0.32
G = E / (2 * (1 + NU))
METAL = Material(
    "test-metal", "For tests", E, NU, 4480.0, 700.0, 800.0, Source("derived", "benchmark S2")
)
TUBE = (Station(0, 31.8, 1.5),)
RIGID = Clamp(40.0, "rigid")
POINT_MM = 1e-3  # band short enough to be a point, in the nanometres of the answers


def bar_of(
    right: Polyline, stations: tuple[Station, ...] = TUBE, effects: BendEffects | None = None
) -> Bar:
    """Return a bar of the test metal, without bend effects unless given."""
    effects = effects or BendEffects(wall_change=False)
    return build_bar(BarSpec("test", right, stations, METAL, blend_mm=0.0, effects=effects))


def straight(length_mm: float, stations: tuple[Station, ...] = TUBE) -> Bar:
    """Return a straight bar of two halves of the given length."""
    return bar_of(Polyline(((0, 0, 0), (length_mm, 0, 0)), ()), stations)


def at(
    s_mm: float,
    force_n: tuple[float, float, float] = (0.0, 0.0, 0.0),
    moment_nmm: tuple[float, float, float] = (0.0, 0.0, 0.0),
    band_mm: float = POINT_MM,
) -> PlacedLoad:
    """Return a load at signed s."""
    return PlacedLoad("right" if s_mm > 0 else "left", s_mm, force_n, moment_nmm, band_mm)


def solved(
    bar: Bar, *loads: PlacedLoad, clamp: Clamp = RIGID, flexible: bool = False
) -> BeamResult:
    """Return the answer to one case."""
    return solve_beam(bar, clamp, [loads], flexible)[0]


def tube(od_mm: float, wall_mm: float) -> tuple[float, float, float]:
    """Return A, INERTIA and kappa of a round tube, mm2 and mm4, the last by Cowper's formula."""
    d = od_mm - 2 * wall_mm
    m2 = (d / od_mm) ** 2
    kappa = 6 * (1 + NU) * (1 + m2) ** 2 / ((7 + 6 * NU) * (1 + m2) ** 2 + (20 + 12 * NU) * m2)
    return np.pi * (od_mm**2 - d**2) / 4, np.pi * (od_mm**4 - d**4) / 64, kappa


A, INERTIA, KAPPA = tube(31.8, 1.5)
GA = KAPPA * G * A


def test_shear_coefficient_of_the_benchmark() -> None:
    """Cowper's coefficient of a tube 31.8 x 1.5 at nu = 0.32, to the printed digits."""
    assert float(shear_coefficient(np.array(31.8), np.array(1.5), NU)) == pytest.approx(
        0.534346, abs=5e-7
    )


def test_straight_cantilever() -> None:
    """Tip deflection and root fibre stress of 200 mm under 1000 N, to the printed digits."""
    result = solved(straight(230), at(220, (0, 0, -1000)))
    assert result.displacement_mm[0, 2] == pytest.approx(-1.581876, abs=1e-6)
    assert result.peak_stress_mpa == pytest.approx(193.591, abs=1e-3)
    assert result.peak_s_mm == 20.0
    assert result.work_nmm == pytest.approx(790.938, abs=1e-3)


def test_torsion_and_tension() -> None:
    """T L / G J and F L / E A on the left half, where s is negative."""
    result = solved(straight(230), at(-220, (-5000, 0, 0), (2e5, 0, 0)))
    assert result.rotation_rad[0, 0] == pytest.approx(2e5 * 200 / (G * 2 * INERTIA), rel=1e-6)
    assert result.displacement_mm[0, 0] == pytest.approx(-5000 * 200 / (E * A), rel=1e-6)


def test_uniform_band_on_a_straight_arm() -> None:
    """Mean deflection over a band of 60 mm of uniform load, by Castigliano."""
    bar, band, arm = straight(230), 60.0, 150.0
    bending = (arm**3 - (band / 2) ** 3) / 3 + band**3 / 20
    shear = arm - band / 2 + band / 3
    expected = 1000 * (bending / (E * INERTIA) + shear / GA)
    result = solved(bar, at(170, (0, -1000, 0), band_mm=band))
    # 16 points stand for the band: the shear force has steps instead of a slope
    assert -result.displacement_mm[0, 1] == pytest.approx(expected, rel=2e-5)


@pytest.mark.parametrize("flexible", [False, True])
def test_quarter_circle_in_plane(flexible: bool) -> None:
    """Tip of a quarter circle under forces in its plane, by Castigliano, with and without K."""
    R, force = 100.0, 500.0
    result = solved(quarter(R), at(tip_mm(R), (force, 0, 0)), flexible=flexible)
    other = solved(quarter(R), at(tip_mm(R), (0, force, 0)), flexible=flexible)
    bend, pull, shear = compliances(R, flexible)
    along_x = force * (R**3 * np.pi / 4 * bend + R * np.pi / 4 * (pull + shear))
    cross = force * (R**3 / 2 * bend + R / 2 * (shear - pull))
    along_y = force * (R**3 * (3 * np.pi / 4 - 2) * bend + R * np.pi / 4 * (pull + shear))
    np.testing.assert_allclose(result.displacement_mm[0], [along_x, cross, 0], rtol=1e-5, atol=1e-9)
    np.testing.assert_allclose(other.displacement_mm[0], [cross, along_y, 0], rtol=1e-5, atol=1e-9)


@pytest.mark.parametrize("flexible", [False, True])
def test_quarter_circle_out_of_plane(flexible: bool) -> None:
    """Tip of a quarter circle under a force across its plane: K on bending, never on torsion."""
    R, force = 100.0, -500.0
    result = solved(quarter(R), at(tip_mm(R), (0, 0, force)), flexible=flexible)
    bend, _, shear = compliances(R, flexible)
    expected = force * (
        R**3 * (np.pi / 4 * bend + (3 * np.pi / 4 - 2) / (G * 2 * INERTIA)) + R * np.pi / 2 * shear
    )
    np.testing.assert_allclose(result.displacement_mm[0], [0, 0, expected], rtol=1e-5, atol=1e-9)
    bending, torsion = force * R / INERTIA * 15.9, force * R / (2 * INERTIA) * 15.9
    root = np.searchsorted(result.s_mm, 20.0)
    assert result.bending_top_nmm[root] == pytest.approx(0, abs=1e-6)
    assert abs(result.torsion_nmm[root]) == pytest.approx(abs(force) * R, rel=1e-5)
    assert result.peak_stress_mpa == pytest.approx(
        np.hypot(bending, np.sqrt(3) * torsion), rel=1e-5
    )


def test_tapered_arm_against_quadrature() -> None:
    """A sharply kinked taper against adaptive quadrature of its own formulas."""
    stations = (Station(30, 31.8, 2.0), Station(90, 22.2, 1.2), Station(150, 22.2, 2.0))
    place, force = 220.0, 700.0

    def compliance(s: float) -> float:
        od = np.interp(s, [30, 90], [31.8, 22.2])
        wall = np.interp(s, [30, 90, 150], [2.0, 1.2, 2.0])
        area, inertia, kappa = tube(od, wall)
        return float((place - s) ** 2 / (E * inertia) + 1 / (kappa * G * area))

    expected = force * quad(compliance, 20, place, points=[30, 90, 150], epsrel=1e-10)[0]
    result = solved(straight(230, stations), at(place, (0, force, 0)))
    assert result.displacement_mm[0, 1] == pytest.approx(expected, rel=1e-7)


def quarter(R: float) -> Bar:
    """Return a bar whose halves turn rearward by a quarter circle at the clamp's edge."""
    return bar_of(Polyline(((0, 0, 0), (20 + R, 0, 0), (20 + R, -R - 1, 0)), (R,)))


def tip_mm(R: float) -> float:
    """Return s at the end of the quarter circle."""
    return 20 + R * np.pi / 2


def compliances(R: float, flexible: bool) -> tuple[float, float, float]:
    """Return 1/EI (times K), 1/EA and 1/kappa G A."""
    h = 1.5 * R / 15.15**2
    factor = float(flexibility_factor(h, NU)) if flexible else 1.0
    return factor / (E * INERTIA), 1 / (E * A), 1 / GA
