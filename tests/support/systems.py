"""Small problems on any 20-node mesh: the project's kernels, pattern, solver and faces."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.sparse import block_diag, csr_array

from fea.solid.assembly import build_pattern, fill, free_part
from fea.solid.element import hex20_gauss, line_gauss
from fea.solid.kernels import Gradients, gradients, stiffness_blocks
from fea.solid.linear_solver import factorise, solve
from fea.solid.recovery import stress_mpa
from fea.solid.surface import face_rule
from geometry.arrays import Flags, Floats, Ints
from geometry.material import Material
from geometry.source import Source
from support.blocks import HALF_STEPS


@dataclass(frozen=True, eq=False)
class System:
    """A body's equations.

    Attributes:
        points_mm: (N, 3) node places.
        cells: (m, 20) elements.
        material: What it is made of.
        grads: Gradients at the 2 x 2 x 2 Gauss points.
        stiffness: (3 N, 3 N).
    """

    points_mm: Floats
    cells: Ints
    material: Material
    grads: Gradients
    stiffness: csr_array


def metal(youngs_modulus_mpa: float, poisson_ratio: float) -> Material:
    """Return a material of which only the elastic constants matter."""
    source = Source("derived", "the problem's data")
    return Material("test-metal", "For tests", youngs_modulus_mpa, poisson_ratio, 1e3, 1, 1, source)


def build_system(points_mm: Floats, cells: Ints, material: Material) -> System:
    """Return the equations of a mesh."""
    grads = gradients(points_mm, cells, hex20_gauss(2))
    pattern = build_pattern(cells, len(points_mm))
    stiffness = fill(pattern, stiffness_blocks(grads, material))
    return System(points_mm, cells, material, grads, stiffness)


def solved(
    matrix: csr_array, held: Flags, loads: Floats, values: Floats | float = 0.0
) -> tuple[Floats, Floats]:
    """Return displacements and reactions, both (N, 3).

    Args:
        matrix: (3 N, 3 N).
        held: (N, 3) prescribed components.
        loads: (N, 3) nodal forces.
        values: (N, 3) the prescribed displacements, read where held.
    """
    free = ~held.ravel()
    moved = np.where(held, values, 0.0).ravel()
    rest = loads.ravel() - matrix @ moved
    if free.any():
        factor = factorise(free_part(matrix, free), "splu")
        moved[free] = solve(factor, rest[free][:, None])[0][:, 0]
    reaction = matrix @ moved - loads.ravel()
    return moved.reshape(-1, 3), reaction.reshape(-1, 3)


def traction(points_mm: Floats, faces: Ints, field: Callable[[Floats, Floats], Floats]) -> Floats:
    """Return the nodal forces (N, 3) of a traction field(places, normals) on faces (n, 8)."""
    rule = face_rule(points_mm, faces)
    pull = field(rule.points_mm, rule.normals)
    forces = np.zeros_like(points_mm)
    each = np.einsum("nq,qk,nqi->nki", rule.areas_mm2, rule.values, pull)
    np.add.at(forces, faces, each)
    return forces


def pressure(points_mm: Floats, faces: Ints, pressure_mpa: float) -> Floats:
    """Return the nodal forces (N, 3) of a pressure against the normals of faces (n, 8)."""
    return traction(points_mm, faces, lambda _, normals: -pressure_mpa * normals)


def shear(points_mm: Floats, faces: Ints, total_n: tuple[float, float, float]) -> Floats:
    """Return the nodal forces (N, 3) of a uniform traction with a resultant."""
    area = face_rule(points_mm, faces).areas_mm2.sum()
    return traction(points_mm, faces, lambda places, _: np.array(total_n) / area + 0 * places)


def nodal_stress(system: System, moved: Floats) -> Floats:
    """Return (N, 3, 3): Gauss-point stress extrapolated to the nodes and averaged there."""
    stress = stress_mpa(system.grads, system.material, moved[system.cells])
    at_nodes = np.einsum("kq,mqij->mkij", _extrapolation(), stress)
    total = np.zeros((len(system.points_mm), 3, 3))
    np.add.at(total, system.cells, at_nodes)
    return total / np.bincount(system.cells.ravel())[:, None, None]


def node_at(points_mm: Floats, place: tuple[float, float, float]) -> int:
    """Return the node at a place.

    Raises:
        LookupError: There is none.
    """
    apart = np.linalg.norm(points_mm - np.array(place), axis=1)
    nearest = int(np.argmin(apart))
    if apart[nearest] > 1e-6 * np.ptp(points_mm, axis=0).max():
        msg = f"no node at {place}, the nearest is {apart[nearest]:.3g} away"
        raise LookupError(msg)
    return nearest


def turned(matrix: csr_array, rows: Floats) -> csr_array:
    """Return the matrix for displacements along each node's own axes, rows (N, 3, 3)."""
    turn = block_diag(list(rows), format="csr")
    return csr_array(turn @ matrix @ turn.T)


def _extrapolation() -> Floats:
    """Return (20, 8): node values of the trilinear field through the 2 x 2 x 2 Gauss points."""
    (low, high), _ = line_gauss(2)
    places = HALF_STEPS / 2
    line = np.stack([high - places, places - low], axis=-1) / (high - low)
    a, b, c = np.moveaxis(line, 1, 0)
    result: Floats = np.einsum("kc,kb,ka->kcba", c, b, a).reshape(-1, 8)
    return result
