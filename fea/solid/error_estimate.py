"""Discretisation error: the energy of recovered minus computed stress.

Both stresses are taken at the two Gauss depths of each element and run linearly through the
wall; in the sheet, the recovered one is the patch fit and the computed one that of the 2 x 2
points, linear between them. Only the strain at these points has energy under reduced integration;
the strain elsewhere has parasitic parts that displacements do not have.
The squared energy norm of the difference over twice the strain energy is the relative error of
the work of the loads, hence of a deflection under one load. That of the peak stress is
estimated where it is read (`peak_error`).

Source: Zienkiewicz & Zhu, Int. J. Numer. Methods Eng. 24 (1987) 337-357; from memory,
unverified. Its effectivity is tested against refined solves.
"""

from dataclasses import dataclass

import numpy as np

from fea.solid.element import line_gauss, quad8_gauss
from fea.solid.hot_spot import Peak
from fea.solid.model import Model
from fea.solid.peak_error import peak_error
from fea.solid.recovery import Recovery, in_axes, stress_mpa
from fea.solid.statics import StaticAnswer
from geometry.arrays import Floats
from geometry.material import Material

POINTS = 3
"""Points each way at which the two stresses are compared: they agree best at 2."""


@dataclass(frozen=True, eq=False)
class ErrorEstimate:
    """Estimated discretisation error of one load case.

    Attributes:
        squared_nmm: (m,) squared energy norm of each element's error.
        deflection_percent: Of the work of the loads.
        stress_percent: Of the peak stress, calibrated to cover it (`peak_error`).
    """

    squared_nmm: Floats
    deflection_percent: float
    stress_percent: float


def estimate_error(
    model: Model, recovery: Recovery, answer: StaticAnswer, peak: Peak
) -> ErrorEstimate:
    """Return the estimate for one load case.

    Source: module docstring.

    Args:
        model: The equations.
        recovery: That of the model's mesh.
        answer: Displacements and strain energy of the case.
        peak: Where its peak stress is.
    """
    material = model.bar.spec.material
    at_points = _computed(model, recovery, answer.displacement_mm)
    better = _through_wall(_recovered(model, recovery, at_points))
    computed = _through_wall(_in_sheet(at_points))
    volumes = _through_wall(_in_sheet(8 * _by_layer(model, model.grads.volumes_mm3)[..., None]))
    volumes = (volumes * _weights())[..., 0]
    error = (_energy_density(material, better - computed) * volumes).sum(axis=(2, 3))
    return ErrorEstimate(
        error.ravel(),
        100 * float(error.sum()) / (2 * answer.energy_nmm),
        peak_error(model, recovery, answer, peak).percent,
    )


def _computed(model: Model, recovery: Recovery, displacement: Floats) -> Floats:
    """Return (layers, Q, 2, 4, 6): stress at the Gauss points in the tube's axes."""
    stress = stress_mpa(model.grads, model.bar.spec.material, displacement[model.mesh.cells])
    return in_axes(_by_layer(model, stress), recovery.sample_axes[:, None])


def _recovered(model: Model, recovery: Recovery, computed: Floats) -> Floats:
    """Return (layers, Q, 2, 9, 6): the patch fit of each depth at the finer rule's points."""
    layers, quads = computed.shape[:2]
    samples = computed.transpose(1, 3, 0, 2, 4).reshape(4 * quads, -1)
    nodal = (recovery.fit @ samples).reshape(-1, layers, 2, 6)[model.mesh.sheet.quads]
    result: Floats = np.einsum("fk,nklcp->lncfp", quad8_gauss(POINTS).values, nodal, optimize=True)
    return result


def _by_layer(model: Model, values: Floats) -> Floats:
    """Return values (m, 8, ...) as (layers, Q, 2, 4, ...): depth, then place in the sheet."""
    return values.reshape(model.mesh.layers, -1, 2, 4, *values.shape[2:])


def _in_sheet(values: Floats) -> Floats:
    """Return (layers, Q, 2, 9, k): values (layers, Q, 2, 4, k) linear between the 2 x 2 points."""
    result: Floats = np.kron(_line(), _line()) @ values
    return result


def _through_wall(values: Floats) -> Floats:
    """Return (layers, Q, 3, 9, k): values (layers, Q, 2, 9, k) linear between the two depths."""
    result: Floats = np.einsum("zc,lncfk->lnzfk", _line(), values, optimize=True)
    return result


def _line() -> Floats:
    """Return (3, 2): linear functions between the 2 Gauss points at the finer rule's points."""
    (low, high), _ = line_gauss(2)
    x, _ = line_gauss(POINTS)
    line: Floats = np.column_stack([high - x, x - low]) / (high - low)
    return line


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
