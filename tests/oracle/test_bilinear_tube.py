"""A cantilever tube that hardens in a straight line, against felupe, and back to no load.

The same mesh and points, another formulation: small-strain plasticity in Green's strain, not in the
logarithmic one. At half a percent of strain both are one.
"""

from collections.abc import Callable

import numpy as np
import pytest

from fea.collapse.flow_curve import TableCurve
from fea.collapse.newton import StepTarget
from geometry.arrays import Flags, Floats
from support.blocks import Block, mapped_block, on_side
from support.large import equations_of, metal, spread, walked

felupe = pytest.importorskip("felupe")

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]

RADIUS, WALL, LENGTH = 15.15, 1.5, 120.0
E_MPA, RATIO, YIELD_MPA, SLOPE_MPA = 70000.0, 0.33, 250.0, 1000.0
FORCES_N = (1000.0, 1250.0, 1400.0, 1500.0, 800.0, 0.0)
"""On half of the tube: far past first yield, and back."""


def test_deflections_and_set(record_property: Record) -> None:
    """Within 0.1 % on the way up; the set within 1 % of itself."""
    block = mapped_block((1, 8, 10), _tube)
    load = spread(block, on_side(block, 2, 1), (0, -1.0, 0))
    root, side = on_side(block, 2, 0), on_side(block, 1, 0) | on_side(block, 1, 1)
    ours = np.array(_ours(block, load, root, side))
    theirs = np.array(_theirs(block, load, root, side))
    apart = np.abs(ours / theirs - 1)
    record_property("deflections", ", ".join(f"{100 * part:.4f} %" for part in apart))
    assert apart[:-1].max() < 1e-3
    assert apart[-1] < 1e-2
    # it has yielded: the set is a good part of what it bent
    assert ours[-1] > 0.1 * ours[3]


def _tube(box: Floats) -> Floats:
    radius, angle = RADIUS + WALL * (box[:, 0] - 0.5), np.pi * (box[:, 1] - 0.5)
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle), LENGTH * box[:, 2]])


def _ours(block: Block, load: Floats, root: Flags, side: Flags) -> list[float]:
    curve = TableCurve(np.array([0.0, 10.0]), YIELD_MPA + SLOPE_MPA * np.array([0.0, 10.0]))
    free = ~np.column_stack([root | side, root, root])
    equations = equations_of(block, metal(E_MPA, RATIO, curve), free, load)
    goals = [StepTarget("factor", force) for force in FORCES_N]
    return [float(equations.gauge @ point.displacement) for point in walked(equations, goals)]


def _theirs(block: Block, load: Floats, root: Flags, side: Flags) -> list[float]:
    mesh = felupe.Mesh(block.points_mm, block.cells, "hexahedron20")
    rule = felupe.GaussLegendre(order=1, dim=3)
    region = felupe.RegionQuadraticHexahedron(mesh, quadrature=rule)
    field = felupe.FieldContainer([felupe.Field(region, dim=3)])
    metal = felupe.MaterialStrain(
        material=felupe.linear_elastic_plastic_isotropic_hardening,
        framework="total-lagrange",
        statevars=(1, (3, 3)),
        **{
            "λ": E_MPA * RATIO / (1 + RATIO) / (1 - 2 * RATIO),
            "μ": E_MPA / 2 / (1 + RATIO),
            "σy": YIELD_MPA,
            "K": SLOPE_MPA,
        },
    )
    held = {
        "root": felupe.Boundary(field[0], mask=root),
        "side": felupe.Boundary(field[0], mask=side, skip=(False, True, True)),
    }
    fixed, free = felupe.dof.partition(field, held)
    loaded = np.flatnonzero(np.abs(load).sum(axis=1))
    body = felupe.SolidBody(metal, field)
    pull = felupe.PointLoad(field, loaded, values=np.zeros((len(loaded), 3)))
    found = []
    for force in FORCES_N:
        pull.update(force * load[loaded])
        solved = felupe.newtonraphson(
            items=[body, pull], dof0=fixed, dof1=free, verbose=0, tol=1e-8
        )
        field = solved.x
        found.append(float(np.sum(load * field[0].values)))
    return found
