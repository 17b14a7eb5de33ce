"""`barwright optimise`: the lightest walls and diameters that meet stated constraints."""

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
from studies.commands.output import CAUTION, indented, note, open_page, say, show, table
from studies.commands.sweep import executor_of

if TYPE_CHECKING:
    from rich.table import Table

    from studies.sweeps.optimised import Optimised


def optimise(  # noqa: PLR0913 each is an option of the command
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
    min_yield_factor: Annotated[
        float | None, typer.Option(help="Least yield factor, in every case.")
    ] = None,
    min_governing_factor: Annotated[
        float | None, typer.Option(help="Least governing factor, in every case.")
    ] = None,
    min_fatigue_factor: Annotated[
        float | None, typer.Option(help="Least fatigue factor for the cycles required.")
    ] = None,
    max_wall_utilisation: Annotated[
        float | None, typer.Option(help="Greatest utilisation in local buckling.")
    ] = None,
    max_deflection_mm: Annotated[
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
    """Find the lightest walls and diameters that meet stated constraints in all cases.

    Sizes are those that a mill offers, in steps; the answer is confirmed by a full run on the fine
    mesh. Ends with 1 where no such bar lies in the bounds, and prints the nearest one.
    """
    from fea.solid.linear_solver import choose_solver
    from studies.assessment.verdict import CLOSING
    from studies.files.results_folder import REPORT_FILE, SWEEP_FILE, check_folder
    from studies.study_file.settings import settled
    from studies.study_file.study import read_study
    from studies.sweeps.optimise import task_of

    read = read_study(study)
    choose_solver(solver.value)
    said = {
        "vary": [_varied(text) for text in vary] if vary else None,
        "min_yield_factor": min_yield_factor,
        "min_governing_factor": min_governing_factor,
        "min_fatigue_factor": min_fatigue_factor,
        "max_wall_utilisation": max_wall_utilisation,
        "max_deflection_mm": max_deflection_mm,
    }
    asked = settled(read.optimise, said, "optimise")
    task = task_of(read, asked, mesh.value if mesh else None, solver.value)
    name = f"{read.name}-lightest"
    folder = out or Path("results") / name
    check_folder(folder, study.name, f"{name}.toml")
    from studies.sweeps.optimised import optimise as find
    from studies.sweeps.optimised import write_optimised

    try:
        with progress() as tell:
            found = find(task, folder, name, executor_of(workers, scheduler), tell, note)
            record = write_optimised(found, folder, name, drawing(tell) if figures else None)
    except KeyboardInterrupt:
        say(
            f"barwright: stopped; finished designs are stored in {folder}, the same command "
            "continues from them"
        )
        raise typer.Exit(INTERRUPTED) from None
    _print(found)
    if record:
        # a bar that meets its constraints may still break early of what was not constrained
        summary = record.summary.removesuffix(CLOSING).strip()
        show(indented(f"Governing limit, constrained or not: {summary}"), "")
    show("Constraints: those listed above and no others.", CAUTION, f"Results in {folder}")
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


def _print(found: "Optimised") -> None:
    if found.kept:
        show(f"Lightest bar that meets all constraints: {_mass(found)}", "")
    else:
        show("No such bar in these bounds. Nearest design:", "")
    made = table("Sizes", "path", "size", "from", "to", "step", words=1)
    for varied, size in zip(found.task.varied, found.point, strict=True):
        ends = (f"{value:g}" for value in (varied.from_, varied.to, varied.step))
        made.add_row(varied.path, f"{size:g}", *ends)
    show(made)
    show(_margins(found))
    show(*(indented(line) for line in _words(found)), "")
    show(f"Mesh of these figures: {found.level}; {found.tried} designs tried", "")


def _mass(found: "Optimised") -> str:
    percent = 100 * (found.mass_g / found.mass_before_g - 1)
    before = f"{found.mass_before_g:.1f} g at the start"
    return f"{found.mass_g:.1f} g, {percent:+.1f} % against {before}"


def _margins(found: "Optimised") -> "Table":
    made = table("Constraints", "figure", "case", "value", "limit", "margin", words=2)
    for margin in sorted(found.margins, key=lambda one: one.margin):
        value = "-" if margin.value is None else f"{margin.value:.4g}"
        room = f"{100 * expm1(margin.margin):+.1f} %"
        made.add_row(
            margin.constraint.name, margin.case, value, f"{margin.constraint.limit:g}", room
        )
    return made


def _words(found: "Optimised") -> Sequence[str]:
    if found.kept:
        lines = [f"Active constraint: {margin}" for margin in found.active]
        lines += [f"Active bound: {words}" for words in found.at_bounds]
        return lines
    missed = [margin for margin in found.margins if margin.margin < 0]
    lines = [f"Violated: {margin}" for margin in missed]
    return lines or ["The search meets all constraints on its mesh, the fine mesh does not"]
