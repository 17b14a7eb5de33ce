"""A bar set down on its supports, from where its path begins.

Bed and ram first come together until they just touch, with a thousandth of the ram's force: travel
and force are read from there, as by a press whose gauges are zeroed after contact. Where supports
do not all touch at once, shims make them.
"""

from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from fea.collapse.contact import Contact, gaps_mm
from fea.collapse.equilibrium import Equations, Point, point_at, with_bed
from fea.collapse.newton import Guess, StepTarget, Stiffness, balanced, stiffness_at
from fea.collapse.path_model import PathModel
from fea.collapse.touching import contact_of
from fea.solid.direct_solvers import Pivoting
from fea.solid.statics import nodal_loads
from geometry.arrays import Floats
from geometry.errors import SolveError

SEAT, SINK_MM = 1e-3, 1.0
"""Share of the case's ram force, or so, under which travel and force are read as zero; a depth to
which no surface sinks into the bar at it."""

BED = 3
"""Degrees of freedom of its node, of which the first is its rise."""


def set_down(path_model: PathModel, point: Point, factorise: Pivoting) -> tuple[PathModel, Point]:
    """Return a bar on its supports, and its position there.

    Args:
        path_model: In its clamp, under its sustained loads.
        point: Its position in them.
        factorise: Factorises the tangents.

    Raises:
        SolveError: It finds no position on them.
    """
    if path_model.standing.ram_force_n:
        return _seated(path_model, point, factorise)
    lies, state = point.displacement, point.response.state
    contact = contact_of(path_model.model, path_model.standing.supports, lies, bed=False)
    equations = replace(path_model.equations, contact=contact)
    state = replace(state, anchors_mm=_anchors(contact, lies))
    start = point_at(equations, point.unknowns, 0.0, state, point.size)
    return replace(path_model, equations=equations), start


def _anchors(contact: Contact, displacement: Floats) -> Floats:
    return np.asarray(contact.moves @ displacement).reshape(-1, 3)


def _on_bed(equations: Equations, ram_force_n: float) -> Equations:
    """Return the equations with a bed's node, which the ram's force pushes and the gauge reads."""
    rise = _with_bed(np.zeros(equations.bar))
    rise[equations.bar] = 1.0
    return replace(
        equations,
        unknowns=with_bed(equations.unknowns, equations.bar),
        rest=_with_bed(equations.rest),
        origin=_with_bed(equations.origin),
        constant=_with_bed(equations.constant),
        load=_with_bed(equations.load) + ram_force_n * rise,
        gauge=rise,
        bed=True,
    )


def _with_bed(values: Floats) -> Floats:
    return np.append(values, np.zeros(BED))


def _seated(path_model: PathModel, point: Point, factorise: Pivoting) -> tuple[PathModel, Point]:
    """Return a bar between bed and ram, the seat's force then a sustained one, and its position.

    The search begins with the beam's reactions: they turn a foot onto its edge, where the flat end
    would else have to peel off its bed point by point. Every surface comes up to the bar so bent.
    """
    standing, model = path_model.standing, path_model.model
    equations = _on_bed(path_model.equations, standing.ram_force_n)
    unknowns = np.append(point.unknowns, 0.0)
    start = point_at(equations, unknowns, 0.0, point.response.state, point.size)
    free = stiffness_at(equations, start, factorise)
    modes = dict(zip(path_model.loads, path_model.modes, strict=True))
    forces = SEAT * _with_bed(nodal_loads(model, path_model.loads, modes).ravel())
    bent = unknowns + free.pivoted.apply(equations.unknowns.gather(forces)[:, None])[:, 0]
    lies = equations.unknowns.expand(bent)
    contact = contact_of(model, standing.supports, lies, bed=True)
    contact = _pressed_in(contact, lies, path_model)
    equations = replace(equations, contact=contact)
    state = replace(point.response.state, anchors_mm=_anchors(contact, lies))
    start = point_at(equations, unknowns, 0.0, state, point.size)
    del free
    # no tangent without contact: what is out of balance would throw a free bar off its supports
    there = point_at(equations, bent, 0.0, state, point.size)
    touching = stiffness_at(equations, there, factorise)
    seat = _balanced_at_rest(equations, start, Guess(bent, 0.0), touching, factorise)
    constant = equations.constant + seat.factor * equations.load
    seated = replace(equations, constant=constant, origin=seat.displacement)
    here = point_at(seated, seat.unknowns, 0.0, seat.before, seat.size)
    return replace(path_model, equations=seated), here


def _balanced_at_rest(
    equations: Equations, start: Point, guess: Guess, begin: Stiffness, factorise: Pivoting
) -> Point:
    """Return the balance near a guess while the bed does not move."""
    target, state = StepTarget("deflection", 0.0), start.response.state
    try:
        return balanced(equations, start, target, state, factorise, begin=begin, guess=guess)
    except SolveError as error:
        msg = f"the bar finds no position on its supports before the ram moves: {error}"
        raise SolveError(msg) from None


def _pressed_in(contact: Contact, lies: Floats, path_model: PathModel) -> Contact:
    """Return the contact with each surface so far into the bar that its push is the seat's."""
    supports, surfaces = path_model.standing.supports, list(contact.surfaces)
    reactions = path_model.loads[-len(supports) :]
    for number, surface in enumerate(contact.surfaces):
        way = np.array(supports[surface.support].direction)
        push = SEAT * float(way @ np.array(reactions[surface.support].force_n))
        if push > 0:
            sunk = _sunk_mm(contact, lies, number, way, push)
            surfaces[number] = replace(surface, through_mm=surface.through_mm + sunk * way)
    return replace(contact, surfaces=tuple(surfaces))


def _sunk_mm(contact: Contact, lies: Floats, number: int, way: Floats, push_n: float) -> float:
    """Return how far a surface has to move along a direction to push with a force."""
    own, surface = contact.owner == number, contact.surfaces[number]

    def missing(sunk: float) -> float:
        moved = list(contact.surfaces)
        moved[number] = replace(surface, through_mm=surface.through_mm + sunk * way)
        gaps = gaps_mm(replace(contact, surfaces=tuple(moved)), lies)[own]
        return float(push_n + contact.stiffness[own] @ np.minimum(gaps, 0.0))

    return float(brentq(missing, 0.0, SINK_MM))
