"""A bar before its loads grow: in its tightened clamps, under sustained loads.

First the clamps' nominal preload, without the foundation, since their pressure is in balance with
itself; from where that has brought the bar, the elastic clamp holds it. Then the sustained loads.
The metal may yield in both.

While they are tightened their pressure follows the bar (`follower_pressure.py`), and a lever's
still does when the loads grow. The stem's then keeps its directions: of what the clamp holds
against a turn of the tube, a ten-thousandth is lost (31.8 mm at 20 kN on 46 mm: 0.5 of 4000 kN
m/rad).

Limits: as in `fea.clamp.preload` the pressure is given, and no shell keeps the tube round while it
is put on: one that is not even ovalises the more, the nearer it comes to the pressure of
`loadcases.bolts.ring_buckling_pressure_mpa`.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from fea.clamp.preload import Bolted, balanced_force, held_in_six
from fea.collapse.equilibrium import (
    Equations,
    Point,
    StepTarget,
    all_free,
    held,
    point_at,
)
from fea.collapse.follower_pressure import Band, band_of, carried, following
from fea.collapse.path import HALF, attempted
from fea.collapse.path_model import POINTS, PathModel
from fea.collapse.plastic import virgin
from fea.solid.assembly import coupled
from fea.solid.direct_solvers import Pivoting
from fea.solid.linear_solver import SolverName, pivoting
from fea.solid.model import CLAMP, Model
from geometry.arrays import Floats
from geometry.errors import SolveError
from loadcases.bolts import preload

LEAST_SHARE = 1 / 32
"""Smallest share of a preload or of sustained loads that is put on at a time."""


def prepared(path_model: PathModel, solver: SolverName = "auto") -> tuple[PathModel, Point]:
    """Return a bar under its preload and sustained loads, and its position in them.

    Args:
        path_model: From `path_model_of`, not yet prepared.
        solver: What factorises.

    Returns:
        The bar whose equations hold it so, deflections counted from there; its point at a factor
        of zero, whose metal state is that of the last share that was put on.

    Raises:
        SolveError: It has a motion without resistance: a faulty mesh, a bar not supported, a clamp
            that is tightened too far; or the preload or sustained loads are more than it carries.
    """
    equations, factorise = path_model.equations, pivoting(solver)
    none = equations.unknowns.gather(np.zeros_like(equations.load))
    point = point_at(equations, none, 0.0, virgin(len(equations.solid.cells), POINTS))
    _check_held(point, factorise, "unloaded bar", "refine the mesh")
    stays = equations.constant
    if path_model.bolted:
        equations, point = _tightened(path_model, point, factorise)
        _check_held(point, factorise, "bar in its tightened clamps", "tighten the bolts less")
        stays = equations.constant + stays

    def under(share: float) -> Equations:
        return replace(equations, constant=stays - (1 - share) * path_model.equations.constant)

    if path_model.equations.constant.any():
        point = _raised(under, point, "the loads that stay", factorise)
    equations = replace(equations, constant=stays, origin=point.displacement)
    return replace(path_model, equations=equations), point


def _check_held(point: Point, factorise: Pivoting, what: str, remedy: str) -> None:
    negative = factorise(point.tangent).negative()
    if negative:
        raise SolveError(f"the {what} has {negative} motions that nothing resists; {remedy}")


def _tightened(path_model: PathModel, point: Point, factorise: Pivoting) -> tuple[Equations, Point]:
    """Return the equations of a bar in its tightened clamps, and where it stands in them."""
    points = path_model.model.mesh.points_mm
    bands = {
        one.squeeze.region: band_of(points, _force(path_model.model, one))
        for one in path_model.bolted
    }
    none = np.zeros_like(path_model.equations.load)
    joined = coupled(path_model.equations.pattern, [band.nodes for band in bands.values()])
    alone = replace(
        path_model.equations,
        pattern=joined.pattern,
        unknowns=held(held_in_six(path_model.model), none),
        springs=np.zeros(len(joined.pattern.columns)),
        constant=none,
    )

    def under_preload(share: float) -> Equations:
        parts = [replace(band, force_n=share * band.force_n) for band in bands.values()]
        return replace(alone, outside=following(points, parts, joined.blocks))

    begin = point_at(alone, alone.unknowns.gather(none), 0.0, point.before)
    point = _raised(under_preload, begin, "the clamps' preload", factorise)
    equations = _gripped(path_model, bands, point.displacement)
    place = equations.unknowns.gather(point.displacement)
    return equations, point_at(equations, place, 0.0, point.before, point.size, point.iterations)


def _force(model: Model, bolted: Bolted) -> Floats:
    """Return the nodal forces (N, 3) of a clamp at its nominal preload."""
    return preload(bolted.bolts).nominal_n * balanced_force(model, bolted.squeeze)


def _gripped(path_model: PathModel, bands: dict[str, Band], rest: Floats) -> Equations:
    """Return the equations of a bar that the clamp holds where the preload has brought it."""
    model = path_model.model
    stem = [band for region, band in bands.items() if region == CLAMP]
    levers = [band for region, band in bands.items() if region != CLAMP]
    gripped = replace(
        path_model.equations,
        unknowns=all_free() if model.free.all() else held(model.free, rest),
        rest=rest,
        constant=carried(model.mesh.points_mm, stem, rest)[0],
    )
    return _pressed(gripped, model, levers) if levers else gripped


def _pressed(equations: Equations, model: Model, levers: Sequence[Band]) -> Equations:
    """Return the equations of a bar with levers, whose pressure follows it."""
    joined = coupled(equations.pattern, [band.nodes for band in levers])
    springs = np.zeros(len(joined.pattern.columns))
    springs.reshape(-1, 3)[joined.kept] = equations.springs.reshape(-1, 3)
    outside = following(model.mesh.points_mm, levers, joined.blocks)
    return replace(equations, pattern=joined.pattern, springs=springs, outside=outside)


def _raised(
    under: Callable[[float], Equations], point: Point, what: str, factorise: Pivoting
) -> Point:
    """Return the point under all of a load, gone up to in as large shares as succeed.

    Args:
        under: The equations under a share of it.
        point: Where the bar stands without it, at a factor of zero.
        what: Its name.
        factorise: Factorises the tangents.

    Raises:
        SolveError: Not even the least share can be added.
    """
    have, share = 0.0, 1.0
    while have < 1:
        further = attempted(under(have + share), point, StepTarget("factor", 0.0), factorise)
        if further:
            point, have = further, have + share
        elif share > LEAST_SHARE:
            share *= HALF
        else:
            raise SolveError(f"no equilibrium beyond {have:.3g} of {what}")
    return point
