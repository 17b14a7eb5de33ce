"""The model of a path to collapse: mesh, metal, equations of one load case."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.clamp.preload import Bolted, bolted_clamps
from fea.collapse.equilibrium import (
    Equations,
    all_free,
    partly_fixed,
    springs_in,
)
from fea.collapse.imperfection import Imperfection, imperfect, imperfection_seeds
from fea.collapse.material_curve import flow_curve_of
from fea.collapse.plastic import metal_of
from fea.collapse.solid import Solid
from fea.collapse.steadying import steadying_springs
from fea.collapse.touching import contact_seeds, held_rings
from fea.solid.assembly import build_pattern, coupled
from fea.solid.free_hold import middle_ring
from fea.solid.model import Model, build_model, mesh_for
from fea.solid.statics import band_modes, nodal_loads
from fea.solid.surface import RigidModes
from fea.supports.compliance import beam_on_supports
from fea.supports.reactions import reactions_of
from geometry.bar import Bar, nominal_od_mm
from geometry.grading import LevelName
from loadcases.clamp import Clamp
from loadcases.levers import LeverClamp
from loadcases.load import PlacedLoad
from loadcases.supports import PlacedSupport

LAYERS, POINTS = 2, 8
"""Elements through the wall: two layers of two points have the wall's own plastic moment exactly,
one has 15 % too much."""

UNLOADED_FROM_OD = 1.0
"""Diameters outside the clamp from which on an arm without a load is free of stress."""


@dataclass(frozen=True)
class Standing:
    """The supports beside a bar's clamp, and the force of the ram, 0 where they stand still."""

    supports: tuple[PlacedSupport, ...] = ()
    ram_force_n: float = 0.0


@dataclass(frozen=True, eq=False)
class PathModel:
    """A bar and one case's loads, whose factor grows.

    Attributes:
        model: Mesh, gradients and clamp.
        equations: Of equilibrium.
        loads: The loads at a factor of one; on supports also the beam's reactions.
        modes: The rigid motions of each load's band, in the order of the loads.
        unit: Divisor of the gauge's deflection: sum of the forces in N, or of the moments in N mm
            where there is no force; the ram's force where there is one.
        bolted: The clamps whose nominal preload acts before the loads grow.
        standing: The supports.
    """

    model: Model
    equations: Equations
    loads: tuple[PlacedLoad, ...]
    modes: tuple[RigidModes, ...]
    unit: float
    bolted: tuple[Bolted, ...]
    standing: Standing = Standing()


def path_model_of(  # noqa: PLR0913 each is a choice of its own
    bar: Bar,
    clamp: Clamp,
    loads: Sequence[PlacedLoad],
    level: LevelName = "coarse",
    constant: Sequence[PlacedLoad] = (),
    levers: Sequence[LeverClamp] = (),
    *,
    imperfection: Imperfection | None = None,
    preload: bool = False,
    standing: Standing = Standing(),
) -> PathModel:
    """Return a bar's equations under the loads of a case, before `initial_state.prepared`.

    Args:
        bar: The bar.
        clamp: Its clamp.
        loads: The growing loads.
        level: Fineness of the mesh.
        constant: Sustained loads while they grow, such as a weight.
        levers: Clamps of levers; they count with `preload` only.
        imperfection: That of the undeformed shape, None for the bar as drawn.
        preload: Whether the clamps whose bolts are known are preloaded first.
        standing: Its supports beside the clamp.

    Raises:
        MeshError: The mesh cannot be made.
        InputError, SolveError: As `imperfect`, and as `reactions_of`.
    """
    reactions = beam_reactions(bar, clamp, loads, standing)
    every = (*loads, *reactions, *constant)
    levers = levers if preload else ()
    unloaded = unloaded_arm_mm(bar, clamp, every, levers)
    ripples = imperfection_seeds(imperfection, bar, clamp, every)
    extra_seeds = (*ripples, *contact_seeds(bar, standing.supports))
    mesh = mesh_for(
        bar, clamp, every, level, LAYERS, levers, unloaded_arm_mm=unloaded, extra_seeds=extra_seeds
    )
    pattern = build_pattern(mesh.cells, len(mesh.points_mm))
    rings = held_rings(mesh, standing.supports)
    if standing.supports and not clamp.holds:
        rings.append(middle_ring(mesh))
    if rings:
        pattern = coupled(pattern, rings).pattern
    mesh = imperfect(imperfection, bar, clamp, every, mesh, pattern)
    model = build_model(bar, clamp, mesh, pattern)
    material = bar.spec.material
    solid = Solid(mesh.cells, model.grads, metal_of(material, flow_curve_of(material)))
    modes = {load: band_modes(model, load) for load in every}
    load, constant_load = (nodal_loads(model, part, modes).ravel() for part in (loads, constant))
    unit = standing.ram_force_n or _unit(loads)
    none = np.zeros_like(load)
    foundation, free = model.foundation, model.free
    if standing.supports and not clamp.holds:
        way = np.array(standing.supports[0].direction)
        fixed = any(one.kind == "fixture" for one in standing.supports)
        foundation, free = steadying_springs(model, way, fixed=fixed), np.ones_like(free)
    equations = Equations(
        solid,
        pattern,
        all_free() if free.all() else partly_fixed(free, none),
        springs_in(pattern, foundation) if foundation.nnz else None,
        none,
        none,
        constant_load,
        load,
        load / unit,
    )
    own = tuple(modes[one] for one in (*loads, *reactions))
    bolted = bolted_clamps(model, levers) if preload else ()
    return PathModel(model, equations, (*loads, *reactions), own, unit, bolted, standing)


def beam_reactions(
    bar: Bar, clamp: Clamp, loads: Sequence[PlacedLoad], standing: Standing
) -> tuple[PlacedLoad, ...]:
    """Return the reactions of the supports of a linear beam, each a load on its held band."""
    supports = standing.supports
    if not supports:
        return ()
    beam = beam_on_supports(bar, clamp, loads, supports, standing.ram_force_n, flexible=True)
    wrenches = reactions_of(beam).wrenches.tolist()
    return tuple(
        one.loaded((x, y, z), (a, b, c))
        for one, (x, y, z, a, b, c) in zip(supports, wrenches, strict=True)
    )


def unloaded_arm_mm(
    bar: Bar, clamp: Clamp, loads: Sequence[PlacedLoad], levers: Sequence[LeverClamp] = ()
) -> tuple[float, float] | None:
    """Return the interval of s in mm of an arm without load or lever, None where both have one.

    Source: judgement, `UNLOADED_FROM_OD`.
    """
    if not clamp.holds:
        return None
    sides = {load.side for load in loads} | {
        "right" if lever.at_mm > 0 else "left" for lever in levers
    }
    if len(sides) != 1:
        return None
    low, high = bar.line.left_end_mm, bar.line.right_end_mm
    if sides == {"right"}:
        high = clamp.from_mm - UNLOADED_FROM_OD * float(nominal_od_mm(bar, np.array(clamp.from_mm)))
    else:
        low = clamp.to_mm + UNLOADED_FROM_OD * float(nominal_od_mm(bar, np.array(clamp.to_mm)))
    return (low, high) if low < high else None


def _unit(loads: Sequence[PlacedLoad]) -> float:
    force = sum(float(np.linalg.norm(load.force_n)) for load in loads)
    return force or sum(float(np.linalg.norm(load.moment_nmm)) for load in loads)
