"""Which supports hold one and the same ring of a bar."""

from collections.abc import Sequence

import numpy as np

from geometry.arrays import Floats, Ints

SAME_RING_MM, SAME_RING = 1.0, 1e-3
"""Supports within this of each other hold one ring, where they move it alike but for this share:
two would differ by round-off alone. Platens on both sides of a tube flatten it, and are two."""


def shared_rings(compliance: Floats, places_mm: Sequence[float]) -> tuple[Ints, Ints]:
    """Return (n,) the ring of each support, and the support that each ring is known by.

    Args:
        compliance: (6 n, 6 n) mean motion of each support's ring, mm and rad over N and N mm.
        places_mm: n, of the supports along the bar.

    Source: judgement, `SAME_RING`.
    """
    at_mm = np.array(places_mm)
    # (n, n) how much less two give way to forces against each other than each by itself
    blocks = np.trace(
        compliance.reshape(len(at_mm), 6, len(at_mm), 6)[:, :3, :, :3], axis1=1, axis2=3
    )
    own = np.diag(blocks)
    apart = own[:, None] + own - blocks - blocks.T
    alike = apart <= SAME_RING * (own[:, None] + own)
    nearest = ((np.abs(at_mm[:, None] - at_mm) <= SAME_RING_MM) & alike).argmax(axis=1)
    first, ring_of = np.unique(nearest, return_inverse=True)
    return ring_of, first
