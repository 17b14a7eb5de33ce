"""Free straight tubes on rollers, under a ram with rollers of its own, against closed forms.

Source: Timoshenko beam, unit loads, textbook. Fixed rollers rub at the tube's surface: mu P r / 2
at either end of the span, and under two rams likewise, all hogging; derived.
"""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fea.beam.chain import transport
from fea.beam.section import section_compliance
from fea.solid.model import build_model, mesh_for
from fea.solid.statics import factorise_model
from fea.supports.compliance import Supported, beam_on_supports, solids_on_supports
from fea.supports.free_body import free_stiffness
from fea.supports.reactions import SupportedBar, reactions_of
from loadcases.case import PlacedCase
from studies.study_file.study import Study, study_from_table

OD_MM, SPAN_MM, LOAD_N = 31.8, 400.0, 1000.0
MU = 0.3

BEAM, SOLID = 2.5e-3, 0.02
"""Of bands of 10 mm in place of points; of a solid, whose rings are also oval under them."""


def study_of(*cases: dict[str, Any]) -> Study:
    """Return a free straight tube in set-ups."""
    table = {
        "name": "tube",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": OD_MM, "wall_mm": 1.6}],
            "right": {"points_mm": [[0, 0, 0], [220, 0, 0]]},
        },
        "clamp": {"model": "none"},
        "cases": list(cases),
    }
    return study_from_table(table, Path("tube.toml"), "")


def answers(case: dict[str, Any]) -> tuple[PlacedCase, list[SupportedBar]]:
    """Return a case, and its bar as the supports know it: of the beam and of the solid."""
    study = study_of(case)
    (placed,), ram_n = study.cases, study.cases[0].case.ram_force_n
    bar, clamp = study.bar, study.clamp
    beam = beam_on_supports(bar, clamp, placed.loads, placed.supports, ram_n, flexible=False)
    model = build_model(bar, clamp, mesh_for(bar, clamp, placed.bands, "coarse"))
    asked = Supported(placed.loads, placed.supports, ram_n)
    ((solid,),) = solids_on_supports(model, factorise_model(model), [asked])
    return placed, [beam, solid]


def compliances() -> tuple[float, float]:
    """Return 1/EI and 1/(kappa G A)."""
    one = section_compliance(study_of().bar, np.array([0.0]), False)[0]
    return float(one[4, 4]), float(one[1, 1])


@pytest.mark.parametrize("friction", [0.0, MU])
def test_three_points(friction: float) -> None:
    """P L^3 / 48EI + P L / (4 kappa G A), less by the hogging moment of the two rollers."""
    bend, shear = compliances()
    hogging = friction * LOAD_N * OD_MM / 4
    travel = (
        LOAD_N * (bend * SPAN_MM**3 / 48 + shear * SPAN_MM / 4) - hogging * bend * SPAN_MM**2 / 8
    )
    case = {"use": "press.three-point-ram", "span_mm": SPAN_MM, "friction": friction}
    placed, bars = answers(case)
    for one, off in zip(bars, (BEAM, SOLID), strict=True):
        found = reactions_of(one)
        assert found.travel_mm == pytest.approx(travel, rel=off)
        assert found.wrenches[:, 2] == pytest.approx([500, 500, -1000], abs=1e-3)
    assert [one.of_ram for one in placed.supports] == [False, False, True]


@pytest.mark.parametrize("friction", [0.0, MU])
@pytest.mark.parametrize("apart_mm", [0.0, 100.0])
def test_four_points(friction: float, apart_mm: float) -> None:
    """P a^2 (3 L - 4 a) / 12EI + P a / (2 kappa G A) at the ram, less by four rollers' moments."""
    bend, shear = compliances()
    a = (SPAN_MM - (apart_mm or SPAN_MM / 3)) / 2
    travel = LOAD_N * a * (bend * a * (3 * SPAN_MM - 4 * a) / 12 + shear / 2)
    hogging = friction * LOAD_N * OD_MM / 4
    travel -= hogging * bend * a * ((SPAN_MM - a) + (SPAN_MM - 2 * a)) / 2
    case = {"use": "press.four-point", "span_mm": SPAN_MM, "inner_span_mm": apart_mm}
    _, bars = answers({**case, "friction": friction})
    for one, off in zip(bars, (BEAM, SOLID), strict=True):
        found = reactions_of(one)
        assert found.travel_mm == pytest.approx(travel, rel=off)
        assert found.wrenches[:, 2] == pytest.approx([500, 500, -500, -500], abs=1e-3)
        assert found.wrenches.sum(axis=0)[[0, 2, 3]] == pytest.approx([0, 0, 0], abs=1e-3)


def test_two_spans_share_as_their_flexibility_says() -> None:
    """Loads in the middle of both spans: the roller between stands still."""
    bend, shear = compliances()
    a = SPAN_MM / 4
    loads = [{"at_mm": at, "force_n": [0, 0, -LOAD_N / 2], "band_mm": 10} for at in (-a, a)]
    rollers = [{"kind": "roller", "at_mm": at} for at in (-SPAN_MM / 2, 0, SPAN_MM / 2)]
    by_loads = LOAD_N * a * (bend * (3 * SPAN_MM**2 - 4 * a**2) / 48 + shear / 2)
    middle = by_loads / (bend * SPAN_MM**3 / 48 + shear * SPAN_MM / 4)
    outer = (LOAD_N - middle) / 2
    _, bars = answers({"id": "a", "loads": loads, "supports": rollers})
    for one, off in zip(bars, (2e-3, SOLID), strict=True):
        assert reactions_of(one).wrenches[:, 2] == pytest.approx([outer, middle, outer], rel=off)


def test_a_lever_needs_no_flexibility() -> None:
    """Two rollers under a load aside: by moments alone, and both bars stand still on them."""
    load = {"at_mm": 60, "force_n": [0, 0, -LOAD_N], "band_mm": 10}
    rollers = [{"kind": "roller", "at_mm": at} for at in (-200, 200)]
    _, bars = answers({"id": "a", "loads": [load], "supports": rollers})
    for one in bars:
        assert reactions_of(one).wrenches[:, 2] == pytest.approx([350, 650], rel=1e-6)


@settings(max_examples=50)
@given(st.integers(0, 10**6))
def test_the_stiffness_is_the_same_in_any_hold(seed: int) -> None:
    """Compliances that differ by rigid motions; by the projection of the inverse as well."""
    random = np.random.default_rng(seed)
    places = random.uniform(-3, 3, (4, 3))
    motions, wrench = transport(places).reshape(-1, 6), random.normal(size=6)
    root = random.normal(size=(24, 24))
    compliance = root @ root.T + 0.1 * np.eye(24)
    other = motions @ random.normal(size=(6, 24))
    stiffness, load = free_stiffness(compliance, motions, wrench)
    again, _ = free_stiffness(compliance + other + other.T, motions, wrench)
    assert again == pytest.approx(stiffness, abs=1e-8 * np.abs(stiffness).max())
    assert stiffness @ motions == pytest.approx(0, abs=1e-8)
    # what supports must exert in balance: nothing but the loads' resultant
    assert motions.T @ load == pytest.approx(wrench, abs=1e-8)
    held = np.linalg.inv(compliance)
    inner = np.linalg.inv(motions.T @ held @ motions)
    projected = held - held @ motions @ inner @ motions.T @ held
    assert projected == pytest.approx(stiffness, abs=1e-6 * np.abs(stiffness).max())
    assert held @ motions @ inner @ wrench == pytest.approx(load, abs=1e-6 * np.abs(load).max())
