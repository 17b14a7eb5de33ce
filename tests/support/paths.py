"""Paths past yield that nobody walked, to judge what is said of them."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from fea.collapse.collapse_mode import Kind
from fea.collapse.path_run import PathRun, Snapshot, Step
from fea.collapse.phase import Phase
from fea.collapse.reading import Reading
from fea.collapse.strain import StrainPeak
from geometry.mesh import TubeMesh, build_mesh
from loadcases.path_control import PathControl
from studies.assessment.run import CaseRun, StudyRun, run_study
from studies.collapse.record import collapse_record
from studies.records.collapse import CollapseRecord
from studies.study_file.study import read_study
from support.pages import short_bar

Part = tuple[Phase, int]

UP: Part = (Phase.LOADING, 1)
BACK: Part = (Phase.UNLOADING, 1)
AGAIN: Part = (Phase.RELOADING, 1)
LAST: Part = (Phase.LOADING, 2)

UNIT_N = 400.0
"""Of the short bar's first case."""

SLOPE = 4.0
"""Factor over deflection at first, 1/mm."""


@cache
def short_run() -> StudyRun:
    """Return the linear answers to a short bar, thin enough to wrinkle."""
    with TemporaryDirectory() as folder:
        return run_study(read_study(short_bar(Path(folder), "pier", 0.6)))


@cache
def short_mesh() -> TubeMesh:
    """Return a coarse mesh of it in two layers."""
    return build_mesh(short_run().study.bar, level="coarse", layers=2)


def reading(
    factor: float,
    deflection: float,
    strain: float = 0.0,
    part: Part = LAST,
    kind: Kind | None = None,
) -> Reading:
    """Return a step beneath the right arm, 24 mm from the clamp centre."""
    peak = StrainPeak(strain, 24.0, np.pi, 0.1, (3, 4, 0))
    moved = np.array([[0.0, 0.0, -deflection]])
    way: Kind | None = kind or ("wrinkle" if strain else None)
    edge = replace(peak, value=1.2 * strain)
    return Reading(*part, factor, deflection, moved, peak, edge, 100 * strain, way, 0, 3)


def path_of(
    readings: list[Reading], push: PathControl | None = None, terminated: str | None = None
) -> PathRun:
    """Return a path of the short bar's first case; its steps look more bent each time."""
    mesh = short_mesh()
    return PathRun(
        push or PathControl(2.0),
        mesh,
        UNIT_N,
        False,
        tuple(Step(one, _look(mesh, one)) for one in readings),
        terminated,
        0,
        "splu",
        1.5,
        loads=short_run().cases[0].placed.loads,
    )


def case_with(path: PathRun) -> tuple[StudyRun, CaseRun]:
    """Return the short bar's run and its first case, with a path."""
    run = short_run()
    case = replace(run.cases[0], path=path)
    return replace(run, cases=(case, *run.cases[1:])), case


def record_of(path: PathRun) -> CollapseRecord:
    """Return what results.json says of it as the short bar's."""
    made = collapse_record(*case_with(path))
    assert made is not None
    return made


def record(
    readings: list[Reading], push: PathControl | None = None, terminated: str | None = None
) -> CollapseRecord:
    """Return what results.json says of a path of the short bar."""
    return record_of(path_of(readings, push, terminated))


def usual() -> list[Reading]:
    """Return a path with a set after its first level, a limit, and a fall."""
    return [
        reading(0.4, 0.1, part=UP),
        reading(0.8, 0.2, part=UP),
        reading(1.0, 0.26, 0.001, part=UP),
        reading(0.0, 0.01, 0.001, part=BACK),
        reading(0.95, 0.2475, 0.001, part=AGAIN),
        reading(1.2, 0.35, 0.003),
        reading(1.5, 0.7, 0.02),
        reading(1.6, 1.0, 0.04),
        reading(1.55, 1.3, 0.08),
        reading(1.2, 2.0, 0.2),
    ]


def _look(mesh: TubeMesh, one: Reading) -> Snapshot:
    """Return a bar that is bent down by the square of its length, and strained beneath."""
    s, theta = mesh.block[:, 0], mesh.sheet.nodes[:, 1]
    moved = np.zeros_like(mesh.points_mm)
    moved[:, 2] = -one.deflection * (s / 90.0) ** 2
    strain = one.strain.value * np.maximum(-np.cos(theta), 0.0)
    return Snapshot(
        moved.astype(np.float32), strain.astype(np.float32), (0.9 * strain).astype(np.float32)
    )
