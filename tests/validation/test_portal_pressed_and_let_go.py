"""The U of `test_portal_on_a_bed` pressed on its open ends with friction, and let go, as a path.

Source: the same unit loads on a statically determinate frame, and on the linear solid. While a foot
slides out friction is with the push and stiffens the bar, on its way back it is against it, and
right after the reversal the foot sticks: 2/(f_vv + mu f_vh), 2/(f_vv - mu f_vh), and
2/(f_vv - f_vh^2/f_hh). So the mean compliance of both ways is that without friction, f_vv/2.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fea.collapse.contact import contact_forces
from fea.collapse.equilibrium import Point, deflection
from fea.collapse.initial_state import prepared
from fea.collapse.newton import StepTarget
from fea.collapse.path import attempted
from fea.collapse.path_model import PathModel, Standing, path_model_of
from fea.collapse.reading import reactions_n
from fea.solid.assembly import free_part
from fea.solid.direct_solvers import Pivoting
from fea.solid.linear_solver import factorise, pivoting, solve
from geometry.arrays import Floats
from loadcases.clamp import Clamp
from loadcases.supports import Support, place_support
from support.checks import Problem, Target, misses
from support.portal import portal
from validation.test_portal_on_a_bed import flexibilities

RAM_N, FRICTION = 300.0, 0.2
CLAMP = Clamp(40.0, model="rigid")

UP = (0.4, 1.0)
DOWN = (0.97, 0.9, 0.8, 0.7, 0.6, 0.4, 0.2, 0.0)
"""Multiples of the ram's force, each a step."""

LIMITS = (1, 1, 0, 0, 0, 0, 0, -1, -1, -1)
"""Whether friction is at its limit in them: while it slides outward, inward, or not."""


def pressed(scale: float = 1.0) -> Mapping[str, float]:
    """Return stiffnesses over those of the solid's own flexibilities, with the modulus scaled."""
    (vv, vh), (_, hh) = solid_flexibilities()
    out, stuck, back = slopes(scale)
    return {
        "sliding out": out * (vv + FRICTION * vh) / 2,
        "stuck": stuck * (vv - vh**2 / hh) / 2,
        "sliding back": back * (vv - FRICTION * vh) / 2,
    }


def slopes(scale: float = 1.0) -> tuple[float, float, float]:
    """Return the stiffness on the way out, right after it, and on the way back, N/mm."""
    way, points = walked(scale)
    travel = [deflection(way.equations, one.displacement) for one in points]
    each = np.diff([RAM_N * one.factor for one in points]) / np.diff(travel)
    return float(each[1]), float(each[2]), float(each[-2])


@cache
def solid_flexibilities() -> Floats:
    """Return (2, 2) as `flexibilities`, of the linear solid under the push's own nodal forces."""
    way, points = walked()
    contact, point = way.equations.contact, points[2]
    assert contact
    pushed = contact_forces(contact, point.displacement, point.before.anchors_mm)
    nodal = (contact.moves.T @ pushed.ravel())[: way.equations.bar].reshape(-1, 3)
    share = np.where(way.model.mesh.points_mm[:, 0] > 0, nodal[:, 2], 0.0)
    loads = np.zeros((2, *nodal.shape))
    loads[0, :, 2], loads[1, :, 0] = share / share.sum(), -share / share.sum()
    flat, free = loads.reshape(2, -1).T, way.model.free
    moved = np.zeros_like(flat)
    moved[free], _ = solve(factorise(free_part(way.model.stiffness, free)), flat[free])
    return np.asarray(flat.T @ moved)


def foot_mm() -> Floats:
    """Return (x, z) of the inboard edge of an end."""
    return np.array([210.0 - 11.1, -120.0])


@cache
def walked(scale: float = 1.0) -> tuple[PathModel, tuple[Point, ...]]:
    """Return the bar on its bed, and its points as the ram comes and goes."""
    bar = portal()
    metal = bar.spec.material
    stiffer = replace(metal, youngs_modulus_mpa=scale * metal.youngs_modulus_mpa)
    bar = replace(bar, spec=replace(bar.spec, material=stiffer))
    supports = tuple(
        place_support(Support("foot", friction=FRICTION, side=side), bar, CLAMP, np.eye(3))
        for side in ("left", "right")
    )
    solver = pivoting()
    made = path_model_of(bar, CLAMP, (), standing=Standing(supports, RAM_N))
    way, start = prepared(made, factorise=solver)
    return way, (start, *_points(way, start, solver))


def _points(way: PathModel, point: Point, solver: Pivoting) -> Iterator[Point]:
    for factor in (*UP, *DOWN):
        found = attempted(way.equations, point, StepTarget("factor", factor), solver)
        assert found
        point = found
        yield point


PRESSED = Problem(
    "U pressed on its ends with friction",
    pressed,
    {
        # 0.6 mm of travel are not nothing, and what sticks is not pressed quite like what slides
        "sliding out": Target(1.0, 0.015),
        "stuck": Target(1.0, 0.025),
        "sliding back": Target(1.0, 0.015),
    },
    slow=True,
)


@pytest.mark.slow
def test_solid() -> None:
    """Out, stuck and back."""
    assert misses(PRESSED) == {}


@pytest.mark.slow
def test_frame() -> None:
    """Out, back and their mean; its ends do not give way where they are pressed, nor its bends.

    A foot that sticks hides more of that: a pinned frame is a fifth stiffer than the bar.
    """
    (vv, vh), _ = flexibilities(portal(), foot_mm())
    out, _, back = slopes()
    assert out == pytest.approx(2 / (vv + FRICTION * vh), rel=0.04)
    assert back == pytest.approx(2 / (vv - FRICTION * vh), rel=0.04)
    assert (1 / out + 1 / back) / 2 == pytest.approx(vv / 2, rel=0.04)


@pytest.mark.slow
def test_free_body() -> None:
    """Ram and feet balance; friction is at its limit while a foot slides, and below it sticks."""
    way, points = walked()
    seat = way.equations.constant[way.equations.bar]
    for point, limit in zip(points[1:], LIMITS, strict=True):
        left, right = reactions_n(way, point)
        ram = RAM_N * point.factor + seat
        assert left[2] + right[2] == pytest.approx(ram, rel=2e-6)
        assert left[0] + right[0] == pytest.approx(0.0, abs=1e-4 * ram)
        share = -right[0] / right[2] / FRICTION
        assert share == pytest.approx(limit, abs=1e-3) if limit else abs(share) < 0.95


@pytest.mark.slow
def test_what_the_ram_loses_is_what_friction_takes() -> None:
    """The ram's work over the way up and back is that of friction at both feet, and never falls."""
    way, points = walked()
    travel = [deflection(way.equations, one.displacement) for one in points]
    spent = np.trapezoid([RAM_N * one.factor for one in points], travel)
    outward, rubs = np.array([_feet(way, one) for one in points]).transpose(1, 0, 2)
    taken = -np.sum(np.diff(outward, axis=0) * (rubs[1:] + rubs[:-1]) / 2, axis=1)
    assert (taken >= -1e-3 * spent).all()
    # 5 %: ten steps, between which forces are taken as straight
    assert taken.sum() == pytest.approx(spent, rel=0.05)


def _feet(way: PathModel, point: Point) -> tuple[Floats, Floats]:
    """Return the inboard edges' displacement along x, and the friction on them, of both feet."""
    points = way.model.mesh.points_mm
    moved = (point.displacement - way.equations.origin)[: way.equations.bar].reshape(-1, 3)
    edges = []
    for sign in (-1, 1):
        edge = np.argmin(np.linalg.norm(points - [sign * (210 - 11.1), 0, -120], axis=1))
        edges.append(moved[edge, 0])
    return np.array(edges), reactions_n(way, point)[:, 0]
