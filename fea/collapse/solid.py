"""Element forces and tangents with large displacements and plasticity.

Total Lagrangian: all integrals run over the undeformed bar. At each point the gradients of the
shape functions are rotated into the axes of the stretch there, so that strains, stresses and
tangents need no rotation of fourth-order tensors:

    dE_ab = sym(F'_ia dN'_kb),    f_ik = F'_ia S_ab dN'_bk,    K = B' D B + (dN' S dN) 1.

Source: the principle of virtual work, written out; the method stands in `log_strain.py`.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from fea.collapse.log_strain import (
    PAIRS,
    ROOT2,
    Stretch,
    curvature_of,
    mandel,
    slopes_of,
    stretch_of,
    tensor_of,
)
from fea.collapse.plastic import Metal, PlasticState, State, radial_return
from fea.solid.kernels import Gradients
from geometry.arrays import Floats, Ints
from geometry.errors import SolveError

CHUNK = 128
"""Elements at a time: their arrays fit in cache."""

MIN_VOLUME = 0.05
"""Smallest volume ratio of a point within an iteration."""


@dataclass(frozen=True, eq=False)
class Solid:
    """Elements and their metal.

    Attributes:
        cells: (m, 20) node numbers.
        grads: Gradients in the undeformed bar at every point of the rule.
        metal: The metal.
    """

    cells: Ints
    grads: Gradients
    metal: Metal


@dataclass(frozen=True, eq=False)
class Response:
    """The elements' response to a displacement.

    Attributes:
        forces: (m, 20, 3) nodal forces of each element, N.
        blocks: (m, 60, 60) symmetric tangents, N/mm.
        state: The metal's internal variables, if the step ends here.
        stress_mpa: (m, q, 6) Kirchhoff stress in the axes of the mesh, Mandel's components.
    """

    forces: Floats
    blocks: Floats
    state: State
    stress_mpa: Floats


def respond(solid: Solid, displacement: Floats, before: State) -> Response:
    """Return the elements' response to the nodal `displacement` (N, 3), mm, from a state.

    Raises:
        SolveError: An element is compressed to less than `MIN_VOLUME` of its volume, or inverted.
    """
    count, points = solid.grads.volumes_mm3.shape
    made = Response(
        np.empty((count, 20, 3)),
        np.empty((count, 60, 60)),
        State(np.empty((count, points, 6)), np.empty((count, points))),
        np.empty((count, points, 6)),
    )
    for part in _chunks(count):
        _respond(solid, displacement, before, made, part)
    return made


def _chunks(count: int) -> Iterator[slice]:
    return (slice(start, min(start + CHUNK, count)) for start in range(0, count, CHUNK))


def _respond(
    solid: Solid, displacement: Floats, before: State, made: Response, part: slice
) -> None:
    """Fill in the response of some elements."""
    slopes, volumes = solid.grads.slopes[part], solid.grads.volumes_mm3[part]
    count, points = volumes.shape
    nodal = displacement[solid.cells[part]]
    gradient = (slopes @ nodal[:, None]).transpose(0, 1, 3, 2) + np.eye(3)
    gradient = gradient.reshape(-1, 3, 3)
    _check_volume(gradient)
    stretch = stretch_of(gradient)
    answer = _in_stretch_axes(solid.metal, stretch, before, part)
    made.state.plastic[part] = mandel(_turned(stretch, answer.plastic)).reshape(count, points, 6)
    made.state.equivalent[part] = answer.equivalent.reshape(count, points)
    # gradients of shape functions, and F, in the axes of the stretch
    turned = stretch.axes.transpose(0, 2, 1) @ slopes.reshape(-1, 3, 20)
    carried = gradient @ stretch.axes
    slope = slopes_of(stretch)
    stress = tensor_of(slope * answer.stress)
    pushed = mandel(carried @ stress @ carried.transpose(0, 2, 1))
    made.stress_mpa[part] = pushed.reshape(count, points, 6)
    tangent = slope[:, :, None] * answer.tangent * slope[:, None, :]
    tangent += curvature_of(stretch, answer.stress)
    weights = volumes.reshape(-1)
    made.forces[part] = (
        _forces(carried, turned, stress, weights).reshape(count, points, 20, 3).sum(axis=1)
    )
    made.blocks[part] = _tangents((count, points), carried, turned, stress, tangent, weights)


def _check_volume(gradient: Floats) -> None:
    least = float(np.linalg.det(gradient).min())
    if not least > MIN_VOLUME:
        raise SolveError(f"an element has {least:.2g} of its volume left within an iteration")


def _in_stretch_axes(metal: Metal, stretch: Stretch, before: State, part: slice) -> PlasticState:
    axes = stretch.axes
    plastic = tensor_of(before.plastic[part].reshape(-1, 6))
    strain = np.zeros((len(axes), 6))
    strain[:, :3] = stretch.strains
    plastic = mandel(axes.transpose(0, 2, 1) @ plastic @ axes)
    return radial_return(metal, strain, plastic, before.equivalent[part].reshape(-1))


def _turned(stretch: Stretch, components: Floats) -> Floats:
    """Return tensors (k, 3, 3) in the axes of the mesh of components in those of the stretch."""
    result: Floats = stretch.axes @ tensor_of(components) @ stretch.axes.transpose(0, 2, 1)
    return result


def _forces(carried: Floats, turned: Floats, stress: Floats, weights: Floats) -> Floats:
    result: Floats = (turned.transpose(0, 2, 1) @ (stress @ carried.transpose(0, 2, 1))) * weights[
        :, None, None
    ]
    return result


def _tangents(
    shape: tuple[int, int],
    carried: Floats,
    turned: Floats,
    stress: Floats,
    tangent: Floats,
    weights: Floats,
) -> Floats:
    count, points = shape
    strain = _strain_rows(carried, turned)
    pushed = (tangent * weights[:, None, None]) @ strain
    rows = strain.reshape(count, points * 6, 60).transpose(0, 2, 1)
    blocks = rows @ pushed.reshape(count, points * 6, 60)
    pulled = (stress * weights[:, None, None]) @ turned
    flat = turned.reshape(count, points * 3, 20).transpose(0, 2, 1)
    still = flat @ pulled.reshape(count, points * 3, 20)
    nodes = blocks.reshape(count, 20, 3, 20, 3)
    for i in range(3):
        nodes[:, :, i, :, i] += still
    result: Floats = blocks
    return result


def _strain_rows(carried: Floats, turned: Floats) -> Floats:
    """Return B (k, 6, 60): Mandel's components of dE in the axes of the stretch."""
    rows = np.empty((len(carried), 6, 20, 3))
    for row, (a, b) in enumerate(PAIRS):
        one = turned[:, b, :, None] * carried[:, None, :, a]
        if a == b:
            rows[:, row] = one
        else:
            other = turned[:, a, :, None] * carried[:, None, :, b]
            rows[:, row] = (one + other) / ROOT2
    return rows.reshape(len(carried), 6, 60)
