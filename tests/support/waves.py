"""A displacement wave u = A sin(k . x): its stress and the body force that holds it in balance.

Source: linear elasticity of isotropic material, textbook.
"""

from dataclasses import dataclass

import numpy as np

from fea.solid.element import hex20_gauss
from fea.solid.kernels import gradients, lame_mpa
from geometry.arrays import Floats, Ints
from geometry.material import Material


@dataclass(frozen=True)
class Wave:
    """The wave.

    Attributes:
        height_mm: (3,) A.
        number_per_mm: (3,) k.
        material: In what.
    """

    height_mm: tuple[float, float, float]
    number_per_mm: tuple[float, float, float]
    material: Material

    def displacement(self, points_mm: Floats) -> Floats:
        """Return (..., 3) in mm at places (..., 3)."""
        return np.sin(points_mm @ self.number_per_mm)[..., None] * np.array(self.height_mm)

    def stress(self, points_mm: Floats) -> Floats:
        """Return (..., 3, 3) in MPa."""
        lam, mu = lame_mpa(self.material)
        slope = np.outer(self.height_mm, self.number_per_mm)
        unit = mu * (slope + slope.T) + lam * np.trace(slope) * np.eye(3)
        return np.cos(points_mm @ self.number_per_mm)[..., None, None] * unit

    def body_force(self, points_mm: Floats) -> Floats:
        """Return (..., 3) in N/mm3: minus the divergence of the stress."""
        lam, mu = lame_mpa(self.material)
        A, k = np.array(self.height_mm), np.array(self.number_per_mm)
        unit = (lam + mu) * (A @ k) * k + mu * (k @ k) * A
        return np.sin(points_mm @ self.number_per_mm)[..., None] * unit

    def nodal_force(self, points_mm: Floats, cells: Ints) -> Floats:
        """Return (N, 3) in N: what the body force does on a mesh."""
        rule = hex20_gauss(3)
        volumes = gradients(points_mm, cells, rule).volumes_mm3
        force = self.body_force(rule.values @ points_mm[cells])
        forces = np.zeros_like(points_mm)
        np.add.at(forces, cells, np.einsum("mq,qk,mqi->mki", volumes, rule.values, force))
        return forces
