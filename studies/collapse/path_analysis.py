"""A path traced step by step, each stored on disk as it is finished."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from time import perf_counter

import numpy as np

from fea.collapse.equilibrium import moved_mm
from fea.collapse.free_bar import require_balance
from fea.collapse.imperfection import Imperfection
from fea.collapse.initial_state import prepared
from fea.collapse.path import (
    Plan,
    Position,
    Segment,
    is_complete,
    next_position,
    plan_path,
    start_position,
)
from fea.collapse.path_model import PathModel, Standing, path_model_of
from fea.collapse.path_run import PathRun, Snapshot, Step
from fea.collapse.reading import Reader, Reading, reader_of, reading_of
from fea.collapse.step_length import pace_of
from fea.collapse.strain import along_lines, on_surfaces
from fea.solid.direct_solvers import Pivoting
from fea.solid.linear_solver import SolverName, choose_solver, pivoting
from fea.solid.model import without_stiffness
from geometry.errors import SolveError
from loadcases.case import PlacedCase
from loadcases.path_control import PathControl, end_moment_nmm, held_loads, only_moments
from loadcases.uncertainty import Variation
from studies.collapse.path_bifurcation import met_at_end, met_between
from studies.collapse.path_gauges import PathGauges, path_gauges_of, with_gauges
from studies.collapse.requested_paths import knock_downs
from studies.collapse.stored_steps import path_key, resumed_path
from studies.collapse.text import step_in_words
from studies.collapse.variations import variations_of, varied_study
from studies.files.atomic_files import PATHS, locked
from studies.files.checkpoints import StoredPath, clear_store, drop_set_aside, store_step
from studies.files.provenance import Provenance, provenance
from studies.files.step_series import write_lists, write_step
from studies.study_file.study import Study

Progress = Callable[[str], None]


@dataclass(frozen=True, eq=False)
class _Tracing:
    """The inputs of every step of a path."""

    path_model: PathModel
    plan: Plan
    reader: Reader
    pivoting: Pivoting
    place: Path
    key: str
    made_by: Provenance
    path_control: PathControl
    by_moments: bool
    load: float
    gauges: PathGauges


@dataclass(frozen=True)
class TraceOptions:
    """How paths are traced.

    Attributes:
        solver: Which direct solver.
        progress: Called with what is being done.
        resume: Whether to continue from stored steps of a path with the same end.
        say: Called with a sentence on what becomes of stored steps.
        band: Whether each path is repeated with its inputs at the ends of their intervals.
    """

    solver: SolverName = "auto"
    progress: Progress = lambda stage: None
    resume: bool = False
    say: Callable[[str], None] = lambda sentence: None
    band: bool = False


def trace_paths(
    study: Study, path_controls: Mapping[str, PathControl], folder: Path, options: TraceOptions
) -> dict[str, PathRun]:
    """Return the paths of cases by their ids, each step on disk before the next.

    Args:
        study: The bar, its clamp and its cases.
        path_controls: How far the loads of each case grow.
        folder: Results folder.
        options: Solver and the like.

    Raises:
        InputError: The folder cannot be written, or another command writes there.
        MeshError: The mesh cannot be made.
        SolveError: The bar is not supported, or the sustained loads are beyond its limit load.
    """
    cases = [placed for placed in study.cases if placed.case.id in path_controls]
    with locked(folder, PATHS) as store:
        return {
            placed.case.id: _with_others(
                study, placed, path_controls[placed.case.id], store, options
            )
            for placed in cases
        }


def _with_others(
    study: Study, placed: PlacedCase, path_control: PathControl, store: Path, options: TraceOptions
) -> PathRun:
    """Return a case's path, those of other amplitudes, and those of other inputs beside it."""
    name, lesser = placed.case.id, knock_downs(path_control)
    path = _path(study, placed, path_control, store / name, options)
    places = [store / f"{name}@{one.imperfection_percent:g}" for one in lesser]
    lesser_paths = (
        _path(study, placed, *pair, options) for pair in zip(lesser, places, strict=True)
    )
    path = replace(path, knock_down_paths=tuple(lesser_paths))
    variations = variations_of(study) if options.band else ()
    alone = replace(path_control, knock_down_percent=())
    varied = ((one, _varied(study, placed, one, alone, store, options)) for one in variations)
    return replace(path, varied_paths=tuple(varied))


def _varied(
    study: Study,
    placed: PlacedCase,
    variation: Variation,
    path_control: PathControl,
    store: Path,
    options: TraceOptions,
) -> PathRun:
    """Return the path of a case with one input at the end of its interval."""
    name, words = placed.case.id, f"{variation.input} x {variation.factor:.4g}"
    other = varied_study(study, variation)
    case = next(one for one in other.cases if one.case.id == name)
    told = replace(options, progress=lambda stage: options.progress(f"{words}: {stage}"))
    place = store / f"{name}@{words.replace(' ', '-')}"
    return _path(other, case, path_control, place, told)


def _path(
    study: Study, placed: PlacedCase, path_control: PathControl, place: Path, options: TraceOptions
) -> PathRun:
    name, begin = placed.case.id, perf_counter()
    options.progress(f"{name}: mesh of the path")
    tracing, start = _begun(study, placed, path_control, place, options.solver)
    stored = resumed_path(
        place,
        tracing.key,
        path_control.displacement,
        tracing.path_model.equations,
        options.say,
        resume=options.resume,
    )
    if stored is None:
        clear_store(place)
        stored = StoredPath((), start)
    read = tuple(with_gauges(tracing.gauges, step) for step in stored.steps)
    stored = replace(stored, steps=read)
    before = len(stored.steps)

    def report(made: Sequence[Reading]) -> None:
        options.progress(_progress(f"{name}, step {before + len(made)}", tracing, made, begin))

    steps, position, terminated = _steps(tracing, stored, report)
    if terminated is None:
        drop_set_aside(place)
    equations = tracing.path_model.equations
    bifurcation, slope = met_at_end(equations, tracing.pivoting, steps, position)
    return PathRun(
        path_control,
        tracing.path_model.model.mesh,
        tracing.path_model.unit,
        tracing.by_moments,
        tuple(steps),
        terminated,
        before,
        choose_solver(options.solver),
        perf_counter() - begin,
        bifurcation=bifurcation,
        end_slope=slope,
        end_moment_nmm=tracing.load if tracing.by_moments else None,
        loads=tracing.path_model.loads,
        by_ram=placed.case.ram_force_n > 0,
    )


def _begun(
    study: Study, placed: PlacedCase, path_control: PathControl, place: Path, solver: SolverName
) -> tuple[_Tracing, Position]:
    """Return what traces a path, and its start: clamps preloaded, under sustained loads."""
    lacks = path_control.rippled or path_control.imperfection_percent != 0
    model = path_model_of(
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
        standing=Standing(placed.supports, placed.case.ram_force_n),
    )
    # its linear stiffness is of use to no step
    drawn = [replace(model, model=without_stiffness(model.model))]
    factorise, bolted = pivoting(solver), bool(model.bolted)
    del model
    try:
        # handed over and not held: its pattern goes as soon as the clamps have made a larger one
        path_model, point = prepared(drawn.pop(), solver, factorise)
    except SolveError as error:
        if not bolted:
            raise
        msg = f"{placed.case.id}: {error}; preload = false in its table collapse leaves bolts out"
        raise SolveError(msg) from None
    by_moments = only_moments(held_loads(placed))
    tracing = _Tracing(
        path_model,
        plan_path(path_control.unload_at, path_control.displacement, pace_of(path_model)),
        reader_of(path_model),
        factorise,
        place,
        path_key(study, placed, path_control, solver),
        provenance("path", choose_solver(solver)),
        path_control,
        by_moments,
        end_moment_nmm(placed.loads) if by_moments else path_model.unit,
        path_gauges_of(study, path_model),
    )
    return tracing, start_position(tracing.plan, point)


def _steps(
    tracing: _Tracing, stored: StoredPath, report: Callable[[Sequence[Reading]], None]
) -> tuple[list[Step], Position, str | None]:
    """Trace to the end, and return all steps, the last position, and why it terminated early."""
    steps, position, made = list(stored.steps), stored.position, list[Reading]()
    while not is_complete(tracing.plan, position):
        before = position
        try:
            position = next_position(
                tracing.path_model.equations, tracing.plan, before, tracing.pivoting
            )
            require_balance(tracing.path_model, position.point)
        except SolveError as error:
            return steps, before, str(error)
        step = _step(tracing, position, tracing.plan.segments[before.segment])
        bifurcation = met_between(
            tracing.path_model.equations, tracing.pivoting, steps, before, step.reading
        )
        steps.append(replace(step, reading=replace(step.reading, bifurcation=bifurcation)))
        _keep(tracing, steps, position)
        made.append(steps[-1].reading)
        report(made)
    return steps, position, None


def _step(tracing: _Tracing, position: Position, segment: Segment) -> Step:
    path_model, lines, point = tracing.path_model, tracing.reader.lines, position.point
    reading = reading_of(path_model, tracing.reader, point, segment)
    strain = along_lines(lines, point.response.state.equivalent)
    outer, inner = on_surfaces(lines, strain, path_model.model.mesh.sheet)
    shown = (moved_mm(path_model.equations, point.displacement), outer, inner)
    snapshot = Snapshot(*(values.astype(np.float32) for values in shown))
    return with_gauges(tracing.gauges, Step(reading, snapshot))


def _keep(tracing: _Tracing, steps: list[Step], position: Position) -> None:
    number, mesh = len(steps), tracing.path_model.model.mesh
    write_step(tracing.place, number, mesh, steps[-1].snapshot)
    to = tracing.path_control.displacement
    store_step(tracing.place, tracing.key, tracing.made_by, number, steps[-1], position, to=to)
    keys = tracing.gauges.keys
    write_lists(tracing.place, steps, tracing.load, keys, by_moments=tracing.by_moments)


def _progress(name: str, tracing: _Tracing, made: Sequence[Reading], begin: float) -> str:
    """Return a step in words: deflection, load, plastic strain, and time left."""
    end, last = tracing.path_control.displacement, made[-1].deflection
    gone = last - (made[0].deflection if len(made) > 1 else 0.0)
    left = (perf_counter() - begin) * max(end - last, 0.0) / max(gone, 1e-3 * end)
    step = step_in_words(made[-1], tracing.load, end, by_moments=tracing.by_moments)
    return f"{name}: {step}, about {left // 60:.0f}:{left % 60:02.0f} left"
