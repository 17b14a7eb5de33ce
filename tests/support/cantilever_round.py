"""One round of the benchmarks' cantilever here and in NGSolve, each on one thread.

A quarter of the elements along keeps a round to seconds. Run as a module it prints for NGSolve and
for every solver the CPU seconds of each stage and the deflection in mm, as JSON. On one thread they
hardly depend on what else the machine does.
"""

import json
import sys
from time import process_time
from typing import Any

import numpy as np
from ngsolve import SetNumThreads

from fea.solid.assembly import build_pattern, free_part
from fea.solid.linear_solver import SolverName, choose_solver, factorise, solve
from fea.solid.surface import face_rule, mean_displacement, rigid_modes
from support.ngsolve_tube import solve_cantilever
from support.systems import shear
from support.tube_s2 import AROUND, FORCE_N, LENGTH_MM, Stopwatch, assembled, cantilever_mesh
from support.tubes import at_s, end_faces

ALONG, ALONG_NGSOLVE = 58, 20

SOLVERS: tuple[SolverName, ...] = ("cholmod", "pardiso", "splu")


def our_cantilever(
    watch: Stopwatch, solver: SolverName, pattern: Any, along: int = ALONG, around: int = AROUND
) -> float:
    """Return the mean deflection of the end in mm, the stages timed."""
    mesh = watch.time("mesh", cantilever_mesh, along=along, around=around)
    free = np.repeat(~at_s(mesh, 0.0), 3)
    end = end_faces(mesh, LENGTH_MM)
    loads = shear(mesh.points_mm, end, (0.0, 0.0, -FORCE_N)).ravel()
    _, matrix = assembled(mesh, watch, pattern)
    held = watch.time("fill", free_part, matrix, free)
    factor = watch.time("factor + solve", factorise, held, solver)
    moved = np.zeros(len(free))
    answer, _ = watch.time("factor + solve", solve, factor, loads[free][:, None])
    moved[free] = answer[:, 0]
    modes = rigid_modes(face_rule(mesh.points_mm, end), np.array([LENGTH_MM, 0.0, 0.0]))
    return -float(mean_displacement(modes, moved.reshape(-1, 3))[2])


def one_round() -> dict[str, dict[str, Any]]:
    """Return the seconds and the deflection of each."""
    SetNumThreads(1)
    mesh = cantilever_mesh(along=ALONG)
    pattern = build_pattern(mesh.cells, len(mesh.points_mm))
    watch = Stopwatch(process_time)
    deflection_mm = solve_cantilever(watch, ALONG_NGSOLVE)
    # their libraries are loaded before, as NGSolve's is
    for solver in SOLVERS:
        choose_solver(solver)
    found = {"NGSolve": {"seconds": watch.seconds, "deflection_mm": deflection_mm}}
    for solver in SOLVERS:
        watch = Stopwatch(process_time)
        deflection_mm = our_cantilever(watch, solver, pattern)
        found[solver] = {"seconds": watch.seconds, "deflection_mm": deflection_mm}
    return found


if __name__ == "__main__":
    json.dump(one_round(), sys.stdout)
