"""Path control of a case past yield: deflection, unloading, sustained loads, imperfection."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf
from typing import Literal

import numpy as np

from geometry.bar import Bar, nominal_od_mm
from geometry.errors import Problem
from geometry.grading import LevelName
from geometry.limits import Range, unknown_name
from loadcases.beds import room_mm
from loadcases.case import PlacedCase
from loadcases.clamp import Clamp
from loadcases.load import SIDES, PlacedLoad

ImperfectionShape = Literal["ripple", "mode"]

_PERCENT = Range(-100, 100, "%", "give a share of the wall, for example 2")
PATH_LIMITS = {
    "displacement_mm": Range(0, 1000, "mm", "give a deflection such as 60", above=True),
    "rotation_deg": Range(0, 180, "deg", "give a rotation such as 20", above=True),
    "unload_at": Range(0, 100, "", "give a multiple of the loads such as 1.2", above=True),
    "imperfection_percent": _PERCENT,
    "knock_down_percent": _PERCENT,
}

SHARE_OF_ARM = 0.2
"""Default deflection to trace to, over the arm from the clamp's edge to the load, or over half the
distance of a free bar's outermost loads: about six times that of a standard test, and past the
limit load of most bars."""

FLATTENED = 0.5
"""The same of a tube between platens, over its diameter."""

TURN_RAD = 2 * SHARE_OF_ARM
"""Likewise for moments: under an end moment an arm rotates by twice its deflection over it."""


@dataclass(frozen=True)
class PathControl:
    """A case whose loads grow past yield.

    Attributes:
        displacement: Of the load points along the loads where the path ends, mm; with moments
            alone the rotation, radians.
        unload_at: Multiples of the loads at which the bar is unloaded, one after the other.
        sustained: Loads that act throughout, while the others grow.
        preload: Whether the clamps are preloaded throughout.
        mesh: Fineness of the path's own mesh.
        shape: Of the wall's imperfection.
        imperfection_percent: Its amplitude in percent of the wall, 0 for a perfect wall.
        knock_down_percent: Amplitudes of further paths, for the knock-down factor of each.
        rippled: Whether a perfect wall too is traced on the mesh of an imperfect one.
    """

    displacement: float
    unload_at: tuple[float, ...] = (1.0,)
    sustained: tuple[PlacedLoad, ...] = ()
    preload: bool = True
    mesh: LevelName = "coarse"
    shape: ImperfectionShape = "ripple"
    imperfection_percent: float = 0.0
    knock_down_percent: tuple[float, ...] = ()
    rippled: bool = False


def only_moments(loads: Sequence[PlacedLoad]) -> bool:
    """Return whether no load has a force."""
    return not any(any(load.force_n) for load in loads)


def held_loads(placed: PlacedCase) -> tuple[PlacedLoad, ...]:
    """Return the loads of a case, and a unit push of every support along its direction."""
    pushes = (one.loaded(one.direction, (0.0, 0.0, 0.0)) for one in placed.supports)
    return (*placed.loads, *pushes)


def end_moment_nmm(loads: Sequence[PlacedLoad]) -> float:
    """Return the moment of one end, the larger, in N mm: couples at both bend a bar like one."""
    sides = [[load.moment_nmm for load in loads if load.side == side] for side in SIDES]
    return max(hypot(*map(sum, zip(*moments, strict=True))) for moments in sides)


def default_path_control(loads: Sequence[PlacedLoad], bar: Bar, clamp: Clamp) -> float:
    """Return the default deflection to trace to: whole mm, or radians for moments."""
    if only_moments(loads):
        return TURN_RAD
    if all(load.toward for load in loads):
        return FLATTENED * float(nominal_od_mm(bar, np.array(loads[0].at_mm)))
    pushed = [load for load in loads if any(load.force_n)]
    return max(1.0, float(round(SHARE_OF_ARM * _arm_mm(pushed, clamp))))


def _arm_mm(pushed: Sequence[PlacedLoad], clamp: Clamp) -> float:
    if not clamp.holds:
        places = [load.at_mm for load in pushed]
        return (max(places) - min(places)) / 2
    most = max(pushed, key=lambda load: hypot(*load.force_n))
    return abs(most.at_mm) - clamp.to_mm


def travel_problem(placed: PlacedCase, bar: Bar, clamp: Clamp, travel_mm: float) -> str | None:
    """Return what is wrong with the travel of a ram, None where there is room for it."""
    room = room_mm(placed.supports, bar, clamp) if placed.case.ram_force_n else inf
    if travel_mm <= room:
        return None
    return f"is {travel_mm:g} mm, but the ram meets its bed after {room:.1f} mm; give less"


def sustained_loads(
    names: Sequence[str], placed: PlacedCase, others: Sequence[PlacedCase]
) -> tuple[tuple[PlacedLoad, ...], list[Problem]]:
    """Return the loads of the sustained cases, and what is wrong with their ids."""
    known = {other.case.id: other for other in others if other.case.id != placed.case.id}
    unknown = [name for name in names if name not in known]
    problems = [
        unknown_name(f"sustained[{names.index(name)}]", "other case", name, known)
        for name in unknown
    ]
    problems += [
        Problem(
            f"sustained[{index}]", f"names {name!r}, a case on supports; name one of loads alone"
        )
        for index, name in enumerate(names)
        if name in known and known[name].supports
    ]
    return tuple(load for name in names if name in known for load in known[name].loads), problems
