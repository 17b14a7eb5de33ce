"""The wall unrolled: values at the sheet's nodes on a grid over length and circumference."""

import numpy as np
from scipy.interpolate import LinearNDInterpolator

from geometry.arrays import Floats
from geometry.mesh import ONE_TURN, Sheet

RADIAN_MM = 12.0


def on_grid(sheet: Sheet, values: Floats, s_mm: Floats, theta: Floats) -> Floats:
    """Return (theta, s, L): values (P, L) at the sheet's nodes, interpolated on a grid."""
    s, turn = sheet.nodes.T
    # the circumference three times over, so that nothing ends within the strip
    places = np.concatenate([np.column_stack([s, turn + k * ONE_TURN]) for k in (-2, -1, 0)])
    kept = np.abs(places[:, 1]) < 0.6 * ONE_TURN
    # one radian weighs as a few millimetres, as it does on the bar
    scale = np.array([1.0, RADIAN_MM])
    every = np.tile(values, (3, 1))[kept]
    field = LinearNDInterpolator(places[kept] * scale, every, fill_value=0.0)
    grid = np.stack(np.meshgrid(s_mm, theta), axis=-1) * scale
    return np.asarray(field(grid))
