"""The two surfaces of a mesh as the view draws them.

Displacement and position of the inner surface are stored as differences from the outer
surface: they are small, so 16 bits store them finely.
"""

from typing import Any

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.mesh import TubeMesh
from studies.page.packing import packed_reals, packed_whole


def face_nodes(mesh: TubeMesh) -> tuple[Ints, Ints]:
    """Return (P,) each: the mesh nodes of the sheet's nodes on outer and inner surface."""
    found = []
    for faces in (mesh.outer, mesh.inner):
        nodes = np.empty(len(mesh.sheet.nodes), dtype=np.int64)
        nodes[mesh.sheet.quads] = faces
        found.append(nodes)
    return found[0], found[1]


def sheet_at_rest(mesh: TubeMesh) -> dict[str, Any]:
    """Return the sheet and the places of both surfaces."""
    outer, inner = face_nodes(mesh)
    points = mesh.points_mm
    return {
        "sheet": packed_reals(mesh.sheet.nodes),
        "quads": packed_whole(mesh.sheet.quads),
        "outer_mm": packed_reals(points[outer]),
        "wall_mm": packed_reals(points[inner] - points[outer]),
    }


def both_moved(moved: Floats, outer: Ints, inner: Ints) -> Floats:
    """Return (P, 6): the motion of the outer surface, and that of the inner surface less it."""
    return np.hstack([moved[outer], moved[inner] - moved[outer]])
