"""The lightest sizes within constraints, against trying all: cantilever tubes by formula."""

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.arrays import Floats
from studies.sweeps.search import Found, lightest
from studies.sweeps.sizes import Grid, Point, Problem
from support.random_bars import GEOMETRY

LENGTH_MM, FORCE_N, E_MPA = 200.0, 1000.0, 70000.0


def area_mm2(point: Point) -> float:
    """Return the section's area, which stands for the mass."""
    od_mm, wall_mm = point
    return float(np.pi * wall_mm * (od_mm - wall_mm))


def margins_by(most_mm: float, most_mpa: float, tried: list[Point] | None = None):
    """Return margins of deflection and bending stress by beam theory; `tried` notes the points."""

    def margins(points: Sequence[Point]) -> Floats:
        if tried is not None:
            tried.extend(points)
        found = []
        for od_mm, wall_mm in points:
            inertia = np.pi / 64 * (od_mm**4 - (od_mm - 2 * wall_mm) ** 4)
            deflection = FORCE_N * LENGTH_MM**3 / (3 * E_MPA * inertia)
            stress = FORCE_N * LENGTH_MM * od_mm / 2 / inertia
            found.append([np.log(most_mm / deflection), np.log(most_mpa / stress)])
        return np.array(found)

    return margins


def best_of_all(problem: Problem) -> float | None:
    """Return the least area of all sizes that meet the constraints, by trying every one."""
    first, second = problem.grids
    every = [
        (first.size(i), second.size(j))
        for i in range(first.last + 1)
        for j in range(second.last + 1)
    ]
    kept = problem.margins(every).min(axis=1) >= 0
    areas = [area_mm2(point) for point, good in zip(every, kept, strict=True) if good]
    return min(areas, default=None)


def solved(problem: Problem) -> Found:
    """Return what the search finds from the middle of the bounds."""
    middle = tuple((grid.low + grid.high) / 2 for grid in problem.grids)
    return lightest(problem, middle)


@given(
    most_mm=st.floats(0.8, 4.0),
    most_mpa=st.floats(120, 500),
    od_step=st.sampled_from([0.2, 0.5, 1.0]),
    wall_step=st.sampled_from([0.05, 0.1, 0.2]),
)
@GEOMETRY
def test_it_finds_what_trying_all_finds(
    most_mm: float, most_mpa: float, od_step: float, wall_step: float
) -> None:
    """The area is that of the best of all sizes, or there is none and it says so."""
    grids = Grid(20.0, 31.8, od_step), Grid(0.8, 3.0, wall_step)
    problem = Problem(grids, area_mm2, margins_by(most_mm, most_mpa))
    best, found = best_of_all(problem), solved(problem)
    assert found.feasible == (best is not None)
    if best is not None:
        # a neighbour two steps away may be lighter by less than one step is worth
        assert area_mm2(found.point) <= 1.02 * best
        assert problem.margins([found.point]).min() >= 0


def test_the_optimum_between_the_steps_is_the_analytic_one() -> None:
    """At the greatest diameter the wall solves F L3/(3 E I) = limit, to a thousandth."""
    grids = Grid(20.0, 31.8, 0.2), Grid(0.5, 4.0, 0.01)
    problem = Problem(grids, area_mm2, margins_by(1.5, 1e6))
    found = solved(problem)
    inertia = FORCE_N * LENGTH_MM**3 / (3 * E_MPA * 1.5)
    bore_mm = (31.8**4 - 64 * inertia / np.pi) ** 0.25
    assert found.continuous == pytest.approx((31.8, (31.8 - bore_mm) / 2), rel=1e-3)


def test_it_asks_for_few_solutions() -> None:
    """Each costs seconds on a real bar: two sizes are found with some tens of them."""
    tried: list[Point] = []
    grids = Grid(20.0, 31.8, 0.2), Grid(0.8, 3.0, 0.05)
    solved(Problem(grids, area_mm2, margins_by(1.5, 250, tried)))
    assert len(set(tried)) <= 40


def test_the_nearest_miss_is_told() -> None:
    """Where even the thickest is too weak, that is what comes nearest."""
    grids = Grid(20.0, 22.0, 0.5), Grid(0.8, 1.2, 0.1)
    found = solved(Problem(grids, area_mm2, margins_by(0.5, 50)))
    assert not found.feasible
    assert found.point == (22.0, 1.2)


def test_a_design_without_figures_is_passed_by() -> None:
    """A corner where nothing can be computed does not stop the search."""
    plain = margins_by(1.5, 1e6)

    def margins(points: Sequence[Point]) -> Floats:
        found = plain(points)
        found[[wall_mm > 3.4 for _, wall_mm in points]] = -5.0
        return found

    grids = Grid(30.0, 31.8, 0.2), Grid(0.8, 4.0, 0.05)
    found = lightest(Problem(grids, area_mm2, margins), (31.0, 3.0))
    assert found.feasible
    assert found.point == pytest.approx((31.8, 2.6))
