"""The two faces of a mesh as the view draws them.

Displacement and position of the bore are stored as differences from the outer face: they are
small, so 16 bits hold them finely.
"""

from typing import Any

import numpy as np

from geometry.arrays import Floats, Ints
from geometry.mesh import TubeMesh
from studies.page.packing import packed_reals, packed_whole


def face_nodes(mesh: TubeMesh) -> tuple[Ints, Ints]:
    """Return (P,) each: the mesh nodes of the sheet's nodes on the outer face and on the bore."""
    found = []
    for faces in (mesh.outer, mesh.bore):
        nodes = np.empty(len(mesh.sheet.nodes), dtype=np.int64)
        nodes[mesh.sheet.quads] = faces
        found.append(nodes)
    return found[0], found[1]


def sheet_at_rest(mesh: TubeMesh) -> dict[str, Any]:
    """Return the sheet and where both faces are."""
    outer, bore = face_nodes(mesh)
    points = mesh.points_mm
    return {
        "sheet": packed_reals(mesh.sheet.nodes),
        "quads": packed_whole(mesh.sheet.quads),
        "outer_mm": packed_reals(points[outer]),
        "wall_mm": packed_reals(points[bore] - points[outer]),
    }


def both_moved(moved: Floats, outer: Ints, bore: Ints) -> Floats:
    """Return (P, 6): the motion of the outer face, and that of the bore less it."""
    return np.hstack([moved[outer], moved[bore] - moved[outer]])
