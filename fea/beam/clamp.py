"""The beam's clamp: fixed edges, or an elastic foundation over the clamped length."""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve

from fea.beam.chain import to_local, transport
from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm
from geometry.centreline import locate
from geometry.errors import SolveError
from loadcases.clamp import Clamp

PANEL_POINTS = 2
PANELS_PER_LENGTH = 4
BALANCE = 1e-6
"""Largest imbalance of the clamp's reactions, over the largest wrench."""


@dataclass(frozen=True, eq=False)
class ClampSupport:
    """The bar's support at its nodes in the clamp.

    Attributes:
        s_mm: (n,) nodes from edge to edge.
        stiffness: (n, 6, 6) wrench over motion at the origin, zero at free edges; None where
            the clamp is rigid and no node moves.
        sample_mm: Places in the clamp where the resultants of the chain are exact; at the
            springs between them they step.
    """

    s_mm: Floats
    stiffness: Floats | None
    sample_mm: Floats


def build_support(bar: Bar, clamp: Clamp, panel_mm: float) -> ClampSupport:
    """Return the support of `clamp`; an elastic one is lumped at 2 Gauss points a panel.

    A free bar is held at s = 0, statically determinate. An elastic clamp has four panels per
    `panel_mm`, graded to the edges, where reactions rise over a few mm: each
    lumped spring is a step in shear force and moment.
    """
    if not clamp.holds:
        return ClampSupport(np.zeros(1), None, np.zeros(1))
    ends = np.array([clamp.from_mm, clamp.to_mm])
    if clamp.model == "rigid":
        return ClampSupport(ends, None, ends)
    panels = int(np.ceil(PANELS_PER_LENGTH * clamp.width_mm / panel_mm))
    edges = clamp.to_mm * np.sin(np.linspace(-np.pi / 2, np.pi / 2, panels + 1))
    point, weight = np.polynomial.legendre.leggauss(PANEL_POINTS)
    half = np.diff(edges)[:, None] / 2.0
    springs = (edges[:-1, None] + half * (1.0 + point)).ravel()
    stiffness = np.zeros((len(springs) + 2, 6, 6))
    stiffness[1:-1] = _foundation(bar, clamp, springs) * (half * weight).ravel()[:, None, None]
    return ClampSupport(np.concatenate([ends[:1], springs, ends[1:]]), stiffness, edges)


def support_motions(
    support: ClampSupport, flexibility: Floats, wrenches: Floats
) -> tuple[Floats, Floats]:
    """Return motions and reactions (n, 6, cases) at the origin of the n nodes in the clamp.

    Motions in mm and rad, reactions in N and N mm. Source: stiffness of springs in series and of an
    elastic foundation, textbook; the chain by the module docstring of `chain`.

    Args:
        support: The clamp.
        flexibility: (n - 1, 6, 6) of the stretches between its nodes.
        wrenches: (n, 6, cases) that the rest of the bar exerts on the nodes.

    Raises:
        SolveError: The reactions do not balance the wrenches: the foundation is too soft or too
            stiff against the bar for these numbers to mean anything.
    """
    if support.stiffness is None:
        return np.zeros(wrenches.shape), -wrenches
    size = 6 * len(support.s_mm)
    whole = _chain_stiffness(flexibility)
    for i, spring in enumerate(support.stiffness):
        whole[i, :, i] += spring
    rows = wrenches.reshape(size, wrenches.shape[2])
    try:
        solution = cho_solve(cho_factor(whole.reshape(size, size)), rows)
    except LinAlgError:
        raise SolveError(_unbalanced("infinite")) from None
    motion = np.reshape(solution, wrenches.shape)
    reaction = -(support.stiffness @ motion)
    left_over = np.abs((reaction + wrenches).sum(axis=0)).max(initial=0.0)
    if left_over > BALANCE * np.abs(wrenches).max(initial=0.0):
        raise SolveError(_unbalanced(f"{left_over:.3g} N or N mm"))
    return motion, reaction


def _unbalanced(amount: str) -> str:
    return (
        f"the beam's reactions in the elastic clamp have a force residual of {amount}; "
        "give clamp stiffnesses nearer to the default, or the rigid clamp model"
    )


def _foundation(bar: Bar, clamp: Clamp, s_mm: Floats) -> Floats:
    """Return the stiffness per mm (n, 6, 6) of the clamped surface, at the origin.

    Normal and tangential springs on the surface of nominal radius, integrated round the section:
    pi r (k_n + k_t) across, 2 pi r k_t along, 2 pi r^3 k_t in torsion, pi r^3 k_t in bending.
    """
    radius = nominal_od_mm(bar, s_mm) / 2.0
    along = 2.0 * np.pi * radius * clamp.tangential_n_per_mm3
    across = np.pi * radius * (clamp.normal_n_per_mm3 + clamp.tangential_n_per_mm3)
    torsion = along * radius**2
    springs = np.stack([along, across, across, torsion, torsion / 2.0, torsion / 2.0], axis=-1)
    frame = locate(bar.line, s_mm)
    transfer = to_local(frame) @ transport(frame.position_mm)
    return np.asarray(np.swapaxes(transfer, 1, 2) @ (springs[:, :, None] * transfer))


def _chain_stiffness(flexibility: Floats) -> Floats:
    """Return the stiffness (n, 6, n, 6) of stretches in series, free at both ends."""
    count = len(flexibility) + 1
    whole = np.zeros((count, 6, count, 6))
    for i, stretch in enumerate(np.linalg.inv(flexibility)):
        whole[i, :, i] += stretch
        whole[i + 1, :, i + 1] += stretch
        whole[i, :, i + 1] -= stretch
        whole[i + 1, :, i] -= stretch
    return whole
