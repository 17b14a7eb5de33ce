"""What preloaded clamps add to load cases: preload stress, loss of contact, slip.

The largest preload within the bolts' scatter counts for stress, the least for slip and contact.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fea.clamp.contact import (
    Contact,
    contact_loss_share,
    foundation_pressure_mpa,
    solve_contact,
)
from fea.clamp.contact_loss import ContactLossZone, contact_loss_zones
from fea.clamp.preload import (
    Bolted,
    bolted_clamps,
    preload_by_factor,
    preload_displacements,
    unit_pressure_mpa,
)
from fea.clamp.preloaded_yield import first_yield
from fea.solid.hot_spot import SURFACES, Peak, SurfaceName, peak_stress
from fea.solid.linear_solver import Factor
from fea.solid.model import CLAMP, Model, edge_wall_mm
from fea.solid.recovery import Recovery, SurfaceStress, surface_stress, von_mises_mpa
from fea.solid.statics import StaticAnswer, band_modes
from fea.solid.surface import mean_displacement
from geometry.arrays import Floats
from geometry.errors import SolveError
from loadcases.bolts import (
    Bolts,
    Preload,
    mean_pressure_mpa,
    preload,
    ring_buckling_pressure_mpa,
    slip_torques_nmm,
)
from loadcases.case import PlacedCase, is_reversed
from loadcases.levels import Levels
from loadcases.levers import LeverClamp
from loadcases.load import PlacedLoad

MAX_SLIP_FACTOR = 1e6
"""Multiples of a load beyond this are none."""


STEM, LEVER = "stem", "lever"
"""Names of clamps."""


@dataclass(frozen=True)
class PreloadedClamp:
    """One preloaded clamp.

    Attributes:
        name: `STEM` or `LEVER`.
        at_mm: Its middle.
        width_mm: Its length.
        diameter_mm: Of the tube there.
        bolts: Its bolts.
        force: Sum of the preloads.
        pressure_mpa: Mean pressure at the nominal preload.
        ring_buckling_mpa: Ring buckling pressure of a free tube of its size.
        slip: Slip torque about the tube at the least preload.
        peak_mpa: Largest von Mises stress in the tube from all clamps within it and beside it,
            at the largest preload.
    """

    name: str
    at_mm: float
    width_mm: float
    diameter_mm: float
    bolts: Bolts
    force: Preload
    pressure_mpa: float
    ring_buckling_mpa: float
    slip: Levels
    peak_mpa: float


@dataclass(frozen=True, eq=False)
class Clamping:
    """All preloaded clamps of a bar.

    Attributes:
        clamps: Each of them, the stem's first.
        nominal: Stress of all at the nominal preload.
        largest: Stress of all at the largest.
        least_mpa: (n, q) pressure of the stem's clamp at the least preload, None without bolts.
        recovery: That of the mesh.
    """

    clamps: tuple[PreloadedClamp, ...]
    nominal: SurfaceStress
    largest: SurfaceStress
    least_mpa: Floats | None
    recovery: Recovery

    @property
    def stem(self) -> PreloadedClamp | None:
        """Return the stem's clamp, None where only levers are preloaded."""
        return next((clamp for clamp in self.clamps if clamp.name == STEM), None)

    @property
    def has_cosine_pressure(self) -> bool:
        """Return whether a clamp's stress is an upper bound that must not govern."""
        return any(clamp.bolts.pressure == "cosine" for clamp in self.clamps)


@dataclass(frozen=True, eq=False)
class ClampCase:
    """What the clamps mean for one load case.

    Attributes:
        yield_factor: Multiple of the load at which the metal first yields under load and preload
            together; 0 where the preload alone is enough.
        s_mm: Where.
        theta_rad: Likewise.
        surface: Likewise.
        slip: Multiples of the load at which the bar slips in the stem's clamp, at the least
            preload; None without slip force or where the stem's bolts are not known.
        contact_loss_share: Fraction of the clamped face, by area, with tension in the foundation.
        open_zones: The zones without contact of the contact solution, the largest first.
        contact: The solution with unilateral contact, None where contact is closed everywhere.
        contact_loss_factor: Multiple of the load at which loss of contact begins, where the contact
            solution at the whole load does not converge; else None.
        contact_only_peak: Peak stress of the contact solution.
        contact_only_deflection_mm: Largest displacement of a load point in it.
    """

    yield_factor: float
    s_mm: float
    theta_rad: float
    surface: SurfaceName
    slip: Levels | None
    contact_loss_share: float
    open_zones: tuple[ContactLossZone, ...]
    contact: Contact | None
    contact_loss_factor: float | None
    contact_only_peak: Peak | None
    contact_only_deflection_mm: float | None


def preload_clamps(
    model: Model, levers: Sequence[LeverClamp], recovery: Recovery, factor: Factor
) -> Clamping | None:
    """Return preload stress and data of a bar's preloaded clamps; None where no bolts are given.

    Args:
        model: The equations.
        levers: The clamps on the grips.
        recovery: That of the mesh.
        factor: From `factorise_model`.

    Raises:
        SolveError: The bar does not balance under its own clamps.
    """
    given = bolted_clamps(model, levers)
    if not given:
        return None
    pressures = [one.preload_pressure for one in given]
    if model.clamp.model == "elastic":
        per_newton = preload_by_factor(model, pressures, factor)
    else:
        per_newton = preload_displacements(model, pressures, factor.solver)
    forces = [preload(one.bolts) for one in given]
    nominal, largest = (
        _stress(model, recovery, np.tensordot([getattr(f, kind) for f in forces], per_newton, 1))
        for kind in ("nominal_n", "high_n")
    )
    clamps = tuple(_preloaded_clamp(model, one, largest) for one in given)
    least = None
    if model.clamp.bolts and model.clamp.model == "elastic":
        least = forces[0].low_n * unit_pressure_mpa(model, given[0].preload_pressure)[1]
    return Clamping(clamps, nominal, largest, least, recovery)


def clamp_case(
    model: Model,
    factor: Factor,
    clamping: Clamping,
    placed: PlacedCase,
    answer: StaticAnswer,
    stress: SurfaceStress,
) -> ClampCase:
    """Return what the clamps mean for a load case."""
    loads, both_ways = placed.loads, is_reversed(placed.case)
    found = ClampCase(
        *first_yield(model, clamping.largest, loads, stress, both_ways=both_ways),
        slip=_slip_factors(clamping, answer),
        contact_loss_share=0.0,
        open_zones=(),
        contact=None,
        contact_loss_factor=None,
        contact_only_peak=None,
        contact_only_deflection_mm=None,
    )
    if clamping.least_mpa is None:
        return found
    pressure = clamping.least_mpa + foundation_pressure_mpa(model, answer.displacement_mm)
    if pressure.min() > 0:
        return found
    linear = found, pressure, answer.displacement_mm
    return _with_contact(model, factor, clamping, loads, linear)


def _with_contact(
    model: Model,
    factor: Factor,
    clamping: Clamping,
    loads: Sequence[PlacedLoad],
    linear: tuple[ClampCase, Floats, Floats],
) -> ClampCase:
    """Return a case with its contact solution, or with the load at which loss of contact begins."""
    found, pressure, linear_mm = linear
    least = np.zeros(0) if clamping.least_mpa is None else clamping.least_mpa
    found = replace(found, contact_loss_share=contact_loss_share(model, pressure > 0))
    try:
        contact = solve_contact(model, factor, loads, least, pressure > 0, linear_mm)
    except SolveError:
        # a finding about the bar, given as a limit; the other results remain valid
        tension = least - pressure
        return replace(
            found, contact_loss_factor=float((least[tension > 0] / tension[tension > 0]).min())
        )
    stress = _stress(model, clamping.recovery, contact.displacement_mm)
    return replace(
        found,
        contact=contact,
        open_zones=contact_loss_zones(model, contact.closed, -pressure),
        contact_only_peak=peak_stress(model, stress, loads),
        contact_only_deflection_mm=_deflection_mm(model, loads, contact),
    )


def _deflection_mm(model: Model, loads: Sequence[PlacedLoad], contact: Contact) -> float:
    means = (mean_displacement(band_modes(model, one), contact.displacement_mm) for one in loads)
    return max(float(np.linalg.norm(mean)) for mean in means)


def _slip_factors(clamping: Clamping, answer: StaticAnswer) -> Levels | None:
    """Return the multiples of the load at which the bar slips in the stem.

    The friction limit is the same in every direction of the surface: the circumferential force, at
    half the diameter, and the axial force add up as vectors.
    """
    stem = clamping.stem
    if stem is None:
        return None
    arm_mm = stem.diameter_mm / 2
    circumferential_n = float(answer.reaction_moment_nmm[0]) / arm_mm
    slip_force_n = float(np.hypot(circumferential_n, answer.reaction_n[0]))
    if slip_force_n <= stem.slip.middle / arm_mm / MAX_SLIP_FACTOR:
        return None
    return Levels(*(torque / arm_mm / slip_force_n for torque in stem.slip))


def _preloaded_clamp(model: Model, bolted: Bolted, largest: SurfaceStress) -> PreloadedClamp:
    preload_pressure, at_mm, bolts = bolted.preload_pressure, bolted.at_mm, bolted.bolts
    material, force = model.bar.spec.material, preload(bolts)
    wall_mm, diameter_mm = edge_wall_mm(model.bar, at_mm), preload_pressure.diameter_mm
    radius_mm = (diameter_mm - wall_mm) / 2
    near = (
        np.abs(model.mesh.sheet.nodes[:, 0] - at_mm) <= preload_pressure.width_mm / 2 + diameter_mm
    )
    elastic = material.youngs_modulus_mpa, material.poisson_ratio
    return PreloadedClamp(
        STEM if preload_pressure.region == CLAMP else LEVER,
        at_mm,
        preload_pressure.width_mm,
        diameter_mm,
        bolts,
        force,
        mean_pressure_mpa(force.nominal_n, diameter_mm, preload_pressure.width_mm),
        ring_buckling_pressure_mpa(*elastic, radius_mm, wall_mm),
        slip_torques_nmm(bolts, force.low_n, diameter_mm),
        max(float(von_mises_mpa(getattr(largest, face)[near]).max()) for face in SURFACES),
    )


def _stress(model: Model, recovery: Recovery, displacement: Floats) -> SurfaceStress:
    return surface_stress(recovery, model.mesh, model.grads, model.bar.spec.material, displacement)
