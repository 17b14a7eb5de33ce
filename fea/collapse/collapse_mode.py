"""The collapse mode by the deformed wall: ovalisation, local fold, or necking.

The best-fitting rigid motion is removed from each ring of nodes. The rest is the radial
displacement w(theta) of its middle line, which is split into harmonics: the second is ovalisation,
those above it are local. A tube that ovalises has a local part of a tenth of its second harmonic;
in a fold it is a quarter and grows (measured on the example studies).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from fea.collapse.flow_curve import uniform_strain
from fea.collapse.path_model import PathModel
from fea.collapse.strain import StrainPeak, require_even, ring_numbers
from geometry.arrays import Flags, Floats, Ints
from geometry.bar import Bar, axes, nominal_od_mm, nominal_wall_mm
from geometry.mesh import TubeMesh

Kind = Literal["plastic hinge", "ovalisation", "wrinkle", "neck", "clamp-edge dent"]

LOCAL_SHARE = 0.2
"""Local part over ovalisation from which on it counts as a fold."""

DEPTH_SHARE = 0.02
"""Local part over the wall from which on it is a fold: beside a clamp any wall has some less."""

FLAT_PERCENT = 10.0
"""Ovalisation from which on the mode is ovalisation: with less it is a plastic hinge.

A section flattened by it has lost some 7 % of its stiffness, 1.5 times its w over its radius
(Brazier's section, from memory).
"""

HALF_WAVE = 1.72
"""Half wave of a ripple in sqrt(radius x wall), within which a fold belongs to a clamp's edge: that
of an elastic cylinder in axial compression.

Source: pi/(12 (1 - nu^2))^(1/4), Timoshenko & Gere, Theory of Elastic Stability; from memory.
"""


SAME_TURN = 9
"""Decimals of a radian to which two nodes have the same place round the tube."""


@dataclass(frozen=True, eq=False)
class Rings:
    """Rings of nodes at the ends of the elements.

    Attributes:
        s_mm: (R,) their places along the bar, ascending; R rings of T nodes.
        theta_rad: (R, T) places of their nodes round the tube, ascending.
        outer: (R, T) node numbers on the outer surface.
        inner: (R, T) node numbers on the inner surface, beneath them.
    """

    s_mm: Floats
    theta_rad: Floats
    outer: Ints
    inner: Ints


@dataclass(frozen=True, eq=False)
class Shape:
    """The radial displacement of the wall at every ring.

    Attributes:
        oval_mm: (R,) second harmonic of the middle line's radial displacement.
        oval_percent: (R,) largest less smallest diameter over the nominal one that this adds.
        local_mm: (R,) largest radial displacement without the harmonics up to the second.
        local_rad: (R,) where that is.
    """

    oval_mm: Floats
    oval_percent: Floats
    local_mm: Floats
    local_rad: Floats


def rings_of(mesh: TubeMesh) -> Rings:
    """Return the rings of a mesh.

    Raises:
        MeshError: The elements do not lie in rings of equal numbers.
    """
    numbers = ring_numbers(mesh.sheet.nodes[:, 0])
    return _rings(mesh, np.isin(numbers, numbers[mesh.sheet.corner]))


def close_rings_of(mesh: TubeMesh) -> Rings:
    """Return the rings at the ends and middles of the elements, with nodes on their long edges.

    Raises:
        MeshError: As `rings_of`.
    """
    theta = np.round(mesh.sheet.nodes[:, 1], SAME_TURN)
    return _rings(mesh, np.isin(theta, theta[mesh.sheet.corner]))


def _rings(mesh: TubeMesh, kept: Flags) -> Rings:
    """Return the rings of those nodes of the sheet that are kept."""
    s, theta = mesh.sheet.nodes.T
    on, numbers = np.flatnonzero(kept), ring_numbers(s)
    require_even(numbers[on])
    order = np.lexsort((theta[on], numbers[on]))
    nodes = on[order].reshape(len(np.unique(numbers[on])), -1)
    return Rings(
        s[nodes].mean(axis=1),
        theta[nodes],
        np.searchsorted(mesh.owner, nodes, side="right") - 1,
        np.searchsorted(mesh.owner, nodes, side="left"),
    )


def shape_of(rings: Rings, points_mm: Floats, displacement: Floats) -> Shape:
    """Return the shape of every ring.

    Args:
        rings: The rings.
        points_mm: (N, 3) places of all nodes.
        displacement: (N, 3) of all nodes, mm.

    Source: Fourier series of the middle line's radial displacement; module docstring.
    """
    deformed = points_mm + displacement
    before, after = ((at[rings.outer] + at[rings.inner]) / 2 for at in (points_mm, deformed))
    out = _radial_displacement(before, after)
    waves = np.exp(1j * np.arange(3)[:, None, None] * rings.theta_rad)
    parts = 2 * np.mean(out * waves, axis=2)
    parts[0] /= 2
    local = out - np.sum((parts[:, :, None] * waves.conj()).real, axis=0)
    width = np.linalg.norm(points_mm[rings.outer] - before.mean(axis=1)[:, None], axis=2)
    oval = np.abs(parts[2])
    percent = 100 * 2 * oval / width.mean(axis=1)
    local_mm, local_rad = _largest(np.abs(local), rings.theta_rad)
    return Shape(oval, percent, local_mm, local_rad)


def kind_of(
    path_model: PathModel, rings: Rings, shape: Shape, peak: StrainPeak, axial: float
) -> Kind:
    """Return the collapse mode where the plastic strain is largest.

    Args:
        path_model: The bar.
        rings: Rings of its mesh.
        shape: Their radial displacement.
        peak: Where the averaged plastic strain is largest.
        axial: Plastic strain along the bar there, positive where the wall is stretched.
    """
    bar, clamp = path_model.model.bar, path_model.model.clamp
    metal, material = path_model.equations.solid.metal, bar.spec.material
    wall = float(nominal_wall_mm(bar, np.array(peak.s_mm)))
    radius = (float(nominal_od_mm(bar, np.array(peak.s_mm))) - wall) / 2
    reach = HALF_WAVE * float(np.sqrt(radius * wall))
    away = np.abs(rings.s_mm - peak.s_mm)
    near = away <= max(reach, float(away.min()))
    deep = max(LOCAL_SHARE * shape.oval_mm[near].max(), DEPTH_SHARE * wall)
    folds = shape.local_mm[near].max() >= deep
    at_edge = any(abs(peak.s_mm - edge) <= reach for edge, _ in clamp.edges)
    uniform = uniform_strain(metal.curve, material.youngs_modulus_mpa) if metal.curve else np.inf
    if axial > 0 and not folds and peak.value >= uniform:
        return "neck"
    if folds:
        return "clamp-edge dent" if at_edge else "wrinkle"
    flattens = shape.oval_percent[near].max() >= FLAT_PERCENT
    return "ovalisation" if flattens else "plastic hinge"


def axial_strain(bar: Bar, plastic: Floats, peak: StrainPeak) -> float:
    """Return the component along the bar of a `plastic` strain (3, 3) at a place.

    Source: t . E t with the unit tangent t; textbook.
    """
    along = axes(bar, np.array([peak.s_mm]), np.array([peak.theta_rad]))[0, 0]
    return float(along @ plastic @ along)


def _radial_displacement(before: Floats, after: Floats) -> Floats:
    """Return the radial displacement of points (R, T, 3), less the best rigid motion of each ring.

    Source: W. Kabsch, Acta Cryst. A 32 (1976) 922, for the rotation; from memory.
    """
    first = before - before.mean(axis=1, keepdims=True)
    second = after - after.mean(axis=1, keepdims=True)
    left, _, right = np.linalg.svd(second.transpose(0, 2, 1) @ first)
    flip = np.ones((len(first), 3))
    flip[:, 2] = np.sign(np.linalg.det(left @ right))
    rotation = (left * flip[:, None, :]) @ right
    outward = first / np.linalg.norm(first, axis=2, keepdims=True)
    result: Floats = np.sum((second @ rotation - first) * outward, axis=2)
    return result


def _largest(values: Floats, theta: Floats) -> tuple[Floats, Floats]:
    """Return the largest of each row and the angle where it is."""
    at = np.argmax(values, axis=1)[:, None]
    return np.take_along_axis(values, at, 1)[:, 0], np.take_along_axis(theta, at, 1)[:, 0]
