"""The algebra of a curved chain: wrenches, motions and flexibility, all taken at the origin.

A wrench is a force and a moment (6,), a motion a displacement and a rotation (6,). Moved to the
origin, the internal wrench of an unloaded stretch is constant along it, however the bar is bent,
and the motion at its far end is that at its near end plus flexibility times wrench. So a curved
force-based element is exact up to the quadrature of its flexibility

    F = integral H(-x)' C H(-x) ds,  H moving wrenches from the origin to the point x(s),

and stretches in series add like springs.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fea.beam.section import section_compliance
from geometry.arrays import Floats
from geometry.bar import Bar, smooth_breaks_mm
from geometry.centreline import Frame, locate

GAUSS_POINTS = 4


@dataclass(frozen=True, eq=False)
class Chain:
    """Nodes along the bar and the flexibility of the stretches between them.

    Attributes:
        s_mm: (n,) nodes, ascending.
        position_mm: (n, 3) where they lie.
        flexibility: (n - 1, 6, 6) motion over wrench of each stretch, both at the origin: mm/N, 1/N
            and 1/(N mm).
    """

    s_mm: Floats
    position_mm: Floats
    flexibility: Floats


def build_chain(bar: Bar, nodes_mm: Floats, panel_mm: float, flexible: bool) -> Chain:
    """Return the chain over ascending nodes, integrated by 4 Gauss points a panel.

    Source: module docstring.

    Args:
        bar: The bar.
        nodes_mm: (n,) signed arc lengths; they may lie arbitrarily close.
        panel_mm: Largest length of a panel; panels also end where the bar's map is not smooth.
        flexible: Whether bends carry the pipe-bend factor.
    """
    edges = panel_edges_mm(bar, nodes_mm, panel_mm)
    point, weight = np.polynomial.legendre.leggauss(GAUSS_POINTS)
    half = np.diff(edges)[:, None] / 2.0
    s_mm = (edges[:-1, None] + half * (1.0 + point)).ravel()
    density = _at_origin(bar, s_mm, flexible) * (half * weight).ravel()[:, None, None]
    panel = density.reshape(-1, GAUSS_POINTS, 6, 6).sum(axis=1)
    first_panel = np.searchsorted(edges, nodes_mm[:-1])
    flexibility = np.add.reduceat(panel, first_panel, axis=0)
    return Chain(nodes_mm, locate(bar.line, nodes_mm).position_mm, flexibility)


def panel_edges_mm(bar: Bar, nodes_mm: Floats, panel_mm: float) -> Floats:
    """Return (k,): nodes, the bar's breaks between them and a subdivision, ascending s in mm.

    `nodes_mm` (n,) are kept; panels are about `panel_mm` long. Source: equal division.
    """
    breaks = smooth_breaks_mm(bar)
    between = breaks[(breaks > nodes_mm[0]) & (breaks < nodes_mm[-1])]
    coarse = np.union1d(nodes_mm, between)
    pieces = [
        np.linspace(start, stop, int(np.ceil((stop - start) / panel_mm)), endpoint=False)
        for start, stop in pairwise(coarse)
    ]
    return np.concatenate([*pieces, coarse[-1:]])


def transport(position_mm: Floats) -> Floats:
    """Return (..., 6, 6) that takes motions at the origin to `position_mm` (..., 3) of one body.

    Its transpose takes wrenches at the position to the origin.

    Source: rigid-body kinematics, u + phi x r; textbook.
    """
    x, y, z = np.moveaxis(np.asarray(position_mm, dtype=np.float64), -1, 0)
    transfer = np.zeros((*x.shape, 6, 6)) + np.eye(6)
    transfer[..., 0, 4], transfer[..., 0, 5] = z, -y
    transfer[..., 1, 3], transfer[..., 1, 5] = -z, x
    transfer[..., 2, 3], transfer[..., 2, 4] = y, -x
    return transfer


def to_local(frame: Frame) -> Floats:
    """Return (..., 6, 6) taking motions or wrenches from bar axes to (tangent, front, top)."""
    axes = np.stack([frame.tangent, frame.front, frame.top], axis=-2)
    both = np.zeros((*axes.shape[:-2], 6, 6))
    both[..., :3, :3] = both[..., 3:, 3:] = axes
    return both


def wrenches_to_local(frame: Frame) -> Floats:
    """Return (..., 6, 6), in 1 and mm, taking wrenches at the origin to sections in local axes.

    Source: transposed rigid-body kinematics, as `transport`; textbook.
    """
    down: Floats = to_local(frame) @ np.swapaxes(transport(-frame.position_mm), -1, -2)
    return down


def _at_origin(bar: Bar, s_mm: Floats, flexible: bool) -> Floats:
    """Return the compliances per mm (n, 6, 6), for wrenches and motions at the origin."""
    frame = locate(bar.line, s_mm)
    down = wrenches_to_local(frame)
    compliance = section_compliance(bar, s_mm, flexible)
    return np.asarray(np.swapaxes(down, -1, -2) @ compliance @ down)
