"""Hill, The Mathematical Theory of Plasticity (1950): a thick cylinder bursting in plane strain.

Bore 100, outside 200 mm, E 210 GPa, nu 0.3, yield stress 240 MPa, no hardening; geometry and metal
as in de Souza Neto, Peric & Owen (2008), section 7.5 (from memory). With Y = 2/sqrt(3) of the yield
stress and the plastic zone out to c: p = Y (ln(c/a) + (1 - c2/b2)/2), u_b = Y c2 (1 - nu2)/(E b).
These are evaluated here; the last row is the pressure that it carries at most.
"""

from collections.abc import Mapping

import numpy as np

from fea.collapse.newton import StepTarget
from fea.solid.pressure import pressure_force
from fea.solid.surface import face_rule
from geometry.arrays import Floats
from support.blocks import faces_on, mapped_block, on_side
from support.checks import Problem, Target, misses
from support.large import equations_of, metal, perfectly_plastic, walked

BORE, OUTSIDE, E_MPA, RATIO, YIELD_MPA = 100.0, 200.0, 2.1e5, 0.3, 240.0
FRONTS = (120.0, 140.0, 160.0, 180.0, 200.0)


def published() -> dict[float, tuple[float, float]]:
    """Return, for each plastic front, the outside's move and the pressure."""
    y = 2 / np.sqrt(3) * YIELD_MPA
    return {
        c: (
            y * c**2 * (1 - RATIO**2) / (E_MPA * OUTSIDE),
            y * (np.log(c / BORE) + (1 - (c / OUTSIDE) ** 2) / 2),
        )
        for c in FRONTS
    }


def burst(scale: float) -> Mapping[str, float]:
    """Return the pressure at the outside's move for each plastic front, the yield stress scaled."""

    def place(box: Floats) -> Floats:
        radius, angle = BORE + (OUTSIDE - BORE) * box[:, 0], np.pi / 2 * box[:, 1]
        return np.column_stack([radius * np.cos(angle), radius * np.sin(angle), 20 * box[:, 2]])

    block = mapped_block((10, 8, 1), place)
    inner, outside = (on_side(block, 0, end) for end in (0, 1))
    rule = face_rule(block.points_mm, faces_on(block.cells, inner))
    count = len(block.points_mm)
    unit = pressure_force(rule, np.ones_like(rule.areas_mm2), count)
    outward = block.points_mm * [1, 1, 0] / np.linalg.norm(block.points_mm[:, :2], axis=1)[:, None]
    gauge = np.where(outside[:, None], outward, 0) / outside.sum()
    flat = on_side(block, 2, 0) | on_side(block, 2, 1)
    free = ~np.column_stack([on_side(block, 1, 1), on_side(block, 1, 0), flat])
    made_of = metal(E_MPA, RATIO, perfectly_plastic(scale * YIELD_MPA))
    equations = equations_of(block, made_of, free, unit, gauge)
    moves = {c: move for c, (move, _) in published().items()}
    goals = [StepTarget("deflection", at) for at in (0.03, 0.06, *moves.values(), 0.3)]
    factors = [point.factor for point in walked(equations, goals)][2:]
    return {f"front at {c:g}": p for c, p in zip(moves, factors, strict=False)} | {
        "largest": max(factors)
    }


CYLINDER = Problem(
    "thick cylinder bursting",
    burst,
    # 0.5 %: ten elements through the wall catch the front in steps of 5 mm
    {f"front at {c:g}": Target(p, 5e-3) for c, (_, p) in published().items()}
    | {"largest": Target(published()[200.0][1], 5e-3)},
)

PROBLEMS = (CYLINDER,)


def test_thick_cylinder() -> None:
    """From the first plastic ring to the last."""
    assert misses(CYLINDER) == {}
