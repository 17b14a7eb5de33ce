"""How the rings that supports hold move under forces on them: of the solid and of the beam."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from fea.beam.chain import transport
from fea.beam.statics import solve_beam
from fea.solid.linear_solver import Factor
from fea.solid.model import Model
from fea.solid.statics import StaticAnswer, band_modes, solve_cases, solve_scaled_clamps
from fea.solid.surface import mean_motion
from fea.supports.free_body import FreeBody
from fea.supports.reactions import SupportedBar
from geometry.arrays import Floats
from geometry.bar import Bar
from geometry.centreline import locate
from loadcases.balance import resultant
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from loadcases.supports import PlacedSupport

UNITS = np.eye(6)
"""A force or a moment of 1 along each axis, N or N mm."""


@dataclass(frozen=True)
class Supported:
    """Loads of a case, its supports, and the force of the ram as in `SupportedBar`."""

    loads: tuple[PlacedLoad, ...]
    supports: tuple[PlacedSupport, ...]
    ram_force_n: float = 0.0


def solids_on_supports(
    model: Model, factor: Factor, cases: Sequence[Supported], clamp_scales: Sequence[float] = (1.0,)
) -> list[list[SupportedBar]]:
    """Return, for each clamp, the solid of each case as its supports know it.

    Args:
        model: The equations; its mesh has the bands of the supports.
        factor: From `factorise_model`.
        cases: With at least one support each.
        clamp_scales: Factors on the stiffness of an elastic clamp, 1 alone or others.

    Raises:
        SolveError: The solution does not satisfy the equations.

    Source: linear superposition; `mean_motion` is conjugate to the unit loads.
    """
    solved = [[*_unit_cases(one.supports), *([one.loads] if one.loads else [])] for one in cases]
    every = list(chain.from_iterable(solved))
    found = [solve_cases(model, every, factor)]
    if tuple(clamp_scales) != (1.0,):
        found = solve_scaled_clamps(model, every, factor, found[0], clamp_scales)
    ends = np.cumsum([len(one) for one in solved])
    return [
        [
            _solid(model, case, one.answers[end - len(part) : end])
            for case, part, end in zip(cases, solved, ends, strict=True)
        ]
        for one in found
    ]


def _solid(model: Model, case: Supported, answers: Sequence[StaticAnswer]) -> SupportedBar:
    rings = [band_modes(model, one.band) for one in case.supports]
    motions = np.array(
        [[mean_motion(ring, one.displacement_mm) for ring in rings] for one in answers]
    ).reshape(len(answers), -1)
    if not case.loads:
        motions = np.vstack([motions, 0 * motions[:1]])
    known = _known(case.supports, motions, case.ram_force_n)
    return known if model.clamp.holds else _freed(known, model.bar, case.loads)


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
    bands = tuple(one.band for one in supports)
    # every case names every ring, loaded or not: the beam tells the motion of loads alone
    cases = []
    for number, (loaded,) in enumerate(_unit_cases(supports)):
        others = list(bands)
        others[number // len(UNITS)] = loaded
        cases.append(tuple(others))
    cases.append((*bands, *loads))
    count = len(bands)
    motions = np.array(
        [
            np.hstack([result.displacement_mm[:count], result.rotation_rad[:count]]).ravel()
            for result in solve_beam(bar, clamp, cases, flexible)
        ]
    )
    known = _known(supports, motions, ram_force_n)
    return known if clamp.holds else _freed(known, bar, loads)


def _freed(known: SupportedBar, bar: Bar, loads: Sequence[PlacedLoad]) -> SupportedBar:
    """Return a bar that nothing else holds."""
    places = [locate(bar.line, np.array(one.at_mm)).position_mm for one in known.supports]
    force, moment = resultant(loads, bar.line)
    body = FreeBody(transport(np.array(places)).reshape(-1, 6), np.append(force, moment))
    return replace(known, free=body)


def _known(supports: Sequence[PlacedSupport], motions: Floats, ram_force_n: float) -> SupportedBar:
    compliance = motions[:-1].T
    return SupportedBar(tuple(supports), (compliance + compliance.T) / 2, motions[-1], ram_force_n)


def _unit_cases(supports: Sequence[PlacedSupport]) -> list[tuple[PlacedLoad, ...]]:
    return [
        (one.loaded((unit[0], unit[1], unit[2]), (unit[3], unit[4], unit[5])),)
        for one in supports
        for unit in UNITS
    ]
