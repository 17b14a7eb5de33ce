"""Kyriakides & Shaw, Int. J. Solids Struct. 18 (1982) 957-973: elastic-plastic tubes in bending.

Their idea (from memory, unverified) is one section that flattens as it bends; `support.ring_model`
is a model of that kind with its own kinematics, plane stress and return, written for this test and
sharing nothing with the solids. Ripples along the tube are kept out by a slice of two elements.
"""

from collections.abc import Mapping, Sequence
from functools import partial

import numpy as np
import pytest

from fea.collapse.flow_curve import PowerCurve
from geometry.arrays import Floats
from support.checks import Problem, Target, misses
from support.large import metal
from support.pure_bending import bent, half_slice
from support.ring_model import Tube, moments

# outer diameter over wall, E, F02, n, and the largest curvature in units of t/(4 r^2)
TUBES = {
    "aluminium, D/t 20": (20.0, 68300.0, 241.0, 34.0, 1.6),
    "aluminium, D/t 35": (35.0, 68300.0, 241.0, 34.0, 1.8),
    "titanium, D/t 20": (20.0, 103000.0, 724.0, 20.0, 2.2),
    "titanium, D/t 35": (35.0, 103000.0, 724.0, 20.0, 1.8),
}
WALL, RATIO, STEPS = 1.5, 0.33, 18


def compared(names: Sequence[str], scale: float) -> Mapping[str, float]:
    """Return the solids' limit moment and curvature over the ring's, all lengths scaled."""
    found = {}
    for name in names:
        slender, youngs, proof, exponent, most = TUBES[name]
        radius = WALL * (slender - 1) / 2
        curvatures = np.linspace(0, most, STEPS + 1)[1:] * WALL / (4 * radius**2)
        tube = Tube(radius, WALL, youngs, RATIO, proof, exponent)
        ring = np.array([moment for moment, _ in moments(tube, curvatures)])
        made_of = metal(youngs, RATIO, PowerCurve(youngs, proof, exponent, "true"))
        block = half_slice(scale * radius, scale * WALL, 6.0, (2, 16, 2))
        path = bent(block, made_of, curvatures / scale)
        ours = np.array([point.moment for point in path])
        (moment, curvature) = _top(curvatures / scale, ours)
        limit, at = _top(curvatures, ring)
        found |= {f"{name}: moment": moment / limit, f"{name}: curvature": curvature / at}
    return found


def _top(curvatures: Floats, moment: Floats) -> tuple[float, float]:
    """Return the largest moment and its curvature, by a parabola through the highest points."""
    highest = int(np.argmax(moment))
    assert 0 < highest < len(moment) - 1
    near = slice(highest - 1, highest + 2)
    square, linear, constant = np.polyfit(curvatures[near] / curvatures[highest], moment[near], 2)
    at = -linear / (2 * square)
    return float(constant + linear * at / 2), float(at * curvatures[highest])


def sections(*names: str) -> Problem:
    """Return the problem of some of the tubes."""
    return Problem(
        "flattening sections in bending",
        partial(compared, names),
        {f"{name}: moment": Target(1.0, 5e-3) for name in names}
        # 3 %: the moment is flat about its largest
        | {f"{name}: curvature": Target(1.0, 3e-2) for name in names},
        slow=True,
    )


@pytest.mark.slow
def test_limit_of_flattening_sections() -> None:
    """Two metals, a stout and a slender tube."""
    assert misses(sections("aluminium, D/t 20", "titanium, D/t 35")) == {}


@pytest.mark.slow
@pytest.mark.full
def test_limit_of_the_other_flattening_sections() -> None:
    """Each metal with the other tube: the test above has both metals and both tubes."""
    assert misses(sections("aluminium, D/t 35", "titanium, D/t 20")) == {}
