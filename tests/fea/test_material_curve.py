"""The flow curve of a material: points, a straight line or Ramberg-Osgood, and where it necks.

The closed forms are written out here from the definitions of the strains and stresses.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fea.collapse.flow_curve import (
    PowerCurve,
    TableCurve,
    constant_beyond,
    flow,
    points,
    uniform_strain,
)
from fea.collapse.material_curve import flow_curve_of
from fea.collapse.newton import StepTarget
from fea.collapse.plastic import metal_of
from geometry.arrays import Floats
from geometry.given_curve import SLACK, curve_problems
from geometry.material import Material, has_own_curve
from support.blocks import mapped_block, on_side
from support.large import equations_of, spread, walked
from support.material_curves import PLAIN, STRAIGHT, TABLE, TRUE_TABLE, E, F, G, N, U, stress_at


@pytest.mark.parametrize("e", [0.006, 0.03, 0.07])
@pytest.mark.parametrize("slope", [0.0, 700.0])
def test_a_straight_engineering_line_is_turned_over(slope: float, e: float) -> None:
    """S = F + Et (e - F/E) at ln(1 + e) is S (1 + e); without a slope it is constant past yield."""
    material = replace(PLAIN, tangent_modulus_mpa=slope)
    wanted = (F + slope * (e - F / E)) * (1 + e) if slope else F * (1 + F / E)
    assert stress_at(flow_curve_of(material), np.log(1 + e)) == pytest.approx(wanted, rel=1e-5)


@pytest.mark.parametrize("strain", [0.006, 0.03, 0.5])
@pytest.mark.parametrize("slope", [0.0, 700.0])
def test_a_straight_true_line_stays_straight(slope: float, strain: float) -> None:
    """Stress F + Et (strain - F/E), from the proof stress itself on, to rounding."""
    curve = flow_curve_of(replace(PLAIN, tangent_modulus_mpa=slope, curve="true"))
    wanted = F + slope * (strain - F / E)
    assert stress_at(curve, strain) == pytest.approx(wanted, rel=1e-12)
    assert stress_at(curve, 0.999 * F / E) == pytest.approx(0.999 * F, rel=1e-12)


@pytest.mark.parametrize(
    ("changes", "end"),
    [
        ({}, F / E + (U - F) / 700),
        ({"elongation_percent": 5.0}, 0.05),
        ({"elongation_percent": None, "tangent_modulus_mpa": 10.0}, 0.08),
        ({"elongation_percent": 0.1}, F / E),
        ({"ultimate_stress_mpa": F}, F / E),
    ],
)
def test_a_straight_engineering_line_ends_where_it_says(
    changes: dict[str, float | None], end: float
) -> None:
    """At the tensile strength or the elongation, 8 % where none is known, never before yield."""
    material: Material = replace(STRAIGHT, **changes)  # type: ignore[arg-type]
    curve, slope = flow_curve_of(material), material.tangent_modulus_mpa or 0.0
    S = F + slope * (end - F / E)
    assert stress_at(curve, 2.0) == pytest.approx(S * (1 + end), rel=1e-5)
    # an elastic engineering line bends by 1.5 e^2
    assert constant_beyond(curve, E) == pytest.approx(np.log1p(end), abs=2 * (F / E) ** 2)


@pytest.mark.parametrize("kind", ["engineering", "true"])
def test_points_on_a_ramberg_osgood_curve_give_that_curve(kind: str) -> None:
    """Points 1 % apart in stress, so h = n ln 1.01 apart in the logarithm of plastic strain.

    A chord lies below its arc by h^2 / 8 n of the stress, which goes with strain^(1/n), and above
    that of (1 + e) by (h strain)^2 / 8. Twice these are asked, and the bend of the elastic line.
    """
    S = F * 1.01 ** np.arange(-60, 12)
    strain = S / E + 0.002 * (S / F) ** N
    sampled = tuple(zip(strain.tolist(), S.tolist(), strict=True))
    material = replace(PLAIN, curve=kind, stress_strain=sampled)  # type: ignore[arg-type]
    table, power = flow_curve_of(material), PowerCurve(E, F, N, kind)  # type: ignore[arg-type]
    h = N * np.log(1.01)
    for at in np.geomspace(0.004, 0.9 * strain[-1], 25):
        found, wanted = stress_at(table, at), stress_at(power, at)
        error = h**2 / 8 / N + (h * at) ** 2 / 8 + at**2 * (at < 0.006)
        assert found == pytest.approx(wanted, rel=2 * error)


@pytest.mark.parametrize("given_in", [TRUE_TABLE, TABLE], ids=["true", "engineering"])
def test_an_element_that_is_pulled_gives_the_points_back(
    given_in: Material, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Force over first area is S, or true stress over stretch, at every point past yield."""
    # a path stops at 1e-6 of the forces, and where the curve is flat that is 1e-8 of them
    monkeypatch.setattr("fea.collapse.newton.TOLERANCE", 1e-11)
    rows = given_in.stress_strain[1:4]
    is_true = given_in.curve == "true"
    moves = [np.expm1(e) if is_true else e for e, _ in rows]
    forces = [s * np.exp(-e) if is_true else s for e, s in rows]
    assert _pulled(given_in, np.array(moves)) == pytest.approx(forces, rel=1e-10)


def _pulled(material: Material, moves: Floats) -> list[float]:
    """Return the force that pulls a cube of 1 mm longer by each move in mm."""
    block = mapped_block((1, 1, 1), lambda box: box)
    end = on_side(block, 0, 1)
    held = np.column_stack([on_side(block, axis, 0) for axis in range(3)])
    load = spread(block, end, (1.0, 0.0, 0.0))
    made_of = metal_of(material, flow_curve_of(material))
    steps = [StepTarget("deflection", float(move)) for move in moves]
    return [p.factor for p in walked(equations_of(block, made_of, ~held, load), steps)]


def test_points_come_first_then_a_slope_then_the_exponent() -> None:
    """And a material of the catalogue has no curve of its own."""
    assert isinstance(flow_curve_of(PLAIN), PowerCurve)
    assert not has_own_curve(PLAIN)
    assert has_own_curve(replace(PLAIN, tangent_modulus_mpa=0.0))
    both = flow_curve_of(replace(TABLE, tangent_modulus_mpa=700.0))
    only = flow_curve_of(TABLE)
    assert isinstance(both, TableCurve)
    assert isinstance(only, TableCurve)
    assert both.stress_mpa.tolist() == only.stress_mpa.tolist()


@st.composite
def tables(draw: st.DrawFn) -> tuple[str, tuple[tuple[float, float], ...]]:
    """Return a kind and points that begin on the elastic line and rise ever less than it."""
    first = draw(st.floats(0.5 * F, F))
    strain, stress = [first / E], [first]
    for _ in range(draw(st.integers(1, 12))):
        step = draw(st.floats(1e-3, 0.05))
        strain.append(strain[-1] + step)
        stress.append(stress[-1] + draw(st.floats(0.0, 0.8)) * E * step * 0.02)
    kind = draw(st.sampled_from(["engineering", "true"]))
    return kind, tuple(zip(strain, stress, strict=True))


@given(table=tables(), driver=st.floats(1.0, 5e4))
def test_any_points_give_a_monotone_curve_that_is_met(
    table: tuple[str, tuple[tuple[float, float], ...]], driver: float
) -> None:
    """Stress never falls, and f + 3 G p(f) is the driver, on the curve."""
    kind, rows = table
    curve = flow_curve_of(replace(PLAIN, stress_strain=rows, curve=kind))  # type: ignore[arg-type]
    plastic, stresses = points(curve)
    assert plastic[0] == 0
    assert np.all(np.diff(stresses) >= 0)
    assert np.all(np.diff(plastic) > 0)
    stress = float(flow(curve, np.array(driver), G)[0])
    reached = (driver - stress) / (3 * G)
    if stress < driver:
        assert stress == pytest.approx(float(np.interp(reached, plastic, stresses)), rel=1e-9)
    else:
        assert stress <= stresses[0]
    # what the reader of a study file lets pass about its shape is never refused later
    told = [p for p in curve_problems(_values(kind, rows)) if "0.2 %" not in p.sentence]
    assert all("plastic strain" in p.sentence for p in told), told


@given(table=tables(), share=st.floats(-1.0, 1.0), index=st.integers(0, 12))
def test_what_a_study_lets_pass_has_a_flow_curve(
    table: tuple[str, tuple[tuple[float, float], ...]], share: float, index: int
) -> None:
    """Points shaken by up to three times the slack are refused when read, or not at all."""
    kind, rows = table
    index %= len(rows)
    shaken = list(rows)
    shaken[index] = (max(rows[index][0] + 3 * share * SLACK, 1e-6), rows[index][1])
    strain, stress = np.array(shaken).T
    proof = float(np.interp(0.002, strain - stress / E, stress))
    if not list(curve_problems({**_values(kind, tuple(shaken)), "proof_stress_mpa": proof})):
        given_so = replace(PLAIN, stress_strain=tuple(shaken), curve=kind)  # type: ignore[arg-type]
        assert points(flow_curve_of(given_so))[0][0] == 0


@given(
    share=st.floats(0.0, 0.5),
    proof=st.floats(50.0, 2000.0),
    rise=st.floats(1.0, 2.0),
    elongation=st.none() | st.floats(0.1, 60.0),
    kind=st.sampled_from(["engineering", "true"]),
)
@example(share=0.5, proof=50.0, rise=1 + 2**-52, elongation=None, kind="engineering")
def test_any_slope_that_is_let_pass_gives_a_monotone_curve(
    share: float, proof: float, rise: float, elongation: float | None, kind: str
) -> None:
    """It begins at the proof stress, to three times the elastic strain, and never falls."""
    material: Material = replace(
        PLAIN,
        proof_stress_mpa=proof,
        ultimate_stress_mpa=rise * proof,
        elongation_percent=elongation,
        tangent_modulus_mpa=share * E,
        curve=kind,  # type: ignore[arg-type]
    )
    plastic, stress = points(flow_curve_of(material))
    assert stress[0] == pytest.approx(proof, rel=3 * proof / E + 1e-12)
    assert np.all(np.diff(plastic) > 0)
    assert np.all(np.diff(stress) >= 0)


def _values(kind: str, rows: tuple[tuple[float, float], ...]) -> dict[str, object]:
    values = {"youngs_modulus_mpa": E, "proof_stress_mpa": F}
    return {**values, "curve": kind, "stress_strain": rows}


@pytest.mark.parametrize("slope", [400.0, 1000.0])
def test_a_neck_begins_where_the_force_is_largest(slope: float) -> None:
    """Stress F + Et (strain - F/E) equals its own slope Et at 1 - F/Et + F/E (Considere)."""
    material = replace(PLAIN, tangent_modulus_mpa=slope, curve="true")
    wanted = 1 - F / slope + F / E
    assert uniform_strain(flow_curve_of(material), E) == pytest.approx(wanted, abs=1e-3)
    plastic = replace(material, tangent_modulus_mpa=0.0)
    assert uniform_strain(flow_curve_of(plastic), E) == pytest.approx(F / E, rel=1e-9)


@pytest.mark.parametrize("material", [PLAIN, TABLE, STRAIGHT])
def test_an_engineering_curve_necks_where_it_becomes_constant(material: Material) -> None:
    """Its force is largest at its highest stress."""
    curve = flow_curve_of(material)
    assert uniform_strain(curve, E) == pytest.approx(constant_beyond(curve, E), rel=1e-9)
