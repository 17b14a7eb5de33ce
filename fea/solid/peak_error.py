"""Discretisation error of the peak stress, where and as it is read.

Two parts add up, each the difference of two readings of the same solution:
- in the sheet: the patch fit (`patch_fit`) from the stress of the elements round the node, each
  linear between its own 2 x 2 points, in the mean over the elements;
- through the wall: the stress from the strain in the surface, with no traction upon it, from the
  reading itself. A surface outside the load bands is free, so tractions there are nothing but the
  error of stress that is linear through the wall. Elements refined in the sheet keep that error.

Beside a clamp's edge both are of the two lines that the hot-spot rule reads, with its weights: the
edge itself, near which no mesh converges, has no part in them.

The factors on the parts and the floor are calibrated on random bars: `tests/calibration`.

Source: the first part Zienkiewicz & Zhu, Int. J. Numer. Methods Eng. 24 (1987) 337-357 (from
memory, unverified); the second equilibrium of a free surface and Hooke's law, textbook.
"""

from dataclasses import dataclass

import numpy as np

from fea.solid.element import line_gauss
from fea.solid.hot_spot import Peak, nodes_read
from fea.solid.model import Model
from fea.solid.recovery import (
    AXIAL,
    HOOP,
    SHEAR,
    Recovery,
    surface_samples,
    von_mises_mpa,
)
from fea.solid.statics import StaticAnswer
from geometry.arrays import Floats, Ints
from geometry.material import Material

SHEET_FACTOR, WALL_FACTOR, FLOOR_PERCENT = 1.25, 2.0, 0.2
"""Of each part, and what is always added: calibrated, see the module docstring."""

PEAK_COVERAGE = "covers the true error of 95 % of random bars"
"""What the estimate is calibrated to."""

CORNERS = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0.5, 0], [1, 0.5], [0.5, 1], [0, 0.5]])
"""Natural coordinates of a quad's eight nodes."""


@dataclass(frozen=True)
class PeakError:
    """The two parts of the error of a peak, in percent of it, before any calibration."""

    sheet_percent: float
    wall_percent: float

    @property
    def percent(self) -> float:
        """Return the calibrated estimate.

        Source: module docstring.
        """
        parts = SHEET_FACTOR * self.sheet_percent + WALL_FACTOR * self.wall_percent
        return parts + FLOOR_PERCENT


def peak_error(model: Model, recovery: Recovery, answer: StaticAnswer, peak: Peak) -> PeakError:
    """Return the parts of the error of a peak's stress.

    Source: module docstring.

    Args:
        model: The equations.
        recovery: That of the model's mesh.
        answer: Displacements of the case.
        peak: Where its peak stress is, and how it is read.
    """
    material = model.bar.spec.material
    samples = surface_samples(recovery, model.mesh, model.grads, material, answer.displacement_mm)
    own = samples.outer if peak.surface == "outer" else samples.inner
    nodes, weights = nodes_read(model, peak)
    read = weights @ (recovery.fit[nodes] @ own.reshape(-1, 6))
    computed = weights @ np.stack([_of_elements(model.mesh.sheet.quads, own, n) for n in nodes])
    size = float(von_mises_mpa(read))
    wall = abs(float(von_mises_mpa(free_of_traction(read, material))) - size)
    sheet = float(von_mises_mpa(read - computed))
    return PeakError(100 * sheet / size, 100 * wall / size)


def free_of_traction(stress: Floats, material: Material) -> Floats:
    """Return the stress (6,), MPa, with the strains of `stress` (6,) in a surface and no traction.

    Source: Hooke's law in plane stress, textbook.
    """
    nu = material.poisson_ratio
    # what the outward stress adds to both in-plane stresses of the same strains
    by_outward = nu / (1 - nu) * stress[2]
    free = np.zeros(6)
    free[AXIAL], free[HOOP], free[SHEAR] = (
        stress[AXIAL] - by_outward,
        stress[HOOP] - by_outward,
        stress[SHEAR],
    )
    return free


def _of_elements(quads: Ints, samples: Floats, node: int) -> Floats:
    """Return (6,): the mean over the quads of a node of samples (Q, 4, 6) linear in each."""
    quad, place = np.nonzero(quads == node)
    result: Floats = np.einsum("nk,nkc->nc", _linear()[place], samples[quad]).mean(axis=0)
    return result


def _linear() -> Floats:
    """Return (8, 4): linear functions between the 2 x 2 points at a quad's nodes."""
    (low, high), _ = line_gauss(2)
    a, b = np.moveaxis(np.stack([high - CORNERS, CORNERS - low], axis=-1) / (high - low), 1, 0)
    result: Floats = np.einsum("nj,ni->nji", b, a).reshape(8, 4)
    return result
