"""`barwright optimise`: the lightest walls and diameters that meet stated constraints."""

from collections.abc import Sequence
from math import expm1
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from geometry.errors import InputError, refuse
from studies.commands.computing import check_solver, drawing, progress
from studies.commands.exit_codes import LIMIT_NOT_MET
from studies.commands.interrupted import stopped
from studies.commands.not_judged import say_not_judged
from studies.commands.options import (
    AsMeasured,
    DirectSolver,
    Level,
    OpenPage,
    Scheduler,
    Solver,
    StudyFile,
    Verified,
    Workers,
)
from studies.commands.output import CAUTION, indented, note, open_page, show, table
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
            help="A wall or diameter and its sizes; *= for factors, which keep the ratios of a "
            "butted bar; may be given again. Replaces the study's list.",
        ),
    ] = None,
    min_yield_factor: Annotated[
        float | None,
        typer.Option(help="Least yield factor, without and with bolt preload, in every case."),
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
    max_gauge: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=READING",
            help="Greatest reading of a gauge in every case, either sign, mm or µm/m; may be given "
            "again.",
        ),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            metavar="MEASURE",
            help="Compute this measure of each case and those constrained, and nothing that they "
            "do not need; may be given again. The lightest bar is assessed whole.",
        ),
    ] = None,
    as_measured: AsMeasured = False,
    out: Annotated[
        Path | None, typer.Option(help="Results folder. [default: results/<study name>-lightest]")
    ] = None,
    verified: Verified = False,
    mesh: Annotated[
        Level | None,
        typer.Option(help="Mesh level of the search; the result is confirmed on fine."),
    ] = None,
    workers: Workers = None,
    scheduler: Scheduler = None,
    figures: Annotated[bool, typer.Option(help="Draw the pictures of the lightest bar.")] = True,
    solver: DirectSolver = Solver.AUTO,
    open_: OpenPage = False,
) -> None:
    """Find the lightest walls and diameters that meet stated constraints in all cases.

    Sizes vary in a mill's steps. A full run on the fine mesh confirms the result. Exit code 1: no
    such bar in the bounds; the nearest design is printed.
    """
    from studies.assessment.verdict import CLOSING
    from studies.files.recovery import held
    from studies.files.results_folder import REPORT_FILE, SWEEP_FILE
    from studies.study_file.as_measured import read_as
    from studies.study_file.settings import settled
    from studies.sweeps.optimise import merged_in, task_of

    read = read_as(study, as_measured=as_measured)
    check_solver(solver.value)
    options = {
        "vary": [_varied(text) for text in vary] if vary else None,
        "min_yield_factor": min_yield_factor,
        "min_governing_factor": min_governing_factor,
        "min_fatigue_factor": min_fatigue_factor,
        "max_wall_utilisation": max_wall_utilisation,
        "max_deflection_mm": max_deflection_mm,
        "max_gauges": [_gauge_limit(text) for text in max_gauge] if max_gauge else None,
        "verified": verified or None,
        "only": only,
    }
    constraints = settled(read.optimise, options, "optimise")
    task = task_of(read, constraints, mesh.value if mesh else None, solver.value)
    name = f"{read.name}-lightest"
    folder = out or Path("results") / name
    for sentence in merged_in(task):
        note(sentence)
    from studies.sweeps.optimised import optimise as find
    from studies.sweeps.optimised import write_optimised

    kept = f"finished designs are stored in {folder}, the same command continues from them"
    with stopped(kept), held(folder, study.name, f"{name}.toml"), progress() as report:
        found = find(task, folder, name, executor_of(workers, scheduler), report, note)
        try:
            record = write_optimised(found, folder, name, drawing(report) if figures else None)
        except InputError:
            _print(found)
            raise
    _print(found)
    if record:
        # a bar that meets its constraints may still break early of what was not constrained
        summary = record.summary.removesuffix(CLOSING).strip()
        show(indented(f"Governing limit: {summary}"), "")
        if constraints.verified:
            say_not_judged(record)
    show("Constraints: those listed above and no others.", CAUTION, f"Results in {folder}")
    if open_:
        open_page(folder / (REPORT_FILE if found.constraints_met else SWEEP_FILE))
    if not found.constraints_met:
        raise typer.Exit(LIMIT_NOT_MET)


def _varied(text: str) -> dict[str, object]:
    """Return what a setting says may vary; its numbers are judged with the whole table."""
    from studies.study_file.settings import value_in

    path, sign, sizes = text.partition("=")
    path, factor = path.removesuffix("*").strip(), path.endswith("*")
    ends = sizes.split(":")
    if not sign or not path or len(ends) != 3:
        sentence = "write PATH=FROM:TO:STEP, such as 1.2:2.4:0.1, or with *= for factors"
        raise refuse("--vary", f"is {text!r}; {sentence}")
    low, high, step = (value_in(end.strip()) for end in ends)
    acts = "factor" if factor else "value"
    return {"path": path, "from": low, "to": high, "step": step, "acts_as": acts}


def _gauge_limit(text: str) -> dict[str, object]:
    """Return the most that a setting lets a gauge read; the number is judged with the table."""
    from studies.study_file.settings import value_in

    # a name may hold the sign, a number does not
    name, sign, reading = text.rpartition("=")
    if not sign or not name.strip():
        raise refuse("--max-gauge", f"is {text!r}; write NAME=READING, such as grip=12")
    return {"name": name.strip(), "reading": value_in(reading.strip())}


def _print(found: "Optimised") -> None:
    if found.constraints_met:
        show(f"Lightest bar within all constraints: {_mass(found)}", "")
    else:
        show("No such bar in these bounds. Nearest design:", "")
    made = table("Sizes", "path", "size", "from", "to", "step", words=1)
    for varied, size in zip(found.task.varied, found.point, strict=True):
        ends = (f"{value:g}" for value in (varied.from_, varied.to, varied.step))
        made.add_row(varied.name, f"{size:g}", *ends)
    show(made)
    show(*(indented(line) for line in _dimensions(found)))
    show(_margins(found))
    show(*(indented(line) for line in _words(found)), "")
    show(f"Mesh {found.level}; {found.designs_evaluated} designs computed", "")


def _dimensions(found: "Optimised") -> list[str]:
    from studies.sweeps.optimise import dimensions

    factors = {varied.path for varied in found.task.varied if varied.acts_as == "factor"}
    return [
        f"{path}: {', '.join(f'{number:.4g}' for number in numbers)}"
        for path, numbers in dimensions(found.task, found.point).items()
        if path in factors
    ]


def _mass(found: "Optimised") -> str:
    percent = 100 * (found.mass_g / found.mass_before_g - 1)
    return f"{found.mass_g:.1f} g (before {found.mass_before_g:.1f} g, {percent:+.1f} %)"


def _margins(found: "Optimised") -> "Table":
    made = table("Constraints", "figure", "case", "value", "limit", "margin", words=2)
    for margin in sorted(found.margins, key=lambda one: one.margin):
        value = "-" if margin.value is None else f"{margin.value:.4g}"
        percent = f"{100 * expm1(margin.margin):+.1f} %"
        made.add_row(
            margin.constraint.name, margin.case, value, f"{margin.constraint.limit:g}", percent
        )
    return made


def _words(found: "Optimised") -> Sequence[str]:
    if found.constraints_met:
        lines = [f"Active constraint: {margin}" for margin in found.active]
        lines += [f"Active bound: {words}" for words in found.at_bounds]
        return lines
    violated = [margin for margin in found.margins if margin.margin < 0]
    lines = [f"Violated: {margin}" for margin in violated]
    return lines or ["Constraints met on the mesh of the search, violated on the fine mesh"]
