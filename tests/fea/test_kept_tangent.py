"""A kept tangent, an accelerated iteration and a guess: all end where Newton's method ends.

On a crude mesh of a bar with one bend, which yields, flattens and is unloaded on the way.
"""

from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from unittest.mock import patch

import numpy as np
import pytest

from fea.collapse.acceleration import DEPTH, Iterate, accelerated
from fea.collapse.equilibrium import Equations, Point, deflection, point_at
from fea.collapse.initial_state import prepared
from fea.collapse.newton import StepTarget
from fea.collapse.path import (
    Plan,
    Position,
    attempted,
    expected,
    next_position,
    plan_path,
    start_position,
    traced,
)
from fea.collapse.path_model import path_model_of
from fea.collapse.phase import Phase
from fea.collapse.step_length import pace_of
from fea.solid.linear_solver import pivoting
from support.crude import crude_mesh
from support.one_bend import CLAMP, half_bar, push_on

LEVEL, TO_MM = 4.4, 2.0

SAME = 1e-6
"""The iteration's tolerance, of load and displacement."""

MOST_FACTORISATIONS = 1.25
"""Of each step, the two at the level and the elastic one after it included. Measured 1.14."""


@dataclass(frozen=True, eq=False)
class Traced:
    """A path: its start, and every position after that."""

    equations: Equations
    plan: Plan
    positions: tuple[Position, ...]


@cache
def path() -> Traced:
    """Return the path of the bar, unloaded once past yield."""
    bar = half_bar()
    with crude_mesh():
        way, point = prepared(path_model_of(bar, CLAMP, (push_on(bar),)))
    plan = plan_path((LEVEL,), TO_MM, pace_of(way))
    start = start_position(plan, point)
    return Traced(way.equations, plan, (start, *traced(way.equations, plan, start, pivoting())))


def loading(position: Position) -> bool:
    """Return whether the next step is one of loading."""
    phases = [segment.phase for segment in path().plan.segments]
    return position.segment < len(phases) and phases[position.segment] is Phase.LOADING


def guessed() -> list[tuple[Position, Position]]:
    """Return the steps that begin at a parabola: where each begins and where it ends."""
    positions = path().positions
    return [(one, after) for one, after in pairwise(positions) if len(one.passed) == 2]


def same(one: Point, other: Point) -> None:
    """Hold two ends of a step against each other."""
    assert other.factor == pytest.approx(one.factor, rel=SAME)
    furthest = np.abs(one.displacement).max()
    assert other.displacement == pytest.approx(one.displacement, abs=10 * SAME * furthest)
    strains = [point.response.state.equivalent for point in (one, other)]
    assert strains[1] == pytest.approx(strains[0], abs=1e-3 * strains[0].max())


def ended(one: Position, after: Position) -> StepTarget:
    """Return the target of the step between two positions."""
    return StepTarget("deflection", deflection(path().equations, after.point.displacement))


def test_a_step_begins_at_a_parabola_where_three_positions_are_of_one_loading() -> None:
    """Not after a change of the loads, and not before there are three."""
    assert len(guessed()) >= 6
    length = 0
    for one, after in pairwise(path().positions):
        assert len(one.passed) == min(length, 2)
        length = length + 1 if loading(one) and after.segment == one.segment else 0


def test_a_parabola_meets_the_deflection_and_lies_near() -> None:
    """The deflection is linear in the unknowns; the rest lies nearer than the last position."""
    equations = path().equations
    for one, after in guessed():
        target = ended(one, after)
        guess = expected(equations, one, target.value)
        assert guess is not None
        moved = equations.unknowns.expand(guess.unknowns)
        assert deflection(equations, moved) == pytest.approx(target.value, rel=1e-12)
        off = np.linalg.norm(moved - after.point.displacement)
        assert off < 0.2 * np.linalg.norm(one.point.displacement - after.point.displacement)


def test_a_guess_ends_where_a_plain_start_ends() -> None:
    """The metal is integrated from the beginning of the step, whatever was guessed."""
    for one, after in guessed()[::4]:
        plain = attempted(path().equations, one.point, ended(one, after), pivoting())
        assert plain is not None
        same(plain, after.point)


def test_a_kept_tangent_ends_where_newtons_method_ends() -> None:
    """Which factorises one in every iteration, here but for the second: the first has no ratio."""
    equations = path().equations
    for one, after in guessed()[::4]:
        with patch.multiple("fea.collapse.acceleration", PATIENCE=0.0, TRIED=1):
            newton = attempted(equations, one.point, ended(one, after), pivoting())
        assert newton is not None
        assert newton.factorisations == newton.iterations - 1
        same(newton, after.point)
        assert after.point.factorisations < newton.factorisations
        assert after.point.slope == pytest.approx(newton.slope, rel=1e-9)
        assert after.point.negative == newton.negative


def test_a_step_takes_hardly_more_than_one_factorisation() -> None:
    """Over a level, down, up again and on."""
    made = [position.point.factorisations for position in path().positions[1:]]
    assert min(made) == 1
    assert np.mean(made) <= MOST_FACTORISATIONS, made


def test_continued_over_a_stored_position_it_is_the_same_path() -> None:
    """From unknowns, factor, metal and the positions passed; without those it is to tolerance."""
    equations, plan = path().equations, path().plan
    (one, after), *_ = guessed()[2:]
    kept = one.point
    point = point_at(equations, kept.unknowns, kept.factor, kept.before, kept.size)
    again = next_position(equations, plan, replace(one, point=point), pivoting())
    assert again.point.iterations == after.point.iterations
    assert again.point.factor == pytest.approx(after.point.factor, rel=1e-11)
    assert again.point.displacement == pytest.approx(after.point.displacement, abs=1e-10)
    alone = next_position(equations, plan, replace(one, point=point, passed=()), pivoting())
    same(after.point, alone.point)


def test_what_is_wrong_in_few_modes_is_gone_in_few_iterations() -> None:
    """A linear iteration whose matrix is wrong in two; what holds at every iterate stays."""
    random = np.random.default_rng(5)
    count, weights = 30, random.normal(size=30)
    modes = random.normal(size=(count, 2))
    # steps keep weights . place as it is
    modes -= np.outer(weights, weights @ modes) / (weights @ weights)
    shares = np.linalg.qr(modes)[0] * [0.6, -1.5]
    end = random.normal(size=count)
    place = end + 3.0 * modes[:, 0] - modes[:, 1]
    iterates, held = [], weights @ end
    for _ in range(DEPTH):
        error = end - place
        step = error + shares @ (np.linalg.qr(modes)[0].T @ error)
        iterates.append(Iterate(np.append(place, 0.0), np.append(step, 0.0)))
        place = accelerated(iterates)[:-1]
        assert weights @ place == pytest.approx(held, abs=1e-9)
    assert np.abs(place - end).max() < 1e-8
    plain = end + 3.0 * modes[:, 0] - modes[:, 1]
    for _ in range(DEPTH):
        error = end - plain
        plain = plain + error + shares @ (np.linalg.qr(modes)[0].T @ error)
    assert np.abs(plain - end).max() > 1e-2
