"""Between which two places on its path a direction of a bar loses its stiffness.

A step tells of it too late: it ends where a direction is unstable already. The step is walked again
to half its way, and to half of that, each time from the metal that it began with.
"""

from fea.collapse.equilibrium import Equations, Goal, Point, balanced, deflection
from fea.collapse.reading import Met
from fea.direct_solvers import Pivoting
from geometry.errors import SolveError

HALVINGS = 4


def lost_between(
    equations: Equations, after: Met, point: Point, pivoting: Pivoting
) -> tuple[Met, Met]:
    """Return the last place found at which all was stable, and the first at which it was not.

    Args:
        equations: The bar.
        after: Where the step began, all stable.
        point: Where it ended, a direction unstable.
        pivoting: Factorises the tangents.
    """
    unstable = Met(point.factor, deflection(equations, point.displacement))
    stable, near = after, point
    for _ in range(HALVINGS):
        goal = Goal("deflection", (stable.deflection + unstable.deflection) / 2)
        try:
            near = balanced(equations, near, goal, point.before, pivoting)
            negative = pivoting(near.tangent).negative()
        except SolveError:
            break
        here = Met(near.factor, goal.value)
        stable, unstable = (stable, here) if negative else (here, unstable)
    return stable, unstable
