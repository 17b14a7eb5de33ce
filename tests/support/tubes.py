"""Tubes meshed straight from the bar's map, over any stretch of it, without a clamp."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from geometry.arrays import Flags, Floats, Ints
from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_effects import BendEffects
from geometry.bend_table import Polyline
from geometry.material import Material
from geometry.mesh import TubeMesh, extruded, flat_sheet
from geometry.section import Station
from support.blocks import faces_on


def plain_bar(right: Polyline, od_mm: float, wall_mm: float, material: Material) -> Bar:
    """Return a bar of constant section that bending left unchanged."""
    effects = BendEffects(wall_change=False)
    stations = (Station(0, od_mm, wall_mm),)
    return build_bar(BarSpec("test", right, stations, material, effects=effects))


def straight_bar(length_mm: float, od_mm: float, wall_mm: float, material: Material) -> Bar:
    """Return a straight tube of two halves of this length."""
    return plain_bar(Polyline(((0, 0, 0), (length_mm, 0, 0)), ()), od_mm, wall_mm, material)


def elbow_bar(
    section_mm: tuple[float, float],
    radius_mm: float,
    angle_rad: float,
    tangent_mm: float,
    material: Material,
) -> Bar:
    """Return a bar whose halves are a tangent, a bend to the front and a tangent."""
    setback = radius_mm * np.tan(angle_rad / 2)
    corner = tangent_mm + setback
    end = corner + corner * np.cos(angle_rad), corner * np.sin(angle_rad), 0.0
    points = ((0.0, 0.0, 0.0), (corner, 0.0, 0.0), (float(end[0]), float(end[1]), 0.0))
    return plain_bar(Polyline(points, (radius_mm,)), *section_mm, material)


def stretch(
    bar: Bar, lines_mm: Floats, counts: tuple[int, ...], round_count: int, layers: int = 1
) -> TubeMesh:
    """Return a mesh of `counts[i]` equal elements between lines i and i + 1."""
    ends = [(a, b) for a, b in pairwise(lines_mm)]
    places = np.array([(a + 1e-9, b - 1e-9) for a, b in ends]).ravel()
    sizes = np.repeat([(b - a) / n for (a, b), n in zip(ends, counts, strict=True)], 2)
    sheet = flat_sheet(np.asarray(lines_mm, float), (places, sizes), round_count)
    return extruded(bar, sheet, layers)


def at_s(mesh: TubeMesh, s_mm: float) -> Flags:
    """Return (N,): the nodes of the cross-section at s."""
    return np.abs(mesh.block[:, 0] - s_mm) < 1e-6


def end_faces(mesh: TubeMesh, s_mm: float) -> Ints:
    """Return the element faces (n, 8) of an end, their normals outward."""
    return faces_on(mesh.cells, at_s(mesh, s_mm))


def curvy_bar(material: Material) -> Bar:
    """Return a bar with two bends in space, taper, wall change and ovality."""
    points = ((0, 0, 0), (110, 0, 0), (150, -5, 30), (345, -55, 32))
    stations = (Station(0, 31.8, 2.0), Station(35, 31.8, 2.0), Station(95, 22.2, 1.6))
    effects = BendEffects(wall_change=True, ovality_percent=5.0)
    spec = BarSpec("curvy", Polyline(points, (70, 70)), stations, material, effects=effects)
    return build_bar(spec)


def distorted(bar: Bar, mesh: TubeMesh) -> TubeMesh:
    """Return the mesh with its elements sheared and squeezed in the sheet, its ends kept."""
    low, high = mesh.block[:, 0].min(), mesh.block[:, 0].max()

    def moved(places: Floats) -> Floats:
        s, theta = places[..., 0], places[..., 1]
        inside = np.sin(np.pi * (s - low) / (high - low))
        shifted = s + 0.04 * (high - low) * inside * np.sin(2 * theta)
        return np.stack([shifted, theta + 0.1 * inside * np.cos(theta)], axis=-1)

    sheet = replace(mesh.sheet, nodes=moved(mesh.sheet.nodes), places=moved(mesh.sheet.places))
    return extruded(bar, sheet, mesh.layers)
