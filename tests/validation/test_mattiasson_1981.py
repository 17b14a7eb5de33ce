"""Mattiasson, IJNME 17 (1981) 145-153: a slender cantilever that bends far, in elliptic integrals.

The values were evaluated from the elliptic integrals when the project began; those of the ends
agree with the paper's as remembered. w and u are the tip's moves across and along, over the length.
"""

from collections.abc import Mapping

import numpy as np

from fea.collapse.newton import StepTarget
from geometry.arrays import Floats
from support.blocks import mapped_block, on_side
from support.checks import Problem, Target, misses
from support.large import equations_of, metal, spread, walked

LENGTH, SIDE, E_MPA = 100.0, 1.0, 1e5

TABLE = {
    1.0: (0.30172, 0.05643),
    2.0: (0.49346, 0.16064),
    5.0: (0.71379, 0.38763),
    10.0: (0.81061, 0.55500),
}
"""P L2/(E I): w/L, u/L."""


def bent(scale: float) -> Mapping[str, float]:
    """Return both moves at each load, the load scaled; no Poisson's ratio, as a line has none."""

    def place(box: Floats) -> Floats:
        return box * [LENGTH, SIDE, SIDE] - [0, SIDE / 2, SIDE / 2]

    block = mapped_block((40, 2, 2), place)
    tip = on_side(block, 0, 1)
    unit = E_MPA * SIDE**4 / 12 / LENGTH**2
    load = spread(block, tip, (0, 0, unit))
    free = np.repeat(~on_side(block, 0, 0)[:, None], 3, axis=1)
    equations = equations_of(block, metal(E_MPA, 0.0), free, load)
    goals = [StepTarget("factor", scale * at) for at in (0.5, *TABLE)]
    found = {}
    for at, point in zip(TABLE, list(walked(equations, goals))[1:], strict=True):
        moved = load[:, 2] @ point.displacement.reshape(-1, 3) / unit / LENGTH
        found |= {f"w at {at:g}": moved[2], f"u at {at:g}": -moved[0]}
    return found


TARGETS = {}
for _load, (_w, _u) in TABLE.items():
    # 0.1 %: the line has no shear; at L/h 100 that is some hundredths of a percent
    TARGETS |= {f"w at {_load:g}": Target(_w, 1e-3), f"u at {_load:g}": Target(_u, 1e-3)}

ELASTICA = Problem("elastica under a dead load at its tip", bent, TARGETS)

PROBLEMS = (ELASTICA,)


def test_elastica() -> None:
    """Moves up to eight tenths of the length."""
    assert misses(ELASTICA) == {}
