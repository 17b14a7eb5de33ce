"""Forces that go with a band: turned as it is, balanced whatever its shape, with their slope."""

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.spatial.transform import Rotation

from fea.collapse.equilibrium import Outside
from fea.collapse.follower_pressure import band_of, following
from fea.solid.assembly import Coupled, build_pattern, coupled
from geometry.arrays import Floats


def _ring() -> tuple[Floats, Floats]:
    """Return three rings of points, a stray one, and forces that press on the rings unevenly."""
    theta = np.tile(np.linspace(0, 2 * np.pi, 12, endpoint=False), 3)
    points = np.stack([np.repeat([0.0, 5.0, 9.0], 12), 11 * np.sin(theta), 11 * np.cos(theta)], 1)
    inward = np.stack([np.zeros_like(theta), -np.sin(theta), -np.cos(theta)], 1)
    force = inward * (200 + 90 * np.cos(2 * theta))[:, None]
    return np.vstack([points, [40.0, 0, 0]]), np.vstack([force, np.zeros(3)])


def _joined(points: Floats, *forces: Floats) -> Coupled:
    """Return a pattern of single nodes in which those that carry the same forces meet."""
    alone = build_pattern(np.arange(len(points))[:, None], len(points))
    return coupled(alone, [band_of(points, force).nodes for force in forces])


def _following(points: Floats, *forces: Floats) -> Outside:
    blocks = _joined(points, *forces).blocks
    return following(points, [band_of(points, force) for force in forces], blocks)


def test_forces_turn_with_the_band() -> None:
    """However far it is carried and turned; what does not carry them has none."""
    points, force = _ring()
    turn = Rotation.from_rotvec([0.4, -1.1, 0.7]).as_matrix()
    moved = points @ turn.T + [3.0, -40.0, 9.0] - points
    pushed = _following(points, force).force(moved.ravel())
    assert pushed.reshape(-1, 3) == pytest.approx(force @ turn.T, abs=1e-9)


def test_they_balance_in_any_shape() -> None:
    """Neither a force nor a moment is left where the band has been bent and dented."""
    points, force = _ring()
    moved = np.random.default_rng(3).normal(scale=1.0, size=points.shape)
    moved[:, 2] += 0.04 * points[:, 0] ** 2
    pushed = _following(points, force).force(moved.ravel())
    pushed = pushed.reshape(-1, 3)
    size = np.abs(force).sum()
    assert np.abs(pushed.sum(axis=0)).max() < 1e-12 * size
    assert np.abs(np.cross(points + moved, pushed).sum(axis=0)).max() < 1e-12 * size * 11


def test_kept_in_space_they_would_turn_it() -> None:
    """A uniform pressure by pi/4 N D sin(phi), with N the force on half of the band."""
    theta = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    points = 11 * np.stack([0 * theta, np.sin(theta), np.cos(theta)], 1)
    # N = p D w, and each point stands for its share of the circumference
    half_n = 4000.0
    force = -points / 11 * (half_n / 22) * np.pi * 22 / len(theta)
    tilted = points @ Rotation.from_rotvec([0.0, 0.3, 0.0]).as_matrix().T
    moment = np.abs(np.cross(tilted, force).sum(axis=0)[1])
    assert moment == pytest.approx(np.pi / 4 * half_n * 22 * np.sin(0.3), rel=1e-9)
    pushed = _following(points, force).force((tilted - points).ravel())
    assert np.abs(np.cross(tilted, pushed.reshape(-1, 3)).sum(axis=0)).max() < 1e-9 * moment


def test_slope_is_that_of_differences() -> None:
    """In any direction, from a band that was carried and turned."""
    points, force = _ring()
    push, pattern = (
        _following(points, force, 0.3 * force),
        _joined(points, force, force).pattern,
    )
    turn = Rotation.from_rotvec([0.2, 0.5, -0.3]).as_matrix()
    at = (points @ turn.T - points).ravel()
    along = np.random.default_rng(5).normal(size=at.size)
    step = 1e-5
    wanted = (push.force(at + step * along) - push.force(at - step * along)) / (2 * step)
    entries = np.zeros(len(pattern.columns))
    for places, values in push.slope(at):
        entries[places] += values
    slope = csr_array((entries, pattern.columns, pattern.starts), shape=(at.size, at.size))
    assert slope @ along == pytest.approx(wanted, abs=1e-6 * np.abs(wanted).max())
    assert abs(slope - slope.T).max() < 1e-12 * abs(slope).max()
