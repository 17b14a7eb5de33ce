"""How the rings that supports hold move under forces on them: of the solid and of the beam."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fea.beam.statics import solve_beam
from fea.solid.linear_solver import Factor
from fea.solid.model import Model
from fea.solid.statics import band_modes, solve_cases, solve_scaled_clamps
from fea.solid.surface import mean_motion
from fea.supports.reactions import SupportedBar
from geometry.arrays import Floats
from geometry.bar import Bar
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from loadcases.supports import PlacedSupport

UNITS = np.eye(6)
"""A force or a moment of 1 along each axis, N or N mm."""


def solid_on_supports(
    model: Model,
    factor: Factor,
    loads: Sequence[PlacedLoad],
    supports: Sequence[PlacedSupport],
    ram_force_n: float = 0.0,
    clamp_scale: float = 1.0,
) -> SupportedBar:
    """Return the solid in its clamp as its supports know it.

    Args:
        model: The equations; its mesh has the bands of the supports.
        factor: From `factorise_model`.
        loads: Of the case.
        supports: Of the case.
        ram_force_n: As in `SupportedBar`.
        clamp_scale: Factor on the stiffness of an elastic clamp.

    Raises:
        SolveError: The solution does not satisfy the equations.

    Source: linear superposition; `mean_motion` is conjugate to the unit loads.
    """
    cases = [*_unit_cases(supports), *([tuple(loads)] if loads else [])]
    found = solve_cases(model, cases, factor)
    if clamp_scale != 1:
        (found,) = solve_scaled_clamps(model, cases, factor, found, (clamp_scale,))
    rings = [band_modes(model, _carrier(one)) for one in supports]
    motions = np.array(
        [[mean_motion(ring, one.displacement_mm) for ring in rings] for one in found.answers]
    ).reshape(len(cases), -1)
    if not loads:
        motions = np.vstack([motions, 0 * motions[:1]])
    return _supported(supports, motions, ram_force_n)


def beam_on_supports(
    bar: Bar,
    clamp: Clamp,
    loads: Sequence[PlacedLoad],
    supports: Sequence[PlacedSupport],
    ram_force_n: float = 0.0,
    *,
    flexible: bool,
) -> SupportedBar:
    """Return the beam in its clamp as its supports know it; arguments as `solve_beam`'s.

    Source: linear superposition.
    """
    carriers = tuple(_carrier(one) for one in supports)
    # every case names every ring, loaded or not: the beam tells the motion of loads alone
    cases = []
    for number, (loaded,) in enumerate(_unit_cases(supports)):
        others = [_unloaded(one) for one in carriers]
        others[number // len(UNITS)] = loaded
        cases.append(tuple(others))
    cases.append((*(_unloaded(one) for one in carriers), *loads))
    count = len(carriers)
    motions = np.array(
        [
            np.hstack([result.displacement_mm[:count], result.rotation_rad[:count]]).ravel()
            for result in solve_beam(bar, clamp, cases, flexible)
        ]
    )
    return _supported(supports, motions, ram_force_n)


def _supported(
    supports: Sequence[PlacedSupport], motions: Floats, ram_force_n: float
) -> SupportedBar:
    compliance = motions[:-1].T
    return SupportedBar(tuple(supports), (compliance + compliance.T) / 2, motions[-1], ram_force_n)


def _unit_cases(supports: Sequence[PlacedSupport]) -> list[tuple[PlacedLoad, ...]]:
    return [
        (one.loaded((unit[0], unit[1], unit[2]), (unit[3], unit[4], unit[5])),)
        for one in supports
        for unit in UNITS
    ]


def _carrier(support: PlacedSupport) -> PlacedLoad:
    """Return the first unit load of a support, by which its ring is known."""
    return support.loaded((1.0, 0.0, 0.0), (0.0, 0.0, 0.0))


def _unloaded(load: PlacedLoad) -> PlacedLoad:
    return replace(load, force_n=(0.0, 0.0, 0.0), moment_nmm=(0.0, 0.0, 0.0))
