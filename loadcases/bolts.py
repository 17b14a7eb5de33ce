"""Bolted clamps: bolt preload, pressure on the tube, slip torque.

The sum of the preloads N presses two half shells of width w on a tube of diameter D. Whatever
its distribution, the pressure's resultant on each half is N:

- uniform: integral of p cos(a) D/2 w da over a half is p D w, so p = N/(D w);
- cosine, p1 |cos a| from the middle of each half: p1 (pi/4) D w, so p1 = 4 N/(pi D w).

With friction mu the slip torque is mu (D/2) times the integral of p: pi mu N D/2 for the uniform
pressure, (8/pi) mu N D/2 for the cosine, and 2 mu N D/2 for two lines of contact, the least of a
clamp of wrong size.
"""

from dataclasses import dataclass
from math import pi
from typing import Literal, get_args

from geometry.errors import Problem
from geometry.limits import Range, limit_problems, unknown_name
from geometry.source import Source
from loadcases.levels import Levels

Pressure = Literal["uniform", "cosine"]
PRESSURES: tuple[Pressure, ...] = get_args(Pressure)

NUT_FACTOR_SOURCE = Source("secondary", "bolts as received, T = K d F with K 0.2; lubricated 0.15")
SCATTER_SOURCE = Source("secondary", "VDI 2230, preload max/min 1.4 to 1.8 at one torque")
FRICTION_SOURCE = Source("memory", "dry metal, 0.15 to 0.25 as a low bound")

FRICTION = 0.2

FRICTION_BAND = (0.15, 0.25)
"""Of the default; a coefficient that a study gives is its own band."""

LINE_CONTACT = 2.0
"""Slip torque over mu N D/2 for two lines of contact."""

_HELD = {"uniform": pi, "cosine": 8 / pi}

BOLT_LIMITS = {
    "count": Range(1, 16, "", "give the number of bolts that close the clamp, 2 to 4 commonly"),
    "torque_nm": Range(
        0, 100, "N·m", "give the torque on each bolt, 4 to 8 N·m commonly", above=True
    ),
    "diameter_mm": Range(2, 20, "mm", "give the thread's diameter, 5 for M5"),
    "nut_factor": Range(0.05, 0.5, "", "give K of T = K d F, 0.2 as received, 0.15 lubricated"),
    "scatter": Range(1, 4, "", "give the largest over the least preload at one torque, 1.4 to 1.8"),
    "friction": Range(0, 1, "", "give the coefficient of friction, 0.15 to 0.25 dry", above=True),
}


@dataclass(frozen=True)
class Bolts:
    """The bolts that close a clamp.

    Attributes:
        count: How many.
        torque_nm: Torque on each.
        diameter_mm: Diameter of the thread.
        nut_factor: K of T = K d F.
        scatter: Largest over least preload at one torque.
        pressure: Its distribution round the tube.
        friction: Coefficient of friction between clamp and tube.
    """

    count: int
    torque_nm: float
    diameter_mm: float
    nut_factor: float = 0.2
    scatter: float = 1.6
    pressure: Pressure = "uniform"
    friction: float = FRICTION


@dataclass(frozen=True)
class Preload:
    """Sum of the bolts' preloads in N: at the least, as computed, and at the most."""

    low_n: float
    nominal_n: float
    high_n: float


def bolt_problems(bolts: Bolts) -> tuple[Problem, ...]:
    """Return what is wrong with bolts; empty when they can be used."""
    problems = limit_problems(bolts, BOLT_LIMITS)
    if bolts.pressure in PRESSURES:
        return problems
    return (*problems, unknown_name("pressure", "pressure", bolts.pressure, PRESSURES))


def preload(bolts: Bolts) -> Preload:
    """Return the range of the sum of preloads, the clamping force of the two halves.

    Several bolts lie on both sides of the tube and add up. A single one closes a band or a
    hinged shell, whose far side carries the same force as the bolt: it counts twice. Two bolts on
    one side of a hinge would, too, and cannot be distinguished: give them as four.

    Scatter q is the largest over the least; both lie evenly about the nominal, so the least is
    2/(1 + q) and the largest 2 q/(1 + q) of it.

    Source: T = K d F, seen in secondary sources.
    """
    pulls = max(bolts.count, 2)
    nominal = pulls * 1000 * bolts.torque_nm / (bolts.nut_factor * bolts.diameter_mm)
    share = 2 / (1 + bolts.scatter)
    return Preload(share * nominal, nominal, share * bolts.scatter * nominal)


def mean_pressure_mpa(preload_n: float, diameter_mm: float, width_mm: float) -> float:
    """Return the pressure N/(D w) on the projected area; everywhere so if it is uniform."""
    return preload_n / (diameter_mm * width_mm)


def slip_torque_nmm(bolts: Bolts, preload_n: float, diameter_mm: float) -> float:
    """Return the slip torque about the tube, N mm, by the module's integral."""
    return _HELD[bolts.pressure] * bolts.friction * preload_n * diameter_mm / 2


def friction_band(bolts: Bolts) -> tuple[float, float]:
    """Return the low and the high coefficient of friction, both that of a study if it gives one."""
    return FRICTION_BAND if bolts.friction == FRICTION else (bolts.friction, bolts.friction)


def slip_torques_nmm(bolts: Bolts, preload_n: float, diameter_mm: float) -> Levels:
    """Return the slip torque with the ends of its range, N mm.

    The low end is that of two lines of contact, as in a clamp of wrong size, at the low friction;
    the high end that of full contact at the high friction.

    Source: the module's integral.
    """
    low, high = friction_band(bolts)
    middle = slip_torque_nmm(bolts, preload_n, diameter_mm)
    on_lines = LINE_CONTACT * low * preload_n * diameter_mm / 2
    return Levels(on_lines, middle, middle * high / bolts.friction)


def ring_buckling_pressure_mpa(
    youngs_modulus_mpa: float, poisson_ratio: float, radius_mm: float, wall_mm: float
) -> float:
    """Return the ring buckling pressure of a free tube, E (t/R)^3/(4 (1 - nu^2)).

    In a clamp of the right size the shells keep the tube round, so a larger pressure relies on
    the fit.

    Source: Roark, ring under uniform pressure in plane strain, 3 E I/R^3.
    """
    slim = (wall_mm / radius_mm) ** 3
    return youngs_modulus_mpa * slim / (4 * (1 - poisson_ratio**2))
