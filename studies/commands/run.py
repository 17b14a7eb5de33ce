"""`barwright run`: from a study file to deflection, peak stress and safety factor."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from geometry.errors import refuse
from studies.commands.computing import RunOptions, computed
from studies.commands.exit_codes import LIMIT_NOT_MET
from studies.commands.options import (
    Changes,
    DirectSolver,
    Figures,
    MeshLevel,
    OpenPage,
    PrintJson,
    Quiet,
    ResultsFolder,
    Resume,
    Solver,
    StudyFile,
    Verbose,
    detail_of,
)
from studies.commands.output import say

if TYPE_CHECKING:
    from studies.records.case import ResultsRecord


def run(  # noqa: PLR0913 each is an option of the command
    study: StudyFile,
    *,
    out: ResultsFolder = None,
    mesh: MeshLevel = None,
    case: Annotated[
        list[str] | None, typer.Option(help="Run this case only; may be given again.")
    ] = None,
    settings: Changes = None,
    figures: Figures = True,
    fail_under: Annotated[
        float | None, typer.Option(help="Exit with 1 if a governing factor is below this.")
    ] = None,
    resume: Resume = False,
    solver: DirectSolver = Solver.AUTO,
    open_: OpenPage = False,
    as_json: PrintJson = False,
    verbose: Verbose = False,
    quiet: Quiet = False,
) -> None:
    """Compute a study.

    Prints deflection, peak stress and the nearest limits of each case, and writes results.json,
    report.html, fields and pictures to the results folder. Cases with a table cases.collapse are
    traced past yield too.
    """
    from studies.study_file.study import read_study, with_cases
    from studies.study_file.variants import with_settings

    _check_limit(fail_under)
    detail = detail_of(verbose=verbose, quiet=quiet)
    read = with_cases(with_settings(read_study(study), settings or ()), case)
    folder = out or Path("results") / read.name
    options = RunOptions(
        mesh.value if mesh else None, solver.value, figures, resume, open_, as_json, detail
    )
    _judge(computed(read, read.path_controls, folder, options), fail_under)


def _check_limit(fail_under: float | None) -> None:
    """Refuse a limit that nothing can be compared with."""
    if fail_under is not None and not 0 <= fail_under < float("inf"):
        raise refuse("--fail-under", f"is {fail_under:g}; give a factor of 0 or more, such as 1.5")


def _judge(record: "ResultsRecord", fail_under: float | None) -> None:
    """End with 1 where the governing factor, or yield inside a loaded length, is below a limit."""
    # inside the loaded lengths too: a light load there must not hide what the others do
    proof = record.material.proof_stress_mpa
    named = [(case.nearest_limit.name, case.governing_factor) for case in record.cases]
    named += [
        ("yield in a loaded length", proof / case.load_band_peak_mpa) for case in record.cases
    ]
    if record.fatigue and record.fatigue.factor is not None:
        named.append(("fatigue, all stages together", record.fatigue.factor))
    name, least = min(named, key=lambda pair: pair[1])
    if fail_under is not None and (unjudged := _not_judged(record)):
        say(f"barwright: the fatigue of {', '.join(unjudged)} is not judged, so no factor holds")
        raise typer.Exit(LIMIT_NOT_MET)
    if fail_under is None or least >= fail_under:
        return
    say(
        f"barwright: the governing factor is {least:.3g} ({name}), below the {fail_under:g} "
        "required by --fail-under"
    )
    raise typer.Exit(LIMIT_NOT_MET)


def _not_judged(record: "ResultsRecord") -> list[str]:
    """Return the repeated cases whose fatigue nothing is known of."""
    return [case.id for case in record.cases if case.fatigue and case.fatigue.factor is None]
