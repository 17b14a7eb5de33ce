"""Sizes on offer: near a point between them, and one step from each other.

A design is a point, its mass is exact and costs nothing, its margins cost a solution each and
come in batches. Nothing here knows of bars.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from geometry.arrays import Floats

Point = tuple[float, ...]
Sizes = tuple[int, ...]

SLOPE_STEP = 0.03
"""Relative step of the differences by which slopes are found: far above a mesh's scatter."""

MASS_STEP = 1e-4

SLOPE_DOUBT = 0.05
"""Uncertainty of margins by slopes: what lies further below a constraint is not computed."""

MOST_ROUNDED = 6
"""Variables that are rounded both ways; of more, those that weigh least are rounded up."""

BATCH = 4
"""Candidates computed at once."""

SAME = 1e-9


@dataclass(frozen=True)
class Grid:
    """Sizes that one variable may have: `low` and every `step` from there, up to `high`."""

    low: float
    high: float
    step: float

    def size(self, number: int) -> float:
        """Return the size of a number, 0 being the least."""
        return float(round(self.low + number * self.step, 9))

    @property
    def last(self) -> int:
        """Return the number of the greatest size."""
        return int(np.floor((self.high - self.low) / self.step + SAME))


@dataclass(frozen=True)
class Problem:
    """An optimisation in sizes on offer.

    Attributes:
        grids: One a variable.
        mass: Mass of a point; infinite where there is no such bar.
        margins: Margins (points, constraints) of points; below 0 where a constraint is violated.
    """

    grids: tuple[Grid, ...]
    mass: Callable[[Point], float]
    margins: Callable[[Sequence[Point]], Floats]


def at(problem: Problem, sizes: Sizes) -> Point:
    """Return the point of sizes on offer."""
    return tuple(grid.size(n) for grid, n in zip(problem.grids, sizes, strict=True))


def worst(problem: Problem, point: Point) -> float:
    """Return the smallest margin of a point."""
    return float(problem.margins([point])[0].min())


def _moved(point: Point, number: int, factor: float) -> Point:
    return tuple(v * factor if n == number else v for n, v in enumerate(point))


def slopes_at(problem: Problem, point: Point) -> Floats:
    """Return slopes (constraints, variables) of the margins over the logarithms of the variables.

    Differences go upwards, at the upper bound downwards.
    """
    room = [v * (1 + SLOPE_STEP) <= g.high for v, g in zip(point, problem.grids, strict=True)]
    factors = [1 + SLOPE_STEP if up else 1 / (1 + SLOPE_STEP) for up in room]
    others = [_moved(point, n, factor) for n, factor in enumerate(factors)]
    margins = problem.margins([point, *others])
    result: Floats = (margins[1:] - margins[0]).T / np.log(factors)
    return result


def mass_slopes(problem: Problem, point: Point) -> Floats:
    """Return the slopes of the mass over the logarithms of the variables."""
    ends = [
        [problem.mass(_moved(point, n, factor)) for factor in (1 - MASS_STEP, 1 + MASS_STEP)]
        for n in range(len(point))
    ]
    return np.array([(above - below) / (2 * MASS_STEP) for below, above in ends])


def rounded(problem: Problem, continuous: Point, slopes: Floats) -> Sizes | None:
    """Return sizes near a point that meet the constraints, the lightest of the nearest if one does.

    Where none of the nearest does, walls grow by steps, first where that helps most for its mass.
    """
    near = _by_mass(problem, _neighbours(problem, continuous))
    found = _first_feasible(problem, _promising(problem, near, continuous, slopes))
    sizes = near[-1]
    while found is None:
        if worst(problem, at(problem, sizes)) >= 0:
            return sizes
        more = _thicker(problem, sizes, slopes)
        if more is None:
            return None
        sizes = more
    return found


def _by_mass(problem: Problem, candidates: Iterable[Sizes]) -> list[Sizes]:
    return sorted(candidates, key=lambda sizes: problem.mass(at(problem, sizes)))


def _neighbours(problem: Problem, continuous: Point) -> set[Sizes]:
    """Return the sizes round a point: each variable the one below and the one above."""
    weight = np.abs(mass_slopes(problem, continuous))
    both = set(np.argsort(weight)[::-1][:MOST_ROUNDED].tolist())
    choices = []
    for number, (value, grid) in enumerate(zip(continuous, problem.grids, strict=True)):
        exact = (value - grid.low) / grid.step
        up = min(int(np.ceil(exact - SAME)), grid.last)
        down = max(min(int(np.floor(exact + SAME)), grid.last), 0)
        choices.append({down, up} if number in both else {up})
    return set(product(*choices))


def _promising(
    problem: Problem, candidates: Sequence[Sizes], point: Point, slopes: Floats
) -> list[Sizes]:
    """Return the candidates that slopes do not put clearly below a constraint."""
    margins = problem.margins([point])[0]
    steps = [np.log(np.array(at(problem, sizes)) / np.array(point)) for sizes in candidates]
    return [
        sizes
        for sizes, step in zip(candidates, steps, strict=True)
        if (margins + slopes @ step).min() >= -SLOPE_DOUBT
    ]


def _first_feasible(problem: Problem, candidates: Sequence[Sizes]) -> Sizes | None:
    """Return the first candidate that meets the constraints; a few are computed at once."""
    for begin in range(0, len(candidates), BATCH):
        batch = candidates[begin : begin + BATCH]
        margins = problem.margins([at(problem, sizes) for sizes in batch])
        feasible = [sizes for sizes, row in zip(batch, margins, strict=True) if row.min() >= 0]
        if feasible:
            return feasible[0]
    return None


def _thicker(problem: Problem, sizes: Sizes, slopes: Floats) -> Sizes | None:
    """Return sizes one step larger where that helps the worst margin most for its mass."""
    point = at(problem, sizes)
    worst = int(problem.margins([point])[0].argmin())
    mass = problem.mass(point)
    gains = {}
    for number, grid in enumerate(problem.grids):
        if sizes[number] < grid.last:
            more = _stepped(sizes, number, 1)
            step = np.log(at(problem, more)[number] / point[number])
            added = max(problem.mass(at(problem, more)) - mass, SAME)
            gains[more] = slopes[worst, number] * step / added
    return max(gains, key=gains.__getitem__) if gains else None


def polished(problem: Problem, sizes: Sizes, slopes: Floats) -> Sizes:
    """Return sizes of which no lighter neighbour meets the constraints, by the slopes."""
    while True:
        point = at(problem, sizes)
        mass = problem.mass(point)
        near = _by_mass(problem, _steps(problem, sizes))
        lighter = [n for n in near if problem.mass(at(problem, n)) < mass - SAME]
        better = _first_feasible(problem, _promising(problem, lighter, point, slopes))
        if better is None:
            return sizes
        sizes = better


def _steps(problem: Problem, sizes: Sizes) -> Iterator[Sizes]:
    """Yield sizes with one variable a step smaller, alone or against another a step larger."""
    for number in range(len(sizes)):
        if sizes[number] == 0:
            continue
        less = _stepped(sizes, number, -1)
        yield less
        for other, grid in enumerate(problem.grids):
            if other != number and sizes[other] < grid.last:
                yield _stepped(less, other, 1)


def _stepped(sizes: Sizes, number: int, step: int) -> Sizes:
    return tuple(n + step if i == number else n for i, n in enumerate(sizes))


def nearest(problem: Problem, continuous: Point, largest: Point) -> Point:
    """Return the sizes on offer that come nearest to meeting all constraints."""
    points = [at(problem, sizes) for sizes in _neighbours(problem, continuous)] + [largest]
    margins = problem.margins(points).min(axis=1)
    return points[int(margins.argmax())]
