"""`barwright sweep`: many variants of a study, on all processors, each on disk as it finishes."""

import os
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from geometry.errors import refuse
from studies.commands.computing import check_solver
from studies.commands.exit_codes import BAD_INPUT, INTERRUPTED, NUMERICAL_FAILURE
from studies.commands.options import (
    AsMeasured,
    DirectSolver,
    MeshLevel,
    OpenPage,
    ResultsFolder,
    Scheduler,
    Solver,
    StudyFile,
    Workers,
)
from studies.commands.output import note, open_page, say

if TYPE_CHECKING:
    from studies.sweeps.executors import Executor
    from studies.sweeps.sweep_results import Sweep, SweepRun


class Mode(StrEnum):
    """How values are combined."""

    GRID = "grid"
    PAIRED = "paired"
    SAMPLED = "sampled"


class Sampler(StrEnum):
    """How samples are drawn."""

    LATIN_HYPERCUBE = "latin-hypercube"
    SOBOL = "sobol"


def sweep(  # noqa: PLR0913 each is an option of the command
    study: StudyFile,
    *,
    settings: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            metavar="PATH=VALUES",
            help="Values of a key: PATH=1.4,1.6 or PATH=FROM:TO:COUNT; *= for factors, += for "
            "additions. Replaces the study's sweep of that path; may be given again.",
        ),
    ] = None,
    mode: Annotated[Mode | None, typer.Option(help="How values are combined.")] = None,
    designs: Annotated[int | None, typer.Option(help="Number of samples.")] = None,
    sampler: Annotated[Sampler | None, typer.Option(help="How samples are drawn.")] = None,
    seed: Annotated[int | None, typer.Option(help="Seed of the samples.")] = None,
    sobol_indices: Annotated[
        bool, typer.Option("--sobol-indices", help="Sample for Sobol indices.")
    ] = False,
    measure: Annotated[
        list[str] | None,
        typer.Option(
            help="Report this measure of each case too, such as yield_factor or life_cycles; may "
            "be given again."
        ),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            help="Compute this measure of each case in place of the usual ones, and nothing that "
            "it does not need; may be given again.",
        ),
    ] = None,
    as_measured: AsMeasured = False,
    out: ResultsFolder = None,
    mesh: MeshLevel = None,
    case: Annotated[
        list[str] | None, typer.Option(help="Compute this case only; may be given again.")
    ] = None,
    workers: Workers = None,
    scheduler: Scheduler = None,
    solver: DirectSolver = Solver.AUTO,
    open_: OpenPage = False,
) -> None:
    """Compute many variants of a study: a grid, pairs, or samples of tolerances.

    Each design is on disk before the next begins; the same command continues. Writes designs.csv,
    sweep.json and sweep.html to the results folder.
    """
    from studies.files.recovery import held
    from studies.files.results_folder import SWEEP_FILE
    from studies.study_file.as_measured import read_as
    from studies.study_file.chosen_cases import with_cases
    from studies.study_file.settings import settled, sweep_in
    from studies.sweeps.plan import merged_by
    from studies.sweeps.sweep import sweep_of

    read = read_as(study, as_measured=as_measured)
    with_cases(read, case)
    check_solver(solver.value)
    given = [sweep_in(setting) for setting in settings or ()]
    paths = {one.path for one in given}
    axes = [one for one in read.sweeps if one.path not in paths] + given
    executor = executor_of(workers, scheduler)
    options = {
        "mode": mode.value if mode else None,
        "designs": designs,
        "sampler": sampler.value if sampler else None,
        "seed": seed,
        "sobol_indices": sobol_indices or None,
        "measures": measure,
        "only": only,
    }
    designs_of_plan = sweep_of(
        read,
        axes,
        settled(read.plan, options, "plan"),
        level=mesh.value if mesh else None,
        solver=solver.value,
        cases=case or (),
    )
    folder = out or Path("results") / read.name
    for sentence in merged_by(read.table, designs_of_plan.plan.axes):
        note(sentence)
    with held(folder, study.name, replaced=False):
        done = _run(designs_of_plan, folder, executor)
    from studies.commands.sweep_lines import print_sweep

    print_sweep(done, folder)
    if open_:
        open_page(folder / SWEEP_FILE)
    _judge(done)


def executor_of(
    workers: int | None, scheduler: str | None
) -> "Callable[[], AbstractContextManager[Executor]]":
    """Return what opens the workers: this machine's processes, or a cluster's.

    Args:
        workers: Processes, one a processor where it is None.
        scheduler: Address of a cluster's scheduler.

    Raises:
        InputError: Both are given, or the address is none.
    """
    from studies.sweeps.executors import (
        MOST_WORKERS,
        check_address,
        cluster_executor,
        local_executor,
    )

    if workers and workers > MOST_WORKERS:
        sentence = f"is {workers} but must be at most {MOST_WORKERS}; one a processor is enough"
        raise refuse("--workers", sentence)
    if scheduler and workers:
        raise refuse("--workers", "is for local processes; a cluster brings its own workers")
    if scheduler:
        check_address(scheduler)
        return partial(cluster_executor, scheduler)
    return partial(local_executor, workers or _processors())


def _processors() -> int:
    """Return how many processors this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity else os.cpu_count() or 1


def _run(
    sweep: "Sweep", folder: Path, executor: "Callable[[], AbstractContextManager[Executor]]"
) -> "SweepRun":
    from studies.sweeps.sweep import run_sweep, unique_count

    count = unique_count(sweep)
    finished = 0
    try:
        with _bar(count) as shown:

            def report(done: int, reused: int) -> None:
                nonlocal finished
                finished = done
                shown(done, reused)

            return run_sweep(sweep, folder, executor, report, note)
    except KeyboardInterrupt:
        say(
            f"barwright: stopped; {finished} of {count} designs are finished and stored in "
            f"{folder}, the same command continues with the others"
        )
        raise typer.Exit(INTERRUPTED) from None


@contextmanager
def _bar(count: int) -> Iterator["Callable[[int, int], None]"]:
    """Show how many designs are finished, how fast, and what time is left; at a terminal only.

    Elsewhere a line says how many there are, and one each time another tenth is finished.
    """
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn("designs"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TextColumn("{task.fields[pace]}"),
    )
    console = Console(stderr=True)
    if not console.is_terminal:
        yield _tenths(count)
        return
    with Progress(*columns, console=console, transient=True) as p:
        task = p.add_task("designs", total=count, pace="")

        def shown(done: int, reused: int) -> None:
            # what was reused took no time, which says nothing of the rest
            pace = pace_in_words(p.tasks[0].elapsed or 0.0, done - reused, count - done)
            p.update(task, completed=done, pace=pace)

        yield shown


def _tenths(count: int) -> "Callable[[int, int], None]":
    last = -1

    def shown(done: int, _: int) -> None:
        nonlocal last
        tenth = 10 * done // max(count, 1)
        if tenth > last:
            say(f"stage: {done} of {count} designs finished")
        last = tenth

    return shown


def pace_in_words(seconds: float, finished: int, left: int) -> str:
    """Return how fast designs finish and what time is left, empty before the first."""
    if not finished or seconds <= 0:
        return ""
    minutes, rest = divmod(round(left * seconds / finished), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{60 * finished / seconds:.1f} a minute, {hours}:{minutes:02}:{rest:02} left"


def _judge(done: "SweepRun") -> None:
    """End with 2 or 3 where a design has no figures, by what kept it from them."""
    from collections import Counter

    found = Counter(row.status for row in done.rows if row and row.status != "computed")
    if not found:
        return
    listed = ", ".join(f"{count} {status}" for status, count in sorted(found.items()))
    say(f"barwright: designs without figures: {listed}; reasons in designs.csv")
    faults = [row.traceback for row in done.rows if row and row.traceback]
    if faults:
        say(f"barwright: a fault of the program, please report it:\n{faults[0]}")
    raise typer.Exit(BAD_INPUT if set(found) == {"invalid input"} else NUMERICAL_FAILURE)
