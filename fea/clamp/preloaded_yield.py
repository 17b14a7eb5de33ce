"""The multiple of a load that yields the metal together with a steady stress."""

from collections.abc import Sequence

import numpy as np

from fea.solid.hot_spot import SURFACES, SurfaceName, read_surface
from fea.solid.model import Model
from fea.solid.recovery import SurfaceStress
from geometry.arrays import Floats
from loadcases.load import PlacedLoad


def yield_multiple(steady: Floats, load: Floats, proof_stress_mpa: float) -> Floats:
    """Return (P,): the factor on `load` (P, 6) that yields together with `steady` (P, 6).

    Stress at P places in MPa.

    Von Mises stress squared is a quadratic form, so that the multiple is the root of |steady +
    multiple load|^2 = proof^2; 0 where the steady stress yields by itself.

    Source: derived here from the von Mises stress.
    """
    a, b, c = _product(load, load), _product(steady, load), _product(steady, steady)
    reserve = proof_stress_mpa**2 - c
    root = np.sqrt(np.maximum(b**2 + a * reserve, 0.0))
    # the form that does not cancel, for either sign of b; without any load there is no multiple
    multiple = np.divide(reserve, b + root, out=np.full_like(reserve, np.inf), where=b + root > 0)
    return np.asarray(np.where(reserve > 0, multiple, 0.0))


def _product(first: Floats, second: Floats) -> Floats:
    """Return (P,): the inner product whose square is von Mises stress squared."""
    a, b = first[:, :3], second[:, :3]
    direct = 1.5 * (a * b).sum(axis=1) - 0.5 * a.sum(axis=1) * b.sum(axis=1)
    result: Floats = direct + 3 * (first[:, 3:] * second[:, 3:]).sum(axis=1)
    return result


def yield_multiples(
    model: Model,
    preload: SurfaceStress,
    loads: Sequence[PlacedLoad],
    stress: SurfaceStress,
    *,
    both_ways: bool,
) -> Floats:
    """Return (2, P): the multiple of the load that yields with the preload, outer surface first.

    inf where the stress is not judged, or never yields.

    Source: `yield_multiple`.
    """
    steady, load = (read_surface(model, each, loads) for each in (preload, stress))
    proof = model.bar.spec.material.proof_stress_mpa
    found = []
    for face in SURFACES:
        here, acting = getattr(steady, face), getattr(load, face)
        multiple = yield_multiple(here, acting, proof)
        if both_ways:
            multiple = np.minimum(multiple, yield_multiple(here, -acting, proof))
        found.append(np.where(load.counted, multiple, np.inf))
    return np.array(found)


def first_yield(
    model: Model,
    preload: SurfaceStress,
    loads: Sequence[PlacedLoad],
    stress: SurfaceStress,
    *,
    both_ways: bool,
) -> tuple[float, float, float, SurfaceName]:
    """Return the multiple of the load that yields with the largest preload, and where."""
    # beside a clamp's edge the stress is that read at the edge, so of equals the inmost counts
    nodes = model.mesh.sheet.nodes
    found: list[tuple[float, float, float, SurfaceName]] = []
    every = yield_multiples(model, preload, loads, stress, both_ways=both_ways)
    for face, multiple in zip(SURFACES, every, strict=True):
        node = int(np.lexsort((np.abs(nodes[:, 0]), multiple))[0])
        at_s, theta = nodes[node]
        found.append((float(multiple[node]), float(at_s), float(theta), face))
    return min(found, key=lambda place: place[0])
