"""A path past yield made by hand: what the page shows of it is known without walking one."""

import numpy as np

from fea.collapse.path_run import PathRun, Snapshot, Step
from fea.collapse.phase import Phase
from fea.collapse.reading import Reading
from fea.collapse.strain import StrainPeak
from geometry.mesh import TubeMesh, build_mesh
from loadcases.path_control import PathControl, only_moments
from studies.assessment.run import CaseRun, StudyRun, with_paths

Row = tuple[Phase, int, float, float, float]

CORNERS = (
    # phase, cycle, deflection and load over those of the linear answer at the case's load, strain
    (Phase.LOADING, 1, 1.0, 1.0, 0.0),
    (Phase.LOADING, 2, 1.5, 1.45, 0.0005),
    (Phase.LOADING, 2, 2.2, 2.0, 0.003),
    (Phase.UNLOADING, 2, 0.2, 0.0, 0.003),
    (Phase.RELOADING, 2, 2.2, 2.0, 0.003),
    (Phase.LOADING, 3, 3.0, 2.4, 0.012),
    (Phase.LOADING, 3, 4.0, 2.6, 0.03),
    (Phase.LOADING, 3, 5.0, 2.65, 0.06),
    (Phase.LOADING, 3, 6.0, 2.6, 0.11),
    (Phase.LOADING, 3, 8.0, 2.4, 0.2),
)
"""A bar that yields, keeps a set after twice its load, passes a limit and tears."""

BETWEEN = 3
"""Steps from one corner to the next."""


def with_made_paths(run: StudyRun, *ids: str, terminated: str | None = None) -> StudyRun:
    """Return a run with a path made by hand for some of its cases."""
    mesh = build_mesh(run.study.bar, level="coarse", layers=2)
    cases = [case for case in run.cases if case.placed.case.id in ids]
    return with_paths(run, {one.placed.case.id: made_path(one, mesh, terminated) for one in cases})


def made_path(case: CaseRun, mesh: TubeMesh, terminated: str | None = None) -> PathRun:
    """Return the path."""
    loads = case.placed.loads
    turns = only_moments(loads)
    parts = [load.moment_nmm if turns else load.force_n for load in loads]
    unit = sum(float(np.linalg.norm(part)) for part in parts)
    linear = 2 * case.answer.work_nmm / unit
    steps = [_step(mesh, len(loads), linear, row) for row in _rows()]
    push = PathControl(8 * linear, unload_at=(1.0, 2.0))
    made = tuple(steps)
    return PathRun(push, mesh, unit, turns, made, terminated, 0, "superlu", 1.5, loads=loads)


def _rows() -> list[Row]:
    rows, before = [], (0.0, 0.0, 0.0)
    for phase, cycle, *corner in CORNERS:
        for share in np.arange(1, BETWEEN + 1) / BETWEEN:
            move, load, strain = (1 - share) * np.array(before) + share * np.array(corner)
            rows.append((phase, cycle, float(move), float(load), float(strain)))
        before = (corner[0], corner[1], corner[2])
    return rows


def _step(mesh: TubeMesh, loads: int, linear: float, row: Row) -> Step:
    phase, cycle, move, factor, strain = row
    s, theta, _ = mesh.block.T
    arm = np.maximum(np.abs(s) - 20, 0) / 100
    moved = np.stack([0.1 * arm * np.cos(2 * theta), 0 * arm, -(arm**2)], axis=-1) * move
    at, turn = mesh.sheet.nodes.T
    field = strain * np.exp(-(((at - 24) / 12) ** 2)) * np.cos(turn) ** 2
    peak = StrainPeak(strain, 24.0, 0.0, 1.0, (0, 0, 0))
    reading = Reading(
        phase, cycle, factor, move * linear,
        np.tile([0.0, 0.0, -move * linear], (loads, 1)),
        peak, peak, 10 * strain, "ovalisation" if strain else None, 0, 4,
    )  # fmt: skip
    shown = (moved, field, field / 2)
    return Step(reading, Snapshot(*(values.astype(np.float32) for values in shown)))
