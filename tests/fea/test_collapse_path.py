"""The path of a short bar: up, back, past its limit, and walked on from what was kept."""

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from fea.collapse.curve import (
    absorbed_energy_nmm,
    curve_of,
    envelope,
    limit_at,
    offset_at,
    strained_at,
)
from fea.collapse.equilibrium import point_at
from fea.collapse.initial_state import prepared
from fea.collapse.path import Plan, Position, next_position, plan_path, start_position, traced
from fea.collapse.path_model import PathModel, path_model_of
from fea.collapse.reading import Reading, reader_of, reading_of
from fea.solid.linear_solver import SolverName, pivoting
from fea.solid.model import build_model, mesh_for
from fea.solid.statics import factorise_model, solve_cases
from loadcases.bolts import Bolts
from loadcases.levers import LeverClamp
from studies.study_file.study import Study, read_study
from support.crude import crude_mesh
from support.paces import steps_of
from support.pages import short_bar


@dataclass(frozen=True, eq=False)
class Walked:
    """A path and where it was at every step."""

    way: PathModel
    plan: Plan
    positions: tuple[Position, ...]
    readings: tuple[Reading, ...]


def _study(wall_mm: float) -> Study:
    with TemporaryDirectory() as folder:
        return read_study(short_bar(Path(folder), "pier", wall_mm))


@cache
def _walked(to: float = 3.0, levels: tuple[float, ...] = (3.0,), steps: int = 16) -> Walked:
    """Return the path of a thin bar, 25.4 x 0.6, pushed at 90 mm from its middle by 400 N."""
    study = _study(0.6)
    with crude_mesh():
        way = path_model_of(study.bar, study.clamp, study.cases[0].loads)
    return _along(way, plan_path(levels, to, steps_of(to / steps)))


def _along(made: PathModel, plan: Plan, solver: SolverName = "auto") -> Walked:
    way, first = prepared(made, solver)
    reader, segment = reader_of(way), plan.segments[0]
    positions, readings = list[Position](), list[Reading]()
    for position in traced(way.equations, plan, start_position(plan, first), pivoting(solver)):
        readings.append(reading_of(way, reader, position.point, segment))
        positions.append(_lean(position))
        segment = plan.segments[min(position.segment, len(plan.segments) - 1)]
    return Walked(way, plan, tuple(positions), tuple(readings))


def _lean(position: Position) -> Position:
    """Return a position without the elements' forces."""
    response = replace(position.point.response, forces=np.empty(0))
    return replace(position, point=replace(position.point, response=response))


def test_it_begins_as_the_linear_answer_does() -> None:
    """The first steps have the stiffness of small displacements on the same mesh."""
    path, study = _walked(0.2, (0.5,), 2), _study(0.6)
    with crude_mesh():
        mesh = mesh_for(study.bar, study.clamp, study.cases[0].loads, "coarse", layers=1)
    model = build_model(study.bar, study.clamp, mesh)
    answer = solve_cases(model, [study.cases[0].loads], factorise_model(model)).answers[0]
    first = path.readings[0]
    linear = np.linalg.norm(answer.load_points[0].displacement_mm)
    assert first.deflection / first.factor == pytest.approx(linear, rel=2e-3)


def test_what_has_not_yielded_comes_back() -> None:
    """The unloading is left out, for it would end where it began."""
    path = _walked(0.2, (0.5,), 2)
    assert {(one.phase, one.cycle) for one in path.readings} == {("loading", 1), ("loading", 2)}
    assert absorbed_energy_nmm(path.way.unit, path.readings) > 0


@pytest.mark.slow
def test_the_load_is_met_to_rounding_and_taken_away_again() -> None:
    """A rise ends at its level, a fall at none, and what is left is the set."""
    path = _walked()
    ends = {(reading.phase, reading.cycle): reading for reading in path.readings}
    up, back = ends["loading", 1], ends["unloading", 1]
    assert up.factor == pytest.approx(3.0, rel=1e-12)
    assert back.factor == pytest.approx(0.0, abs=1e-12)
    slope = path.readings[0].factor / path.readings[0].deflection
    # it comes back along its first slope
    left = up.deflection - up.factor / slope
    assert back.deflection == pytest.approx(left, rel=0.05)
    assert back.deflection > 0.02
    assert back.strain.value == pytest.approx(up.strain.value, rel=0.02)


@pytest.mark.slow
def test_after_the_fall_it_goes_on_where_it_was() -> None:
    """The curve of a bar that was unloaded on the way lies on that of one that was not."""
    back, straight = _walked(), _walked(levels=())
    x, y = (
        [getattr(reading, name) for reading in envelope(straight.readings)]
        for name in ("deflection", "factor")
    )
    for reading in envelope(back.readings):
        if reading.deflection > x[0]:
            assert reading.factor == pytest.approx(np.interp(reading.deflection, x, y), rel=0.02)


@pytest.mark.slow
def test_a_path_walked_on_from_what_was_kept_is_the_same() -> None:
    """Unknowns, factor, memory before the step and size of the forces are all that is needed."""
    path = _walked()
    for number in (1, len(path.positions) // 2, len(path.positions) - 3):
        _check_walked_on(path, number)


@pytest.mark.slow
def test_so_is_one_that_began_in_preloaded_clamps() -> None:
    """Yielded under the bolts, with a lever on the other arm and a weight: from start and steps."""
    study = _study(2.0)
    (load,) = study.cases[0].loads
    clamp = replace(study.clamp, bolts=Bolts(4, 12.0, 5))
    lever = LeverClamp(-80.0, 12.0, Bolts(1, 1.0, 5))
    weight = replace(load, side="left", at_mm=-100.0, force_n=(0.0, 0.0, -100.0))
    with crude_mesh():
        made = path_model_of(
            study.bar, clamp, (load,), constant=(weight,), levers=(lever,), preload=True
        )
    path = _along(made, plan_path((), 0.3, steps_of(0.1)))
    assert path.way.equations.outside is not None
    assert path.positions[0].point.before.equivalent.any()
    assert len(path.positions) > 2
    for number in range(2):
        _check_walked_on(path, number)


def _check_walked_on(path: Walked, number: int) -> None:
    kept = path.positions[number]
    again = point_at(
        path.way.equations,
        kept.point.unknowns,
        kept.point.factor,
        kept.point.before,
        kept.point.size,
    )
    kept = replace(kept, point=again)
    after = next_position(path.way.equations, path.plan, kept, pivoting())
    undisturbed = path.positions[number + 1]
    assert after.segment == undisturbed.segment
    assert after.point.factor == pytest.approx(undisturbed.point.factor, rel=1e-11)
    assert after.point.displacement == pytest.approx(undisturbed.point.displacement, abs=1e-10)


@pytest.mark.slow
def test_a_thin_tube_gives_way() -> None:
    """Its load falls after a limit, one direction is unstable then, and none was at first."""
    path = _walked(levels=())
    limit = limit_at(curve_of(path.readings))
    assert limit is not None
    factors = [reading.factor for reading in path.readings]
    assert limit.factor == pytest.approx(max(factors), rel=5e-3)
    highest = int(np.argmax(factors))
    assert all(reading.negative == 0 for reading in path.readings[: highest + 1])
    assert path.readings[-1].negative == 1
    # on the pressed side, beside the clamp: the load pushes down
    last = path.readings[-1].strain
    assert 20.0 < last.s_mm < 40.0
    assert abs(np.degrees(last.theta_rad) - 180) < 30
    assert path.readings[-1].kind == "clamp-edge dent"
    assert path.readings[-1].oval_percent > 1.0


@pytest.mark.slow
def test_first_yield_and_offsets_come_in_their_order() -> None:
    """First yield, a small offset, a larger one, the limit."""
    path = _walked(levels=())
    curve = curve_of(path.readings)
    told = [
        strained_at(curve),
        offset_at(curve, 0.1),
        offset_at(curve, 0.4),
        limit_at(curve),
    ]
    assert None not in told
    assert told == sorted(told)  # type: ignore[type-var]
    assert offset_at(curve, 100.0) is None
    assert strained_at(curve, 10.0) is None
    rising = envelope(path.readings)[:4]
    assert limit_at(curve_of(rising)) is None


@pytest.mark.slow
def test_the_other_side_is_the_mirror_image() -> None:
    """Loads on the left give the left what loads on the right gave the right."""
    study = _study(0.6)
    (load,) = study.cases[0].loads
    mirrored = replace(load, side="left", at_mm=-load.at_mm)
    plan = plan_path((), 1.2, steps_of(0.2))
    with crude_mesh():
        right, left = (
            _along(path_model_of(study.bar, study.clamp, loads), plan)
            for loads in ((load,), (mirrored,))
        )
    for one, other in zip(right.readings, left.readings, strict=True):
        assert other.factor == pytest.approx(one.factor, rel=1e-6)
        assert other.moved_mm == pytest.approx(one.moved_mm * [-1, 1, 1], abs=1e-5)
        assert other.strain.value == pytest.approx(one.strain.value, rel=1e-4, abs=1e-9)
    assert right.readings[-1].strain.value > 0.01


@pytest.mark.slow
def test_a_load_that_stays_counts_with_those_that_grow() -> None:
    """Twice the load before, then growing: at the same whole load the bar stands where it did."""
    study = _study(0.6)
    (load,) = study.cases[0].loads
    stays = replace(load, force_n=(0.0, 0.0, -800.0))
    with crude_mesh():
        way = path_model_of(study.bar, study.clamp, (load,), constant=(stays,))
    held = _along(way, plan_path((), 0.6, steps_of(0.15)))
    alone = _walked(levels=())
    gauge, origin = alone.way.equations.gauge, held.way.equations.origin
    sunk = float(gauge @ origin)
    assert sunk > 0.5
    x, y = (
        [0.0, *(getattr(reading, name) for reading in alone.readings)]
        for name in ("factor", "deflection")
    )
    for reading in held.readings[:-1]:
        wanted = np.interp(2.0 + reading.factor, x[:10], y[:10])
        # the gauge is zeroed under what stays
        assert sunk + reading.deflection == pytest.approx(wanted, rel=0.03)


@pytest.mark.slow
def test_both_solvers_walk_the_same_path() -> None:
    """To the tolerance of the iteration, the number of unstable directions included."""
    pytest.importorskip("pypardiso")
    study = _study(0.6)
    plan = plan_path((), 2.2, steps_of(0.25))
    with crude_mesh():
        way = path_model_of(study.bar, study.clamp, study.cases[0].loads)
    one, other = (_along(way, plan, solver) for solver in ("splu", "pardiso"))
    for first, second in zip(one.readings, other.readings, strict=True):
        assert second.factor == pytest.approx(first.factor, rel=1e-5)
        assert second.negative == first.negative
    assert one.readings[-1].negative == 1
