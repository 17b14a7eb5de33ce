"""Supports: the conditions of contact and friction on any linear bar, and closed forms."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fea.supports.reactions import Reactions, SupportedBar, reactions_of
from geometry.arrays import Floats
from loadcases.contact_points import ContactPoint
from loadcases.supports import PlacedSupport

RING = 8
R_MM = 11.0
SMALL = 3e-6


def ring(friction: float, *, at_mm: float = 300.0, tilt: float = 0.0) -> PlacedSupport:
    """Return an end on a bed, which may rise aslant to x."""
    turn = np.linspace(0, 2 * np.pi, RING, endpoint=False)
    normal = (float(np.sin(tilt)), 0.0, float(np.cos(tilt)))
    points = tuple(
        ContactPoint((float(R_MM * np.cos(a)), float(R_MM * np.sin(a)), -5.0), normal, friction)
        for a in turn
    )
    return PlacedSupport("foot", "right" if at_mm > 0 else "left", at_mm, 10.0, normal, points)


def random_bar(seed: int, friction: float, ram_force_n: float) -> SupportedBar:
    """Return two rings on a random elastic body, with a random motion by its loads."""
    random = np.random.default_rng(seed)
    root = random.normal(size=(12, 12)) * np.tile([1, 1, 1, 0.1, 0.1, 0.1], 2)
    compliance = (root.T @ root + np.diag(np.tile([1, 1, 1, 0.01, 0.01, 0.01], 2))) * 1e-3
    free = random.normal(size=12) * np.tile([1, 1, 1, 0.1, 0.1, 0.1], 2)
    supports = (ring(friction, at_mm=-300.0), ring(friction))
    return SupportedBar(supports, compliance, free if not ram_force_n else free * 0, ram_force_n)


def moved(bar: SupportedBar, found: Reactions) -> Floats:
    """Return (p, 3) how the points move against their bed, from the forces alone."""
    motion = bar.free_motion + bar.compliance @ found.wrenches.ravel()
    result = []
    for one, ring_motion in zip(bar.supports, motion.reshape(-1, 6), strict=True):
        rise = found.travel_mm * np.array(one.direction)
        for point in one.points:
            turned = np.cross(ring_motion[3:], point.offset_mm)
            result.append(ring_motion[:3] + turned - rise)
    return np.array(result)


@settings(max_examples=300)
@given(st.integers(0, 10**6), st.sampled_from([0.0, 0.1, 0.3]), st.sampled_from([0.0, 500.0]))
def test_the_conditions_of_contact_hold(seed: int, friction: float, ram_force_n: float) -> None:
    """No pull, no passing through, friction within its cone and against the way, balance."""
    bar = random_bar(seed, friction, ram_force_n)
    found = reactions_of(bar)
    motion, forces = moved(bar, found), found.forces_n
    # where all sticks the motion against the bed is round-off, beside the bed's own
    far = max(np.abs(motion).max(), abs(found.travel_mm))
    large = max(np.abs(forces).max(), 1e-12)
    points = [point for one in bar.supports for point in one.points]
    for point, state, force, way in zip(points, found.states, forces, motion, strict=True):
        normal = np.array(point.normal)
        push, gap = float(force @ normal), float(way @ normal)
        rub, slide = force - push * normal, way - gap * normal
        assert push >= -SMALL * large
        assert gap >= -1e-4 * far
        assert state != "open" or not force.any()
        assert state == "open" or abs(gap) <= 1e-4 * far
        assert np.linalg.norm(rub) <= friction * push + SMALL * large
        if state == "sticks":
            assert np.linalg.norm(slide) <= 1e-4 * far
        if state == "slides" and np.linalg.norm(slide) > 1e-2 * far:
            against = -friction * push * slide / np.linalg.norm(slide)
            assert rub == pytest.approx(against, abs=1e-4 * large)
    if ram_force_n:
        total = forces.sum(axis=0) @ np.array(bar.supports[0].direction)
        assert total == pytest.approx(ram_force_n, rel=1e-6)


def test_friction_never_gives_work_back() -> None:
    """On every point that slides friction takes work; it is the difference that energy shows."""
    for seed in range(40):
        bar = random_bar(seed, 0.2, 500.0)
        found = reactions_of(bar)
        motion = moved(bar, found)
        spent = -float(np.einsum("pi,pi->", found.forces_n, motion))
        stored = found.wrenches.ravel() @ bar.compliance @ found.wrenches.ravel() / 2
        assert spent >= -1e-6 * stored
        # all grows in proportion, so the ram's work is half of force times travel
        ram = 500.0 * found.travel_mm / 2
        assert ram == pytest.approx(stored + spent / 2, rel=1e-5)


def without_friction(supports: Sequence[PlacedSupport]) -> tuple[PlacedSupport, ...]:
    """Return the supports as if all of them rolled."""
    return tuple(
        replace(one, points=tuple(replace(point, friction=0.0) for point in one.points))
        for one in supports
    )


def test_without_friction_is_the_limit_of_little() -> None:
    """A coefficient of 1e-7 moves nothing."""
    bar = random_bar(3, 1e-7, 500.0)
    bare = SupportedBar(without_friction(bar.supports), bar.compliance, bar.free_motion, 500.0)
    assert reactions_of(bar).travel_mm == pytest.approx(reactions_of(bare).travel_mm, rel=1e-5)


def test_twice_the_force_twice_the_answer() -> None:
    """All gaps are closed at the start."""
    one, two = (reactions_of(random_bar(11, 0.2, force)) for force in (500.0, 1000.0))
    assert 2 * one.forces_n == pytest.approx(two.forces_n, rel=1e-5, abs=1e-3)
    assert one.states == two.states


def test_supports_at_one_place_hold_one_ring() -> None:
    """They share what one of them takes, where two rings would be the same one twice."""
    bar = random_bar(3, 0.0, 0.0)
    one = SupportedBar(bar.supports[:1], bar.compliance[:6, :6], bar.free_motion[:6])
    twice = (bar.supports[0], bar.supports[0])
    both = SupportedBar(twice, np.tile(one.compliance, (2, 2)), np.tile(one.free_motion, 2))
    alone, shared = reactions_of(one).wrenches[0], reactions_of(both).wrenches
    assert np.abs(alone).max() > 0
    assert shared[0] == pytest.approx(alone / 2, rel=1e-3)
    assert shared[1] == pytest.approx(alone / 2, rel=1e-3)
