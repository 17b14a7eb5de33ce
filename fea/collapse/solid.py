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
from fea.collapse.moderate_strain import PointStress, moderate_stress
from fea.collapse.plastic import Metal, PlasticState, State, plastic_tangent, radial_return
from fea.solid.kernels import Gradients
from geometry.arrays import Floats, Ints
from geometry.errors import SolveError

CHUNK = 256
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
        state: The metal's internal variables, if the step ends here.
    """

    forces: Floats
    state: State


@dataclass(frozen=True, eq=False)
class _Points:
    """The k points of some elements, in the axes of the stretch at each.

    Attributes:
        stretch: There.
        plastic: The metal's response.
        slope: (k, 6) dH over dE of Mandel's components.
        stress: (k, 3, 3) second Piola-Kirchhoff stress, MPa.
        turned: (k, 3, 20) gradients of the shape functions, 1/mm.
        carried: (k, 3, 3) F.
    """

    stretch: Stretch
    plastic: PlasticState
    slope: Floats
    stress: Floats
    turned: Floats
    carried: Floats


def respond(solid: Solid, displacement: Floats, before: State) -> Response:
    """Return the elements' response to the nodal `displacement` (N, 3), mm, from a state.

    Source: module docstring.

    Raises:
        SolveError: An element is compressed to less than `MIN_VOLUME` of its volume, or inverted.
    """
    count, points = solid.grads.volumes_mm3.shape
    state = State(np.empty((count, points, 6)), np.empty((count, points)))
    forces = np.empty((count, 20, 3))
    for part in _chunks(count):
        at, shape = _stress(solid, displacement, before, part), state.equivalent[part].shape
        state.plastic[part] = at.plastic.reshape(*shape, 6)
        state.equivalent[part] = at.equivalent.reshape(shape)
        forces[part] = _forces(at.pushed, solid.grads, part)
    return Response(forces, state)


def tangents(solid: Solid, displacement: Floats, before: State) -> Floats:
    """Return the symmetric tangents (m, 60, 60) of the elements, N/mm, from a state.

    The nodal `displacement` (N, 3), mm, is that of `respond`.

    Source: module docstring.

    Raises:
        SolveError: As `respond`.
    """
    blocks = np.empty((len(solid.cells), 60, 60))
    for part in _chunks(len(solid.cells)):
        at = _points(solid, displacement, before, part)
        blocks[part] = _tangents(solid.metal, at, solid.grads.volumes_mm3[part])
    return blocks


def _chunks(count: int) -> Iterator[slice]:
    return (slice(start, min(start + CHUNK, count)) for start in range(0, count, CHUNK))


def _stress(solid: Solid, displacement: Floats, before: State, part: slice) -> PointStress:
    """Return stress and state at the points of some elements, most of which are little strained."""
    gradient = _gradient(solid, displacement, part)
    plastic, equivalent = before.plastic[part].reshape(-1, 6), before.equivalent[part].reshape(-1)
    answer = moderate_stress(solid.metal, gradient, plastic, equivalent)
    if answer:
        return answer
    at = _points(solid, displacement, before, part)
    pushed = at.stretch.axes @ at.stress @ at.carried.transpose(0, 2, 1)
    turned_back = mandel(_turned(at.stretch, at.plastic.plastic))
    return PointStress(pushed, turned_back, at.plastic.equivalent)


def _gradient(solid: Solid, displacement: Floats, part: slice) -> Floats:
    """Return F (k, 3, 3) at the k points of some elements."""
    slopes, nodal = solid.grads.slopes[part], displacement[solid.cells[part]]
    # all points of an element in one product
    moved = (slopes.reshape(len(slopes), -1, 20) @ nodal).reshape(-1, 3, 3)
    gradient: Floats = moved.transpose(0, 2, 1) + np.eye(3)
    _check_volume(gradient)
    return gradient


def _points(solid: Solid, displacement: Floats, before: State, part: slice) -> _Points:
    gradient = _gradient(solid, displacement, part)
    stretch = stretch_of(gradient)
    plastic, slope = _in_stretch_axes(solid.metal, stretch, before, part), slopes_of(stretch)
    return _Points(
        stretch,
        plastic,
        slope,
        tensor_of(slope * plastic.stress),
        stretch.axes.transpose(0, 2, 1) @ solid.grads.slopes[part].reshape(-1, 3, 20),
        gradient @ stretch.axes,
    )


def _check_volume(gradient: Floats) -> None:
    a, b, c = np.ascontiguousarray(gradient.transpose(1, 2, 0))
    volume = a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2])
    least = float((volume + a[2] * (b[0] * c[1] - b[1] * c[0])).min())
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


def _forces(pushed: Floats, grads: Gradients, part: slice) -> Floats:
    """Return the nodal forces (m, 20, 3) of elements with S F' (k, 3, 3) at all of their points."""
    volumes, slopes = grads.volumes_mm3[part], grads.slopes[part]
    weighted = pushed * volumes.reshape(-1, 1, 1)
    # all points of an element in one product, summed by it
    rows = slopes.reshape(len(slopes), -1, 20).transpose(0, 2, 1)
    result: Floats = rows @ weighted.reshape(len(slopes), -1, 3)
    return result


def _tangents(metal: Metal, at: _Points, volumes: Floats) -> Floats:
    (count, points), weights = volumes.shape, volumes.reshape(-1, 1, 1)
    tangent = at.slope[:, :, None] * plastic_tangent(metal, at.plastic) * at.slope[:, None, :]
    tangent += curvature_of(at.stretch, at.plastic.stress)
    strain = _strain_rows(at.carried, at.turned)
    pushed = (tangent * weights) @ strain
    rows = strain.reshape(count, points * 6, 60).transpose(0, 2, 1)
    blocks = rows @ pushed.reshape(count, points * 6, 60)
    pulled = (at.stress * weights) @ at.turned
    flat = at.turned.reshape(count, points * 3, 20).transpose(0, 2, 1)
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
