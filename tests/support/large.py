"""Blocks that move far and yield: what the validation of collapse shares."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fea.collapse.equilibrium import Equations, Outside, Point, Unknowns, partly_fixed, point_at
from fea.collapse.flow_curve import FlowCurve, TableCurve
from fea.collapse.newton import StepTarget, balanced
from fea.collapse.path_model import PathModel
from fea.collapse.plastic import Metal, metal_of, virgin
from fea.collapse.solid import Solid
from fea.solid.assembly import build_pattern
from fea.solid.element import hex20_gauss
from fea.solid.kernels import gradients
from fea.solid.linear_solver import Pivoting, pivoting
from fea.solid.surface import face_rule
from geometry.arrays import Flags, Floats
from geometry.errors import SolveError
from support.blocks import Block, faces_on
from support.systems import metal as elastic


def metal(youngs_mpa: float, ratio: float, curve: FlowCurve | None = None) -> Metal:
    """Return a metal from its engineering constants."""
    return metal_of(elastic(youngs_mpa, ratio), curve)


def perfectly_plastic(yield_mpa: float) -> TableCurve:
    """Return the flow curve of a metal that does not harden."""
    return TableCurve(np.zeros(1), np.array([yield_mpa]))


def unyielding(way: PathModel) -> PathModel:
    """Return a bar whose metal never yields."""
    solid = way.equations.solid
    solid = replace(solid, metal=replace(solid.metal, curve=None))
    return replace(way, equations=replace(way.equations, solid=solid))


def equations_of(
    block: Block,
    made_of: Metal,
    free: Flags | Unknowns,
    load: Floats,
    gauge: Floats | None = None,
    outside: Outside | None = None,
) -> Equations:
    """Return the equations of a block under nodal loads (N, 3), read by the nodal gauge (N, 3)."""
    nodes = len(block.points_mm)
    solid = Solid(block.cells, gradients(block.points_mm, block.cells, hex20_gauss(2)), made_of)
    pattern = build_pattern(block.cells, nodes)
    zero = np.zeros(3 * nodes)
    unknowns = free if isinstance(free, Unknowns) else partly_fixed(free.ravel(), zero)
    read = load if gauge is None else gauge
    return Equations(
        solid, pattern, unknowns, None, zero, zero, zero, load.ravel(), read.ravel(), outside
    )


def at_rest(equations: Equations) -> Point:
    """Return the point of a block that nothing has loaded."""
    start = equations.unknowns.gather(np.zeros_like(equations.load))
    cells = equations.solid.cells
    return point_at(equations, start, 0.0, virgin(len(cells), 8))


def walked(
    equations: Equations, goals: Sequence[StepTarget], start: Point | None = None
) -> Iterator[Point]:
    """Yield the point at every goal; steps that fail are made in more pieces."""
    solver = pivoting()
    point = start or at_rest(equations)
    for goal in goals:
        point = _reached(equations, point, goal, solver)
        yield point


def _reached(
    equations: Equations, point: Point, goal: StepTarget, solver: Pivoting, depth: int = 0
) -> Point:
    try:
        return balanced(equations, point, goal, point.response.state, solver)
    except SolveError:
        if depth == 6:
            raise
    half = replace(goal, value=(_value(equations, point, goal) + goal.value) / 2)
    middle = _reached(equations, point, half, solver, depth + 1)
    return _reached(equations, middle, goal, solver, depth + 1)


def _value(equations: Equations, point: Point, goal: StepTarget) -> float:
    if goal.by == "factor":
        return point.factor
    return float(equations.gauge @ point.displacement)


def spread(block: Block, chosen: Flags, force: Sequence[float]) -> Floats:
    """Return nodal forces (N, 3) of a uniform traction on the faces of the chosen nodes."""
    face = face_rule(block.points_mm, faces_on(block.cells, chosen))
    shares = np.zeros(len(block.points_mm))
    np.add.at(shares, face.faces, np.einsum("nq,qk->nk", face.areas_mm2, face.values))
    return np.outer(shares / shares.sum(), force)
