"""Where a thin wall gives way before the bar does: yield, wrinkling, ovalisation, place by place.

Resultants through the wall come from the stress on both faces: the membrane part is their mean,
the bending part half their difference. At each place (s, theta) of the sheet:

- yield: von Mises stress on either face over the proof stress;
- stability: sqrt(w^2 + h^2 + v^2). w is the elastic-plastic compressive axial strain over the
  strain at which a cylinder of this radius and wall wrinkles (`wrinkling`), knocked down for
  flaws where that is elastic; h and v are membrane hoop compression and shear over what a long
  cylinder stands of each (`_hoop_share`). Exponents of 2 after the interaction of EN 1993-1-6 for
  stocky walls, its relieving cross term left out (from memory, unverified);
- ovalisation: hoop bending over the proof stress, or the section's bending moment over the
  moment at which a tube of its section flattens of itself (Brazier), whichever is more.

For tubes of diameter over wall 13 to 36 the critical wrinkling stress lies at 1.0 to 1.1 of the
proof stress, so a linear stress over it would be yield in disguise; strains tell them apart.

Limits: a straight cylinder's wrinkling, of a perfect tube where it is plastic, with the stress
along it changing slowly next to the wrinkle's half wave (`Walls.half_wave_mm`). A bend flattened
under load wrinkles earlier. h and v are of a tube far longer than its buckles, low for a short
arm. Stress inside load bands is not judged.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from fea.solid.cross_sections import Rings, rings_of
from fea.solid.hot_spot import SurfaceReading
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
from geometry.arrays import Floats
from geometry.material import Material

LimitName = Literal["yield", "stability", "ovalisation"]
LIMITS: tuple[LimitName, ...] = ("yield", "stability", "ovalisation")

STEP, MOST_STEPS, FACTOR_ERROR = 8 / 7, 25, 1e-3
"""Of the search for the load multiple; 25 steps reach 28 times first yield."""


@dataclass(frozen=True, eq=False)
class Walls:
    """What does not depend on the load: the sections of a bar and what they stand, (S, k) each.

    Attributes:
        rings: The sections.
        curve: Stress-strain curve of the material in compression.
        axial_strain: Strain at which the wall wrinkles where the section is compressed evenly.
        bending_strain: Likewise where it is bent.
        half_wave_mm: Half wave of the wrinkle.
        hoop_mpa: Membrane hoop compression that the section stands.
        shear_mpa: Membrane shear that it stands.
        flattening_nmm: (S,) moment at which it flattens of itself.
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
class LocalMap:
    """How far each place of the sheet is used, at one multiple of the load; 0 where not judged.

    Attributes:
        used: (P,) utilisation of each limit.
        parts: (P, 3) shares of stability: wrinkling, hoop compression, shear.
        strain: (P,) compressive elastic-plastic membrane strain along the tube.
        critical_strain: (P,) strain at which the wall wrinkles.
    """

    used: Mapping[LimitName, Floats]
    parts: Floats
    strain: Floats
    critical_strain: Floats


def walls_of(model: Model, curve: Curve) -> tuple[Walls, ...]:
    """Return the sections of a model and what their walls stand."""
    return tuple(
        _walls(rings, curve, model.bar.spec.material)
        for rings in rings_of(model.bar, model.mesh.sheet)
    )


def local_map(
    walls: tuple[Walls, ...], material: Material, reading: SurfaceReading, load_factor: float = 1.0
) -> LocalMap:
    """Return the utilisation of every place at a multiple of the load.

    Args:
        walls: From `walls_of`.
        material: What the bar is made of.
        reading: Linear stress at the load itself.
        load_factor: Multiple of it.
    """
    count = len(reading.outer)
    used = {name: np.zeros(count) for name in LIMITS}
    parts, strain, critical = np.zeros((count, 3)), np.zeros(count), np.full(count, np.inf)
    outer, inner = load_factor * reading.outer, load_factor * reading.inner
    worst = np.maximum(von_mises_mpa(outer), von_mises_mpa(inner))
    used["yield"] = worst / material.proof_stress_mpa
    membrane, hoop_bending = (outer + inner) / 2, np.abs(outer - inner)[:, HOOP] / 2
    used["ovalisation"] = hoop_bending / material.proof_stress_mpa
    for each in walls:
        nodes = each.rings.nodes
        parts[nodes], strain[nodes], critical[nodes] = _stability(each, membrane[nodes])
        flattened = _moment_nmm(each.rings, membrane[nodes][..., AXIAL]) / each.flattening_nmm
        used["ovalisation"][nodes] = np.maximum(used["ovalisation"][nodes], flattened[:, None])
    used["stability"] = np.sqrt((parts**2).sum(axis=1))
    counted = {name: np.where(reading.counted, values, 0.0) for name, values in used.items()}
    return LocalMap(counted, parts, strain, critical)


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


def _stability(walls: Walls, membrane: Floats) -> tuple[Floats, Floats, Floats]:
    """Return parts (S, k, 3), compressive strain (S, k) and critical strain (S, k)."""
    rings = walls.rings
    axial = membrane[..., AXIAL]
    strain = elastic_plastic_strain(
        walls.curve, axial, rings.front_mm, rings.top_mm, rings.area_mm2
    )
    critical = _critical_strain(walls, axial)
    pressed = np.maximum(-strain, 0.0)
    hoop = _hoop_share(walls, membrane[..., HOOP])
    shear = np.abs(membrane[..., SHEAR]) / walls.shear_mpa
    return np.stack([pressed / critical, hoop, shear], axis=-1), pressed, critical


def _hoop_share(walls: Walls, hoop: Floats) -> Floats:
    """Return (S, k): hoop compression over what it may be.

    A long cylinder buckles by what presses all round, the mean over the section; what presses
    in one place, as beside a clamp's edge, is held against yield.
    """
    area = walls.rings.area_mm2
    mean = (hoop * area).sum(axis=1, keepdims=True) / area.sum(axis=1, keepdims=True)
    around = np.maximum(-mean, 0.0) / walls.hoop_mpa
    return np.asarray(np.maximum(around, np.maximum(-hoop, 0.0) / walls.proof_stress_mpa))


def _critical_strain(walls: Walls, axial: Floats) -> Floats:
    """Return (S, k): the critical strain between even compression's and bending's.

    The stress at a place is an even part, the mean over the section, and a rest; their shares
    weigh the reciprocals of the two strains, as in a straight line of interaction.
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


def stability_factor(
    walls: tuple[Walls, ...], material: Material, reading: SurfaceReading
) -> float | None:
    """Return the multiple of the load at which the first place reaches stability 1.

    None where `MOST_STEPS` steps of a seventh beyond first yield do not reach it, as in a bar that
    is only stretched, or where no place is judged. Found by bisection to `FACTOR_ERROR`.
    """

    def used(load_factor: float) -> float:
        return float(local_map(walls, material, reading, load_factor).used["stability"].max())

    yields = float(local_map(walls, material, reading).used["yield"].max())
    if not yields:
        return None
    low, high = 0.0, 1.0 / yields
    for _ in range(MOST_STEPS):
        if used(high) >= 1:
            break
        low, high = high, STEP * high
    else:
        return None
    while high - low > FACTOR_ERROR * high:
        middle = (low + high) / 2
        low, high = (low, middle) if used(middle) >= 1 else (middle, high)
    return (low + high) / 2
