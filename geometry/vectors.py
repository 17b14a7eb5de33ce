"""Small vector helpers that numpy does not name."""

import numpy as np

from geometry.arrays import Floats

MIRROR_X = np.array([-1.0, 1.0, 1.0])


def unit(vector: Floats) -> Floats:
    """Return `vector` (..., 3) scaled to unit length.

    Source: textbook: vector algebra.
    """
    length: Floats = np.linalg.norm(vector, axis=-1, keepdims=True)
    return vector / length


def rotated(vector: Floats, axis: Floats, angle_rad: float) -> Floats:
    """Return `vector` (3,) rotated right-handed about the unit `axis` (3,).

    Source: Rodrigues' rotation formula, textbook.
    """
    along = axis * (axis @ vector)
    across = np.cross(axis, vector)
    result: Floats = along + np.cos(angle_rad) * (vector - along) + np.sin(angle_rad) * across
    return result


def angle_between_rad(first: Floats, second: Floats) -> float:
    """Return the angle in [0, pi] between vectors `first` (3,) and `second` (3,).

    Exact for small and flat angles, for it is atan2(|a x b|, a . b). Source: textbook: vector
    algebra.
    """
    return float(np.arctan2(np.linalg.norm(np.cross(first, second)), first @ second))
