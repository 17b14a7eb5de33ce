"""A bar set down on its supports, from where its path begins.

A bed first rises until it just touches, by so little that the bar feels it as the weight of a few
newtons: travel and force are read from there, as by a press whose gauges are zeroed after contact.
"""

from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from fea.collapse.contact import Contact, contact_forces
from fea.collapse.equilibrium import Equations, Point, point_at, with_bed
from fea.collapse.newton import Guess, StepTarget, balanced, stiffness_at
from fea.collapse.path_model import PathModel
from fea.collapse.touching import contact_of, least_gaps_mm
from fea.solid.direct_solvers import Pivoting
from fea.solid.surface import band_force
from geometry.arrays import Floats

SEAT, SINK_MM = 1e-3, 1.0
"""Share of the ram's force, or so, under which travel and force are read as zero; how deep a bed
rises into the bar to begin with."""

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
    standing = path_model.standing
    bed = standing.ram_force_n > 0
    equations = _on_bed(path_model.equations, standing.ram_force_n) if bed else path_model.equations
    lies = _with_bed(point.displacement) if bed else point.displacement
    contact = contact_of(path_model.model, standing.supports, lies, bed=bed)
    equations = replace(equations, contact=contact)
    anchors = np.asarray(contact.moves @ lies).reshape(-1, 3)
    state = replace(point.response.state, anchors_mm=anchors)
    unknowns = np.append(point.unknowns, 0.0) if bed else point.unknowns
    start = point_at(equations, unknowns, 0.0, state, point.size)
    if bed:
        return _seated(replace(path_model, equations=equations), contact, start, factorise)
    return replace(path_model, equations=equations), start


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


def _seated(
    path_model: PathModel, contact: Contact, start: Point, factorise: Pivoting
) -> tuple[PathModel, Point]:
    """Return a bar that a bed touches, its force then a sustained one, and its position.

    The search begins with the beam's reactions: they turn a foot onto its edge, where the flat end
    would else have to peel off its bed point by point.
    """
    equations = path_model.equations
    free = stiffness_at(equations, start, factorise)
    forces = SEAT * _reactions(path_model, len(start.displacement))
    pushed = equations.unknowns.gather(forces)[:, None]
    bent = start.unknowns + free.pivoted.apply(pushed)[:, 0]
    rise = _rise(equations, contact, bent)
    bent[-1] = rise
    seat = balanced(
        equations,
        start,
        StepTarget("deflection", rise),
        start.response.state,
        factorise,
        begin=free,
        guess=Guess(bent, 0.0),
    )
    constant = equations.constant + seat.factor * equations.load
    seated = replace(equations, constant=constant, origin=seat.displacement)
    return replace(path_model, equations=seated), point_at(
        seated, seat.unknowns, 0.0, seat.before, seat.size
    )


def _rise(equations: Equations, contact: Contact, bent: Floats) -> float:
    """Return the rise at which a bed presses a bar that does not move with the seat's force."""
    bed = equations.bar
    moved = equations.unknowns.expand(np.append(bent[:-1], 0.0))

    def missing(rise: float) -> float:
        moved[bed] = rise
        pushed = contact_forces(contact, moved, np.zeros((len(contact.owner), 3)))
        return float(SEAT * equations.load[bed] + (contact.moves.T @ pushed.ravel())[bed])

    least = float(least_gaps_mm(contact, moved).min())
    return float(brentq(missing, least, least + SINK_MM))


def _reactions(path_model: PathModel, size: int) -> Floats:
    """Return (size,) the beam's reactions as nodal forces."""
    forces = np.zeros((size // 3, 3))
    for load, modes in zip(path_model.loads, path_model.modes, strict=True):
        forces[modes.nodes] += band_force(modes, np.array(load.force_n), np.array(load.moment_nmm))
    return forces.ravel()
