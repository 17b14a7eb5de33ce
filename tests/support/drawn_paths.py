"""Paths past yield made by hand: no equation is solved, so that what is drawn is known."""

from dataclasses import replace
from math import radians
from pathlib import Path

import numpy as np

from fea.collapse.path_run import PathRun, Snapshot, Step
from fea.collapse.phase import Phase
from fea.collapse.reading import Reading
from fea.collapse.strain import StrainPeak
from fea.solid.model import mesh_for
from geometry.arrays import Floats
from geometry.mesh import TubeMesh
from loadcases.path_control import PathControl
from studies.assessment.run import StudyRun, run_study
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import Study, read_study
from support.pages import short_bar

PLACE = StrainPeak(0.0, 40.0, float(np.pi), 0.8, (0, 0, 0))
"""Where the bars here give: the underside, 40 mm right."""

# phase, cycle, factor, deflection in mm, plastic strain: up to the load, back, again, past a limit
# of 1.6, and past the elongation of 6061-T6, a logarithmic strain of 0.095
STEPS = (
    (Phase.LOADING, 1, 0.5, 0.5, 0.0),
    (Phase.LOADING, 1, 1.0, 1.0, 0.0012),
    (Phase.UNLOADING, 1, 0.5, 0.6, 0.0012),
    (Phase.UNLOADING, 1, 0.0, 0.1, 0.0012),
    (Phase.RELOADING, 1, 0.95, 0.98, 0.0012),
    (Phase.LOADING, 2, 1.4, 2.0, 0.01),
    (Phase.LOADING, 2, 1.6, 3.0, 0.05),
    (Phase.LOADING, 2, 1.5, 4.0, 0.08),
    (Phase.LOADING, 2, 1.3, 6.0, 0.2),
)

TURN_RAD, OVAL_SHARE = 0.02, 0.05
"""By what the arms turn about the clamp, and how much of it the walls move out and in, in mm, over
each mm of deflection."""


def walked_run(folder: Path) -> StudyRun:
    """Return a short bar of two cases, of which the first has a path.

    The second is the first once more, under another name.
    """
    study = with_cases(read_study(short_bar(folder, "pier", 1.2)), ["push"])
    run = run_study(study, level="coarse")
    (case,) = run.cases
    placed = replace(case.placed, case=replace(case.placed.case, id="again"))
    return replace(run, cases=(replace(case, path=path_of(study)), replace(case, placed=placed)))


def path_of(study: Study, count: int = len(STEPS)) -> PathRun:
    """Return the first steps of a path of a study's first case."""
    loads = study.cases[0].loads
    mesh = mesh_for(study.bar, study.clamp, loads, "coarse", 2)
    steps = tuple(_step(mesh, *step) for step in STEPS[:count])
    unit = float(np.linalg.norm(loads[0].force_n))
    return PathRun(PathControl(6.0), mesh, unit, False, steps, None, 0, "none", 0.0, loads=loads)


def turned(path: PathRun) -> PathRun:
    """Return a path as one of moments alone: each mm is a degree, each N a N m."""
    steps = (
        replace(one, reading=replace(one.reading, deflection=radians(one.reading.deflection)))
        for one in path.steps
    )
    return replace(path, steps=tuple(steps), unit=1000 * path.unit, by_moments=True)


def shift_mm(mesh: TubeMesh, deflection: float) -> Floats:
    """Return how nodes (N, 3) move: they turn about the clamp, and their rings flatten."""
    theta, points = mesh.block[:, 1], mesh.points_mm
    angle = TURN_RAD * deflection * np.sign(points[:, 0])
    out = OVAL_SHARE * deflection * np.cos(2 * theta)
    radial = np.column_stack([np.zeros_like(theta), np.sin(theta), np.cos(theta)])
    flat = points + out[:, None] * radial
    x, z = flat[:, 0], flat[:, 2]
    moved = [np.cos(angle) * x + np.sin(angle) * z, np.cos(angle) * z - np.sin(angle) * x]
    return np.column_stack([moved[0], flat[:, 1], moved[1]]) - points


def _step(
    mesh: TubeMesh, phase: Phase, cycle: int, factor: float, deflection: float, strain: float
) -> Step:
    peak = replace(PLACE, value=strain)
    moved = np.array([[0.0, 0.0, -deflection]])
    kind = "ovalisation" if strain else None
    edge = replace(peak, value=1.3 * strain)
    reading = Reading(
        phase,
        cycle,
        factor,
        deflection,
        moved,
        peak,
        edge,
        2.0 * deflection,
        kind,
        0 if factor else None,
        3,
    )
    # strain rises along the bar towards its place, and on the inner surface is half of it
    near = np.exp(-(((mesh.sheet.nodes[:, 0] - PLACE.s_mm) / 10) ** 2))
    shown = shift_mm(mesh, deflection), strain * near, strain * near / 2
    return Step(reading, Snapshot(*(values.astype(np.float32) for values in shown)))
