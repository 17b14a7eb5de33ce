"""Whether the loads of a free bar still balance each other once it is bent.

They keep their directions, so their moments change as their places move; of a symmetrical set-up
they stay in balance. What is left would be carried by the three nodes that hold the bar.
"""

import numpy as np

from fea.collapse.equilibrium import Point
from fea.collapse.path_model import PathModel
from geometry.errors import SolveError

MAX_LEFT = 0.005
"""Share of the loads' own moments, over the bar's length, that three nodes may carry."""


def moment_left(path_model: PathModel, point: Point) -> float:
    """Return the share of the loads' own moments that they leave on the bent bar, no unit.

    Those are the sum of forces in N times the bar's length, or of moments where there is no force.
    Source: statics on the deformed shape.
    """
    equations, points = path_model.equations, path_model.model.mesh.points_mm
    forces = (equations.constant + point.factor * equations.load).reshape(-1, 3)
    moment = np.cross(points + point.displacement.reshape(-1, 3), forces).sum(axis=0)
    line = path_model.model.bar.line
    forced = any(any(load.force_n) for load in path_model.loads)
    arm = line.right_end_mm - line.left_end_mm if forced else 1.0
    return float(np.linalg.norm(moment)) / (abs(point.factor) * path_model.unit * arm)


def require_balance(path_model: PathModel, point: Point) -> None:
    """Refuse a step in which the loads of a free bar have lost their balance.

    Raises:
        SolveError: They leave a moment above `MAX_LEFT`.
    """
    held = path_model.model.clamp.holds or path_model.standing.supports
    if held or not point.factor:
        return
    left = moment_left(path_model, point)
    if left > MAX_LEFT:
        raise SolveError(
            f"the loads of the free bar have lost their balance: {100 * left:.2g} % of their "
            f"moment is left on the bent bar, above {100 * MAX_LEFT:g} %; load it symmetrically"
        )
