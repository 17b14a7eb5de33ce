"""Plastic hinge or wrinkle: closed forms, and bars against the beam's moment."""

from functools import cache

import numpy as np
import pytest

from fea.solid.model import build_model, mesh_for
from fea.solid.recovery import build_recovery, surface_stress
from fea.solid.statics import factorise_model, solve_cases
from fea.stability.buckling import buckle
from fea.stability.plastic_hinge import expected_failure, plastic_modulus_mm3
from fea.stability.stability import Stability, assess_stability, walls_of_model
from geometry.bend_table import Polyline
from geometry.material import load_material
from geometry.source import Source
from loadcases.case import Case, PlacedCase
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.tubes import plain_bar

STOCKY, THIN = (22.2, 2.5, "steel-4130-n"), (31.8, 0.8, "al-7075-t6")
PUSH_N, AT_MM = 500.0, 165.0


@cache
def stability(od_mm: float, wall_mm: float, metal: str, *, rigid: bool = False) -> Stability:
    """Return the stability of an arm that a force bends near its end."""
    material = load_material(metal)
    bar = plain_bar(Polyline(((0, 0, 0), (190, 0, 0)), ()), od_mm, wall_mm, material)
    clamp = Clamp(40.0, "rigid") if rigid else Clamp(40.0)
    load = PlacedLoad("right", AT_MM, (0, 0, -PUSH_N), (0, 0, 0), 30)
    mesh = mesh_for(bar, clamp, [load], "coarse", unloaded_arm_mm=(-190, -30))
    model = build_model(bar, clamp, mesh)
    factor = factorise_model(model, "splu")
    moved = solve_cases(model, [[load]], factor).answers[0]
    recovery = build_recovery(bar, mesh)
    stress = surface_stress(recovery, mesh, model.grads, material, moved.displacement_mm)
    case = PlacedCase(Case("push", "push", (), Source("practice", "for tests")), (load,))
    elastic = buckle(model, factor, moved.displacement_mm)
    return assess_stability(model, elastic, walls_of_model(model), case, stress)


def beam_ratio(found: Stability, od_mm: float, wall_mm: float, metal: str) -> float:
    """Return the arm's own moment at the wrinkle over the plastic moment of a tube."""
    assert found.wrinkling_at
    assert found.wrinkling_factor
    moment = found.wrinkling_factor * PUSH_N * (AT_MM - abs(found.wrinkling_at.s_mm))
    modulus = (od_mm**3 - (od_mm - 2 * wall_mm) ** 3) / 6
    return moment / (load_material(metal).proof_stress_mpa * modulus)


@pytest.mark.parametrize(("tube", "rigid"), [(STOCKY, False), (THIN, False), (THIN, True)])
def test_the_moment_at_a_wrinkle(tube: tuple[float, float, str], rigid: bool) -> None:
    """That of a cantilever over (D^3 - d^3)/6 of its proof stress, at any kind of edge, to 2 %."""
    found = stability(*tube, rigid=rigid)
    assert found.moment_ratio == pytest.approx(beam_ratio(found, *tube), rel=0.02)


def test_a_stocky_tube_is_a_hinge_and_a_thin_one_wrinkles() -> None:
    """D/t of 9 carries its plastic moment and more, D/t of 40 does not."""
    stocky, thin = stability(*STOCKY).moment_ratio, stability(*THIN).moment_ratio
    assert stocky
    assert thin
    assert stocky > 1.1
    assert thin < 0.96
    assert expected_failure(stocky) == "plastic hinge"
    assert expected_failure(thin) == "wrinkle"


def test_the_plastic_modulus_of_a_thin_ring() -> None:
    """4 R^2 t about any diameter, measured from anywhere."""
    theta = np.linspace(0, 2 * np.pi, 96, endpoint=False)
    area = np.full(96, 2 * np.pi * 10 * 0.5 / 96)
    for turn in (0.0, 0.3):
        modulus = plastic_modulus_mm3(10 * np.cos(theta - turn) + 3, area)
        assert modulus == pytest.approx(4 * 10**2 * 0.5, rel=2e-3)


def test_the_plastic_modulus_of_a_lopsided_section() -> None:
    """Areas 3 and 1 at a distance of 8: the axis goes through the larger one, 8 of first moment."""
    assert plastic_modulus_mm3(np.array([0.0, 8.0]), np.array([3.0, 1.0])) == pytest.approx(8.0)
