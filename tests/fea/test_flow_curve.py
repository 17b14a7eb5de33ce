"""Flow curves: what is read, how it is turned over, and the one-dimensional answer of the metal."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fea.collapse.flow_curve import (
    FlowCurve,
    PowerCurve,
    TableCurve,
    constant_beyond,
    flow,
    points,
    table_curve,
)
from fea.collapse.plastic import metal_of, plastic_tangent, radial_return, virgin
from geometry.errors import InputError
from geometry.material import load_material

E, F, N = 71000.0, 455.0, 22.0
G = E / (2 * 1.33)
CURVES = {
    "true": PowerCurve(E, F, N, "true"),
    "engineering": PowerCurve(E, F, N),
    "engineering, held": PowerCurve(E, F, N, "engineering", 500.0),
    "table": table_curve(E, np.array([0.0064, 0.02, 0.1]), np.array([454.4, 480, 540]), "true"),
    "one point": TableCurve(np.zeros(1), np.array([240.0])),
}


@pytest.mark.parametrize("curve", CURVES.values(), ids=CURVES.keys())
@given(driver=st.floats(1.0, 3e4))
def test_the_stress_lies_on_the_curve(curve: FlowCurve, driver: float) -> None:
    """Stress + 3 G plastic strain is the driver, the plastic strain being the curve's own."""
    stress, _ = (float(part) for part in flow(curve, np.array(driver), G))
    plastic = (driver - stress) / (3 * G)
    known, stresses = points(curve, 4000)
    seen = max(1e-9, float(known[0]))
    if plastic < seen:
        # too little to be told from rounding or to lie in the table: below where it begins to
        assert stress <= float(np.interp(seen, known, stresses)) * (1 + 1e-3)
    else:
        # between points that lie close together
        assert stress == pytest.approx(float(np.interp(plastic, known, stresses)), rel=1e-4)


@pytest.mark.parametrize("curve", CURVES.values(), ids=CURVES.keys())
def test_the_slope_is_the_curves(curve: FlowCurve) -> None:
    """Against differences of stress over plastic strain, away from the corners of tables."""
    driver = np.array([600.0, 900.0, 2000.0, 6000.0])
    h = 1e-3
    (more, _), (less, _), (_, slope) = (flow(curve, driver + by, G) for by in (h, -h, 0.0))
    plastic = (2 * h - (more - less)) / (3 * G)
    assert slope == pytest.approx((more - less) / plastic, rel=1e-5, abs=1e-3)


def test_an_engineering_curve_comes_back_in_a_pull() -> None:
    """Force over first area against elongation is the curve that was given, to rounding."""
    curve = CURVES["engineering"]
    material = load_material("al-7075-t6")
    metal = metal_of(material, PowerCurve(material.youngs_modulus_mpa, F, N))
    E = material.youngs_modulus_mpa
    S = np.linspace(300.0, 1.1 * F, 40)
    strain = S / E + 0.002 * (S / F) ** N
    stress, plastic = _pulled(metal, np.log1p(strain))
    force = stress / (1 + strain)
    yields = plastic > 1e-8
    assert yields.sum() > 20
    assert force[yields] == pytest.approx(S[yields], rel=1e-9)
    # while it is elastic the law is straight in logarithmic strain: a second-order difference
    assert force == pytest.approx(S, rel=1.6 * strain.max())
    assert curve.kind == "engineering"


def test_a_true_curve_comes_back_in_a_pull_up_to_a_strain_of_018() -> None:
    """Stress against logarithmic strain."""
    material = load_material("al-7075-t6")
    E = material.youngs_modulus_mpa
    metal = metal_of(material, PowerCurve(E, F, N, "true"))
    strain = np.array([0.005, 0.01, 0.02, 0.06, 0.12, 0.18])
    stress, _ = _pulled(metal, strain)
    assert stress / E + 0.002 * (stress / F) ** N == pytest.approx(strain, rel=1e-9)


def _pulled(metal, strain):  # type: ignore[no-untyped-def]
    """Return stress and plastic strain of a pull along one axis, the others free of stress."""
    across = -0.3 * strain
    for _ in range(60):
        H = np.zeros((len(strain), 6))
        H[:, 0], H[:, 1], H[:, 2] = strain, across, across
        state = virgin(len(strain), 1)
        answer = radial_return(metal, H, state.plastic[:, 0], state.equivalent[:, 0])
        tangent = plastic_tangent(metal, answer)
        slope = tangent[:, 1, 1] + tangent[:, 1, 2]
        across = across - answer.stress[:, 1] / slope
    assert np.abs(answer.stress[:, 1]).max() < 1e-6
    return answer.stress[:, 0], answer.equivalent


def test_the_stress_is_held_beyond_the_uniform_strain() -> None:
    """It stays at its last value, which is the true one there."""
    curve = CURVES["engineering, held"]
    (one, slope), (two, _) = (flow(curve, np.array(y), G) for y in (2e4, 3e4))
    e = 500.0 / E + 0.002 * (500.0 / F) ** N
    assert float(one) == float(two) == pytest.approx(500.0 * (1 + e), rel=1e-12)
    assert float(slope) == 0.0
    assert constant_beyond(curve, E) == pytest.approx(np.log1p(e), rel=1e-12)
    assert constant_beyond(CURVES["engineering"], E) == np.inf


def test_an_engineering_table_ends_at_its_highest_point() -> None:
    """What follows is a neck."""
    strain, stress = np.array([0.004, 0.05, 0.1, 0.2]), np.array([280.0, 320.0, 330.0, 250.0])
    curve = table_curve(70000.0, strain, stress, "engineering")
    assert curve.stress_mpa[-1] == pytest.approx(330.0 * 1.1)
    assert constant_beyond(curve, 70000.0) == pytest.approx(np.log(1.1))


def test_yield_begins_where_the_points_leave_the_elastic_line() -> None:
    """Turned over, the first point lies 1.5 e^2 left of it: the crossing, on a line by hand."""
    e, S = np.array([0.007, 0.0075, 0.02]), np.array([735.0, 770.0, 800.0])
    curve = table_curve(105000.0, e, S, "engineering")
    (p0, p1, _), (k0, k1, _) = np.log(1 + e) - S * (1 + e) / 105000, S * (1 + e)
    assert p0 == pytest.approx(-1.5 * 0.007**2, rel=0.01)
    assert curve.stress_mpa[0] == pytest.approx(k0 - p0 * (k1 - k0) / (p1 - p0), rel=1e-12)
    assert curve.plastic[:2] == pytest.approx([0.0, p1], rel=1e-12)


def test_points_that_begin_past_yield_flow_at_the_first_of_them() -> None:
    """Nothing is known before it."""
    curve = table_curve(70000.0, np.array([0.005, 0.02]), np.array([280.0, 300.0]), "true")
    assert curve.plastic[:2] == pytest.approx([0.0, 0.001], rel=1e-12)
    assert curve.stress_mpa.tolist() == [280.0, 280.0, 300.0]


@pytest.mark.parametrize(
    ("strain", "stress"),
    [
        ([], []),
        ([0.01, 0.02], [300.0]),
        ([0.01, 0.01], [300.0, 310.0]),
        ([0.01, 0.02], [300.0, 290.0]),
        ([0.001, 0.02], [300.0, 310.0]),
        ([0.01], [-1.0]),
        ([0.01, np.nan], [300.0, 310.0]),
    ],
)
def test_a_table_that_no_metal_has_is_refused(strain: list[float], stress: list[float]) -> None:
    """Not as many, not ascending, falling, left of the elastic line, negative, no number."""
    with pytest.raises(InputError, match="curve"):
        table_curve(70000.0, np.array(strain), np.array(stress), "true")
