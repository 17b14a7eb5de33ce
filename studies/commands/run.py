"""`barwright run`: from a study file to deflection, peak stress and safety factor."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from geometry.errors import refuse
from studies.commands.exit_codes import LIMIT_NOT_MET
from studies.commands.options import (
    DirectSolver,
    MeshLevel,
    OpenPage,
    ResultsFolder,
    Solver,
    StudyFile,
)
from studies.commands.output import open_page, say, write_json

if TYPE_CHECKING:
    from studies.records import ResultsRecord
    from studies.runner import StudyRun
    from studies.study import Study


def run(  # noqa: PLR0913 each is an option of the command
    study: StudyFile,
    *,
    out: ResultsFolder = None,
    mesh: MeshLevel = None,
    case: Annotated[
        list[str] | None, typer.Option(help="Run this case only; may be given again.")
    ] = None,
    settings: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            metavar="PATH=VALUE",
            help="Another value for a key of the study, such as bar.stations.*.wall_mm=1.6; *= for "
            "a factor, += for an addition; may be given again.",
        ),
    ] = None,
    figures: Annotated[bool, typer.Option(help="Draw the pictures.")] = True,
    fail_under: Annotated[
        float | None, typer.Option(help="Exit with 1 if a governing factor is below this.")
    ] = None,
    solver: DirectSolver = Solver.AUTO,
    open_: OpenPage = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")] = False,
) -> None:
    """Compute a study.

    Prints deflection, peak stress, limits and a verdict for each case, and writes results.json,
    report.html, fields and pictures to the results folder.
    """
    from fea.linear_solver import choose_solver
    from studies.landing import REPORT_FILE, check_folder, landed
    from studies.study import read_study, require_cases, with_cases

    _check_limit(fail_under)
    read = with_cases(_changed(read_study(study), settings or ()), case)
    require_cases(read)
    choose_solver(solver.value)
    folder = out or Path("results") / read.name
    check_folder(folder, study.name)
    before = [case["id"] for case in landed(folder).get("cases", [])]
    with progress() as tell:
        from studies.results import write_results
        from studies.runner import run_study

        answers = run_study(read, mesh.value if mesh else None, solver.value, tell)
        tell("files")
        record = write_results(answers, folder, drawing(tell) if figures else None)
    gone = [name for name in before if name not in {case.id for case in record.cases}]
    if gone:
        say(f"note: earlier results of {', '.join(gone)} in {folder} were replaced by this run")
    if as_json:
        write_json(record.model_dump(mode="json"))
    else:
        from studies.commands.run_tables import print_run

        print_run(record, folder)
    if open_:
        open_page(folder / REPORT_FILE)
    _judge(record, fail_under)


def _changed(read: "Study", settings: Sequence[str]) -> "Study":
    """Return the study with the values set on the command line."""
    if not settings:
        return read
    from studies.sweeps.settings import changes_in
    from studies.variants import variant_of

    return variant_of(read, changes_in(settings))


def _check_limit(fail_under: float | None) -> None:
    """Refuse a limit that nothing can be compared with."""
    if fail_under is not None and not 0 <= fail_under < float("inf"):
        raise refuse("--fail-under", f"is {fail_under:g}; give a factor of 0 or more, such as 1.5")


def _judge(record: "ResultsRecord", fail_under: float | None) -> None:
    """End with 1 where the governing factor, or yield inside a loaded length, is below a limit."""
    # inside the loaded lengths too: a light load there must not hide what the others do
    proof = record.material.proof_stress_mpa
    named = [(case.limits[0].name, case.governing_factor) for case in record.cases]
    named += [
        ("yield in a loaded length", proof / case.load_band_peak_mpa) for case in record.cases
    ]
    if record.fatigue and record.fatigue.safety_factor is not None:
        named.append(("fatigue, all stages together", record.fatigue.safety_factor))
    name, least = min(named, key=lambda pair: pair[1])
    if fail_under is not None and (unjudged := _not_judged(record)):
        say(f"barwright: the fatigue of {', '.join(unjudged)} is not judged, so no factor holds")
        raise typer.Exit(LIMIT_NOT_MET)
    if fail_under is None or least >= fail_under:
        return
    say(
        f"barwright: the governing factor is {least:.3g} ({name}), below the {fail_under:g} "
        "asked for by --fail-under"
    )
    raise typer.Exit(LIMIT_NOT_MET)


def _not_judged(record: "ResultsRecord") -> list[str]:
    """Return the repeated cases whose fatigue nothing is known of."""
    return [case.id for case in record.cases if case.fatigue and case.fatigue.safety_factor is None]


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """Show the stage at work on standard error; only at a terminal, and gone at the end."""
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    columns = SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn()
    console = Console(stderr=True)
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as p:
        task = p.add_task("read", total=None)
        yield lambda stage: p.update(task, description=stage)


def drawing(tell: Callable[[str], None]) -> "Callable[[StudyRun, Path], None]":
    """Return what draws a run's figures and says what hindered it."""

    def draw(run: "StudyRun", folder: Path) -> None:
        from studies.pictures.figures import draw_figures

        tell("figures")
        for note in draw_figures(run, folder):
            say(f"note: {note}")

    return draw
