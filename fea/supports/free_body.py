"""The stiffness of a bar that only its supports hold, as they know it."""

from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats, Ints

STEADY = 3e-7
"""Share of the bar's stiffness on motions that no support hinders: a bar that slides on all of its
rollers has none along them, and rounds of friction throw it from one side to the other."""

NOT_HINDERED = 1e-6
"""Share of the largest motion along normals that is none."""


@dataclass(frozen=True, eq=False)
class FreeBody:
    """A bar that only its supports hold; its compliance is that of any determinate hold.

    Attributes:
        motions: (6 n, 6) of the rings over the rigid motions about s = 0.
        wrench: (6,) force and moment about s = 0 of the loads of the case, N and N mm.
    """

    motions: Floats
    wrench: Floats


def ring_stiffness(compliance: Floats, free: FreeBody | None, kept: Ints) -> tuple[Floats, Floats]:
    """Return the stiffness of n rings and the loads' forces on them, none of a bar in its clamp.

    Source: the inverse of `compliance` (6 n, 6 n), mm and rad over N and N mm; `free_stiffness`.

    Args:
        compliance: Of the rings.
        free: What a free bar has, None of one in its clamp.
        kept: (6 n,) the rows of it that are the rings'.
    """
    if free is None:
        return np.linalg.inv(compliance), np.zeros(len(compliance))
    return free_stiffness(compliance, free.motions[kept], free.wrench)


def free_stiffness(compliance: Floats, motions: Floats, wrench: Floats) -> tuple[Floats, Floats]:
    """Return the stiffness (6 n, 6 n) of n rings, and the loads' forces (6 n,) on them.

    N/mm, N and rad, N mm. Forces f on the rings of a free bar balance its loads, R' f = -w: they
    are a part p of their own and B g, B the forces that balance each other, R' B = 0. The rings
    move by u = C f + R a with any a, so B' (u - C p) = B' C B g, and f = p + K (u - C p) with
    K = B (B' C B)^-1 B'; which is K0 - K0 R (R' K0 R)^-1 R' K0 with K0 = C^-1.

    Source: statics, linear superposition; derived as said.

    Args:
        compliance: (6 n, 6 n) C, of the bar in any determinate hold, mm and rad over N and N mm.
        motions: (6 n, 6) R, of the rings over the rigid motions about s = 0.
        wrench: (6,) w, force and moment of the loads about s = 0, N and N mm.
    """
    balanced = np.linalg.qr(motions, mode="complete")[0][:, motions.shape[1] :]
    part = -motions @ np.linalg.solve(motions.T @ motions, wrench)
    within = balanced.T @ compliance @ balanced
    stiffness: Floats = balanced @ np.linalg.solve(within, balanced.T)
    return (stiffness + stiffness.T) / 2, stiffness @ compliance @ part - part


def steadied(free: FreeBody | None, kept: Ints, normals: Floats, compliance: float) -> Floats:
    """Return springs (6 n, 6 n) on the rigid motions that no support hinders, N/mm.

    Of a free bar alone. Source: `STEADY`; the null space of the normal motions.

    Args:
        free: What a free bar has, None of one in its clamp.
        kept: (6 n,) the rows of it that are the rings'.
        normals: (p, 6 n) displacement of p points along their normals over the rings' motions.
        compliance: Of the bar, mm/N.
    """
    if free is None:
        return np.zeros((len(kept), len(kept)))
    motions = np.linalg.qr(free.motions[kept])[0]
    _, sizes, ways = np.linalg.svd(normals @ motions)
    unhindered = ways[int((sizes > NOT_HINDERED * sizes.max()).sum()) :]
    left: Floats = motions @ unhindered.T
    return STEADY / compliance * (left @ left.T)


def beside_its_hold(free: FreeBody, missing: Floats) -> Floats:
    """Return (6,) the rigid motion about s = 0 that a free bar has beside that of its hold.

    Source: least squares.

    Args:
        free: What a free bar has.
        missing: (6 n,) of the rings, motion on the supports less that in the hold, mm and rad.
    """
    return np.asarray(np.linalg.lstsq(free.motions, missing)[0])
