"""The beam's elastic clamp against closed forms, and equilibrium, energy and symmetry."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.linalg import expm

from fea.beam.section import nominal_von_mises_mpa, section_compliance, shear_coefficient
from fea.beam.statics import BeamResult, solve_beam
from geometry.bar import Bar, BarSpec, build_bar, local_wall_mm, nominal_od_mm, outer_radius_mm
from geometry.bend_effects import BendEffects
from geometry.bend_table import Polyline
from geometry.centreline import locate
from geometry.errors import SolveError
from geometry.material import Material
from geometry.section import Station
from geometry.source import Source
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad

E, NU = 107e3, 0.32
G = E / (2 * (1 + NU))
METAL = Material("test-metal", "For tests", E, NU, 4480.0, 700.0, 800.0, Source("derived", "tests"))
ELASTIC = Clamp(46.0, "elastic")
RIGID = Clamp(46.0, "rigid")
Vector = tuple[float, float, float]


def straight(od_mm: float = 31.8, wall_mm: float = 1.5) -> Bar:
    """Return a straight tube of 2 x 230 mm."""
    half = Polyline(((0, 0, 0), (230, 0, 0)), ())
    return build_bar(BarSpec("test", half, (Station(0, od_mm, wall_mm),), METAL))


def riser(first_leg_mm: float = 110.0) -> Bar:
    """Return a bar with taper, wall change and bends in two planes; a short leg bends the clamp."""
    points = ((0, 0, 0), (first_leg_mm, 0, 0), (first_leg_mm + 40, -5, 30), (345, -55, 32))
    stations = (Station(0, 31.8, 2.0), Station(35, 31.8, 2.0), Station(95, 22.2, 1.6))
    half = Polyline(points, (70, 70))
    return build_bar(
        BarSpec("riser", half, stations, METAL, effects=BendEffects(ovality_percent=3))
    )


def load(s_mm: float, force_n: Vector, moment_nmm: Vector, band_mm: float = 30.0) -> PlacedLoad:
    """Return a load at signed s."""
    return PlacedLoad("right" if s_mm > 0 else "left", s_mm, force_n, moment_nmm, band_mm)


def random_load(rng: np.random.Generator, s_mm: float) -> PlacedLoad:
    """Return a load of random force and moment."""
    force, moment = rng.normal(0, 500, 3), rng.normal(0, 5e4, 3)
    return load(s_mm, (*force.tolist(),), (*moment.tolist(),))


def solved(bar: Bar, clamp: Clamp, *loads: PlacedLoad, flexible: bool = True) -> BeamResult:
    """Return the answer to one case."""
    return solve_beam(bar, clamp, [loads], flexible)[0]


def foundation(clamp: Clamp, radius_mm: float) -> tuple[float, float]:
    """Return stiffness per mm across and along, N/mm2."""
    across = np.pi * radius_mm * (clamp.normal_n_per_mm3 + clamp.tangential_n_per_mm3)
    return across, 2 * np.pi * radius_mm * clamp.tangential_n_per_mm3


@pytest.mark.parametrize("normal_n_per_mm3", [70.0, 7000.0, 21000.0])
def test_bending_on_the_foundation(normal_n_per_mm3: float) -> None:
    """A Timoshenko beam on a Winkler foundation of finite length, by its matrix exponential."""
    clamp = Clamp(46.0, "elastic", normal_n_per_mm3, normal_n_per_mm3 / 2)
    bar, arm, force = straight(), 150.0, 1000.0
    d = 31.8 - 3
    area, inertia = np.pi * (31.8**2 - d**2) / 4, np.pi * (31.8**4 - d**4) / 64
    GA = float(shear_coefficient(np.array(31.8), np.array(1.5), NU)) * G * area
    across, along = foundation(clamp, 15.9)
    # state: deflection w, slope p, moment M = EI p', shear V = GA (w' - p)
    slopes = np.zeros((4, 4))
    slopes[0, 1], slopes[0, 3] = 1, 1 / GA
    slopes[1, 2] = 1 / (E * inertia)
    slopes[2, 1], slopes[2, 3] = along * 15.9**2 / 2, -1
    slopes[3, 0] = across
    through = expm(slopes * 46.0)
    # both M and V vanish at the left edge; at the right edge V = F, M = F arm
    left = np.linalg.solve(through[2:, :2], [force * arm, force])
    w, p = through[:2, :2] @ left
    expected = w + p * arm + force * (arm**3 / (3 * E * inertia) + arm / GA)
    result = solved(bar, clamp, load(23 + arm, (0, force, 0), (0, 0, 0), 1e-3))
    # springs in 46 panels of the clamp; the goal is 0.05 %
    assert result.displacement_mm[0, 1] == pytest.approx(expected, rel=2.5e-5)


def test_torsion_and_tension_on_the_foundation() -> None:
    """Twist and pull-out of a long clamp: coth of its length over the decay length."""
    d = 31.8 - 3
    area, polar = np.pi * (31.8**2 - d**2) / 4, np.pi * (31.8**4 - d**4) / 32
    _, along = foundation(ELASTIC, 15.9)

    def compliance(stiffness: float, spring: float) -> float:
        decay = np.sqrt(spring / stiffness)
        return float(1 / (stiffness * decay * np.tanh(46 * decay)) + 100 / stiffness)

    result = solved(straight(), ELASTIC, load(-123, (900, 0, 0), (1e5, 0, 0), 1e-3))
    twist = 1e5 * compliance(G * polar, along * 15.9**2)
    assert result.rotation_rad[0, 0] == pytest.approx(twist, rel=1e-4)  # steps of the springs
    assert result.displacement_mm[0, 0] == pytest.approx(
        900 * compliance(E * area, along), rel=1e-4
    )


@pytest.mark.parametrize("clamp", [RIGID, ELASTIC])
@pytest.mark.parametrize("first_leg_mm", [110.0, 38.0])
def test_reactions_balance_loads(clamp: Clamp, first_leg_mm: float) -> None:
    """The clamp's force and moment balance random loads, on bands in bends too."""
    bar, rng = riser(first_leg_mm), np.random.default_rng(4)
    loads = [random_load(rng, s_mm) for s_mm in (-320.0, -150.0, 105.0, 160.0, 300.0)]
    result = solved(bar, clamp, *loads)
    force, moment = np.zeros(3), np.zeros(3)
    for each in loads:
        lever = locate(bar.line, np.array(each.at_mm)).position_mm
        force += each.force_n
        moment += each.moment_nmm + np.cross(lever, each.force_n)
    np.testing.assert_allclose(result.reaction_n, -force, atol=1e-6)
    np.testing.assert_allclose(result.reaction_moment_nmm, -moment, atol=1e-3)


@pytest.mark.parametrize("clamp", [RIGID, ELASTIC])
def test_mirror_image(clamp: Clamp) -> None:
    """Loads mirrored in x give mirrored motions: x and rotations about y and z change sign."""
    bar = riser()
    right = solved(bar, clamp, load(250, (100, 200, -700), (1e4, 2e4, -3e4)))
    left = solved(bar, clamp, load(-250, (-100, 200, -700), (1e4, -2e4, 3e4)))
    mirrored = right.displacement_mm * [-1, 1, 1], right.rotation_rad * [1, -1, -1]
    np.testing.assert_allclose(left.displacement_mm, mirrored[0], rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(left.rotation_rad, mirrored[1], rtol=1e-9, atol=1e-14)
    assert left.peak_stress_mpa == pytest.approx(right.peak_stress_mpa, rel=1e-9)
    assert left.peak_s_mm == pytest.approx(-right.peak_s_mm, abs=1e-9)


@pytest.mark.parametrize("second_mm", [180.0, 260.0, -200.0])
def test_reciprocity(second_mm: float) -> None:
    """Each load does the same work on the other's motion, overlapping or across the clamp."""
    rng = np.random.default_rng(7)
    first, second = random_load(rng, 250.0), random_load(rng, second_mm)
    still = load(first.at_mm, (0, 0, 0), (0, 0, 0)), load(second_mm, (0, 0, 0), (0, 0, 0))
    cases = [(first, still[1]), (still[0], second)]
    one, other = solve_beam(riser(), ELASTIC, cases, flexible=True)
    forwards = second.force_n @ one.displacement_mm[1] + second.moment_nmm @ one.rotation_rad[1]
    backwards = first.force_n @ other.displacement_mm[0] + first.moment_nmm @ other.rotation_rad[0]
    assert abs(forwards) > 1e-7 * one.work_nmm
    assert forwards == pytest.approx(backwards, rel=1e-9, abs=1e-12 * one.work_nmm)


def test_work_is_strain_energy() -> None:
    """The work of loads on straights is the energy of the resultants in straight-beam formulas."""
    half = Polyline(((0, 0, 0), (60, 0, 0), (150, -40, 60), (300, -80, 40)), (80, 60))
    effects = BendEffects(wall_change=False)
    bar = build_bar(BarSpec("test", half, (Station(0, 25.4, 2.0),), METAL, effects=effects))
    loads = [
        load(290, (80, 30, -500), (2e4, -1e4, 5e3), 0.5),
        load(-280, (0, 90, 300), (0, 0, 0), 0.5),
    ]
    result = solve_beam(bar, RIGID, [loads], flexible=False, panel_mm=0.25)[0]
    area, inertia = np.pi * (25.4**2 - 21.4**2) / 4, np.pi * (25.4**4 - 21.4**4) / 64
    GA = float(shear_coefficient(np.array(25.4), np.array(2.0), NU)) * G * area
    density = result.axial_n**2 / (E * area) + result.torsion_nmm**2 / (G * 2 * inertia)
    density += (result.shear_front_n**2 + result.shear_top_n**2) / GA
    density += (result.bending_front_nmm**2 + result.bending_top_nmm**2) / (E * inertia)
    inside = np.abs(result.s_mm) < 23
    density[inside] = 0.0
    pairs = [
        (b - a) * (u + v) / 2
        for (a, b), (u, v) in zip(pairwise(result.s_mm), pairwise(density), strict=True)
        if not a < 0 < b
    ]
    # two trapezoids at each band's edge see a step
    assert result.work_nmm == pytest.approx(sum(pairs) / 2, rel=2e-4)


def test_work_of_a_case_is_half_of_force_times_motion() -> None:
    """The work reported is half the sum over forces and moments."""
    rng = np.random.default_rng(5)
    loads = [random_load(rng, s_mm) for s_mm in (-300.0, 250.0)]
    result = solved(riser(), ELASTIC, *loads)
    total = sum(
        np.dot(each.force_n, u) + np.dot(each.moment_nmm, r)
        for each, u, r in zip(loads, result.displacement_mm, result.rotation_rad, strict=True)
    )
    assert result.work_nmm == pytest.approx(total / 2, rel=1e-12)


def test_refinement() -> None:
    """Panels of 4 mm give the answers of panels of 1 mm to 0.002 %, the foundation included."""
    loads = [load(250, (100, 200, -700), (1e4, 2e4, -3e4))]
    coarse = solve_beam(riser(), ELASTIC, [loads], flexible=True)[0]
    fine = solve_beam(riser(), ELASTIC, [loads], flexible=True, panel_mm=1.0)[0]
    np.testing.assert_allclose(coarse.displacement_mm, fine.displacement_mm, rtol=2e-5)
    assert coarse.peak_stress_mpa == pytest.approx(fine.peak_stress_mpa, rel=1e-3)


def test_cases_share_one_solution() -> None:
    """Cases solved together are those solved alone; the sum of two is their superposition."""
    one, two = load(250, (0, 0, -700), (0, 0, 0)), load(-200, (50, 30, 400), (0, 1e4, 0))
    cases = [(one,), (two,), (one, two), ()]
    first, second, both, none = solve_beam(riser(), ELASTIC, cases, flexible=True)
    alone = solved(riser(), ELASTIC, one)
    np.testing.assert_allclose(first.displacement_mm, alone.displacement_mm, rtol=1e-7)
    np.testing.assert_allclose(first.reaction_n + second.reaction_n, both.reaction_n, atol=1e-6)
    np.testing.assert_allclose(
        first.bending_top_nmm + second.bending_top_nmm, both.bending_top_nmm, atol=1e-3
    )
    assert none.displacement_mm.shape == (0, 3)
    assert none.work_nmm == none.peak_stress_mpa == 0.0


def test_stiff_and_soft_foundations() -> None:
    """A foundation a thousand times too stiff is next to rigid; one far too soft is refused."""
    pull = load(250, (100, 200, -700), (1e4, 2e4, -3e4))
    rigid = solved(riser(), RIGID, pull)
    stiff = solved(riser(), Clamp(46.0, "elastic", 1e8, 1e8), pull)
    np.testing.assert_allclose(stiff.displacement_mm, rigid.displacement_mm, rtol=1e-3)
    with pytest.raises(SolveError, match="rigid clamp model"):
        solved(riser(), Clamp(46.0, "elastic", 1e-9, 1e-9), pull)


def test_no_cases() -> None:
    """No cases, no answers."""
    assert solve_beam(riser(), ELASTIC, [], flexible=True) == ()


def test_band_across_the_clamp_is_a_fault() -> None:
    """A band that was not placed by the rules is refused."""
    with pytest.raises(ValueError, match="crosses"):
        solved(straight(), RIGID, load(30, (0, 0, -1), (0, 0, 0)))


def test_thick_and_thin_side_of_a_bend() -> None:
    """Compliance in a bend with wall change and ovality against stresses summed over its fibres."""
    bar, s = riser(), np.array([120.0])
    theta = (np.arange(4000) + 0.5) * 2 * np.pi / 4000
    outer, wall = outer_radius_mm(bar, s, theta), local_wall_mm(bar, s, theta)
    assert wall.max() - wall.min() > 0.2
    layers = (np.arange(20) + 0.5) / 20
    radius = outer - wall * (1 - layers[:, None])
    fibre = radius * wall / 20 * 2 * np.pi / 4000
    front, top = radius * np.sin(theta), radius * np.cos(theta)
    shapes = np.array([np.ones(radius.shape), top, -front])
    stiffness = E * np.einsum("alt,blt,lt->ab", shapes, shapes, fibre)
    compliance = section_compliance(bar, s, flexible=False)[0][np.ix_([0, 4, 5], [0, 4, 5])]
    size = np.sqrt(np.diag(compliance))
    assert np.abs(compliance / np.outer(size, size))[0, 1:].max() > 0.05
    np.testing.assert_allclose(compliance @ stiffness, np.eye(3), atol=2e-3)

    strain = np.array([4e-4, 3e-5, -5e-5])
    rim = nominal_od_mm(bar, s) / 2 * np.array([np.cos(theta), -np.sin(theta)])
    largest = E * np.abs(strain[0] + strain[1:] @ rim).max()
    force, bend_front, bend_top = stiffness @ strain
    # shear forces have no part in the nominal stress
    resultants = np.array([[force, 3e4, -2e4, 0, bend_front, bend_top]])
    assert nominal_von_mises_mpa(bar, s, resultants)[0] == pytest.approx(largest, rel=1e-3)
