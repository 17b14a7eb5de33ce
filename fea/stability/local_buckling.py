"""Utilisation of a thin wall place by place: yield, local buckling, hoop yield.

Resultants through the wall come from the stress on both surfaces: the membrane part is their mean,
the bending part half their difference. At each place (s, theta) of the sheet:

- first yield: von Mises stress on either surface over the proof stress;
- local buckling: sqrt(w^2 + h^2 + v^2). w is the elastic-plastic compressive axial strain over the
  strain at which a cylinder of this radius and wall wrinkles (`wrinkling`), with a knock-down for
  imperfections where that is elastic; h and v are membrane hoop compression and shear over the
  critical ones of a long cylinder (`_hoop_share`). Exponents of 2 after the interaction of
  EN 1993-1-6 for stocky walls, its relieving cross term left out (from memory, unverified);
- hoop yield: hoop bending over the proof stress, or the section's bending moment over the
  moment at which a tube of its section reaches its limit load (Brazier), whichever is more.

For tubes of diameter over wall 13 to 36 the critical wrinkling stress lies at 1.0 to 1.1 of the
proof stress, so a linear stress over it would be yield alone; strains distinguish the two.

Limits: a straight cylinder's wrinkling, of a perfect tube where it is plastic, with the stress
along it changing slowly next to the wrinkle's half wave (`Walls.half_wave_mm`). A bend flattened
under load wrinkles earlier. h and v are of a tube far longer than its buckles, low for a short
arm. Stress inside load bands is not judged.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from fea.solid.cross_sections import Rings, rings_of
from fea.solid.model import Model
from fea.solid.recovery import AXIAL, HOOP, SHEAR, von_mises_mpa
from fea.stability.section_bending import elastic_plastic_strain
from fea.stability.stress_strain import Curve
from fea.stability.tube_buckling import (
    brazier_moment_nmm,
    hoop_critical_mpa,
    rounded_critical_mpa,
    torsion_critical_mpa,
)
from fea.stability.wrinkling import critical_wrinkle
from geometry.arrays import Flags, Floats, Ints
from geometry.material import Material


@dataclass(frozen=True, eq=False)
class Walls:
    """The sections of a bar and their strengths, independent of the load, (S, k) each.

    Attributes:
        rings: The sections.
        curve: Stress-strain curve of the material in compression.
        axial_strain: Critical wrinkling strain in uniform compression of the section.
        bending_strain: Likewise in bending.
        half_wave_mm: Half wave of the wrinkle.
        hoop_mpa: Critical membrane hoop compression of the section.
        shear_mpa: Its critical membrane shear.
        flattening_nmm: (S,) its limit moment by flattening (Brazier).
        proof_stress_mpa: Of the material.
    """

    rings: Rings
    curve: Curve
    axial_strain: Floats
    bending_strain: Floats
    half_wave_mm: Floats
    hoop_mpa: Floats
    shear_mpa: Floats
    flattening_nmm: Floats
    proof_stress_mpa: float


@dataclass(frozen=True, eq=False)
class WallStress:
    """Stress of the walls at one multiple of a load, from which every local criterion is read.

    Attributes:
        walls: From `walls_of`.
        outer: (P, 6) stress in the tube's own axes on the outer surface, MPa.
        inner: (P, 6) on the inner surface, MPa.
    """

    walls: tuple[Walls, ...]
    outer: Floats
    inner: Floats

    @property
    def membrane(self) -> Floats:
        """Return (P, 6): the mean through the wall, MPa.

        Source: module docstring.
        """
        return np.asarray((self.outer + self.inner) / 2)

    @property
    def proof_stress_mpa(self) -> float:
        """Return the proof stress of the material."""
        return self.walls[0].proof_stress_mpa


def walls_of(model: Model, curve: Curve) -> tuple[Walls, ...]:
    """Return the sections of a model and the strengths of their walls."""
    return tuple(
        _walls(rings, curve, model.bar.spec.material)
        for rings in rings_of(model.bar, model.mesh.sheet)
    )


def sections_reaching(walls: Sequence[Walls], used: Floats) -> tuple[Walls, ...]:
    """Return the sections where `used` (P,), a utilisation, reaches 1 anywhere round the tube.

    Source: definition.
    """
    reached = ((each, np.any(used[each.rings.nodes] >= 1, axis=1)) for each in walls)
    return tuple(chosen_walls(each, rows) for each, rows in reached if rows.any())


def chosen_walls(walls: Walls, rows: Flags | Ints) -> Walls:
    """Return some sections of walls: `rows` (S,) flags, or (n,) numbers."""
    rings = Rings(*(getattr(walls.rings, part.name)[rows] for part in fields(Rings)))
    return Walls(
        rings,
        walls.curve,
        walls.axial_strain[rows],
        walls.bending_strain[rows],
        walls.half_wave_mm[rows],
        walls.hoop_mpa[rows],
        walls.shear_mpa[rows],
        walls.flattening_nmm[rows],
        walls.proof_stress_mpa,
    )


def yield_share(stress: WallStress) -> Floats:
    """Return (P, 1): the ratio of the larger von Mises stress of both surfaces to the proof stress.

    Source: module docstring.
    """
    worst = np.maximum(von_mises_mpa(stress.outer), von_mises_mpa(stress.inner))
    return np.asarray(worst / stress.proof_stress_mpa)[:, None]


def hoop_yield_share(stress: WallStress) -> Floats:
    """Return (P, 1): the ratio of hoop bending to proof stress, or of moment to flattening moment.

    Source: module docstring.
    """
    used = np.abs(stress.outer - stress.inner)[:, HOOP] / 2 / stress.proof_stress_mpa
    membrane = stress.membrane
    for each in stress.walls:
        nodes = each.rings.nodes
        flattened = _moment_nmm(each.rings, membrane[nodes][..., AXIAL]) / each.flattening_nmm
        used[nodes] = np.maximum(used[nodes], flattened[:, None])
    return np.asarray(used)[:, None]


def local_buckling_shares(stress: WallStress) -> Floats:
    """Return (P, 3): shares of wrinkling, hoop compression and shear."""
    parts, membrane = np.zeros((len(stress.outer), 3)), stress.membrane
    for each in stress.walls:
        parts[each.rings.nodes] = _parts(each, membrane[each.rings.nodes])
    return parts


def _walls(rings: Rings, curve: Curve, material: Material) -> Walls:
    # the formulas are for walls thinner than the radius; of thicker ones nothing buckles
    radius, wall = rings.radius_mm, np.minimum(rings.wall_mm, rings.radius_mm)
    evenly, bent = (critical_wrinkle(curve, radius, wall, share) for share in (0.0, 1.0))
    e, nu = material.youngs_modulus_mpa, material.poisson_ratio
    proof = material.proof_stress_mpa
    whole = rings.area_mm2.sum(axis=1)
    mean_radius = (radius * rings.area_mm2).sum(axis=1) / whole
    mean_wall = np.minimum(whole / (2 * np.pi * mean_radius), mean_radius)
    return Walls(
        rings,
        curve,
        evenly.strain,
        bent.strain,
        bent.half_wave_mm,
        rounded_critical_mpa(hoop_critical_mpa(e, nu, radius, wall), proof),
        rounded_critical_mpa(torsion_critical_mpa(e, nu, radius, wall), proof / np.sqrt(3)),
        brazier_moment_nmm(e, nu, mean_radius, mean_wall),
        proof,
    )


def _parts(walls: Walls, membrane: Floats) -> Floats:
    """Return (S, k, 3): shares of wrinkling, hoop compression and shear."""
    rings = walls.rings
    axial = membrane[..., AXIAL]
    strain = elastic_plastic_strain(
        walls.curve, axial, rings.front_mm, rings.top_mm, rings.area_mm2
    )
    pressed = np.maximum(-strain, 0.0)
    hoop = _hoop_share(walls, membrane[..., HOOP])
    shear = np.abs(membrane[..., SHEAR]) / walls.shear_mpa
    return np.stack([pressed / _critical_strain(walls, axial), hoop, shear], axis=-1)


def _hoop_share(walls: Walls, hoop: Floats) -> Floats:
    """Return (S, k): hoop compression over the critical one.

    A long cylinder buckles by uniform pressure, the mean over the section; local compression, as
    beside a clamp's edge, is compared with yield.
    """
    area = walls.rings.area_mm2
    mean = (hoop * area).sum(axis=1, keepdims=True) / area.sum(axis=1, keepdims=True)
    around = np.maximum(-mean, 0.0) / walls.hoop_mpa
    return np.asarray(np.maximum(around, np.maximum(-hoop, 0.0) / walls.proof_stress_mpa))


def _critical_strain(walls: Walls, axial: Floats) -> Floats:
    """Return (S, k): the critical strain between those of uniform compression and of bending.

    The stress at a place is a uniform part, the mean over the section, and a rest; their shares
    weight the reciprocals of the two strains, a linear interaction.
    """
    area = walls.rings.area_mm2
    even = np.abs((axial * area).sum(axis=1) / area.sum(axis=1))[:, None]
    rest = np.abs(axial) + 0 * even
    share = np.clip(np.divide(even, rest, out=np.ones_like(rest), where=rest > even), 0.0, 1.0)
    result: Floats = 1 / (share / walls.axial_strain + (1 - share) / walls.bending_strain)
    return result


def _moment_nmm(rings: Rings, axial: Floats) -> Floats:
    """Return (S,): magnitude of the bending moment of an axial stress (S, k)."""
    force = axial * rings.area_mm2
    even = force.sum(axis=1, keepdims=True) / rings.area_mm2.sum(axis=1, keepdims=True)
    bent = force - even * rings.area_mm2
    result: Floats = np.hypot(
        (bent * rings.front_mm).sum(axis=1), (bent * rings.top_mm).sum(axis=1)
    )
    return result
