"""A bar in its clamp on the way to collapse: mesh, metal, equations of one load case."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.assembly import build_pattern
from fea.collapse.equilibrium import (
    Equations,
    Goal,
    Point,
    all_free,
    balanced,
    held,
    point_at,
    springs_in,
)
from fea.collapse.flow_curve import FlowCurve, PowerCurve
from fea.collapse.imperfection import Imperfection, imperfect, wanted_seeds
from fea.collapse.plastic import metal_of, virgin
from fea.collapse.solid import Solid
from fea.linear_solver import SolverName, pivoting
from fea.model import Model, build_model, mesh_for
from fea.statics import band_modes, nodal_loads
from fea.stress_strain import curve_of, stress_at
from fea.surface import RigidModes
from geometry.bar import Bar, nominal_od_mm
from geometry.errors import SolveError
from geometry.grading import LevelName
from geometry.material import Material
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad

LAYERS, POINTS = 2, 8
"""Elements through the wall: two layers of two points have the wall's own plastic moment exactly,
one has 15 % too much."""

CALM_OD = 1.0
"""From so many diameters outside the clamp on, an arm without a load feels nothing."""


@dataclass(frozen=True, eq=False)
class BarOnItsWay:
    """A bar and one case's loads, whose factor grows.

    Attributes:
        model: Mesh, gradients and clamp.
        equations: What must balance.
        loads: The loads at a factor of one.
        modes: The rigid motions of each load's band, in the order of the loads.
        unit: What the gauge's deflection is divided by: sum of the forces in N, or of the moments
            in N mm where there is no force.
    """

    model: Model
    equations: Equations
    loads: tuple[PlacedLoad, ...]
    modes: tuple[RigidModes, ...]
    unit: float


def flow_curve_of(material: Material) -> FlowCurve:
    """Return a material's flow curve, held beyond its uniform strain.

    The exponent in tension is used for both senses. An engineering curve is held where it reaches
    the tensile strength or the elongation at fracture, whichever comes first.
    """
    curve = curve_of(material, "tension")
    E, F, n = curve.youngs_modulus_mpa, curve.proof_stress_mpa, curve.exponent_n
    if material.curve == "true":
        return PowerCurve(E, F, n, "true")
    last = material.ultimate_stress_mpa
    if material.elongation_percent:
        last = min(last, float(stress_at(curve, material.elongation_percent / 100)))
    return PowerCurve(E, F, n, "engineering", max(last, F))


def bar_on_its_way(
    bar: Bar,
    clamp: Clamp,
    loads: Sequence[PlacedLoad],
    level: LevelName = "coarse",
    constant: Sequence[PlacedLoad] = (),
    imperfection: Imperfection | None = None,
) -> BarOnItsWay:
    """Return a bar's equations under the loads of a case.

    Args:
        bar: The bar.
        clamp: How it is held.
        loads: What grows.
        level: Fineness of the mesh.
        constant: What stays while they grow, such as a weight.
        imperfection: What the undeformed shape lacks, None for the bar as drawn.

    Raises:
        MeshError: The mesh cannot be made.
        InputError, SolveError: As `imperfect`.
    """
    every = (*loads, *constant)
    calm = calm_mm(bar, clamp, every)
    wanted = wanted_seeds(imperfection, bar, clamp, every)
    mesh = mesh_for(bar, clamp, every, level, LAYERS, calm_mm=calm, wanted=wanted)
    pattern = build_pattern(mesh.cells, len(mesh.points_mm))
    mesh = imperfect(imperfection, bar, clamp, every, mesh, pattern)
    model = build_model(bar, clamp, mesh, pattern)
    material = bar.spec.material
    solid = Solid(mesh.cells, model.grads, metal_of(material, flow_curve_of(material)))
    modes = {load: band_modes(model, load) for load in every}
    load, stays = (nodal_loads(model, part, modes).ravel() for part in (loads, constant))
    unit = _unit(loads)
    none = np.zeros_like(load)
    equations = Equations(
        solid,
        pattern,
        all_free() if model.free.all() else held(model.free),
        springs_in(pattern, model.foundation),
        none,
        stays,
        load,
        load / unit,
    )
    return BarOnItsWay(model, equations, tuple(loads), tuple(modes[one] for one in loads), unit)


def at_rest(way: BarOnItsWay, solver: SolverName = "auto") -> Point:
    """Return the bar before its loads grow: unloaded, or under what stays.

    Raises:
        SolveError: It has a motion that nothing resists: a broken mesh or a bar not held; or what
            stays is more than it carries.
    """
    equations, factorise = way.equations, pivoting(solver)
    none = equations.unknowns.gather(np.zeros_like(equations.load))
    point = point_at(equations, none, 0.0, virgin(len(equations.solid.cells), POINTS))
    negative = factorise(point.tangent).negative()
    if negative:
        msg = f"the unloaded bar has {negative} motions that nothing resists; refine the mesh"
        raise SolveError(msg)
    if not equations.constant.any():
        return point
    return balanced(equations, point, Goal("factor", 0.0), point.before, factorise)


def calm_mm(bar: Bar, clamp: Clamp, loads: Sequence[PlacedLoad]) -> tuple[float, float] | None:
    """Return the interval of s of an arm that carries no load, None where both carry one."""
    sides = {load.side for load in loads}
    if len(sides) != 1:
        return None
    low, high = bar.line.left_end_mm, bar.line.right_end_mm
    if sides == {"right"}:
        high = clamp.from_mm - CALM_OD * float(nominal_od_mm(bar, np.array(clamp.from_mm)))
    else:
        low = clamp.to_mm + CALM_OD * float(nominal_od_mm(bar, np.array(clamp.to_mm)))
    return (low, high) if low < high else None


def _unit(loads: Sequence[PlacedLoad]) -> float:
    force = sum(float(np.linalg.norm(load.force_n)) for load in loads)
    return force or sum(float(np.linalg.norm(load.moment_nmm)) for load in loads)
