"""Contact that is solved within an iteration: exact on a bar that is linear, whatever touches."""

from unittest.mock import patch

import numpy as np
import pytest
from scipy.sparse import csr_array, eye_array

from fea.collapse.condensed import Condensed, Near, with_contact
from fea.collapse.contact import Contact, Surface, forces_at, slopes_at
from fea.collapse.equilibrium import Point
from fea.collapse.line_search import ENOUGH, share_of_step
from fea.collapse.plastic import State, virgin
from fea.collapse.solid import Response
from geometry.arrays import Floats

NONE, POINTS = np.zeros(3), 30
SIZE = 3 * POINTS
FLAT = Surface(0, NONE, np.array([0.0, 0.0, 1.0]), NONE)
STIFFER = 1e3
"""The layer over the bar, which is the least of what it is of a bar."""


def contact() -> Contact:
    """Return points some hundredths above and below a plane, each free to move, with friction."""
    random = np.random.default_rng(3)
    places = np.column_stack(
        [np.arange(POINTS), 0 * np.arange(POINTS), random.normal(0, 0.02, POINTS)]
    )
    none, most = np.zeros(POINTS), random.uniform(0, 2.0, POINTS)
    moves = csr_array(eye_array(SIZE))
    owner = np.zeros(POINTS, dtype=int)
    return Contact((FLAT,), owner, places, moves, none + STIFFER, none + 0.2, none > 0, most)


def bar() -> tuple[Floats, Floats]:
    """Return the stiffness (n, n) of a bar, and a load (n,) that presses and drags it."""
    random = np.random.default_rng(4)
    ways = random.normal(size=(SIZE, SIZE))
    load = np.tile([3.0, 1.0, -2.0], POINTS) * random.uniform(0, 2, SIZE)
    return ways @ ways.T / SIZE + np.eye(SIZE), load


def start() -> Point:
    """Return the bar where it lies."""
    none = np.zeros((POINTS, 3))
    state = State(np.zeros((0, 1, 6)), np.zeros((0, 1)), none)
    response = Response(np.zeros((0, 20, 3)), virgin(0, 1))
    return Point(none.ravel(), none.ravel(), 0.0, state, response, 1.0)


def condensed(scale: float = 1.0) -> tuple[Condensed, Floats, Floats]:
    """Return its tangent there, the step with contact linear (n + 1,), and the residual (n,)."""
    made, (stiffness, load), none = contact(), bar(), np.zeros((POINTS, 3))
    slopes = slopes_at(made, none, none)
    tangent = stiffness.copy()
    for point in range(POINTS):
        own = slice(3 * point, 3 * point + 3)
        tangent[own, own] += slopes[point]

    def steps(forces: Floats, held: bool) -> Floats:
        assert not held
        return np.vstack([np.linalg.solve(tangent, forces), np.zeros(forces.shape[1])])

    residual = load + forces_at(made, none, none).ravel()
    near = Near(np.zeros(0, dtype=int), np.zeros((SIZE + 1, 0)), np.zeros((0, 0)))
    seen = Condensed(made.moves, scale * slopes, steps, [near])
    return seen, steps(residual[:, None], held=False)[:, 0], residual


def left_n(step: Floats) -> float:
    """Return what a step leaves out of balance, N."""
    (stiffness, load), moved = bar(), step[:-1].reshape(-1, 3)
    pushed = forces_at(contact(), moved, np.zeros((POINTS, 3)))
    return float(np.linalg.norm(load + pushed.ravel() - stiffness @ step[:-1]))


def test_one_iteration_balances_a_linear_bar() -> None:
    """Though points touch, let go, stick and slide in it, which a linear one leaves far off."""
    seen, step, residual = condensed()
    found = with_contact(seen, contact(), start(), step, 1e-6, held=False)
    size = float(np.linalg.norm(residual))
    assert left_n(step) > size
    # rounding, of forces a thousand times as stiff as what they hold
    assert left_n(found) < 1e-6 * size
    wrong, step, residual = condensed(1.05)
    assert left_n(with_contact(wrong, contact(), start(), step, 1e-6, held=False)) > 1e-3 * size


def test_what_is_known_serves_again_and_a_little_may_be_left() -> None:
    """Another round's friction needs no further columns; a fiftieth of the residual may stay."""
    seen, step, residual = condensed()
    with_contact(seen, contact(), start(), step, 1e-6, held=False)
    (known,) = seen.near
    with_contact(seen, contact(), start(), 1.01 * step, 1e-6, held=False)
    assert seen.near[0] is known
    rough, step, _ = condensed()
    size = float(np.linalg.norm(residual))
    assert left_n(with_contact(rough, contact(), start(), step, size, held=False)) < 0.1 * size
    assert len(rough.near[0].points) <= len(known.points)


def test_too_many_points_leave_contact_linear() -> None:
    """And are not tried again with that tangent."""
    seen, step, _ = condensed()
    with patch("fea.collapse.condensed.MOST", 5):
        assert with_contact(seen, contact(), start(), step, 1e-6, held=False) is step
    assert not seen.near
    assert with_contact(seen, contact(), start(), step, 1e-6, held=False) is step


@pytest.mark.parametrize("end", [0.02, 0.3, 0.97])
def test_a_search_ends_where_little_work_is_left(end: float) -> None:
    """Soft up to a place along the step, and a thousand times as stiff behind it."""
    tried = list[float]()

    def work(share: float) -> float:
        tried.append(share)
        return end - share if share < end else STIFFER * (end - share)

    share = share_of_step(work, work(0.0), work(1.0))
    assert share == tried[-1]
    assert abs(work(share)) <= ENOUGH * end
    assert share_of_step(work, 1.0, 0.4) == 1.0
