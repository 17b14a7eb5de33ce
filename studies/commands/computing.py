"""What `run` and `collapse` share: from a study to files and printed results."""

import re
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from geometry.errors import InputError, MeshError, SolveError
from studies.commands.interrupted import NOTHING_WRITTEN, stopped
from studies.commands.options import Detail
from studies.commands.output import note, open_page, say, write_json

if TYPE_CHECKING:
    from concurrent.futures import Future

    from fea.collapse.path_run import PathRun
    from fea.solid.linear_solver import SolverName
    from geometry.grading import LevelName
    from loadcases.path_control import PathControl
    from studies.assessment.run import StudyRun
    from studies.preview.snapshots import Snapshots
    from studies.records.case import ResultsRecord
    from studies.study_file.study import Study


NO_PREVIEW = "the page does not follow other walls:"

SLOW_SOLVER = (
    "the equations are solved by splu, two to four times slower than by CHOLMOD, which is not "
    "installed here; pip install cvxopt"
)


@dataclass(frozen=True)
class RunOptions:
    """How a study is computed and shown.

    Attributes:
        level: Mesh level, the study's where it is None.
        solver: Which direct solver.
        figures: Whether pictures are drawn.
        resume: Whether paths continue from stored steps.
        open_page: Whether the page is shown.
        as_json: Whether JSON and nothing else is printed.
        detail: How much is printed.
        live: Whether the page follows other walls and loads.
        band: Whether paths get a band.
    """

    level: "LevelName | None" = None
    solver: "SolverName" = "auto"
    figures: bool = True
    resume: bool = False
    open_page: bool = False
    as_json: bool = False
    detail: Detail = Detail.DEFAULT
    live: bool = False
    band: bool = False


def check_solver(name: "SolverName") -> None:
    """Refuse a solver that cannot be used here, and say where only the slowest can.

    Raises:
        InputError: It cannot be used here.
    """
    from fea.solid.linear_solver import choose_solver

    if choose_solver(name) == "splu" and name == "auto":
        note(SLOW_SOLVER)


def computed(
    study: "Study", path_controls: "Mapping[str, PathControl]", folder: Path, options: RunOptions
) -> "ResultsRecord":
    """Compute a study and its paths past yield, write all files and print the answer.

    Raises:
        StudyError, InputError, MeshError, SolveError: As the parts of it do.
        Exit: Interrupted on a path; its steps are kept.
    """
    from studies.files.provenance import sources_sha256
    from studies.files.recovery import held
    from studies.files.results_folder import REPORT_FILE, landed_cases
    from studies.study_file.chosen_cases import require_cases

    require_cases(study)
    check_solver(options.solver)
    sources_sha256("results")  # read before the run, lest an edit meanwhile counts as its own
    following = previewed(study, options.solver) if options.live else nullcontext(lambda: None)
    with held(folder, study.path.name), following as snapshots, progress() as tell:
        from studies.assessment.run import run_study, with_paths

        before = landed_cases(folder)
        answers = run_study(study, options.level, options.solver, tell)
        answers = _beside_square(answers, options, tell)
        kept = NOTHING_WRITTEN
        if path_controls:
            kept = _steps_kept(folder)
            answers = with_paths(answers, _paths(study, path_controls, folder, options, tell))
        tell("files")
        with stopped(kept):
            draw = drawing(tell) if options.figures else None
            if options.live:
                tell("other walls")
            record, hindrance = _written(answers, folder, draw, snapshots())
    with stopped(kept if hindrance else f"the new results are in {folder}"):
        if not hindrance:
            _say_what_is_replaced(before, record, folder)
        _print(record, None if hindrance else folder, options)
        if hindrance:
            raise hindrance
        if options.open_page:
            open_page(folder / REPORT_FILE)
    _require_useful(answers)
    return record


def _beside_square(
    answers: "StudyRun", options: RunOptions, tell: Callable[[str], None]
) -> "StudyRun":
    """Return the results with those of the square bar, where the bar is out of square."""
    from dataclasses import replace

    from studies.assessment.run import run_study
    from studies.study_file.square import square_study

    square = square_study(answers.study)
    if square is None:
        return answers
    tell("square bar beside it")
    return replace(answers, square=run_study(square, options.level, options.solver))


@contextmanager
def previewed(study: "Study", solver: "SolverName") -> "Iterator[Callable[[], Snapshots | None]]":
    """Compute other walls in a process beside this one; what is yielded waits for them.

    Where they cannot be computed a note says why, and there are none.
    """
    from studies.files.worker_process import Aside, one_thread_each
    from studies.preview.snapshots import take_snapshots

    with ExitStack() as stack:
        try:
            # this one's libraries keep their threads
            with one_thread_each():
                future = Aside(stack).submit(take_snapshots, study, solver)
        except (OSError, NotImplementedError) as error:
            note(f"{NO_PREVIEW} no process can be started ({error})")
            yield lambda: None
            return
        yield lambda: _answered(future)


def _answered(future: "Future[str]") -> "Snapshots | None":
    from studies.files.worker_process import answer_in
    from studies.study_file.errors import StudyError

    try:
        found: Snapshots = answer_in(future)
    except (StudyError, InputError, MeshError, SolveError) as error:
        note(f"{NO_PREVIEW} {error}")
    except BrokenProcessPool:
        note(f"{NO_PREVIEW} its process ended, mostly for want of memory")
    else:
        return found
    return None


def _written(
    run: "StudyRun",
    folder: Path,
    draw: "Callable[[StudyRun, Path], None] | None",
    snapshots: "Snapshots | None",
) -> "tuple[ResultsRecord, InputError | None]":
    """Write all files and return the record; also where they cannot be written, with the reason."""
    from studies.results.record import results_record
    from studies.results.writing import write_results

    try:
        return write_results(run, folder, draw, snapshots), None
    except InputError as error:
        return results_record(run), error


def _print(record: "ResultsRecord", folder: Path | None, options: RunOptions) -> None:
    if options.as_json:
        write_json(record.model_dump(mode="json"))
        return
    from studies.commands.run_lines import print_run

    print_run(record, folder, options.detail)


def _paths(
    study: "Study",
    path_controls: "Mapping[str, PathControl]",
    folder: Path,
    options: RunOptions,
    tell: Callable[[str], None],
) -> "dict[str, PathRun]":
    from studies.collapse.path_analysis import TraceOptions, trace_paths

    with stopped(_steps_kept(folder)):
        how = TraceOptions(options.solver, tell, options.resume, note, options.band)
        return trace_paths(study, path_controls, folder, how)


def _steps_kept(folder: Path) -> str:
    return (
        f"the finished steps are stored in {folder}, the same command with --resume continues "
        "from them"
    )


def _say_what_is_replaced(
    before: "list[dict[str, object]]", record: "ResultsRecord", folder: Path
) -> None:
    """Name the cases and paths of earlier results that these have not."""
    now = {case.id: case for case in record.cases}
    replaced = [str(case["id"]) for case in before if case["id"] not in now]
    if replaced:
        say(f"note: earlier results of {', '.join(replaced)} in {folder} were replaced by this run")
    paths = [
        name
        for case in before
        if case.get("collapse") and (name := str(case["id"])) in now and not now[name].collapse
    ]
    if paths:
        say(
            f"note: the path past yield of {', '.join(paths)} is not in these results; its steps "
            "are stored, `barwright collapse` with --resume restores it"
        )


def _require_useful(run: "StudyRun") -> None:
    """Refuse to call a path computed that terminated before it reached yield.

    Raises:
        SolveError: It did, for at least one case.
    """
    for case in run.cases:
        path = case.path
        if path is None or path.terminated is None:
            continue
        if not any(one.factor >= 1 or one.strain.value > 0 for one in path.readings):
            msg = f"path of {case.placed.case.id} terminated before it yields: {path.terminated}"
            raise SolveError(msg)


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """Show the stage at work on standard error: at a terminal replaced at the end, else a line."""
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    columns = SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn()
    console = Console(stderr=True)
    if not console.is_terminal:
        yield _lines()
        return
    with Progress(*columns, console=console, transient=True) as p:
        task = p.add_task("read", total=None)
        yield lambda stage: p.update(task, description=stage)


def _lines() -> Callable[[str], None]:
    """Return what writes a line a stage; numbers and what follows a comma count its steps."""
    last = ""

    def tell(stage: str) -> None:
        nonlocal last
        name = re.sub(r"\b\d[\d.]*", "", stage.partition(", ")[0])
        if name != last:
            say(f"stage: {stage}")
        last = name

    return tell


def drawing(tell: Callable[[str], None]) -> "Callable[[StudyRun, Path], None]":
    """Return what draws a run's figures and says what hindered it."""

    def draw(run: "StudyRun", folder: Path) -> None:
        from studies.pictures.beside import processors
        from studies.pictures.figures import draw_figures

        tell("figures")
        for hindrance in draw_figures(run, folder, processors()):
            note(hindrance)

    return draw
