"""What tightened clamps add to load cases: their stress, where they let go, when they slip.

The largest preload that the bolts' scatter allows counts for stress, the least for holding on.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.contact import Contact, foundation_pressure_mpa, lifted_share, solve_contact
from fea.hot_spot import FACES, FaceName, Peak, peak_stress, read_surface
from fea.lift_off import LiftZone, lift_zones
from fea.linear_solver import Factor, SolverName
from fea.model import CLAMP, Model, lever_name
from fea.preload import Squeeze, squeeze_displacements, unit_pressure_mpa
from fea.recovery import Recovery, SurfaceStress, surface_stress, von_mises_mpa
from fea.statics import StaticAnswer, band_modes
from fea.surface import mean_displacement
from geometry.arrays import Floats
from geometry.bar import local_wall_mm, nominal_od_mm
from geometry.mesh import ONE_TURN
from loadcases.bolts import (
    Bolts,
    Preload,
    line_slip_torque_nmm,
    mean_pressure_mpa,
    preload,
    ring_pressure_mpa,
    slip_torque_nmm,
)
from loadcases.levers import LeverClamp
from loadcases.load import PlacedLoad

NEVER = 1e6
"""Multiples of a load beyond this are none."""


@dataclass(frozen=True)
class Tightened:
    """One tightened clamp.

    Attributes:
        name: stem or lever.
        at_mm: Its middle.
        width_mm: Its length.
        bolts: What tightens it.
        force: Sum of the preloads.
        pressure_mpa: Mean pressure at the nominal preload.
        ring_mpa: Pressure at which the tube there would be pressed flat if nothing kept it round.
        slip_nmm: Torque about the tube that it holds at the least preload.
        line_slip_nmm: The same if it touches along two lines only.
        peak_mpa: Largest von Mises stress in the tube from all clamps within it and beside it,
            at the largest preload.
    """

    name: str
    at_mm: float
    width_mm: float
    bolts: Bolts
    force: Preload
    pressure_mpa: float
    ring_mpa: float
    slip_nmm: float
    line_slip_nmm: float
    peak_mpa: float


@dataclass(frozen=True, eq=False)
class Clamping:
    """All tightened clamps of a bar.

    Attributes:
        clamps: Each of them, the stem's first.
        nominal: Stress of all at the nominal preload.
        largest: Stress of all at the largest.
        least_mpa: (n, q) pressure of the stem's clamp at the least preload, None without bolts.
        recovery: That of the mesh.
    """

    clamps: tuple[Tightened, ...]
    nominal: SurfaceStress
    largest: SurfaceStress
    least_mpa: Floats | None
    recovery: Recovery


@dataclass(frozen=True, eq=False)
class ClampCase:
    """What the clamps mean for one load case.

    Attributes:
        yield_factor: Multiple of the load at which the metal first yields under load and
            preload together; 0 where the preload alone is enough.
        s_mm: Where.
        theta_rad: Likewise.
        face: Likewise.
        slip_factor: Multiple of the load that turns the bar in the stem's clamp, None where
            nothing turns it or the stem's bolts are not known.
        lifted_share: Part of the clamped face that the foundation would have to pull.
        lifted: The zones of the contact answer that have let go, the largest first.
        contact: The answer with a clamp that only presses, None where it presses everywhere.
        contact_peak: Peak stress of that answer.
        contact_deflection_mm: Largest displacement of a load point in it.
    """

    yield_factor: float
    s_mm: float
    theta_rad: float
    face: FaceName
    slip_factor: float | None
    lifted_share: float
    lifted: tuple[LiftZone, ...]
    contact: Contact | None
    contact_peak: Peak | None
    contact_deflection_mm: float | None


def tighten(
    model: Model, levers: Sequence[LeverClamp], recovery: Recovery, solver: SolverName
) -> Clamping | None:
    """Return what the tightened clamps of a bar do; None where no bolts are given.

    Raises:
        SolveError: The bar does not balance under its own clamps.
    """
    stem = [(CLAMP, 0.0, model.clamp.width_mm, model.clamp.bolts)]
    wanted = stem + [(lever_name(one), one.at_mm, one.width_mm, one.bolts) for one in levers]
    given = [(name, at, wide, bolts) for name, at, wide, bolts in wanted if bolts]
    if not given:
        return None
    squeezes = [
        Squeeze(name, wide, _od_mm(model, at), bolts.pressure) for name, at, wide, bolts in given
    ]
    moved = squeeze_displacements(model, squeezes, solver)
    forces = [preload(bolts) for *_, bolts in given]
    nominal, largest = (
        _stress(model, recovery, np.tensordot([getattr(f, kind) for f in forces], moved, 1))
        for kind in ("nominal_n", "high_n")
    )
    clamps = tuple(
        _tightened(model, squeeze, at, bolts, largest)
        for squeeze, (_, at, _, bolts) in zip(squeezes, given, strict=True)
    )
    least = None
    if model.clamp.bolts and model.clamp.grip == "elastic":
        least = forces[0].low_n * unit_pressure_mpa(model, squeezes[0])[1]
    return Clamping(clamps, nominal, largest, least, recovery)


def clamp_case(
    model: Model,
    factor: Factor,
    clamping: Clamping,
    loads: Sequence[PlacedLoad],
    answer: StaticAnswer,
    stress: SurfaceStress,
) -> ClampCase:
    """Return what the clamps mean for a load case.

    Raises:
        SolveError: The clamp lets go of the bar.
    """
    share, contact, peak, deflection = 0.0, None, None, None
    zones: tuple[LiftZone, ...] = ()
    if clamping.least_mpa is not None:
        pull = clamping.least_mpa + foundation_pressure_mpa(model, answer.displacement_mm)
        share = lifted_share(model, pull > 0)
        if share:
            contact = solve_contact(model, factor, loads, clamping.least_mpa, pull > 0)
            zones = lift_zones(model, contact.pressed, -pull)
            lifted = _stress(model, clamping.recovery, contact.displacement_mm)
            peak = peak_stress(model, lifted, loads)
            deflection = _deflection_mm(model, loads, contact)
    return ClampCase(
        *_first_yield(model, clamping, loads, stress),
        _slip_factor(clamping, answer),
        share,
        zones,
        contact,
        peak,
        deflection,
    )


def yield_multiple(steady: Floats, load: Floats, proof_stress_mpa: float) -> Floats:
    """Return (P,): the multiple of `load` (P, 6) that yields together with `steady` (P, 6).

    Von Mises stress squared is a quadratic form, so that the multiple is the root of
    |steady + multiple load|^2 = proof^2; 0 where the steady stress yields by itself.
    """
    a, b, c = _product(load, load), _product(steady, load), _product(steady, steady)
    room = proof_stress_mpa**2 - c
    root = np.sqrt(np.maximum(b**2 + a * room, 0.0))
    # the form that does not cancel, for either sign of b
    multiple = room / np.maximum(b + root, proof_stress_mpa**2 / NEVER)
    return np.asarray(np.where(room > 0, np.minimum(multiple, NEVER), 0.0))


def _product(first: Floats, second: Floats) -> Floats:
    """Return (P,): the inner product whose square is von Mises stress squared."""
    a, b = first[:, :3], second[:, :3]
    direct = 1.5 * (a * b).sum(axis=1) - 0.5 * a.sum(axis=1) * b.sum(axis=1)
    result: Floats = direct + 3 * (first[:, 3:] * second[:, 3:]).sum(axis=1)
    return result


def _first_yield(
    model: Model, clamping: Clamping, loads: Sequence[PlacedLoad], stress: SurfaceStress
) -> tuple[float, float, float, FaceName]:
    steady, load = (read_surface(model, each, loads) for each in (clamping.largest, stress))
    proof = model.bar.spec.material.proof_stress_mpa
    found: list[tuple[float, float, float, FaceName]] = []
    for face in FACES:
        multiple = yield_multiple(getattr(steady, face), getattr(load, face), proof)
        multiple = np.where(load.counted, multiple, NEVER)
        # beside a clamp's edge stands the stress of the edge, so of equals the inmost counts
        s = model.mesh.sheet.nodes[:, 0]
        node = int(np.lexsort((np.abs(s), multiple))[0])
        at_s, theta = model.mesh.sheet.nodes[node]
        found.append((float(multiple[node]), float(at_s), float(theta), face))
    return min(found, key=lambda place: place[0])


def _deflection_mm(model: Model, loads: Sequence[PlacedLoad], contact: Contact) -> float:
    moved = (mean_displacement(band_modes(model, one), contact.displacement_mm) for one in loads)
    return max(float(np.linalg.norm(shift)) for shift in moved)


def _slip_factor(clamping: Clamping, answer: StaticAnswer) -> float | None:
    stem = clamping.clamps[0]
    torque_nmm = abs(float(answer.reaction_moment_nmm[0]))
    if stem.name != "stem" or not torque_nmm > stem.slip_nmm / NEVER:
        return None
    return stem.slip_nmm / torque_nmm


def _tightened(
    model: Model, squeeze: Squeeze, at_mm: float, bolts: Bolts, largest: SurfaceStress
) -> Tightened:
    material, force = model.bar.spec.material, preload(bolts)
    wall_mm, diameter_mm = _least_wall_mm(model, at_mm), squeeze.diameter_mm
    radius_mm = (diameter_mm - wall_mm) / 2
    near = np.abs(model.mesh.sheet.nodes[:, 0] - at_mm) <= squeeze.width_mm / 2 + diameter_mm
    elastic = material.youngs_modulus_mpa, material.poisson_ratio
    return Tightened(
        "stem" if squeeze.region == CLAMP else "lever",
        at_mm,
        squeeze.width_mm,
        bolts,
        force,
        mean_pressure_mpa(force.nominal_n, diameter_mm, squeeze.width_mm),
        ring_pressure_mpa(*elastic, radius_mm, wall_mm),
        slip_torque_nmm(bolts, force.low_n, diameter_mm),
        line_slip_torque_nmm(bolts, force.low_n, diameter_mm),
        max(float(von_mises_mpa(getattr(largest, face)[near]).max()) for face in FACES),
    )


def _stress(model: Model, recovery: Recovery, moved: Floats) -> SurfaceStress:
    return surface_stress(recovery, model.mesh, model.grads, model.bar.spec.material, moved)


def _od_mm(model: Model, at_mm: float) -> float:
    return float(nominal_od_mm(model.bar, np.array(at_mm)))


def _least_wall_mm(model: Model, at_mm: float) -> float:
    theta = np.linspace(0, ONE_TURN, 64, endpoint=False)
    return float(local_wall_mm(model.bar, np.array(at_mm), theta).min())
