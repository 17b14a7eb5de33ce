"""Elastic buckling of bodies that are no bar in a clamp: any mesh, any holding, a given stress."""

from fea.solid.assembly import fill_nodes, free_part
from fea.solid.kernels import geometric_blocks
from fea.solid.linear_solver import factorise
from fea.solid.recovery import stress_mpa
from fea.stability.buckling import Buckling, lowest_factors
from geometry.arrays import Flags, Floats
from support.systems import System


def buckled(
    system: System,
    moved: Floats,
    held: Flags,
    count: int = 4,
) -> Buckling:
    """Return the buckling of a body that an answer `moved` (N, 3) has stressed.

    Args:
        system: The body.
        moved: The linear answer, under whatever holding.
        held: (N, 3) components that are held while it buckles.
        count: Factors looked for at each sign.
    """
    stress = stress_mpa(system.grads, system.material, moved[system.cells])
    blocks = geometric_blocks(system.grads, stress)
    geometric = fill_nodes(system.cells, len(system.points_mm), blocks)
    free = ~held.ravel()
    factor = factorise(free_part(system.stiffness, free), "splu")
    return lowest_factors([geometric], factor, free, count)[0]
