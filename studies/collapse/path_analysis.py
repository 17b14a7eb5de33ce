"""A path walked step by step, each kept on disk as it is finished."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from math import degrees
from pathlib import Path
from time import perf_counter

import numpy as np

from fea.collapse.bifurcation import is_lost_at, loses_stiffness, lost_between, met_before
from fea.collapse.imperfection import Imperfection
from fea.collapse.initial_state import prepared
from fea.collapse.path import Plan, Position, Segment, advanced, arrived, beginning, planned
from fea.collapse.path_model import PathModel, path_model_of
from fea.collapse.path_run import PathRun, Snapshot, Step
from fea.collapse.phase import Phase
from fea.collapse.reading import PathPoint, Reader, Reading, reader_of, reading_of
from fea.collapse.strain import along_lines, on_faces
from fea.solid.direct_solvers import Pivoting
from fea.solid.linear_solver import SolverName, choose_solver, pivoting
from geometry.errors import SolveError
from loadcases.case import PlacedCase
from loadcases.path_control import PathControl, only_moments
from studies.files.atomic_files import PATHS, locked
from studies.files.checkpoints import FORMAT_VERSION, Kept, begun, keep, kept
from studies.files.step_series import write_lists, write_step
from studies.files.version import barwright_version
from studies.study_file.study import Study

Tell = Callable[[str], None]


@dataclass(frozen=True, eq=False)
class _Walk:
    """What every step of a path needs."""

    way: PathModel
    plan: Plan
    reader: Reader
    pivoting: Pivoting
    place: Path
    key: str
    path_control: PathControl
    by_moments: bool


@dataclass(frozen=True)
class How:
    """How paths are walked.

    Attributes:
        solver: Which direct solver.
        tell: Called with what is being done.
        resume: Whether to go on from the steps at hand.
    """

    solver: SolverName = "auto"
    tell: Tell = lambda stage: None
    resume: bool = False


def walked_paths(
    study: Study, path_controls: Mapping[str, PathControl], folder: Path, how: How
) -> dict[str, PathRun]:
    """Return the paths of cases by their ids, each step on disk before the next.

    Args:
        study: The bar, its clamp and its cases.
        path_controls: How far the loads of each case grow.
        folder: Results folder.
        how: Solver and the like.

    Raises:
        InputError: The folder cannot be written, or another command writes there.
        MeshError: The mesh cannot be made.
        SolveError: The bar is not held, or what stays is more than it carries.
    """
    cases = [placed for placed in study.cases if placed.case.id in path_controls]
    with locked(folder, PATHS) as store:
        return {
            placed.case.id: _with_knocked(study, placed, path_controls[placed.case.id], store, how)
            for placed in cases
        }


def path_key(study: Study, placed: PlacedCase, path_control: PathControl) -> str:
    """Return what tells a path from every other: all that goes into it, and the version."""
    spec = replace(study.bar_spec, name="", measured_mass_g=None)
    one = replace(path_control, knock_down_percent=())
    given = (
        FORMAT_VERSION,
        barwright_version(),
        spec,
        study.clamp,
        study.levers,
        placed.loads,
        one,
    )
    return sha256(repr(given).encode()).hexdigest()


def _with_knocked(
    study: Study, placed: PlacedCase, path_control: PathControl, store: Path, how: How
) -> PathRun:
    """Return a case's path, and those of other amplitudes beside it."""
    name, lesser = placed.case.id, knock_downs(path_control)
    path = _path(study, placed, path_control, store / name, how)
    places = [store / f"{name}@{one.imperfection_percent:g}" for one in lesser]
    knocked = (_path(study, placed, *pair, how) for pair in zip(lesser, places, strict=True))
    return replace(path, knocked=tuple(knocked))


def knock_downs(path_control: PathControl) -> tuple[PathControl, ...]:
    """Return the further paths for what amplitudes of an imperfection take from the limit.

    Ripples need a finer mesh, which finds a fold sooner by itself, so the perfect wall is walked on
    it too: with no amplitude.
    """
    if not path_control.knock_down_percent:
        return ()
    return tuple(
        replace(
            path_control,
            unload_at=(),
            knock_down_percent=(),
            imperfection_percent=percent,
            rippled=True,
        )
        for percent in sorted({0.0, *path_control.knock_down_percent})
    )


def _path(
    study: Study, placed: PlacedCase, path_control: PathControl, place: Path, how: How
) -> PathRun:
    name, begin = placed.case.id, perf_counter()
    how.tell(f"{name}: mesh of the path")
    walk, start = _begun(study, placed, path_control, place, how.solver)
    at_hand = kept(walk.place, walk.key, walk.way.equations) if how.resume else None
    if at_hand is None:
        begun(walk.place)
        at_hand = Kept((), start)
    before = len(at_hand.steps)

    def told(made: Sequence[Reading]) -> None:
        how.tell(_told(f"{name}, step {before + len(made)}", walk, made, begin))

    steps, position, broke_off = _steps(walk, at_hand, told)
    return PathRun(
        path_control,
        walk.way.model.mesh,
        walk.way.unit,
        walk.by_moments,
        tuple(steps),
        broke_off,
        before,
        choose_solver(how.solver),
        perf_counter() - begin,
        lost=_lost_at_end(walk, steps, position),
    )


def _begun(
    study: Study, placed: PlacedCase, path_control: PathControl, place: Path, solver: SolverName
) -> tuple[_Walk, Position]:
    """Return what walks a path, and where it begins: clamps tightened, under what stays."""
    lacks = path_control.rippled or path_control.imperfection_percent != 0
    drawn = path_model_of(
        study.bar,
        study.clamp,
        placed.loads,
        path_control.mesh,
        path_control.sustained,
        study.levers,
        imperfection=Imperfection(path_control.shape, path_control.imperfection_percent)
        if lacks
        else None,
        preload=path_control.preload,
    )
    try:
        way, point = prepared(drawn, solver)
    except SolveError as error:
        if not drawn.bolted:
            raise
        msg = f"{placed.case.id}: {error}; preload = false in its table collapse leaves bolts out"
        raise SolveError(msg) from None
    walk = _Walk(
        way,
        planned(path_control.unload_at, path_control.to),
        reader_of(way),
        pivoting(solver),
        place,
        path_key(study, placed, path_control),
        path_control,
        only_moments(placed.loads),
    )
    return walk, beginning(walk.plan, point)


def _steps(
    walk: _Walk, at_hand: Kept, told: Callable[[Sequence[Reading]], None]
) -> tuple[list[Step], Position, str | None]:
    """Walk to the end, and return all steps, where they end, and why early."""
    steps, position, made = list(at_hand.steps), at_hand.position, list[Reading]()
    while not arrived(walk.plan, position):
        before = position
        try:
            position = advanced(walk.way.equations, walk.plan, before, walk.pivoting)
        except SolveError as error:
            return steps, position, str(error)
        step = _step(walk, position, walk.plan.segments[before.segment])
        lost = _lost(walk, steps, before, step.reading)
        steps.append(replace(step, reading=replace(step.reading, lost=lost)))
        _keep(walk, steps, position)
        made.append(steps[-1].reading)
        told(made)
    return steps, position, None


def _lost(
    walk: _Walk, steps: Sequence[Step], before: Position, after: Reading
) -> tuple[PathPoint, PathPoint] | None:
    """Return where a direction lost its stiffness, if in the step before this and none earlier."""
    readings = [*(step.reading for step in steps), after]
    if not steps or loses_stiffness(readings) != len(steps) - 1:
        return None
    begin = met_before(readings, len(steps) - 1)
    return lost_between(walk.way.equations, begin, before.point, walk.pivoting)


def _lost_at_end(
    walk: _Walk, steps: Sequence[Step], position: Position
) -> tuple[PathPoint, PathPoint] | None:
    """Return where a direction was lost in the last step, of which no further step tells."""
    readings = [step.reading for step in steps]
    if not readings or readings[-1].phase is not Phase.LOADING:
        return None
    if loses_stiffness(readings) is not None or readings[-1].negative:
        return None
    if not is_lost_at(walk.way.equations, position.point, walk.pivoting):
        return None
    begin = met_before(readings, len(steps) - 1)
    return lost_between(walk.way.equations, begin, position.point, walk.pivoting)


def _step(walk: _Walk, position: Position, segment: Segment) -> Step:
    way, lines, point = walk.way, walk.reader.lines, position.point
    reading = reading_of(way, walk.reader, point, segment)
    strain = along_lines(lines, point.response.state.equivalent)
    outer, inner = on_faces(lines, strain, way.model.mesh.sheet)
    moved = point.displacement.reshape(-1, 3)
    shown = (moved, outer, inner)
    return Step(reading, Snapshot(*(values.astype(np.float32) for values in shown)))


def _keep(walk: _Walk, steps: list[Step], position: Position) -> None:
    number, mesh = len(steps), walk.way.model.mesh
    write_step(walk.place, number, mesh, steps[-1].snapshot)
    keep(walk.place, walk.key, number, steps[-1], position)
    readings = [step.reading for step in steps]
    write_lists(walk.place, readings, walk.way.unit, by_moments=walk.by_moments)


def _told(name: str, walk: _Walk, made: Sequence[Reading], begin: float) -> str:
    """Return a step in words: how far, at what load, how strained, and what time is left."""
    last, unit, end = made[-1], walk.way.unit, walk.path_control.to
    gone = last.deflection - (made[0].deflection if len(made) > 1 else 0.0)
    left = (perf_counter() - begin) * max(end - last.deflection, 0.0) / max(gone, 1e-3 * end)
    far = (
        f"{degrees(last.deflection):.1f} of {degrees(end):.1f} deg, "
        f"{last.factor * unit / 1000:.0f} N m"
        if walk.by_moments
        else f"{last.deflection:.1f} of {end:g} mm, {last.factor * unit:.0f} N"
    )
    strain = f"plastic strain {100 * last.strain.value:.2g} %"
    return f"{name}: {far}, {strain}, about {left // 60:.0f}:{left % 60:02.0f} left"
