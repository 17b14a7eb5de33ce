"""`barwright lighten`: the lightest walls and diameters that keep stated minima."""

from collections.abc import Sequence
from math import expm1
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from geometry.errors import refuse
from studies.commands.computing import drawing, progress
from studies.commands.exit_codes import INTERRUPTED, LIMIT_NOT_MET
from studies.commands.options import (
    DirectSolver,
    Level,
    OpenPage,
    Scheduler,
    Solver,
    StudyFile,
    Workers,
)
from studies.commands.output import indented, open_page, say, show, table
from studies.commands.sweep import crew_of

if TYPE_CHECKING:
    from rich.table import Table

    from studies.sweeps.lightened import Lightened

CLOSING = "Computed before the physical test: it prepares one and replaces none."


def lighten(  # noqa: PLR0913 each is an option of the command
    study: StudyFile,
    *,
    vary: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PATH=FROM:TO:STEP",
            help="A wall or diameter that may vary, in which sizes; may be given again. In place "
            "of what the study lists.",
        ),
    ] = None,
    least_yield_factor: Annotated[
        float | None, typer.Option(help="Least factor to first yield, in every case.")
    ] = None,
    least_governing_factor: Annotated[
        float | None, typer.Option(help="Least governing factor, in every case.")
    ] = None,
    least_fatigue_factor: Annotated[
        float | None, typer.Option(help="Least factor on the loads for the cycles asked for.")
    ] = None,
    most_wall_used: Annotated[
        float | None, typer.Option(help="Greatest used share of the wall's stability.")
    ] = None,
    most_deflection_mm: Annotated[
        float | None, typer.Option(help="Greatest deflection of a load point, mm.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Results folder. [default: results/<study name>-lightest]")
    ] = None,
    mesh: Annotated[
        Level | None, typer.Option(help="Mesh level of the search; the answer is run on fine.")
    ] = None,
    workers: Workers = None,
    scheduler: Scheduler = None,
    figures: Annotated[bool, typer.Option(help="Draw the pictures of the lightest bar.")] = True,
    solver: DirectSolver = Solver.AUTO,
    open_: OpenPage = False,
) -> None:
    """Find the lightest walls and diameters that keep stated minima in all cases.

    Sizes are those that a mill offers, in steps; the answer is confirmed by a full run on the fine
    mesh. Ends with 1 where no such bar lies in the bounds, and tells the nearest miss.
    """
    from fea.solid.linear_solver import choose_solver
    from studies.files.results_folder import REPORT_FILE, SWEEP_FILE, check_folder
    from studies.study_file.settings import settled
    from studies.study_file.study import read_study
    from studies.sweeps.lighten import task_of

    read = read_study(study)
    choose_solver(solver.value)
    said = {
        "vary": [_varied(text) for text in vary] if vary else None,
        "min_yield_factor": least_yield_factor,
        "min_governing_factor": least_governing_factor,
        "min_fatigue_factor": least_fatigue_factor,
        "max_wall_utilisation": most_wall_used,
        "max_deflection_mm": most_deflection_mm,
    }
    asked = settled(read.optimise, said, "optimise")
    task = task_of(read, asked, mesh.value if mesh else None, solver.value)
    name = f"{read.name}-lightest"
    folder = out or Path("results") / name
    check_folder(folder, study.name, f"{name}.toml")
    from studies.sweeps.lightened import lighten as find
    from studies.sweeps.lightened import write_lightened

    try:
        with progress() as tell:
            found = find(task, folder, name, crew_of(workers, scheduler), tell)
            record = write_lightened(found, folder, name, drawing(tell) if figures else None)
    except KeyboardInterrupt:
        say(
            f"barwright: stopped; what was tried is kept in {folder}, and the same command goes on "
            "with it"
        )
        raise typer.Exit(INTERRUPTED) from None
    _print(found)
    if record:
        # a bar that keeps what was asked may still break early of what was not
        verdict = f"What ends it first, asked for or not: {record.summary}"
        show(indented(verdict), "")
    show("Nothing was kept but what is listed above.", CLOSING, f"Results in {folder}")
    if open_:
        open_page(folder / (REPORT_FILE if found.kept else SWEEP_FILE))
    if not found.kept:
        raise typer.Exit(LIMIT_NOT_MET)


def _varied(text: str) -> dict[str, object]:
    """Return what a setting says may vary; its numbers are judged with the whole table."""
    from studies.study_file.settings import value_in

    path, sign, sizes = text.partition("=")
    ends = sizes.split(":")
    if not sign or not path.strip() or len(ends) != 3:
        raise refuse("--vary", f"is {text!r}; write PATH=FROM:TO:STEP, such as 1.2:2.4:0.1")
    low, high, step = (value_in(end.strip()) for end in ends)
    return {"path": path.strip(), "from": low, "to": high, "step": step}


def _print(found: "Lightened") -> None:
    if found.kept:
        show(f"The lightest bar that keeps what was asked: {_mass(found)}", "")
    else:
        show("No such bar in these bounds. What comes nearest:", "")
    made = table("Sizes", "path", "size", "from", "to", "step", words=1)
    for varied, size in zip(found.task.varied, found.point, strict=True):
        ends = (f"{value:g}" for value in (varied.from_, varied.to, varied.step))
        made.add_row(varied.path, f"{size:g}", *ends)
    show(made)
    show(_margins(found))
    show(*(indented(line) for line in _words(found)), "")
    show(f"Mesh of these figures: {found.level}; {found.tried} designs were tried", "")


def _mass(found: "Lightened") -> str:
    percent = 100 * (found.mass_g / found.mass_before_g - 1)
    before = f"{found.mass_before_g:.1f} g that it began with"
    return f"{found.mass_g:.1f} g, {percent:+.1f} % against the {before}"


def _margins(found: "Lightened") -> "Table":
    made = table("What must be kept", "figure", "case", "value", "limit", "room", words=2)
    for margin in sorted(found.margins, key=lambda one: one.margin):
        value = "-" if margin.value is None else f"{margin.value:.4g}"
        room = f"{100 * expm1(margin.margin):+.1f} %"
        made.add_row(margin.minimum.name, margin.case, value, f"{margin.minimum.limit:g}", room)
    return made


def _words(found: "Lightened") -> Sequence[str]:
    if found.kept:
        lines = [f"Keeps it from being lighter: {margin}" for margin in found.active]
        lines += [f"Keeps it from being lighter: {words}" for words in found.at_bounds]
        return lines
    missed = [margin for margin in found.margins if margin.margin < 0]
    lines = [f"Missed: {margin}" for margin in missed]
    return lines or ["The search keeps all minima on its mesh, the fine mesh does not"]
