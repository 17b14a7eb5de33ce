"""`barwright collapse`: past yield, to the limit load."""

from pathlib import Path
from typing import Annotated

import typer

from studies.commands.computing import RunOptions, computed
from studies.commands.options import (
    AsMeasured,
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
from studies.commands.units import PrintUnits, Units


def collapse(  # noqa: PLR0913 each is an option of the command
    study: StudyFile,
    *,
    case: Annotated[
        list[str] | None,
        typer.Option(
            help="Trace this case; may be given again. [default: those with a table "
            "cases.collapse, else those that come once]"
        ),
    ] = None,
    displacement_mm: Annotated[
        float | None,
        typer.Option(help="Displacement along the loads at the end. [default: a fifth of the arm]"),
    ] = None,
    imperfection: Annotated[
        float | None,
        typer.Option(
            metavar="PERCENT", help="Amplitude of the wall's imperfection, in percent of the wall."
        ),
    ] = None,
    knock_down: Annotated[
        list[float] | None,
        typer.Option(
            metavar="PERCENT",
            help="Repeat with this amplitude, for its knock-down factor; may be given again.",
        ),
    ] = None,
    band: Annotated[
        bool,
        typer.Option(
            "--band",
            help="Repeat with wall, proof stress, modulus and clamp stiffness at the ends of their "
            "intervals, for the band of the path.",
        ),
    ] = False,
    resume: Resume = False,
    settings: Changes = None,
    as_measured: AsMeasured = False,
    out: ResultsFolder = None,
    mesh: MeshLevel = None,
    figures: Figures = True,
    solver: DirectSolver = Solver.AUTO,
    open_: OpenPage = False,
    as_json: PrintJson = False,
    verbose: Verbose = False,
    quiet: Quiet = False,
    units: PrintUnits = Units.SI,
) -> None:
    """Compute a study, and trace its cases past yield to collapse.

    Prints permanent set, yield load, limit load, collapse mode and place. Each step is on disk
    before the next, so --resume continues after any end.
    """
    from studies.collapse.requested_paths import requested_path_controls
    from studies.study_file.as_measured import read_as
    from studies.study_file.chosen_cases import require_cases
    from studies.study_file.variants import with_settings

    detail = detail_of(verbose=verbose, quiet=quiet)
    read = with_settings(read_as(study, as_measured=as_measured), settings or ())
    require_cases(read)
    path_controls = requested_path_controls(
        read,
        case or (),
        displacement_mm,
        imperfection,
        mesh.value if mesh else None,
        knock_down or (),
    )
    options = RunOptions(None, solver.value, figures, resume, open_, as_json, detail, band=band)
    computed(read, path_controls, out or Path("results") / read.name, options)
