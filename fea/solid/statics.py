"""Static solutions: one factorisation, many load cases."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array

from fea.solid.assembly import free_part, places_in
from fea.solid.clamp_space import OtherClamp, combined, empty_space, solve_other_clamps
from fea.solid.free_hold import from_middle_ring, without_resultant
from fea.solid.linear_solver import Factor, SolverName, factorise, solve
from fea.solid.model import Model, band_faces
from fea.solid.surface import (
    RigidModes,
    band_force,
    face_rule,
    mean_displacement,
    mean_motion,
    rigid_modes,
)
from geometry.arrays import Floats
from geometry.bar import position_mm
from geometry.centreline import locate
from loadcases.load import PlacedLoad

STRIP = 0.05
"""Sine of the angle to either side of a pressed line where its pressure has fallen to a third."""

SCALED_ERROR = 1e-4
"""Relative error in the energy norm of solutions with another clamp stiffness."""


@dataclass(frozen=True, eq=False)
class LoadPoint:
    """The load point of one load: its motion and work.

    Attributes:
        load: The load.
        displacement_mm: (3,) area mean over the band's outer surface.
        rotation_rad: (3,) of the rigid motion that fits the band best.
        work_nmm: Half of force . displacement + moment . rotation, both of that rigid motion.
    """

    load: PlacedLoad
    displacement_mm: Floats
    rotation_rad: Floats
    work_nmm: float


@dataclass(frozen=True, eq=False)
class StaticAnswer:
    """The solid's solution of one load case.

    Attributes:
        displacement_mm: (N, 3) of every node.
        load_points: One for each load of the case.
        work_nmm: Work of the loads, half of load times displacement: the strain energy.
        energy_nmm: The same from the stiffness, half of u K u with the clamp's.
        reaction_n: (3,) force of the clamp on the bar, or of what holds a free bar.
        reaction_moment_nmm: (3,) its moment about the clamp centre.
    """

    displacement_mm: Floats
    load_points: tuple[LoadPoint, ...]
    work_nmm: float
    energy_nmm: float
    reaction_n: Floats
    reaction_moment_nmm: Floats


@dataclass(frozen=True, eq=False)
class Solution:
    """Solutions of all cases of a model.

    Attributes:
        answers: One for each case, in order.
        solver: Which direct solver factorised.
        residual: Worst backward error of a case; for a clamp stiffness other than the factorised
            one the worst relative error in the energy norm.
    """

    answers: tuple[StaticAnswer, ...]
    solver: str
    residual: float


def factorise_model(model: Model, solver: SolverName = "auto") -> Factor:
    """Return the factor that all load cases share.

    Raises:
        SolveError: The equations are singular.
    """
    return factorise(_matrix(model), solver)


def solve_cases(model: Model, cases: Sequence[Sequence[PlacedLoad]], factor: Factor) -> Solution:
    """Return the solutions of load cases, each a sequence of loads.

    Of a free bar displacements count from the mean motion of the ring at s = 0.

    Args:
        model: The equations.
        cases: The loads of each case.
        factor: From `factorise_model`.

    Raises:
        SolveError: The solution does not satisfy the equations.
    """
    modes, loads = _nodal_loads(model, cases)
    flat = np.zeros((model.stiffness.shape[0], len(cases)))
    given, held = loads.reshape(flat.shape), model.clamp.holds
    balanced = given if held else without_resultant(model.mesh, given)
    flat[model.free], residual = solve(factor, balanced[model.free])
    flat = flat if held else from_middle_ring(model.mesh, flat)
    return Solution(_answers(model, cases, modes, (flat, loads)), factor.solver, residual)


def solve_scaled_clamps(
    model: Model,
    cases: Sequence[Sequence[PlacedLoad]],
    factor: Factor,
    linear: Solution,
    scales: Sequence[float],
) -> list[Solution]:
    """Return the solutions with other stiffnesses of the elastic clamp, to show its influence.

    Args:
        model: The equations.
        cases: The loads of each case.
        factor: From `factorise_model`.
        linear: From `solve_cases`.
        scales: Factors on the clamp's stiffness.

    Raises:
        SolveError: The solutions do not converge.
    """
    modes, loads = _nodal_loads(model, cases)
    flat = np.stack([one.displacement_mm.ravel() for one in linear.answers], axis=-1)
    space = empty_space(model)
    springs = model.foundation[space.held][:, space.held]
    pull = springs @ flat[space.held]
    work = np.einsum("nk,nk->k", loads.reshape(flat.shape), flat)
    others = [OtherClamp((1 - one) * springs, (1 - one) * pull, work) for one in scales]
    space, shares, error = solve_other_clamps(space, factor, others, SCALED_ERROR)
    moved = (flat + combined(space, of) for of in shares)
    return [
        Solution(_answers(model, cases, modes, (each, loads), scale), factor.solver, error)
        for scale, each in zip(scales, moved, strict=True)
    ]


def _nodal_loads(
    model: Model, cases: Sequence[Sequence[PlacedLoad]]
) -> tuple[dict[PlacedLoad, RigidModes], Floats]:
    """Return the motions of every band, and the nodal forces (N, 3, k) of k cases."""
    modes = {load: band_modes(model, load) for case in cases for load in case}
    return modes, np.stack([nodal_loads(model, case, modes) for case in cases], axis=-1)


def _answers(
    model: Model,
    cases: Sequence[Sequence[PlacedLoad]],
    modes: dict[PlacedLoad, RigidModes],
    solved: tuple[Floats, Floats],
    clamp_stiffness_scale: float = 1.0,
) -> tuple[StaticAnswer, ...]:
    """Return the answers of k cases from displacements (3 N, k) and nodal forces (N, 3, k)."""
    flat, loads = solved
    return tuple(
        _answer(model, case, modes, flat[:, i], loads[..., i], clamp_stiffness_scale)
        for i, case in enumerate(cases)
    )


def _matrix(model: Model) -> csr_array:
    matrix, springs = model.stiffness, model.foundation
    if springs.nnz:
        # a sum of matrices would drop entries that are zero, and with them rows that are alike
        data = matrix.data.copy()
        data[places_in(matrix, springs)] += springs.data
        matrix = csr_array((data, matrix.indices, matrix.indptr), shape=matrix.shape)
    return free_part(matrix, model.free)


def band_modes(model: Model, load: PlacedLoad) -> RigidModes:
    """Return the six rigid motions of a load's band about its place on the centre line.

    On a mesh with an imperfection that place is offset as the band is. A load `toward` the tube is
    on a strip of it, about `STRIP` of its radius to either side.
    """
    mesh, faces = model.mesh, band_faces(model, load)
    centre = locate(model.bar.line, np.array(load.at_mm)).position_mm
    nodes = np.unique(faces)
    drawn = position_mm(model.bar, *mesh.block[nodes].T)
    off = (mesh.points_mm[nodes] - drawn).mean(axis=0)
    face = face_rule(mesh.points_mm, faces)
    if load.toward:
        facing = np.maximum(-face.normals @ np.array(load.toward), 0.0)
        face = replace(face, areas_mm2=face.areas_mm2 * np.exp(-(1 - facing**2) / STRIP**2))
    return rigid_modes(face, centre + off)


def nodal_loads(
    model: Model, case: Sequence[PlacedLoad], modes: dict[PlacedLoad, RigidModes]
) -> Floats:
    """Return the nodal forces (N, 3) of a case."""
    nodal = np.zeros_like(model.mesh.points_mm)
    for load in case:
        force, moment = np.array(load.force_n), np.array(load.moment_nmm)
        nodal[modes[load].nodes] += band_force(modes[load], force, moment)
    return nodal


def _answer(
    model: Model,
    case: Sequence[PlacedLoad],
    modes: dict[PlacedLoad, RigidModes],
    flat: Floats,
    loads: Floats,
    clamp_stiffness_scale: float,
) -> StaticAnswer:
    displacement = flat.reshape(-1, 3)
    inner = model.stiffness @ flat
    clamp_force = clamp_stiffness_scale * (model.foundation @ flat)
    pull = inner.reshape(-1, 3) - loads
    return StaticAnswer(
        displacement,
        tuple(_load_point(load, modes[load], displacement) for load in case),
        float(loads.ravel() @ flat) / 2,
        float(flat @ (inner + clamp_force)) / 2,
        pull.sum(axis=0),
        np.cross(model.mesh.points_mm, pull).sum(axis=0),
    )


def _load_point(load: PlacedLoad, modes: RigidModes, displacement: Floats) -> LoadPoint:
    motion = mean_motion(modes, displacement)
    work = float(motion @ np.concatenate([load.force_n, load.moment_nmm])) / 2
    return LoadPoint(load, mean_displacement(modes, displacement), motion[3:], work)
