"""Initial state of a path: preload, sustained loads, and the path from there."""

from dataclasses import replace
from functools import cache
from typing import Any
from unittest.mock import patch
from weakref import ref

import numpy as np
import pytest

from fea.clamp.preload import preload_displacements
from fea.collapse import initial_state as start
from fea.collapse.curve import (
    absorbed_energy_nmm,
    curve_of,
    limit_at,
    offset_at,
    strained_at,
)
from fea.collapse.equilibrium import Point, deflection, imbalance, residual_forces
from fea.collapse.initial_state import prepared
from fea.collapse.newton import TOLERANCE, StepTarget, balanced
from fea.collapse.path import Segment, plan_path, start_position, traced
from fea.collapse.path_model import PathModel, path_model_of
from fea.collapse.phase import Phase
from fea.collapse.reading import Reading, reader_of, reading_of
from fea.collapse.strain import StrainPeak
from fea.solid.linear_solver import pivoting
from fea.solid.statics import factorise_model, solve_cases
from geometry.bar import Bar
from geometry.errors import SolveError
from geometry.material import load_material
from loadcases.bolts import Bolts, Pressure, preload
from loadcases.clamp import Clamp, ClampModel
from loadcases.levers import LeverClamp
from loadcases.load import PlacedLoad
from support.large import unyielding
from support.paces import steps_of
from support.tubes import straight_bar

FIRST = Segment(Phase.LOADING, 1, "deflection", 1.0)
LOAD = PlacedLoad("right", 24.0, (0.0, 0.0, -400.0), (0.0, 0.0, 0.0), 8.0)
WEIGHT = PlacedLoad("left", -24.0, (0.0, 300.0, -3000.0), (0.0, 0.0, 0.0), 8.0)
LEVER = LeverClamp(-22.0, 8.0, Bolts(1, 0.5, 5, pressure="cosine"))
PEAK = StrainPeak(0.0, 0.0, 0.0, 0.0, (0, 0, 0))


def _bar() -> Bar:
    """Return a stub, 25.4 x 2.4 and 60 mm long."""
    return straight_bar(30.0, 25.4, 2.4, load_material("al-6061-t6"))


def _clamp(
    torque_nm: float, pressure: Pressure = "uniform", clamp_model: ClampModel = "elastic"
) -> Clamp:
    return Clamp(16.0, clamp_model, bolts=Bolts(4, torque_nm, 5, pressure=pressure))


@cache
def _yielded() -> tuple[PathModel, Point]:
    """Return a stub that its bolts, 27 kN on 16 mm, have made yield."""
    return prepared(path_model_of(_bar(), _clamp(6.75), (LOAD,), preload=True))


@pytest.mark.slow
@pytest.mark.parametrize("pressure", ["uniform", "cosine"])
def test_a_small_preload_moves_the_bar_as_the_linear_one(pressure: Pressure) -> None:
    """Stem and lever together, to a thousandth."""
    clamp, lever = _clamp(0.01, pressure), replace(LEVER, bolts=Bolts(1, 0.005, 5))
    made = path_model_of(_bar(), clamp, (LOAD,), levers=(lever,), preload=True)
    _, point = prepared(made)
    moved = preload_displacements(made.model, [one.preload_pressure for one in made.bolted])
    forces = [preload(one.bolts).nominal_n for one in made.bolted]
    linear = np.tensordot(forces, moved, 1)
    assert len(forces) == 2
    assert np.abs(point.displacement.reshape(-1, 3) - linear).max() < 1e-3 * np.abs(linear).max()


def test_the_first_pattern_goes_before_the_largest_factor_comes() -> None:
    """Levers couple more nodes, and nothing needs the matrix of the preload any more."""
    made = [path_model_of(_bar(), _clamp(0.01), (LOAD,), levers=(LEVER,), preload=True)]
    first, alive = ref(made[0].equations.pattern), list[bool]()
    check = start._check_stable  # noqa: SLF001

    def checked(*given: Any) -> None:
        alive.append(first() is not None)
        check(*given)

    with patch.object(start, "_check_stable", checked):
        prepared(made.pop())
    assert alive == [False]


@pytest.mark.slow
@pytest.mark.parametrize("clamp_model", ["elastic", "rigid"])
def test_the_first_slope_is_that_without_preload(clamp_model: ClampModel) -> None:
    """The start balances as it stands, and a little load moves the bar as the linear run says."""
    clamp = _clamp(2.0, clamp_model=clamp_model)
    made = unyielding(path_model_of(_bar(), clamp, (LOAD,), preload=True))
    way, point = prepared(made)
    assert imbalance(point, residual_forces(way.equations, point)) <= TOLERANCE
    assert np.abs(point.displacement).max() > 0.01
    assert deflection(way.equations, point.displacement) == 0.0
    after = balanced(
        way.equations, point, StepTarget("factor", 0.1), point.response.state, pivoting()
    )
    answer = solve_cases(made.model, [[LOAD]], factorise_model(made.model)).answers[0]
    linear = float(way.equations.gauge @ answer.displacement_mm.ravel())
    assert deflection(way.equations, after.displacement) / 0.1 == pytest.approx(linear, rel=2e-3)


@pytest.mark.slow
def test_elastic_loads_may_come_in_any_order() -> None:
    """A weight in preloaded clamps and then a load, or both together: the bar ends up the same."""
    loads = {"together": (LOAD, WEIGHT), "then": (LOAD,)}
    ends, ways = {}, {}
    for name, growing in loads.items():
        stays = () if WEIGHT in growing else (WEIGHT,)
        made = path_model_of(_bar(), _clamp(2.0), growing, "coarse", stays, (LEVER,), preload=True)
        way, point = prepared(unyielding(made))
        goal = StepTarget("factor", 1.0)
        ends[name] = balanced(way.equations, point, goal, point.response.state, pivoting())
        ways[name] = way
    one, other = (ends[name].displacement for name in loads)
    assert np.abs(one - other).max() < 1e-6 * np.abs(one).max()
    # the gauge was zeroed under the weight
    gauge, origin = ways["then"].equations.gauge, ways["then"].equations.origin
    assert float(gauge @ origin) > 1e-3
    assert deflection(ways["then"].equations, other) == pytest.approx(
        float(gauge @ one) - float(gauge @ origin), rel=1e-5
    )
    told = reading_of(ways["then"], reader_of(ways["then"]), ends["then"], FIRST)
    assert -told.moved_mm[0, 2] == pytest.approx(told.deflection, rel=1e-9)


@pytest.mark.slow
def test_a_preload_that_yields_is_where_the_path_begins() -> None:
    """The inner surface under the clamp has yielded, the ends have not, and the load goes on."""
    way, point = _yielded()
    lines = reader_of(way).lines
    first = reading_of(way, reader_of(way), point, FIRST)
    assert (first.factor, first.deflection) == (0.0, 0.0)
    assert not first.moved_mm.any()
    assert first.edge.value > 0.002
    assert abs(first.edge.s_mm) < way.model.clamp.to_mm
    assert first.edge.zeta == pytest.approx(lines.zeta[0])
    ends = np.abs(way.model.mesh.block[way.model.mesh.cells, 0]).min(axis=1) > 24.0
    assert not point.response.state.equivalent[ends].any()
    plan = plan_path((), 0.05, steps_of(0.025))
    steps = list(traced(way.equations, plan, start_position(plan, point), pivoting()))
    last = steps[-1].point
    assert last.factor > 1.0
    assert np.all(last.response.state.equivalent >= point.response.state.equivalent)
    # the gauge began at zero
    assert deflection(way.equations, last.displacement) == pytest.approx(0.05, rel=1e-6)


@pytest.mark.slow
def test_what_fails_at_once_is_put_on_in_shares(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three failures make eighths; the yield of the seventh is in the memory of the start."""
    failing, attempted = [1.0, 0.5, 0.25], start.attempted

    def sometimes(*given: Any) -> Point | None:
        return None if failing and failing.pop() else attempted(*given)

    monkeypatch.setattr(start, "attempted", sometimes)
    way, point = prepared(path_model_of(_bar(), _clamp(6.75), (LOAD,), preload=True))
    assert not failing
    assert point.before.equivalent.any()
    assert imbalance(point, residual_forces(way.equations, point)) <= TOLERANCE
    _, at_once = _yielded()
    largest = np.abs(at_once.displacement).max()
    assert np.abs(point.displacement - at_once.displacement).max() < 0.01 * largest


@pytest.mark.slow
@pytest.mark.parametrize(
    ("torque_nm", "weight_n", "sentence"),
    [
        (60.0, 0.0, r"no equilibrium beyond 0(\.\d+)? of the clamps' preload"),
        (1.0, 2e5, r"no equilibrium beyond 0(\.\d+)? of the sustained loads"),
    ],
)
def test_too_much_is_told(
    torque_nm: float, weight_n: float, sentence: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the share up to which it went."""
    monkeypatch.setattr(start, "MIN_SHARE", 0.25)
    stays = (replace(WEIGHT, force_n=(0.0, 0.0, -weight_n)),) if weight_n else ()
    made = path_model_of(_bar(), _clamp(torque_nm), (LOAD,), constant=stays, preload=True)
    with pytest.raises(SolveError, match=sentence):
        prepared(made)


def _told(factor: float, moved: float, strain: float) -> Reading:
    peak = replace(PEAK, value=strain)
    return Reading(
        FIRST.phase, FIRST.cycle, factor, moved, np.zeros((1, 3)), peak, peak, 0.0, None, 0, 1
    )


CURVE = [_told(*row) for row in ((1.0, 1.0, 0.0), (1.8, 2.0, 0.003), (2.0, 3.0, 0.01))]
# strain by a monotone cubic: none and flat at 1 mm; at 2 mm, 0.3 % with the harmonic mean of 0.3
# and 0.7 % a mm, 0.42; at a share s of this step 0.3 s^2 (3 - 2 s) + 0.42 s^2 (s - 1) is 0.2
YIELDED = 1.8 - 0.8 * (1 - 0.76434), 1.76434
FALLING = [*CURVE, _told(1.9, 4.0, 0.03)]


def test_a_path_may_tell_of_its_start() -> None:
    """What is read off it is the same, from a bar that had not yielded."""
    first = _told(0.0, 0.0, 0.0)
    for path in (CURVE, FALLING):
        whole = [first, *path]
        one, other = curve_of(whole), curve_of(path)
        assert strained_at(one) == strained_at(other) == pytest.approx(YIELDED, rel=1e-4)
        # y = x - 0.5 meets the curve's last piece, from 1.8 at 2 mm to 2.0 at 3 mm
        assert offset_at(one, 0.5) == offset_at(other, 0.5) == pytest.approx((1.875, 2.375))
        assert limit_at(one) == limit_at(other)
    assert limit_at(curve_of(CURVE)) is None
    assert limit_at(curve_of(FALLING)) == (2.0, 3.0)


def test_a_bar_that_its_clamps_made_yield_yields_at_no_load() -> None:
    """The start's strain counts."""
    assert strained_at(curve_of([_told(0.0, 0.0, 0.004), *CURVE])) == (0.0, 0.0)
    met = strained_at(curve_of([_told(0.0, 0.0, 0.001), *CURVE[1:]]))
    assert met is not None
    assert 0.5 < met.deflection < 1.5


def test_work_is_counted_from_the_start() -> None:
    """Trapezoids under the curve, the first one from nought."""
    for path in (CURVE, [_told(0.0, 0.0, 0.0), *CURVE]):
        assert absorbed_energy_nmm(10.0, path) == pytest.approx(10 * (0.5 + 1.4 + 1.9))
