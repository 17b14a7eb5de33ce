"""How far the mesh is from the exact answer: the energy of recovered minus computed stress.

The recovered stress, linear through the wall between bore and outer face, is taken as the
better one. The computed stress is that of the 2 x 2 x 2 Gauss points, linear between them,
for these are the only points whose strain the reduced integration puts energy into; the
strain elsewhere holds parasitic parts that displacements do not suffer from. The squared
energy norm of the difference over twice the strain energy is the relative error of the work of the
loads, hence of a deflection under one load; its share in the elements at the peak is that
of stress there, in the energy norm.

Source: Zienkiewicz & Zhu, Int. J. Numer. Methods Eng. 24 (1987) 337-357; from memory,
unverified. Its effectivity is tested against refined solves.
"""

from dataclasses import dataclass

import numpy as np

from fea.element import line_gauss, quad8_gauss
from fea.hot_spot import Peak
from fea.model import Model
from fea.recovery import Recovery, SurfaceStress, in_axes, stress_mpa
from fea.statics import StaticAnswer
from geometry.arrays import Floats, Ints
from geometry.material import Material
from geometry.mesh import ONE_TURN

POINTS = 3
"""Points each way at which the two stresses are compared: they agree best at 2."""


@dataclass(frozen=True, eq=False)
class ErrorEstimate:
    """Estimated discretisation error of one load case.

    Attributes:
        squared_nmm: (m,) squared energy norm of each element's error.
        deflection_percent: Of the work of the loads.
        stress_percent: Of the stress in the elements at the peak, in the energy norm.
    """

    squared_nmm: Floats
    deflection_percent: float
    stress_percent: float


def estimate_error(
    model: Model,
    recovery: Recovery,
    stress: SurfaceStress,
    answer: StaticAnswer,
    peak: Peak,
) -> ErrorEstimate:
    """Return the estimate for one load case.

    Args:
        model: The equations.
        recovery: That of the model's mesh.
        stress: Recovered stress of the case.
        answer: Its displacements and strain energy.
        peak: Where its peak stress is.
    """
    material = model.bar.spec.material
    better = _recovered(model, stress)
    volumes = _spread(8 * _by_layer(model, model.grads.volumes_mm3)[..., None]) * _weights()
    computed = _spread(_computed(model, recovery, answer.displacement_mm))
    error = (_energy_density(material, better - computed) * volumes[..., 0]).sum(axis=(2, 3))
    whole = (_energy_density(material, better) * volumes[..., 0]).sum(axis=(2, 3))
    near = _elements_at(model, peak)
    return ErrorEstimate(
        error.ravel(),
        100 * float(error.sum()) / (2 * answer.energy_nmm),
        100 * float(np.sqrt(error[:, near].sum() / whole[:, near].sum())),
    )


def _computed(model: Model, recovery: Recovery, moved: Floats) -> Floats:
    """Return (layers, Q, 2, 4, 6): stress at the Gauss points in the tube's axes."""
    stress = stress_mpa(model.grads, model.bar.spec.material, moved[model.mesh.cells])
    return in_axes(_by_layer(model, stress), recovery.sample_axes[:, None])


def _recovered(model: Model, stress: SurfaceStress) -> Floats:
    """Return (layers, Q, 3, 9, 6): the recovered stress at the points, linear through the wall."""
    flat, quads = quad8_gauss(POINTS).values, model.mesh.sheet.quads
    outer, bore = (flat @ values[quads] for values in (stress.outer, stress.bore))
    depth, _ = line_gauss(POINTS)
    layers = np.arange(model.mesh.layers)[:, None]
    zeta = ((layers + depth) / model.mesh.layers)[:, None, :, None, None]
    result: Floats = zeta * outer[None, :, None] + (1 - zeta) * bore[None, :, None]
    return result


def _by_layer(model: Model, values: Floats) -> Floats:
    """Return values (m, 8, ...) as (layers, Q, 2, 4, ...): depth, then place in the sheet."""
    return values.reshape(model.mesh.layers, -1, 2, 4, *values.shape[2:])


def _spread(values: Floats) -> Floats:
    """Return (layers, Q, 3, 9, k): values (layers, Q, 2, 4, k) linear between Gauss points."""
    (low, high), _ = line_gauss(2)
    x, _ = line_gauss(POINTS)
    line = np.column_stack([high - x, x - low]) / (high - low)
    flat = np.kron(line, line)
    result: Floats = np.einsum("zc,fp,lncpk->lnzfk", line, flat, values, optimize=True)
    return result


def _weights() -> Floats:
    """Return (3, 9, 1): the finer rule's weights."""
    _, w = line_gauss(POINTS)
    result: Floats = np.einsum("z,f->zf", w, np.outer(w, w).ravel())[..., None]
    return result


def _energy_density(material: Material, stress: Floats) -> Floats:
    """Return (...,): stress : compliance : stress of components (..., 6), Hooke's law."""
    e, nu = material.youngs_modulus_mpa, material.poisson_ratio
    direct, shear = stress[..., :3], stress[..., 3:]
    squares = (1 + nu) * ((direct**2).sum(-1) + 2 * (shear**2).sum(-1))
    result: Floats = (squares - nu * direct.sum(-1) ** 2) / e
    return result


def _elements_at(model: Model, peak: Peak) -> Ints:
    """Return the quads whose nodes include the sheet node at the peak's place."""
    nodes, quads = model.mesh.sheet.nodes, model.mesh.sheet.quads
    turn = (nodes[:, 1] - peak.theta_rad + np.pi) % ONE_TURN - np.pi
    node = int(np.argmin(np.abs(nodes[:, 0] - peak.s_mm) + np.abs(turn)))
    return np.flatnonzero((quads == node).any(axis=1))
