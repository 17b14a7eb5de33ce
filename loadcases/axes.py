"""From the axes that a load is written in to the bar's own.

All three sets share x, to the rider's right, and their origin, the clamp centre.
Steerer axes: z up along the steerer, y forward; the bar is rotated in them by
its roll about x. Gravity axes: z vertically up, y horizontally forward.
"""

from typing import Literal, get_args

import numpy as np

from geometry.arrays import Floats

Axes = Literal["bar", "steerer", "gravity"]
AXES: tuple[Axes, ...] = get_args(Axes)
Vector = tuple[float, float, float]


def rotation_about_x(angle_rad: float) -> Floats:
    """Return the (3, 3) right-handed rotation about x."""
    cos, sin = np.cos(angle_rad), np.sin(angle_rad)
    return np.array([[1.0, 0.0, 0.0], [0.0, cos, -sin], [0.0, sin, cos]])


def gravity_to_steerer(steerer_rad: float) -> Floats:
    """Return (3, 3): rows are the steerer axes seen in gravity axes.

    Args:
        steerer_rad: Angle of the steerer from the horizontal; it leans rearward going up.
    """
    cos, sin = np.cos(steerer_rad), np.sin(steerer_rad)
    return np.array([[1.0, 0.0, 0.0], [0.0, sin, cos], [0.0, -cos, sin]])


def rotation_to_bar(axes: Axes, roll_rad: float, steerer_rad: float) -> Floats:
    """Return the (3, 3) rotation that takes components in `axes` to components in bar axes.

    Args:
        axes: The axes that a vector is written in.
        roll_rad: Rotation of the bar from the steerer, v_steerer = Rx(roll) v_bar.
        steerer_rad: Angle of the steerer from the horizontal, used for gravity axes.
    """
    if axes == "bar":
        return np.eye(3)
    unrolled = rotation_about_x(-roll_rad)
    return unrolled if axes == "steerer" else unrolled @ gravity_to_steerer(steerer_rad)


def rotated(rotation: Floats, vector: Vector) -> Vector:
    """Return `rotation` (3, 3) applied to a vector, as plain numbers."""
    # + 0.0 turns a negative zero into zero: results are read by people
    x, y, z = (float(value) + 0.0 for value in rotation @ np.array(vector))
    return x, y, z
