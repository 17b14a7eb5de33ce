"""From a study and a case to the plan of its test: what is expected, computed or read."""

from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from geometry.errors import InputError, Problem
from studies.commands.computing import check_solver, progress
from studies.commands.interrupted import NOTHING_WRITTEN, stopped
from studies.commands.output import note

if TYPE_CHECKING:
    from fea.solid.linear_solver import SolverName
    from geometry.grading import LevelName
    from studies.assessment.run import StudyRun
    from studies.bench.gauge import Gauge
    from studies.bench.plan_record import PlanRecord
    from studies.records.case import ResultsRecord
    from studies.records.collapse import CollapseRecord
    from studies.study_file.study import Study

LINEAR = "Straight line of the linear run, to first yield."
REPEATED = "Straight line of the linear run."


@dataclass(frozen=True)
class PlanOptions:
    """How a test is planned.

    Attributes:
        linear: Without a path past yield.
        band: With the path's band.
        to_load: Up to the load of the case and no further.
        level: Mesh level, the study's where it is None.
        solver: Which direct solver.
        gauge: None where none is described.
    """

    linear: bool
    band: bool
    to_load: bool
    level: "LevelName | None"
    solver: "SolverName"
    gauge: "Gauge | None"


def planned(
    study: "Study", case_id: str, folder: Path, into: Path, options: PlanOptions
) -> "PlanRecord":
    """Compute what a test is expected to do, write its plan, and return that.

    Raises:
        StudyError, InputError, MeshError, SolveError: As the parts of it do.
    """
    from studies.assessment.run import run_study
    from studies.files.recovery import held
    from studies.results.plan import is_repeated
    from studies.results.record import results_record
    from studies.study_file.chosen_cases import with_cases

    check_solver(options.solver)
    placed = next(one for one in study.cases if one.case.id == case_id)
    _refuse_moments(study, case_id, options)
    straight = options.linear or is_repeated(placed.case)
    holding = nullcontext() if straight else held(folder, study.path.name, replaced=False)
    with holding, held(into, study.path.name, replaced=False), progress() as tell:
        run = run_study(with_cases(study, [case_id]), options.level, options.solver, tell)
        record = results_record(run)
        path = None if straight else _path(study, case_id, run, folder, options, tell)
        with stopped(NOTHING_WRITTEN):
            return _written(run, record, case_id, path, into, options)


def _refuse_moments(study: "Study", case_id: str, options: PlanOptions) -> None:
    """Refuse a ram for a case of moments alone.

    Raises:
        InputError: It is one, and a gauge is described.
    """
    from loadcases.path_control import held_loads, only_moments

    placed = next(one for one in study.cases if one.case.id == case_id)
    if options.gauge and only_moments(held_loads(placed)):
        sentence = f"is {options.gauge.unit}, but {case_id} has moments alone, which no ram's "
        raise InputError(Problem("--force-unit", sentence + "gauge shows; leave the ram out"))


def _path(
    study: "Study",
    case_id: str,
    run: "StudyRun",
    folder: Path,
    options: PlanOptions,
    tell: Callable[[str], None],
) -> "tuple[CollapseRecord, str] | None":
    """Return the path of the case and where it is from: of the results folder, or traced now."""
    from studies.assessment.run import with_paths
    from studies.collapse.path_analysis import TraceOptions, trace_paths
    from studies.collapse.record import collapse_record
    from studies.collapse.requested_paths import requested_path_controls
    from studies.results.plan_source import stored_path

    stored = stored_path(study, case_id, folder)
    if stored and (stored.band or not options.band):
        return stored, f"{_basis(stored)}, of the results folder."
    controls = requested_path_controls(study, [case_id], mesh=options.level)
    with stopped(f"the finished steps are stored in {folder}, the same command goes on from them"):
        how = TraceOptions(options.solver, tell, resume=True, say=note, band=options.band)
        paths = trace_paths(study, controls, folder, how)
    case = next(one for one in with_paths(run, paths).cases if one.placed.case.id == case_id)
    found = collapse_record(run, case)
    return (found, f"{_basis(found)}.") if found else None


def _basis(path: "CollapseRecord") -> str:
    flawed = f", {path.imperfection}" if path.imperfection else ""
    return f"Path past yield, mesh {path.mesh_level}{flawed}"


def _written(
    run: "StudyRun",
    record: "ResultsRecord",
    case_id: str,
    path: "tuple[CollapseRecord, str] | None",
    into: Path,
    options: PlanOptions,
) -> "PlanRecord":
    from studies.results.plan import Planned, foreseen_of, goal_of, is_repeated
    from studies.results.plan_writing import write_plan

    case = next(one for one in run.cases if one.placed.case.id == case_id)
    of_case = next(one for one in record.cases if one.id == case_id)
    foreseen = foreseen_of(of_case, path[0] if path else None)
    repeated = is_repeated(case.placed.case)
    from_where = path[1] if path else REPEATED if repeated else LINEAR
    # beyond the load of a standard's test a straight line says nothing that one would need
    short = options.to_load or (path is None and bool(case.placed.case.limits))
    goal = goal_of(case.placed.case, beyond=not short)
    planned = Planned(run, case, record, foreseen, from_where, goal, options.gauge)
    return write_plan(planned, into)
