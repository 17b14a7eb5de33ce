"""Independent of the solid: a 3-D Timoshenko beam on the bar's centre line.

Both arms are cantilevers out of the clamp, so their resultants follow from equilibrium and their
motion from the flexibility of curved stretches; only the clamped length of an elastic clamp is a
small system of equations. Limits: straight-beam sections (see `section`), small displacements, no
local dents under loads or at the clamp's edges.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.beam.chain import Chain, build_chain, panel_edges_mm, wrenches_to_local
from fea.beam.clamp import ClampSupport, build_support, support_motions
from fea.beam.loads import Band, mean_motions, nodal_wrenches, spread_cases
from fea.beam.section import nominal_von_mises_mpa
from geometry.arrays import Floats
from geometry.bar import Bar
from geometry.centreline import locate
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad


@dataclass(frozen=True, eq=False)
class BeamResult:
    """The beam's results of one case.

    Resultants are those that the part of larger s exerts on the part of smaller s, in the local
    frame, moments about the centre-line point. Inside a load band they step; in a rigid clamp
    there are none and its inside is left out.

    Attributes:
        displacement_mm: (loads, 3) of each load's centre-line point, in bar axes: the mean over
            its band that its force does work on.
        rotation_rad: (loads, 3) mean over its band.
        work_nmm: Half the sum of force times displacement and moment times rotation.
        peak_stress_mpa: Largest nominal von Mises stress at the outer circle from tension,
            bending and torsion (shear force left out), outside the load bands.
        peak_s_mm: Where it is.
        reaction_n: (3,) force of the clamp on the bar, in bar axes.
        reaction_moment_nmm: (3,) its moment about the clamp centre.
        s_mm: (n,) places of the resultants.
        axial_n: (n,) along the tangent.
        shear_front_n: (n,)
        shear_top_n: (n,)
        torsion_nmm: (n,) about the tangent.
        bending_front_nmm: (n,) about the front axis.
        bending_top_nmm: (n,) about the top axis.
    """

    displacement_mm: Floats
    rotation_rad: Floats
    work_nmm: float
    peak_stress_mpa: float
    peak_s_mm: float
    reaction_n: Floats
    reaction_moment_nmm: Floats
    s_mm: Floats
    axial_n: Floats
    shear_front_n: Floats
    shear_top_n: Floats
    torsion_nmm: Floats
    bending_front_nmm: Floats
    bending_top_nmm: Floats


@dataclass(frozen=True, eq=False)
class _Solution:
    """All cases at the chain's nodes, taken at the origin: see `chain`."""

    chain: Chain
    sample_mm: Floats
    """(n,) places of the resultants."""
    motion: Floats
    """(nodes, 6, cases)"""
    wrench: Floats
    """(nodes, 6, cases) inside the stretch beyond each node, zero beyond the last."""
    reaction: Floats
    """(6, cases) of the clamp on the bar."""


def solve_beam(
    bar: Bar,
    clamp: Clamp,
    cases: Sequence[Sequence[PlacedLoad]],
    flexible: bool,
    *,
    panel_mm: float = 4.0,
) -> tuple[BeamResult, ...]:
    """Return one result per case.

    Args:
        bar: The bar.
        clamp: Where and how it is clamped.
        cases: The loads of each case; a case may have none, or all on one side.
        flexible: Whether bends carry the pipe-bend factor on in-plane and out-of-plane bending.
        panel_mm: Largest length of an integration panel, for studies of convergence; an
            elastic clamp has four panels to this length, graded to its edges.
    """
    bands = spread_cases(bar, clamp, cases)
    support = build_support(bar, clamp, panel_mm)
    places = [band.s_mm for case in bands for band in case]
    ends = np.array([bar.line.left_end_mm, bar.line.right_end_mm])
    nodes = np.unique(np.concatenate([ends, support.s_mm, *places]))
    chain = build_chain(bar, nodes, panel_mm, flexible)
    samples_mm = _samples_mm(bar, support, panel_mm)
    solution = _solve(chain, support, nodal_wrenches(nodes, bands), samples_mm)
    return tuple(_result(bar, solution, i, loads, bands[i]) for i, loads in enumerate(cases))


def arm_resultants(
    bar: Bar, clamp: Clamp, cases: Sequence[Sequence[PlacedLoad]], s_mm: Floats
) -> Floats:
    """Return the local resultants (cases, n, 6) of the arms at places `s_mm` (n,), N and N mm.

    On an arm, a clamp edge included, they are the sum of the loads beyond, whatever the clamp's
    stiffness. Frame, order and signs as in `BeamResult`; inside a load band they step.

    Source: equilibrium of a statically determinate arm.
    """
    down = wrenches_to_local(locate(bar.line, s_mm))
    outward = np.where(s_mm < 0.0, -1.0, 1.0)
    total = np.zeros((len(cases), len(s_mm), 6))
    for case, bands in enumerate(spread_cases(bar, clamp, cases)):
        for band in bands:
            parts = band.spread @ band.wrench
            beyond = outward[:, None] * (band.s_mm[None] - s_mm[:, None]) > 0.0
            total[case] += outward[:, None] * (beyond.astype(float) @ parts)
    return np.asarray(np.einsum("nij,cnj->cni", down, total))


def resultants_of(beam: BeamResult) -> Floats:
    """Return the local resultants (n, 6): tangent, front and top of forces, then of moments."""
    forces = (beam.axial_n, beam.shear_front_n, beam.shear_top_n)
    moments = (beam.torsion_nmm, beam.bending_front_nmm, beam.bending_top_nmm)
    return np.stack([*forces, *moments], axis=-1)


def _solve(chain: Chain, support: ClampSupport, applied: Floats, samples_mm: Floats) -> _Solution:
    """Return motions and internal wrenches of all cases."""
    first, last = np.searchsorted(chain.s_mm, support.s_mm[[0, -1]])
    on_support = np.zeros((len(support.s_mm), 6, applied.shape[2]))
    on_support[0] += applied[:first].sum(axis=0)
    on_support[-1] += applied[last + 1 :].sum(axis=0)
    clamp_motion, reaction = support_motions(support, chain.flexibility[first:last], on_support)

    total = applied.copy()
    total[first : last + 1] += reaction
    wrench = np.zeros(applied.shape)
    wrench[first:-1] = np.cumsum(total[:first:-1], axis=0)[::-1]
    wrench[:first] = -np.cumsum(applied[:first], axis=0)

    step = chain.flexibility @ wrench[:-1]
    motion = np.zeros(applied.shape)
    motion[first : last + 1] = clamp_motion
    motion[last + 1 :] = clamp_motion[-1] + np.cumsum(step[last:], axis=0)
    motion[:first] = clamp_motion[0] - np.cumsum(step[:first][::-1], axis=0)[::-1]
    return _Solution(chain, samples_mm, motion, wrench, reaction.sum(axis=0))


def _result(
    bar: Bar,
    solution: _Solution,
    case: int,
    loads: Sequence[PlacedLoad],
    bands: Sequence[Band],
) -> BeamResult:
    means = mean_motions(solution.chain.s_mm, bands, solution.motion[:, :, case])
    work = 0.5 * sum(float(band.wrench @ mean) for band, mean in zip(bands, means, strict=True))
    local = _local_resultants(bar, solution, case)
    peak_mpa, peak_s_mm = _peak(bar, loads, solution.sample_mm, local)
    reaction = solution.reaction[:, case]
    return BeamResult(
        means[:, :3],
        means[:, 3:],
        work,
        peak_mpa,
        peak_s_mm,
        reaction[:3],
        reaction[3:],
        solution.sample_mm,
        *local.T,
    )


def _samples_mm(bar: Bar, support: ClampSupport, panel_mm: float) -> Floats:
    """Return the places of the resultants, ascending."""
    left = panel_edges_mm(bar, np.array([bar.line.left_end_mm, support.s_mm[0]]), panel_mm)
    right = panel_edges_mm(bar, np.array([support.s_mm[-1], bar.line.right_end_mm]), panel_mm)
    return np.unique(np.concatenate([left, support.sample_mm, right]))


def _local_resultants(bar: Bar, solution: _Solution, case: int) -> Floats:
    """Return the local resultants (n, 6); at a node those of the side away from the clamp."""
    chain, s_mm = solution.chain, solution.sample_mm
    beyond = np.searchsorted(chain.s_mm, s_mm, side="right") - 1
    before = np.searchsorted(chain.s_mm, s_mm, side="left") - 1
    # -1, left of the left end, is the last row: zero
    inside = solution.wrench[np.where(s_mm < 0.0, before, beyond), :, case]
    down = wrenches_to_local(locate(bar.line, s_mm))
    return np.asarray(np.einsum("nij,nj->ni", down, inside))


def _peak(
    bar: Bar, loads: Sequence[PlacedLoad], s_mm: Floats, local: Floats
) -> tuple[float, float]:
    """Return the largest nominal stress in MPa outside the load bands, and where it is."""
    stress = nominal_von_mises_mpa(bar, s_mm, local)
    for load in loads:
        stress[(s_mm > load.from_mm) & (s_mm < load.to_mm)] = 0.0
    place = int(np.argmax(stress))
    return float(stress[place]), float(s_mm[place])
