"""Where a path that is traced meets a bifurcation: within a step, or at its end."""

from collections.abc import Sequence

from fea.collapse.bifurcation import (
    bifurcation_interval,
    bifurcation_step,
    is_bifurcation,
    step_start,
)
from fea.collapse.equilibrium import Equations
from fea.collapse.newton import stiffness_at
from fea.collapse.path import Position
from fea.collapse.path_run import Step
from fea.collapse.phase import Phase
from fea.collapse.reading import PathPoint, Reading
from fea.solid.direct_solvers import Pivoting
from geometry.errors import SolveError


def met_between(
    equations: Equations,
    pivoting: Pivoting,
    steps: Sequence[Step],
    before: Position,
    after: Reading,
) -> tuple[PathPoint, PathPoint] | None:
    """Return the bifurcation, if it lies in the step before this and none earlier.

    Args:
        equations: Of the path.
        pivoting: Factorises the tangents.
        steps: All before this one.
        before: Where this one began.
        after: Its reading.
    """
    readings = [*(step.reading for step in steps), after]
    if not steps or bifurcation_step(readings) != len(steps) - 1:
        return None
    start = step_start(readings, len(steps) - 1)
    return bifurcation_interval(equations, start, before.point, pivoting)


def met_at_end(
    equations: Equations, pivoting: Pivoting, steps: Sequence[Step], position: Position
) -> tuple[tuple[PathPoint, PathPoint] | None, float | None]:
    """Return the bifurcation within the last step, and the slope at the end of that."""
    if not steps or steps[-1].reading.phase is not Phase.LOADING:
        return None, None
    readings = [step.reading for step in steps]
    try:
        stiffness = stiffness_at(equations, position.point, pivoting)
    except SolveError:
        return None, None
    slope = stiffness.slope
    if (
        bifurcation_step(readings) is not None
        or readings[-1].negative
        or not is_bifurcation(stiffness)
    ):
        return None, slope
    del stiffness  # the factor goes before the next one is made
    start = step_start(readings, len(steps) - 1)
    return bifurcation_interval(equations, start, position.point, pivoting), slope
