"""Three problems that Barwright and other libraries solve to one accuracy, and Barwright's way.

Each is a bar, what holds and loads it, and a smooth place away from held edges and load bands,
where all codes converge to one stress.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from fea.solid.assembly import build_pattern, fill, free_part
from fea.solid.element import hex20_gauss
from fea.solid.kernels import gradients, stiffness_blocks
from fea.solid.linear_solver import SolverName, factorise, solve
from fea.solid.model import CLAMP, band_name, build_model, mesh_for
from fea.solid.recovery import AXIAL, HOOP, build_recovery, surface_stress, von_mises_mpa
from fea.solid.statics import factorise_model, solve_cases
from geometry import mesh as meshing
from geometry.arrays import Floats
from geometry.bar import Bar, smooth_breaks_mm
from geometry.grading import AnyLevelName
from geometry.mesh import TubeMesh, extruded, flat_sheet
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from studies.study_file.study import read_study
from support.systems import shear
from support.tube_s2 import LENGTH_MM, METAL, OD_MM, WALL_MM
from support.tubes import at_s, elbow_bar, end_faces, straight_bar

RISER = Path(__file__).parents[2] / "studies" / "examples" / "harbour-riser.toml"

TANGENT_MM, RADIUS_MM = 120.0, 60.0
ARC_MM = RADIUS_MM * np.pi / 2

LEAST_APART_MM = 0.3
"""Breaks of the riser's map closer than this are one."""


@dataclass(frozen=True)
class Grip:
    """An elastic clamp and the band that is loaded."""

    clamp: Clamp
    load: PlacedLoad


@dataclass(frozen=True, eq=False)
class Problem:
    """A bar under one force.

    Attributes:
        bar: The map.
        force_n: The force.
        place: (s, theta) on the outer surface where stress is read.
        reading: What is read there of the six components along the tube's axes.
        end_mm: Where a bar whose face at s = 0 is held ends, and is pulled evenly.
        grip: That of a bar in a clamp, None for one held at s = 0.
    """

    bar: Bar
    force_n: tuple[float, float, float]
    place: tuple[float, float]
    reading: Callable[[Floats], Floats]
    end_mm: float = 0.0
    grip: Grip | None = None


@dataclass(frozen=True)
class Found:
    """What a code finds: twice the work over the force, and the stress at the place."""

    deflection_mm: float
    stress_mpa: float


def tube() -> Problem:
    """Return the cantilever S2; axial stress is read under its middle."""
    bar = straight_bar(LENGTH_MM, OD_MM, WALL_MM, METAL)
    place = LENGTH_MM / 2, np.pi
    return Problem(bar, (0, 0, -1000.0), place, lambda stress: stress[..., AXIAL], LENGTH_MM)


def bend() -> Problem:
    """Return a tight bend pulled in its plane; hoop stress is read in the middle of its side.

    There the section flattens, and the hoop stress is the largest of the bend.
    """
    bar = elbow_bar((OD_MM, WALL_MM), RADIUS_MM, np.pi / 2, TANGENT_MM, METAL)
    end_mm = 2 * TANGENT_MM + ARC_MM
    place = end_mm / 2, np.pi
    return Problem(bar, (-100.0, 0, 0), place, lambda stress: stress[..., HOOP], end_mm)


def riser() -> Problem:
    """Return the riser example in its first case; von Mises is read under the second bend."""
    study = read_study(RISER)
    (load,) = study.cases[0].loads
    grip = Grip(study.clamp, load)
    return Problem(study.bar, load.force_n, (142.0, np.pi), von_mises_mpa, grip=grip)


def tube_lines_mm(count: int, root_mm: float = 0.0) -> Floats:
    """Return cross-sections at equal distances, but for a first element of the length given."""
    first = [0.0] if root_mm else []
    return np.concatenate([first, np.linspace(root_mm, LENGTH_MM, count + 1)])


def bend_lines_mm(inside: int, far: int = 1) -> Floats:
    """Return cross-sections: so many elements in the bend, one in a diameter on each side of it.

    The tangents' far parts have so many each.
    """
    bent = TANGENT_MM, TANGENT_MM + ARC_MM
    before = np.linspace(0, TANGENT_MM - OD_MM, far + 1)
    return np.concatenate(
        [before, np.linspace(*bent, inside + 1), bent[0] + bent[1] - before[::-1]]
    )


def riser_lines_mm(problem: Problem, longest_mm: float, near_mm: float) -> Floats:
    """Return cross-sections at clamp, band and the map's breaks, few in the arm without load.

    Elements at the clamp are at most `near_mm` long and 0.35 mm longer with every mm of distance.
    """
    bar, clamp, load = problem.bar, problem.grip.clamp, problem.grip.load
    right = [s for s in smooth_breaks_mm(bar) if s > clamp.to_mm]
    left = [s for s in bar.line.breaks_mm if s < clamp.from_mm]
    ends = [clamp.from_mm, clamp.to_mm, load.from_mm, load.to_mm, bar.line.right_end_mm]
    marks = np.unique(np.round([*left, *ends, *right], 6))
    marks = marks[np.concatenate([[True], np.diff(marks) > LEAST_APART_MM])]
    lines = [marks[:1]]
    for low, high in pairwise(marks):
        to_clamp = np.abs(np.abs([low, (low + high) / 2, high]) - clamp.to_mm).min()
        length = min(longest_mm, near_mm + 0.35 * to_clamp) if high > clamp.from_mm else np.inf
        count = max(1, int(np.ceil((high - low) / length)))
        lines.append(np.linspace(low, high, count + 1)[1:])
    return np.concatenate(lines)


def ours(problem: Problem, lines_mm: Floats, around: int, solver: SolverName = "auto") -> Found:
    """Return what Barwright finds with cross-sections at these places and so many round."""
    # the last sheets are kept for sweeps: each time shall be a first one
    meshing._gmsh_sheet.cache_clear()  # noqa: SLF001
    # longer than any element: one between two cross-sections
    size = lines_mm[[0, -1]], np.full(2, np.ptp(lines_mm))
    if problem.grip is None:
        mesh = extruded(problem.bar, flat_sheet(lines_mm, size, around))
        return _ours_held(problem, mesh, solver)
    clamp, load = problem.grip.clamp, problem.grip.load
    regions = {CLAMP: (clamp.from_mm, clamp.to_mm), band_name(load): (load.from_mm, load.to_mm)}
    sheet = flat_sheet(lines_mm, size, around, regions)
    return _ours_gripped(problem, extruded(problem.bar, sheet), solver)


def ours_by_level(problem: Problem, level: AnyLevelName, solver: SolverName = "auto") -> Found:
    """Return what Barwright finds of a bar in a clamp on the mesh that it makes itself."""
    meshing._gmsh_sheet.cache_clear()  # noqa: SLF001
    mesh = mesh_for(problem.bar, problem.grip.clamp, [problem.grip.load], level)
    return _ours_gripped(problem, mesh, solver)


def _ours_held(problem: Problem, mesh: TubeMesh, solver: SolverName) -> Found:
    bar, material = problem.bar, problem.bar.spec.material
    grads = gradients(mesh.points_mm, mesh.cells, hex20_gauss(2))
    pattern = build_pattern(mesh.cells, len(mesh.points_mm))
    stiffness = fill(pattern, stiffness_blocks(grads, material))
    loads = shear(mesh.points_mm, end_faces(mesh, problem.end_mm), problem.force_n).ravel()
    free = np.repeat(~at_s(mesh, 0.0), 3)
    moved = np.zeros(len(free))
    factor = factorise(free_part(stiffness, free), solver)
    moved[free] = solve(factor, loads[free][:, None])[0][:, 0]
    recovery = build_recovery(bar, mesh)
    stress = surface_stress(recovery, mesh, grads, material, moved.reshape(-1, 3))
    return Found(float(loads @ moved) / size_n(problem), _read(problem, mesh, stress.outer))


def _ours_gripped(problem: Problem, mesh: TubeMesh, solver: SolverName) -> Found:
    bar, grip = problem.bar, problem.grip
    model = build_model(bar, grip.clamp, mesh)
    answer = solve_cases(model, [[grip.load]], factorise_model(model, solver)).answers[0]
    recovery, moved = build_recovery(bar, mesh), answer.displacement_mm
    stress = surface_stress(recovery, mesh, model.grads, bar.spec.material, moved)
    return Found(2 * answer.work_nmm / size_n(problem), _read(problem, mesh, stress.outer))


def size_n(problem: Problem) -> float:
    """Return the size of the force in N."""
    return float(np.linalg.norm(problem.force_n))


def _read(problem: Problem, mesh: TubeMesh, stress: Floats) -> float:
    """Return what is read at the problem's place, between the nodes of the line through it."""
    s, theta = mesh.sheet.nodes.T
    line = np.flatnonzero(np.abs(theta - problem.place[1]) < 1e-6)
    line = line[np.argsort(s[line])]
    return float(np.interp(problem.place[0], s[line], problem.reading(stress[line])))
