"""The checks of every run, each a number beside its limit.

Mesh volume against Pappus, the bracket of the two beams and the stress of plain sections
are independent of the solution. Reactions against loads, energy against work and the residual
only find bookkeeping; they pass for a wrong model too.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.beam.section import nominal_von_mises_mpa
from fea.beam.statics import BeamResult, arm_resultants
from fea.solid.linear_solver import MAX_RESIDUAL
from fea.solid.model import Model
from fea.solid.recovery import SurfaceStress, von_mises_mpa
from fea.solid.statics import StaticAnswer
from geometry.arrays import Floats, Ints
from geometry.bar import nominal_od_mm, smooth_breaks_mm
from geometry.centreline import curvature_at
from geometry.errors import MeshError, SolveError
from geometry.properties import volume_pappus_mm3
from loadcases.balance import resultant
from loadcases.clamp import Clamp
from loadcases.levers import LeverClamp
from loadcases.load import PlacedLoad

MAX_VOLUME_PERCENT = 0.1
MAX_IMBALANCE = 1e-6
MAX_ENERGY_GAP = 1e-6
MIN_WORK_RATIO_RIGID = 0.97
MAX_WORK_RATIO_FLEXIBLE = 1.03


NO_BEAM = 1e-6
"""Share of the solid's work below which a beam does none: it has no part in the answer."""

MAX_SECTION_GAP = 0.1
"""Largest gap between solid and section on plain stretches. Inner surface, shear force and the
mesh take 1 to 5 % on sound tubes; a stress that means nothing is off by more."""

NO_STRESS_MPA = 1e-6
"""Of plain sections, below which a tube is not stressed as a beam but by round-off."""

LEAST_SHARE_OF_LARGEST = 0.3
"""Share of the largest stress of plain sections from which one is compared."""


@dataclass(frozen=True)
class Check:
    """One check of a run.

    Attributes:
        name: The quantity, with its unit.
        value: Its value, in that unit.
        limit: Its upper bound, or its lower one (the name says which).
        passed: Whether the value is within it.
    """

    name: str
    value: float
    limit: float
    passed: bool


def volume_check(model: Model) -> Check:
    """Return the mesh's volume against Pappus' theorem.

    Source: `properties.volume_pappus_mm3`.

    Raises:
        MeshError: They differ by more than 0.1 %: the mesh does not follow the bar.
    """
    mesh_mm3, bar_mm3 = float(model.grads.volumes_mm3.sum()), volume_pappus_mm3(model.bar)
    percent = 100 * abs(mesh_mm3 / bar_mm3 - 1)
    if percent > MAX_VOLUME_PERCENT:
        msg = (
            f"the volume of the mesh is {mesh_mm3:.0f} mm3 and of the bar {bar_mm3:.0f} mm3, an "
            f"error of {percent:.2f} %, above {MAX_VOLUME_PERCENT:g} %; choose a finer mesh level"
        )
        raise MeshError(msg)
    return Check("volume error (Pappus), %", percent, MAX_VOLUME_PERCENT, passed=True)


def balance_checks(
    model: Model, loads: Sequence[PlacedLoad], answer: StaticAnswer, residual: float
) -> tuple[Check, ...]:
    """Return reactions against loads, energy against work, and the solver's residual.

    Raises:
        SolveError: One of them fails.
    """
    force, moment = resultant(loads, model.bar.line)
    arm_mm = float(np.abs(model.mesh.points_mm).max())
    # by the loads one by one: those of a self-balanced case have no resultant
    moment_nmm = sum(
        float(np.linalg.norm(load.moment_nmm)) + arm_mm * float(np.linalg.norm(load.force_n))
        for load in loads
    )
    gap_n = float(np.linalg.norm(answer.reaction_n + force))
    gap_nmm = float(np.linalg.norm(answer.reaction_moment_nmm + moment))
    checks = (
        _upper("force equilibrium residual, share", gap_n * arm_mm / moment_nmm, MAX_IMBALANCE),
        _upper("moment equilibrium residual, share", gap_nmm / moment_nmm, MAX_IMBALANCE),
        _upper(
            "energy balance residual, share",
            abs(answer.energy_nmm / answer.work_nmm - 1),
            MAX_ENERGY_GAP,
        ),
        _upper("backward error of the solver", residual, MAX_RESIDUAL),
        *([] if model.clamp.holds else [_hold(answer, arm_mm, moment_nmm)]),
    )
    failed = [check for check in checks if not check.passed]
    if failed:
        named = "; ".join(f"{c.name} {c.value:.1e} above {c.limit:.0e}" for c in failed)
        msg = f"the solution is not in equilibrium: {named}"
        raise SolveError(msg)
    return checks


def _hold(answer: StaticAnswer, arm_mm: float, moment_nmm: float) -> Check:
    """Return what holds a free bar, over the loads: nothing, where they balance each other."""
    held = max(
        arm_mm * float(np.linalg.norm(answer.reaction_n)),
        float(np.linalg.norm(answer.reaction_moment_nmm)),
    )
    return _upper("force that holds the free bar, share", held / moment_nmm, MAX_IMBALANCE)


def bracket_checks(
    answer: StaticAnswer, plain: BeamResult, flexible: BeamResult
) -> tuple[Check, ...]:
    """Return whether the work lies between the beam's with rigid and with flexible bends.

    A short bend between straights is stiffer than an infinite one and softer than a beam with
    rigid bends (k = 1), so the two beams bracket the solid, in energy, within 3 %. A tube between
    platens is no beam: it has none.
    """
    if not bends_as_beam(answer, plain):
        return ()
    low, high = answer.work_nmm / plain.work_nmm, answer.work_nmm / flexible.work_nmm
    return (
        Check(
            "work ratio solid / beam (k = 1), at least",
            low,
            MIN_WORK_RATIO_RIGID,
            passed=low >= MIN_WORK_RATIO_RIGID,
        ),
        Check(
            "work ratio solid / beam (flexible bends), at most",
            high,
            MAX_WORK_RATIO_FLEXIBLE,
            passed=high <= MAX_WORK_RATIO_FLEXIBLE,
        ),
    )


def bends_as_beam(answer: StaticAnswer, plain: BeamResult) -> bool:
    """Return whether a beam has a part in an answer."""
    return plain.work_nmm > NO_BEAM * answer.work_nmm


def section_checks(
    model: Model, loads: Sequence[PlacedLoad], levers: Sequence[LeverClamp], stress: SurfaceStress
) -> tuple[Check, ...]:
    """Return the solid's stress against the sections' own answer, none without a plain place.

    Plain is a place with no bend, clamp edge, load band, taper's end or bar's end within a
    diameter; of these those count whose own stress is not far below the largest. The solid's is
    the largest von Mises stress of both surfaces on a mesh line, the section's that of tension,
    bending and torsion (shear force left out).

    Source: elementary beam theory, which holds a diameter away from a disturbance (Saint-Venant).
    """
    s, line_of = _plain_lines(model, loads, levers)
    if not s.size:
        return ()
    resultants = arm_resultants(model.bar, model.clamp, [loads], s)[0]
    own = nominal_von_mises_mpa(model.bar, s, resultants)
    counted = own >= LEAST_SHARE_OF_LARGEST * own.max()
    if not own.max() > NO_STRESS_MPA:
        return ()
    solid = np.zeros(len(s))
    for surface in (stress.outer, stress.inner):
        np.maximum.at(solid, line_of[line_of >= 0], von_mises_mpa(surface)[line_of >= 0])
    off = float(np.abs(solid[counted] / own[counted] - 1).max())
    return (_upper("plain sections, stress off their own, share", off, MAX_SECTION_GAP),)


def _plain_lines(
    model: Model, loads: Sequence[PlacedLoad], levers: Sequence[LeverClamp]
) -> tuple[Floats, Ints]:
    """Return the places (n,) of plain mesh lines, and (P,) the line of each node, -1 for none."""
    bar, sheet = model.bar, model.mesh.sheet
    places = np.round(sheet.nodes[:, 0], 6)
    lines, line_of = np.unique(places, return_inverse=True)
    near_mm = nominal_od_mm(bar, lines)
    apart = np.abs(lines[:, None] - smooth_breaks_mm(bar)).min(axis=1) >= near_mm
    straight = curvature_at(bar.line, lines) == 0
    free = np.ones(len(lines), dtype=bool)
    stem = [model.clamp] if model.clamp.holds else []
    held_places: list[Clamp | LeverClamp | PlacedLoad] = [*stem, *levers, *loads]
    for held in held_places:
        free &= (lines <= held.from_mm - near_mm) | (lines >= held.to_mm + near_mm)
    plain = apart & straight & free
    number = np.where(plain, np.cumsum(plain) - 1, -1)
    return lines[plain], number[line_of]


def _upper(name: str, value: float, limit: float) -> Check:
    return Check(name, value, limit, passed=value <= limit)
