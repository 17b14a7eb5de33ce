"""The checks of every run, each a number beside its limit.

Mesh volume against Pappus and the bracket of the two beams are independent of the solution.
Reactions against loads, energy against work and the residual only find errors of bookkeeping;
they pass for a wrong model too.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.beam.statics import BeamResult
from fea.solid.linear_solver import MAX_RESIDUAL
from fea.solid.model import Model
from fea.solid.statics import StaticAnswer
from geometry.arrays import Floats
from geometry.centreline import locate
from geometry.errors import MeshError, SolveError
from geometry.properties import volume_pappus_mm3
from loadcases.load import PlacedLoad

MAX_VOLUME_PERCENT = 0.1
MAX_IMBALANCE = 1e-6
MAX_ENERGY_GAP = 1e-6
MIN_WORK_RATIO_RIGID = 0.97
MAX_WORK_RATIO_FLEXIBLE = 1.03


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
    force, moment = resultant(model, loads)
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
    )
    failed = [check for check in checks if not check.passed]
    if failed:
        named = "; ".join(f"{c.name} {c.value:.1e} above {c.limit:.0e}" for c in failed)
        msg = f"the solution is not in equilibrium: {named}"
        raise SolveError(msg)
    return checks


def bracket_checks(
    answer: StaticAnswer, plain: BeamResult, flexible: BeamResult
) -> tuple[Check, ...]:
    """Return whether the work lies between the beam's with rigid and with flexible bends.

    A short bend between straights is stiffer than an infinite one and softer than a beam with
    rigid bends (k = 1), so the two beams bracket the solid, in energy, within 3 %.
    """
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


def resultant(model: Model, loads: Sequence[PlacedLoad]) -> tuple[Floats, Floats]:
    """Return force (3,) and moment (3,) about the clamp centre of a case's loads, N and N mm.

    Source: statics, M = r x F; textbook.
    """
    force, moment = np.zeros(3), np.zeros(3)
    for load in loads:
        place = locate(model.bar.line, np.array(load.at_mm)).position_mm
        force += load.force_n
        moment += np.array(load.moment_nmm) + np.cross(place, load.force_n)
    return force, moment


def _upper(name: str, value: float, limit: float) -> Check:
    return Check(name, value, limit, passed=value <= limit)
