"""The things that stand in a picture beside the bar's own surfaces."""

import numpy as np

from fea.solid.model import CLAMP
from geometry.arrays import Flags, Floats, Ints
from geometry.bar import Bar, axes, nominal_od_mm, position_mm
from geometry.mesh import ONE_TURN, TubeMesh
from studies.assessment.run import CaseRun, StudyRun
from studies.pictures.palette import SLEEVE, rgb
from studies.pictures.scene import Surface, painted, surface_of

SLEEVE_MM = 1.5
"""How far the drawn clamp stands off the bar."""

GHOST_BEHIND_MM = 6.0
"""How far behind a bar its undeformed self is drawn."""

CLOSE_DIAMETERS = 1.5
"""What the close view shows to each side of the peak."""

ROUND, BROKEN, DOTTED = 72, 4, 2
"""Pieces of a ring, and of a dash of a broken and of a dotted one: told apart in grey print."""


def sleeve(bar: Bar, mesh: TubeMesh, shift_mm: Floats) -> tuple[Surface, ...]:
    """Return the clamped length as a sleeve a little outside the bar moved by (N, 3).

    None of a free bar.
    """
    if CLAMP not in mesh.sheet.regions:
        return ()
    off = axes(bar, *mesh.sheet.nodes.T)[:, 2]
    points = mesh.points_mm + shift_mm
    points[mesh.outer] += SLEEVE_MM * off[mesh.sheet.quads]
    nothing = np.zeros(len(mesh.sheet.nodes))
    clamped = mesh.sheet.regions[CLAMP]
    return (painted(surface_of(mesh, mesh.outer, points, nothing, clamped), rgb(SLEEVE)),)


def ring(
    run: StudyRun, at_mm: float, colour: str, half_mm: float = 0.8, dash: int = ROUND
) -> Surface:
    """Return a narrow ring round the bar at a place, in dashes of so many of its 72 pieces."""
    theta = np.linspace(0, ONE_TURN, ROUND + 1)
    s = at_mm + np.array([-half_mm, half_mm])[:, None]
    points = position_mm(run.study.bar, s, theta, np.array(1.25)).reshape(-1, 3)
    first = np.arange(ROUND)
    first = first[first // dash % 2 == 0]
    pieces = np.column_stack([first, first + ROUND + 1, first + ROUND + 2, first + 1])
    return painted(Surface(points, pieces, points), rgb(colour))


def near_quads(run: StudyRun, case: CaseRun) -> Ints:
    """Return the elements of the close view; of a peak inside only the half behind it."""
    mesh, peak = run.model.mesh, case.peak
    chosen = quads_near(run.study.bar, mesh, peak.s_mm)
    if peak.surface == "outer":
        return chosen
    turn = mesh.sheet.places[chosen, :, 1].mean(axis=1) - peak.theta_rad
    near: Flags = np.abs((turn + np.pi) % ONE_TURN - np.pi) < np.pi / 2
    return np.compress(near, chosen)


def quads_near(bar: Bar, mesh: TubeMesh, s_mm: float) -> Ints:
    """Return the elements of a close view of a place along the bar."""
    reach = CLOSE_DIAMETERS * float(nominal_od_mm(bar, np.array(s_mm)))
    return np.flatnonzero(np.abs(mesh.sheet.places[:, :, 0].mean(axis=1) - s_mm) < reach)


def peak_place_mm(run: StudyRun, case: CaseRun) -> Floats:
    """Return where the peak is, on its own surface (3,)."""
    peak, depth = case.peak, 1.0 if case.peak.surface == "outer" else 0.0
    return position_mm(
        run.study.bar, np.array(peak.s_mm), np.array(peak.theta_rad), np.array(depth)
    )


def peak_outward(run: StudyRun, case: CaseRun) -> Floats:
    """Return the outward normal at the peak (3,)."""
    normal: Floats = axes(run.study.bar, np.array(case.peak.s_mm), np.array(case.peak.theta_rad))[2]
    return normal
