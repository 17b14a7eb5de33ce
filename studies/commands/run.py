"""`barwright run`: from a study file to deflection, peak stress and safety factor."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from geometry.errors import refuse
from studies.commands.computing import RunOptions, computed
from studies.commands.exit_codes import LIMIT_NOT_MET
from studies.commands.not_judged import say_not_judged, without_fatigue
from studies.commands.options import (
    AsMeasured,
    Changes,
    DirectSolver,
    Figures,
    Live,
    MeshLevel,
    OpenPage,
    PrintJson,
    Quiet,
    ResultsFolder,
    Resume,
    Solver,
    StudyFile,
    Verbose,
    Verified,
    detail_of,
)
from studies.commands.output import say
from studies.commands.units import PrintUnits, Units

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
    as_measured: AsMeasured = False,
    figures: Figures = True,
    live: Live = True,
    fail_under: Annotated[
        float | None, typer.Option(help="Exit with 1 if a governing factor is below this.")
    ] = None,
    verified: Verified = False,
    resume: Resume = False,
    solver: DirectSolver = Solver.AUTO,
    open_: OpenPage = False,
    as_json: PrintJson = False,
    verbose: Verbose = False,
    quiet: Quiet = False,
    units: PrintUnits = Units.SI,
) -> None:
    """Compute a study.

    Prints deflection, peak stress and the nearest limits of each case, and writes results.json,
    report.html, fields and pictures to the results folder. Cases with a table cases.collapse are
    traced past yield too.
    """
    from studies.study_file.as_measured import read_as
    from studies.study_file.chosen_cases import with_cases
    from studies.study_file.variants import with_settings

    _check_limit(fail_under)
    detail = detail_of(verbose=verbose, quiet=quiet)
    read = with_cases(with_settings(read_as(study, as_measured=as_measured), settings or ()), case)
    folder = out or Path("results") / read.name
    options = RunOptions(
        mesh.value if mesh else None, solver.value, figures, resume, open_, as_json, detail, live
    )
    _judge(computed(read, read.path_controls, folder, options), fail_under, verified=verified)


def _check_limit(fail_under: float | None) -> None:
    """Refuse a limit that nothing can be compared with."""
    if fail_under is not None and not 0 <= fail_under < float("inf"):
        raise refuse("--fail-under", f"is {fail_under:g}; give a factor of 0 or more, such as 1.5")


def _judge(record: "ResultsRecord", fail_under: float | None, *, verified: bool) -> None:
    """End with 1 where a governing factor, or yield inside a load band, is below a limit."""
    if verified:
        say_not_judged(record)
    if fail_under is None:
        return
    if unjudged := _unjudged(record, verified=verified):
        say(f"barwright: {unjudged}, so no factor holds")
        raise typer.Exit(LIMIT_NOT_MET)
    name, least = min(_factors(record, verified=verified), key=lambda pair: pair[1])
    if least < fail_under:
        say(
            f"barwright: the governing factor is {least:.3g} ({name}), below the {fail_under:g} "
            "required by --fail-under"
        )
        raise typer.Exit(LIMIT_NOT_MET)


def _factors(record: "ResultsRecord", *, verified: bool) -> list[tuple[str, float]]:
    """Return the factors that --fail-under judges, each by the low end of its range."""
    # inside the load bands too: a light load there must not hide what the others do
    proof = record.material.proof_stress_mpa
    named = [("yield in a load band", proof / case.load_band_peak_mpa) for case in record.cases]
    limits = [limit for case in record.cases for limit in case.limits]
    named += [(one.name, one.load_factor) for one in limits if one.verified or not verified]
    together = record.fatigue.low_factor if record.fatigue else None
    if together is not None and not verified:
        named.append(("fatigue, all stages together", together))
    return named


def _unjudged(record: "ResultsRecord", *, verified: bool) -> str:
    """Return why there is nothing to judge by, an empty text where there is."""
    from studies.records.measures import without_verified

    if verified:
        none = ", ".join(without_verified(record))
        return f"no limit of {none} rests on verified inputs alone" if none else ""
    unknown = ", ".join(without_fatigue(record))
    return f"the fatigue of {unknown} is not judged" if unknown else ""
