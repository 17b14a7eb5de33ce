"""Geometric imperfections of the wall: ripples along the bar, or its first buckling mode.

A perfect tube has the largest limit load. The imperfection of a real one is given as a change of
its undeformed shape, free of stress. Bar, clamp and loads are unchanged: only the mesh is another,
and all displacements are measured from there.

Ripples are rings: the outward offset of the wall's middle line is

    -percent/100 wall(s) cos(phase),   phase = integral of pi/half wave ds from the clamp's edge,

so that the offset is inward at the edge, and outward half a wave from there; a negative percentage
inverts it. A point of the inner surface has the offset of the one above it, so the wall keeps its
thickness, to the square of the slope. Ripples extend from the clamp out to the outermost load of an
arm, and fade out over half a wave at both ends, also into the clamp; those of a free bar meet in
its middle. The half wave is that of an
elastic cylinder: a yielding one would wrinkle in waves a sixth longer, but its knock-down by
shorter ones is as large or larger (tubes in bending, D/t 20 and 35).

The other shape is the first buckling mode of the elastic bar under all the case's loads, in the
sense in which the loads do work on it: the mode in which the bar would buckle.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import get_args

import numpy as np

from fea.solid.assembly import Pattern
from fea.solid.model import Model, build_model
from fea.solid.statics import band_modes, factorise_model, nodal_loads, solve_cases
from fea.stability.buckling import buckle
from fea.stability.wrinkling import elastic_half_wave_mm
from geometry.arrays import Floats
from geometry.bar import Bar, axes, nominal_od_mm, nominal_wall_mm
from geometry.errors import InputError, refuse
from geometry.grading import LEVELS, Seed
from geometry.limits import number_problem, unknown_name
from geometry.mesh import TubeMesh
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from loadcases.path_control import PATH_LIMITS, ImperfectionShape

SHAPES: tuple[ImperfectionShape, ...] = get_args(ImperfectionShape)

PER_HALF_WAVE = 2.0
"""Elements in a half wave of the coarse mesh."""

STEP_MM = 0.05
"""Of the table of the phase."""


@dataclass(frozen=True)
class Imperfection:
    """A geometric imperfection of the wall.

    Attributes:
        shape: Ripples along the bar, or the first buckling mode.
        percent: Amplitude, in percent of the wall there; a negative one inverts the shape.

    Raises:
        InputError: The shape has no such name, or the amplitude is more than a wall.
    """

    shape: ImperfectionShape
    percent: float

    def __post_init__(self) -> None:
        """Refuse an unknown shape or an amplitude beyond the wall."""
        problem = number_problem("imperfection", self.percent, PATH_LIMITS["imperfection_percent"])
        if self.shape not in SHAPES:
            problem = unknown_name("imperfection", "shape", self.shape, SHAPES)
        if problem:
            raise InputError(problem)


@dataclass(frozen=True)
class Stretch:
    """A length of bar with ripples, from the clamp's edge to its outer end, in s.

    Attributes:
        edge_mm: The clamp's edge, or the middle of a free bar.
        end_mm: Its outer end.
        half: Whether it ends at the middle, where another one begins, and does not fade out.
    """

    edge_mm: float
    end_mm: float
    half: bool = False


def imperfection_seeds(
    imperfection: Imperfection | None, bar: Bar, clamp: Clamp, loads: Sequence[PlacedLoad]
) -> tuple[Seed, ...]:
    """Return the seeds of elements short enough for an imperfection; finer levels, shorter."""
    if imperfection is None or imperfection.shape == "mode":
        return ()
    return tuple(_seed(bar, stretch) for stretch in rippled_stretches(bar, clamp, loads))


def imperfect(
    imperfection: Imperfection | None,
    bar: Bar,
    clamp: Clamp,
    loads: Sequence[PlacedLoad],
    mesh: TubeMesh,
    pattern: Pattern,
) -> TubeMesh:
    """Return a mesh with the imperfection; the same one for none.

    Raises:
        InputError: The loads cause no buckling, so that there is no mode.
        SolveError: The eigenvalues do not converge.
    """
    if imperfection is None:
        return mesh
    if imperfection.shape == "ripple":
        stretches = rippled_stretches(bar, clamp, loads)
        return with_ripples(bar, mesh, stretches, imperfection.percent)
    return with_mode(build_model(bar, clamp, mesh, pattern), loads, imperfection.percent)


def rippled_stretches(bar: Bar, clamp: Clamp, loads: Sequence[PlacedLoad]) -> tuple[Stretch, ...]:
    """Return the lengths with ripples: on each arm up to the band of its outermost load."""
    left = min([clamp.from_mm, *(load.to_mm for load in loads)])
    right = max([clamp.to_mm, *(load.from_mm for load in loads)])
    half = not clamp.holds
    both = Stretch(clamp.from_mm, left, half), Stretch(clamp.to_mm, right, half)
    return tuple(stretch for stretch in both if stretch.end_mm != stretch.edge_mm)


def with_ripples(
    bar: Bar, mesh: TubeMesh, stretches: Sequence[Stretch], percent: float
) -> TubeMesh:
    """Return a mesh with ripples of so many percent of the wall.

    Source: module docstring.
    """
    s, theta, _ = mesh.block.T
    move = percent / 100 * nominal_wall_mm(bar, s) * ripple(bar, stretches, s)
    return replace(mesh, points_mm=mesh.points_mm + move[:, None] * axes(bar, s, theta)[:, 2])


def ripple(bar: Bar, stretches: Sequence[Stretch], s_mm: Floats) -> Floats:
    """Return the outward offset at `s_mm` (k,), as a fraction of the amplitude: (k,), -1 to 1.

    Source: module docstring.
    """
    low, high = bar.line.left_end_mm, bar.line.right_end_mm
    table = np.linspace(low, high, int((high - low) / STEP_MM) + 2)
    rate = np.pi / half_wave_mm(bar, table)
    turned = np.cumsum((rate + np.append(0.0, rate[:-1])) / 2) * (table[1] - table[0])
    result = np.zeros_like(s_mm)
    for stretch in stretches:
        edge, end, at = (
            np.interp(s, table, turned) for s in (stretch.edge_mm, stretch.end_mm, s_mm)
        )
        phase = (at - edge) * np.sign(end - edge)
        outside = np.clip(np.maximum(-phase, phase - abs(end - edge)), 0.0, np.pi)
        own = not stretch.half or ((s_mm < stretch.edge_mm) == (end < edge))
        result -= own * np.cos(phase) * (1 + np.cos(outside)) / 2
    return result


def half_wave_mm(bar: Bar, s_mm: Floats) -> Floats:
    """Return the half wave of the ripples in mm at `s_mm`, same shape.

    Source: module docstring; `wrinkling.elastic_half_wave_mm`.
    """
    wall = nominal_wall_mm(bar, s_mm)
    radius = (nominal_od_mm(bar, s_mm) - wall) / 2
    # the formula is for walls thinner than the radius; thicker ones do not fold
    ratio = bar.spec.material.poisson_ratio
    return elastic_half_wave_mm(ratio, radius, np.minimum(wall, radius))


def with_mode(model: Model, loads: Sequence[PlacedLoad], percent: float) -> TubeMesh:
    """Return a model's mesh in the shape of its first buckling mode under loads.

    Where modes come in pairs, as in a straight bar in axial compression, it is one of the two;
    where the loads do no work on it, its sense is arbitrary.

    Raises:
        InputError: The loads cause no buckling.
        SolveError: The eigenvalues do not converge.
    """
    factor = factorise_model(model)
    answer = solve_cases(model, [loads], factor).answers[0]
    modes = buckle(model, factor, answer.displacement_mm).modes_mm
    if not len(modes):
        raise refuse("imperfection", "is a mode, but the loads cause no buckling; give ripples")
    mesh, mode = model.mesh, modes[0]
    place = int(np.argmax(np.linalg.norm(mode, axis=1)))
    largest = float(nominal_wall_mm(model.bar, mesh.block[place, 0])) * percent / 100
    return replace(mesh, points_mm=mesh.points_mm + largest * _sense(model, loads, mode) * mode)


def _seed(bar: Bar, stretch: Stretch) -> Seed:
    low, high = sorted((stretch.edge_mm, stretch.end_mm))
    shortest = half_wave_mm(bar, np.arange(low, high, STEP_MM)).min()
    return Seed(low, high, float(shortest) / PER_HALF_WAVE / LEVELS["coarse"].scale)


def _sense(model: Model, loads: Sequence[PlacedLoad], mode: Floats) -> float:
    """Return 1 where the loads do work on a mode (N, 3), else -1."""
    nodal = nodal_loads(model, loads, {load: band_modes(model, load) for load in loads})
    return 1.0 if np.sum(nodal * mode) >= 0 else -1.0
