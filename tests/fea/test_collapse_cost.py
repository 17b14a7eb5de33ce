"""What a step past yield costs, in counts: a short bar with one bend in its loaded half.

Seconds and megabytes of a long path depend on the machine; `tests/benchmarks` measures them before
a release. What lies behind them is counted here at every change, and counts have no spread.
"""

import tracemalloc
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any
from unittest.mock import patch
from weakref import ref

from scipy.sparse import csc_array
from scipy.sparse.linalg import SuperLU, splu

from fea.collapse import equilibrium
from fea.collapse.equilibrium import Equations
from fea.collapse.initial_state import prepared
from fea.collapse.path import Position, next_position, plan_path, start_position
from fea.collapse.path_model import path_model_of
from fea.solid import direct_solvers
from fea.solid.linear_solver import pivoting
from support.one_bend import CLAMP, half_bar, push_on
from support.paces import steps_of

Record = Callable[[str, object], None]

PLAN, STEPS = plan_path((), 0.8, steps_of(0.1)), 5

MOST_FACTORISATIONS, MOST_ITERATIONS = 5, 33
"""Of all steps: the tangent that each begins with, which its slope and its negative pivots need,
and no other. Newton's method took one an iteration, 15. Measured 5 and 28."""

MOST_FACTOR_ENTRIES = 760
"""Numbers that the factor stores for each unknown. Measured 688."""

MOST_BYTES = 9700
"""That the steps allocate at most beside bar, start and factor, for each unknown. Measured 8800:
the elements' tangents and the matrix filled from them, both only until it is factorised."""


class Counted:
    """A function whose calls are counted, and how much of what it made was held at once."""

    def __init__(self, make: Callable[..., Any]) -> None:
        """Count the calls of `make`."""
        self.make, self.calls, self.most_held = make, 0, 0
        self.made: list[ref[Any]] = []

    def __call__(self, *given: Any, **named: Any) -> Any:
        """Return what `make` makes."""
        made = self.make(*given, **named)
        self.calls += 1
        self.made = [*(one for one in self.made if one() is not None), ref(made)]
        self.most_held = max(self.most_held, len(self.made))
        return made


@dataclass(frozen=True, eq=False)
class Cost:
    """Of some steps: iterations, calls of what makes large things, bytes and entries an unknown."""

    iterations: int
    factorisations: int
    calls: dict[str, Counted]
    factor_entries: float
    array_bytes: float


def _start() -> tuple[Equations, Position]:
    """Return the bar's equations and where its path begins, which nothing else holds."""
    bar = half_bar()
    way, point = prepared(path_model_of(bar, CLAMP, (push_on(bar),)), "splu")
    return way.equations, start_position(PLAN, point)


@cache
def cost() -> Cost:
    """Return what the first steps of the bar's path cost."""
    equations, position = _start()
    unknowns, iterations, factorisations = len(position.point.unknowns), 0, 0
    entries = list[int]()
    calls = {name: Counted(getattr(equilibrium, name)) for name in ("respond", "fill")}
    factor = Counted(pivoting("splu"))

    def noted(matrix: csc_array, **options: Any) -> SuperLU:
        made = splu(matrix, **options)
        entries.append(made.nnz)
        return made

    with patch.multiple(equilibrium, **calls), patch.object(direct_solvers, "splu", noted):
        tracemalloc.start()
        for _ in range(STEPS):
            position = next_position(equations, PLAN, position, factor)
            iterations += position.point.iterations
            factorisations += position.point.factorisations
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    calls["factor"] = factor
    return Cost(iterations, factorisations, calls, max(entries) / unknowns, most / unknowns)


def test_a_step_is_one_factorisation(record_property: Record) -> None:
    """One matrix each, and one answer of the elements an iteration: nothing is made in vain."""
    found = cost()
    record_property("factorisations", f"{found.factorisations}, at most {MOST_FACTORISATIONS}")
    record_property("iterations", f"{found.iterations}, at most {MOST_ITERATIONS}")
    assert 0 < found.factorisations <= MOST_FACTORISATIONS
    assert 0 < found.iterations <= MOST_ITERATIONS
    calls = {name: counted.calls for name, counted in found.calls.items()}
    assert calls["fill"] == calls["factor"] == found.factorisations
    # a guess is one more, of all steps but the first two
    assert calls["respond"] == found.iterations + STEPS - 2


def test_what_is_held_at_once() -> None:
    """One factor, one matrix; states of the step's start, its best point, the last and the next."""
    held = {name: counted.most_held for name, counted in cost().calls.items()}
    assert held["factor"] == 1
    assert held["respond"] <= 4
    assert held["fill"] == 1


def test_the_factor_stays_sparse(record_property: Record) -> None:
    """The order in which unknowns are eliminated keeps it so."""
    entries = cost().factor_entries
    record_property("entries for each unknown", f"{entries:.0f}, at most {MOST_FACTOR_ENTRIES}")
    assert entries <= MOST_FACTOR_ENTRIES


def test_memory_beside_the_factor(record_property: Record) -> None:
    """Most bytes of all arrays at once."""
    most = cost().array_bytes
    record_property("bytes for each unknown", f"{most:.0f}, at most {MOST_BYTES}")
    assert most <= MOST_BYTES
