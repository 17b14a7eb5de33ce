"""The initial state of a path: the bar in its preloaded clamps, under sustained loads.

First the clamps' nominal preload, without the foundation, since the pressure is self-equilibrated;
the elastic clamp is free of force in that deformed shape. Then the sustained loads. The metal may
yield in both.

During preloading six springs only prevent rigid motion, the pressure follows the bar
(`follower_pressure.py`), and a lever's still does when the loads grow. The stem's then keeps its
directions: a ten-thousandth of the clamp's torsional stiffness is lost (31.8 mm at 20 kN on 46 mm:
0.5 of 4000 kN m/rad).

Limits: as in `fea.clamp.preload` the pressure is given, and no shell keeps the tube round during
preloading: a pressure that is not uniform ovalises it the more, the nearer it comes to that of
`loadcases.bolts.ring_buckling_pressure_mpa`.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

import numpy as np
from scipy.sparse import csr_array, diags_array

from fea.clamp.preload import Bolted, balanced_force, minimal_supports
from fea.collapse.equilibrium import (
    Equations,
    Outside,
    Point,
    Springs,
    all_free,
    partly_fixed,
    point_at,
    springs_in,
    tangent_at,
)
from fea.collapse.follower_pressure import Band, band_of, follower_forces, following
from fea.collapse.newton import StepTarget
from fea.collapse.path import attempted
from fea.collapse.path_model import POINTS, PathModel
from fea.collapse.plastic import virgin
from fea.collapse.set_down import set_down
from fea.collapse.step_length import HALF
from fea.solid.assembly import coupled
from fea.solid.direct_solvers import Pivoting
from fea.solid.linear_solver import SolverName, pivoting
from fea.solid.model import CLAMP, Model
from geometry.arrays import Floats
from geometry.errors import SolveError
from loadcases.bolts import preload

MIN_SHARE = 1 / 32
"""Smallest increment of a preload or of sustained loads, as a share of them."""

SUPPORT_MM = 1.0
"""Stiffness of the springs that hold a bar while it is preloaded, over Young's modulus."""


def prepared(
    path_model: PathModel, solver: SolverName = "auto", factorise: Pivoting | None = None
) -> tuple[PathModel, Point]:
    """Return a bar under its preload and sustained loads, and its position in them.

    Args:
        path_model: From `path_model_of`, not yet prepared.
        solver: What factorises.
        factorise: That itself, where it is to serve the path too, which spares an analysis.

    Returns:
        The bar with the equations of that state, deflections counted from there; its point at a
        factor of zero, whose metal state is that of the last increment.

    Raises:
        SolveError: Its tangent has negative pivots: a faulty mesh, a bar not supported, too large a
            preload; or the preload or sustained loads are beyond its limit load.
    """
    equations, factorise = path_model.equations, factorise or pivoting(solver)
    none = equations.unknowns.gather(np.zeros_like(equations.load))
    point = point_at(equations, none, 0.0, virgin(len(equations.solid.cells), POINTS))
    constant = sustained = equations.constant
    if not path_model.bolted:
        _check_stable(equations, point, factorise, "unloaded bar", "refine the mesh")
    else:
        equations, point = _preloaded(path_model, point, factorise)
        path_model = replace(path_model, equations=equations)
        _check_stable(
            equations, point, factorise, "bar in its preloaded clamps", "lower the bolt preload"
        )
        constant = equations.constant + constant

    def under(share: float) -> Equations:
        return replace(equations, constant=constant - (1 - share) * sustained)

    if sustained.any():
        point = _raised(under, point, "the sustained loads", factorise)
    equations = replace(equations, constant=constant, origin=point.displacement)
    path_model = replace(path_model, equations=equations)
    if path_model.standing.supports:
        return set_down(path_model, point, factorise)
    return path_model, point


def _check_stable(
    equations: Equations, point: Point, factorise: Pivoting, what: str, remedy: str
) -> None:
    negative = factorise(tangent_at(equations, point)).negative()
    if negative:
        raise SolveError(f"the {what} has {negative} unstable modes; {remedy}")


def _preloaded(path_model: PathModel, point: Point, factorise: Pivoting) -> tuple[Equations, Point]:
    """Return the equations of a bar in its preloaded clamps, and its equilibrium in them."""
    points = path_model.model.mesh.points_mm
    bands = {
        one.preload_pressure.region: band_of(points, _force(path_model.model, one))
        for one in path_model.bolted
    }
    none = np.zeros_like(path_model.equations.load)
    alone = replace(
        path_model.equations,
        unknowns=all_free(),
        springs=_supports(path_model),
        constant=none,
    )

    def under_preload(share: float) -> Equations:
        parts = [replace(band, force_n=share * band.force_n) for band in bands.values()]
        # no slope: few more iterations, where its dense blocks are half of the matrix again
        force = partial(follower_forces, points, parts)
        return replace(alone, outside=Outside(force, lambda displacement: ()))

    begin = point_at(alone, none, 0.0, point.before)
    point = _raised(under_preload, begin, "the clamps' preload", factorise)
    equations = _with_clamp(path_model, bands, point.displacement)
    place = equations.unknowns.gather(point.displacement)
    return equations, point_at(equations, place, 0.0, point.before, point.size)


def _supports(path_model: PathModel) -> Springs:
    """Return springs that only prevent rigid motion: the pressure leaves them free of force."""
    held = ~minimal_supports(path_model.model)
    stiffness = path_model.model.bar.spec.material.youngs_modulus_mpa * SUPPORT_MM
    springs = csr_array(diags_array(np.where(held, stiffness, 0.0)))
    springs.eliminate_zeros()
    return springs_in(path_model.equations.pattern, springs)


def _force(model: Model, bolted: Bolted) -> Floats:
    """Return the nodal forces (N, 3) of a clamp at its nominal preload."""
    return preload(bolted.bolts).nominal_n * balanced_force(model, bolted.preload_pressure)


def _with_clamp(path_model: PathModel, bands: dict[str, Band], rest: Floats) -> Equations:
    """Return the equations of a bar whose clamp is free of force in the preloaded shape."""
    model = path_model.model
    stem = [band for region, band in bands.items() if region == CLAMP]
    levers = [band for region, band in bands.items() if region != CLAMP]
    with_clamp = replace(
        path_model.equations,
        unknowns=all_free() if model.free.all() else partly_fixed(model.free, rest),
        rest=rest,
        constant=follower_forces(model.mesh.points_mm, stem, rest),
    )
    return _with_levers(with_clamp, model, levers) if levers else with_clamp


def _with_levers(equations: Equations, model: Model, levers: Sequence[Band]) -> Equations:
    """Return the equations of a bar with the follower pressure of its levers."""
    joined = coupled(equations.pattern, [band.nodes for band in levers])
    springs = equations.springs and springs_in(joined.pattern, equations.springs.matrix)
    outside = following(model.mesh.points_mm, levers, joined.blocks)
    return replace(equations, pattern=joined.pattern, springs=springs, outside=outside)


def _raised(
    under: Callable[[float], Equations], point: Point, what: str, factorise: Pivoting
) -> Point:
    """Return the point under the whole of a load, in the largest increments that converge.

    Args:
        under: The equations under a share of it.
        point: The equilibrium without it, at a factor of zero.
        what: Its name.
        factorise: Factorises the tangents.

    Raises:
        SolveError: Not even the smallest increment converges.
    """
    have, share = 0.0, 1.0
    while have < 1:
        further = attempted(under(have + share), point, StepTarget("factor", 0.0), factorise)
        if further:
            point, have = further, have + share
        elif share > MIN_SHARE:
            share *= HALF
        else:
            raise SolveError(f"no equilibrium beyond {have:.3g} of {what}")
    return point
