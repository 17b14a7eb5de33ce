"""How CPU time grows with the unknowns: the benchmarks' cantilever, finer along and round alike.

Run as a module it prints for each mesh its unknowns and the least seconds of mesh to solution with
the free solver, as JSON.
"""

import json
import sys
from time import process_time

from fea.solid.assembly import build_pattern
from support.cantilever_round import our_cantilever
from support.tube_s2 import Stopwatch, cantilever_mesh

MESHES = ((16, 29), (24, 43), (36, 65), (48, 87))
"""Elements round and along: the same shape each time."""

REPEATS = 3


def one_size(around: int, along: int) -> dict[str, float]:
    """Return the unknowns of a mesh, and the least seconds from it to the solution."""
    mesh = cantilever_mesh(along=along, around=around)
    pattern, least = build_pattern(mesh.cells, len(mesh.points_mm)), float("inf")
    for _ in range(REPEATS):
        watch = Stopwatch(process_time)
        our_cantilever(watch, "cholmod", pattern, along=along, around=around)
        least = min(least, sum(watch.seconds.values()))
    return {"unknowns": mesh.points_mm.size, "seconds": least}


if __name__ == "__main__":
    one_size(*MESHES[0])
    json.dump([one_size(*each) for each in MESHES], sys.stdout)
