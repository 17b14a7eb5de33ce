"""The material point: von Mises plasticity with isotropic hardening, in logarithmic strain.

Small-strain plasticity in H: T = K tr(H) 1 + 2 G dev(H - Hp), yielding at q(T) = f(p), Hp growing
along the deviator of T. With logarithmic strain this is plasticity of large strains, for metals
whose elastic strains are small. The plastic strain Hp stays in the axes of the undeformed bar.

Source: Simo & Hughes, Computational Inelasticity (1998), the radial return and its tangent; from
memory, and derived anew.
"""

from dataclasses import dataclass, field

import numpy as np

from fea.collapse.flow_curve import FlowCurve, flow
from geometry.arrays import Floats
from geometry.material import Material, shear_modulus_mpa

DEVIATOR = np.eye(6) - np.outer([1, 1, 1, 0, 0, 0], [1, 1, 1, 0, 0, 0]) / 3
SPHERE = np.outer([1, 1, 1, 0, 0, 0], [1, 1, 1, 0, 0, 0]).astype(float)


@dataclass(frozen=True, eq=False)
class Metal:
    """An isotropic metal: elastic inside its flow curve, plastic on it.

    Attributes:
        bulk_mpa: Bulk modulus K.
        shear_mpa: Shear modulus G.
        curve: The flow curve; None for an elastic metal.
    """

    bulk_mpa: float
    shear_mpa: float
    curve: FlowCurve | None


@dataclass(frozen=True, eq=False)
class State:
    """What a path remembers: internal variables of the metal at the points of every element.

    Attributes:
        plastic: (m, q, 6) plastic logarithmic strain, Mandel's components in the axes of the mesh.
        equivalent: (m, q) equivalent plastic strain, which never falls.
        anchors_mm: (P, 3) where friction is zero at P points of contact, as `contact` has it.
    """

    plastic: Floats
    equivalent: Floats
    anchors_mm: Floats = field(default_factory=lambda: np.zeros((0, 3)))


@dataclass(frozen=True, eq=False)
class PlasticState:
    """The metal's response at k points, in Mandel's components of the axes that were given.

    Attributes:
        stress: (k, 6) T in MPa.
        plastic: (k, 6) new plastic strain.
        equivalent: (k,) new equivalent plastic strain.
        along: (k, 6) trial deviator over its size.
        share: (k,) deviator over trial deviator.
        drop: (k,) what dT/dH loses along `along`, over 3 G.
    """

    stress: Floats
    plastic: Floats
    equivalent: Floats
    along: Floats
    share: Floats
    drop: Floats


def metal_of(material: Material, curve: FlowCurve | None) -> Metal:
    """Return a material's metal with a flow curve."""
    bulk = material.youngs_modulus_mpa / (3 * (1 - 2 * material.poisson_ratio))
    return Metal(bulk, shear_modulus_mpa(material), curve)


def virgin(elements: int, points: int) -> State:
    """Return the state of a metal that has never yielded."""
    return State(np.zeros((elements, points, 6)), np.zeros((elements, points)))


def radial_return(
    metal: Metal, strain: Floats, plastic: Floats, equivalent: Floats
) -> PlasticState:
    """Return the response to a `strain` H (k, 6), `plastic` (k, 6) and `equivalent` (k,) before.

    Source: module docstring.

    Raises:
        SolveError: The flow stress does not converge.
    """
    G = metal.shear_mpa
    pressure = metal.bulk_mpa * strain[:, :3].sum(axis=1)
    trial = 2 * G * ((strain - plastic) @ DEVIATOR)
    size = np.sqrt(1.5 * np.einsum("ki,ki->k", trial, trial))
    share, drop, step = _return(metal, size, equivalent)
    along = trial / np.where(size > 0, size, 1.0)[:, None]
    stress = share[:, None] * trial
    stress[:, :3] += pressure[:, None]
    further = plastic + 1.5 * step[:, None] * along
    return PlasticState(stress, further, equivalent + step, along, share, drop)


def plastic_tangent(metal: Metal, state: PlasticState) -> Floats:
    """Return the tangents dT/dH (k, 6, 6) of the metal's response, in MPa, symmetric.

    Source: module docstring.
    """
    G, along = metal.shear_mpa, state.along
    # 1.5 along.along = 1: the unit normal is sqrt(1.5) along
    tangent = metal.bulk_mpa * SPHERE + (2 * G * state.share)[:, None, None] * DEVIATOR
    tangent -= (3 * G * state.drop)[:, None, None] * along[:, :, None] * along[:, None, :]
    return np.asarray(tangent)


def _return(metal: Metal, size: Floats, before: Floats) -> tuple[Floats, Floats, Floats]:
    """Return stress over trial stress, what the tangent loses along it, and the plastic step."""
    if metal.curve is None:
        return np.ones_like(size), np.zeros_like(size), np.zeros_like(size)
    thrice = 3 * metal.shear_mpa
    stress, slope = flow(metal.curve, size + thrice * before, metal.shear_mpa)
    yields = stress < size * (1 - 1e-14)
    share = np.where(yields, stress / np.where(size > 0, size, 1.0), 1.0)
    slope = np.where(yields, slope, 0.0)
    drop = np.where(yields, share - slope / (thrice + slope), 0.0)
    step = np.where(yields, (size - stress) / thrice, 0.0)
    return share, drop, step
