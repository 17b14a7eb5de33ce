"""Where a path can be left: told from readings, and looked for on a small column."""

from dataclasses import replace

import numpy as np
import pytest

from fea.collapse.bifurcation import NARROW, bifurcation_interval, bifurcation_step, is_bifurcation
from fea.collapse.equilibrium import Equations, Point, deflection
from fea.collapse.newton import StepTarget, balanced, stiffness_at
from fea.collapse.reading import PathPoint
from fea.solid.linear_solver import pivoting
from support.blocks import mapped_block, on_side
from support.large import at_rest, equations_of, metal, spread
from support.paths import reading

LENGTH_MM, E_MPA = 40.0, 7e4
EULER_N = np.pi**2 * E_MPA / 12 / (4 * LENGTH_MM**2)
"""Of a column of 1 mm by 1 mm held at its foot."""


def column() -> Equations:
    """Return a column that is pressed with 1 N, read by how far its head goes down."""
    block = mapped_block((2, 2, 12), lambda box: box * [1.0, 1.0, LENGTH_MM])
    head, foot = on_side(block, 2, 1), on_side(block, 2, 0)
    load = spread(block, head, [0.0, 0.0, -1.0])
    free = ~np.repeat(foot[:, None], 3, axis=1)
    return equations_of(block, metal(E_MPA, 0.0), free, load)


def pressed(equations: Equations, load_n: float) -> Point:
    """Return it under a load, straight as it is drawn."""
    rest = at_rest(equations)
    return balanced(equations, rest, StepTarget("factor", load_n), rest.response.state, pivoting())


def test_eulers_load_is_found_within_a_step() -> None:
    """From a step far across it, to the width that is asked; the clamped foot adds 1 %."""
    equations = column()
    end = pressed(equations, 1.7 * EULER_N)
    low, high = bifurcation_interval(equations, PathPoint(0.0, 0.0), end, pivoting())
    assert high.factor - low.factor <= NARROW * high.factor
    assert low.factor / EULER_N == pytest.approx(1.0, abs=0.015)
    assert 1.05 * low.factor / EULER_N != pytest.approx(1.0, abs=0.015)
    assert low.deflection == pytest.approx(low.factor * LENGTH_MM / E_MPA, rel=5e-3)


@pytest.mark.parametrize(("times", "lost"), [(0.5, False), (0.9, False), (1.1, True), (1.7, True)])
def test_a_point_tells_whether_the_bar_can_leave_there(times: float, lost: bool) -> None:
    """Below the load of buckling nothing is unstable, above it one is though the load rises on."""
    equations = column()
    point = pressed(equations, times * EULER_N)
    assert is_bifurcation(stiffness_at(equations, point, pivoting())) == lost
    # read against the load, the same point lies where it falls: that is a limit
    turned = replace(equations, gauge=-equations.gauge)
    assert not is_bifurcation(stiffness_at(turned, point, pivoting()))
    assert deflection(turned, point.displacement) < 0


@pytest.mark.parametrize(
    ("begun_with", "factors", "wanted"),
    [
        ((0, 0, 0, 0), (1.0, 1.2, 1.4, 1.6), None),
        ((0, 0, 1, 1), (1.0, 1.2, 1.4, 1.6), 1),
        ((0, 0, 2, 2), (1.0, 1.2, 1.4, 1.6), 1),
        ((0, 0, 1, 1), (1.0, 1.2, 1.1, 1.0), None),
        ((0, 0, 1, 1), (1.0, 1.2, 1.1, 1.3), None),
        ((0, 0, None, 1), (1.0, 1.2, 1.4, 1.6), 2),
        ((0, 1, 0, 1), (1.0, 1.2, 1.4, 1.6), 0),
        ((0,), (1.0,), None),
    ],
)
def test_the_step_that_lost_it(
    begun_with: tuple[int | None, ...], factors: tuple[float, ...], wanted: int | None
) -> None:
    """The first that was followed by a higher load; not a limit, not the valley after it."""
    path = [
        replace(reading(factor, 0.1 * i), negative=negative, slope=1.0)
        for i, (factor, negative) in enumerate(zip(factors, begun_with, strict=True))
    ]
    assert bifurcation_step(path) == wanted
