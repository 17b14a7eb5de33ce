"""`barwright plan`: one printed page for whoever puts a bar into a press."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from geometry.errors import InputError, refuse
from studies.commands.options import (
    AsMeasured,
    Changes,
    DirectSolver,
    MeshLevel,
    OpenPage,
    PrintJson,
    Solver,
    StudyFile,
)
from studies.commands.output import TABLE_WIDTH, open_page, show, write_json
from studies.commands.rig_options import (
    AreaMm2,
    BoreMm,
    Friction,
    FullScale,
    GaugeClass,
    Resolution,
    RigPath,
    by_option,
    friction_band,
)
from studies.commands.units import PrintUnits, Units

if TYPE_CHECKING:
    from studies.study_file.study import Study


def plan(  # noqa: PLR0913 each is an option of the command
    study: StudyFile,
    *,
    case: Annotated[
        str | None, typer.Option(help="Case that is tested. [default: the only one]")
    ] = None,
    results: Annotated[
        Path | None,
        typer.Option(
            help="Results folder whose path past yield is expected, and where one is traced. "
            "[default: results/<study name>]"
        ),
    ] = None,
    linear: Annotated[
        bool, typer.Option("--linear", help="Do without a path: a straight line to first yield.")
    ] = False,
    band: Annotated[
        bool, typer.Option("--band", help="Trace the band of the path too, where it has none.")
    ] = False,
    to_load: Annotated[
        bool, typer.Option("--to-load", help="End the test at the load of the case.")
    ] = False,
    force_unit: Annotated[
        str | None, typer.Option(help="bar, psi, MPa, kPa, kgf/cm2, N, kN, kgf or lbf.")
    ] = None,
    bore_mm: BoreMm = None,
    area_mm2: AreaMm2 = None,
    gauge_class: GaugeClass = None,
    full_scale: FullScale = None,
    resolution: Resolution = None,
    friction_percent: Friction = None,
    rig: RigPath = None,
    settings: Changes = None,
    as_measured: AsMeasured = False,
    out: Annotated[
        Path | None,
        typer.Option(
            help="Folder for plan.html and plan.json. [default: plans/<case> in the results folder]"
        ),
    ] = None,
    mesh: MeshLevel = None,
    solver: DirectSolver = Solver.AUTO,
    open_: OpenPage = False,
    as_json: PrintJson = False,
    units: PrintUnits = Units.SI,
) -> None:
    """Plan a test on one printed page: set-up, expected curve, steps with the gauge's readings.

    The curve is that of a path past yield: of the results folder, or traced now.
    """
    from studies.bench.gauge import gauge_of
    from studies.bench.rig_file import NOTHING, read_rig_file, rig_of
    from studies.commands.plan_lines import plan_lines
    from studies.commands.planning import PlanOptions, planned
    from studies.files.results_folder import PLAN_FILE, PLANS
    from studies.study_file.as_measured import read_as
    from studies.study_file.chosen_cases import require_cases
    from studies.study_file.variants import with_settings

    read = with_settings(read_as(study, as_measured=as_measured), settings or ())
    require_cases(read)
    if linear and band:
        raise refuse("--band", "is of a path past yield; drop it, or --linear")
    chosen = _case_of(read, case)
    given = {
        "force_unit": force_unit,
        "bore_mm": bore_mm,
        "area_mm2": area_mm2,
        "gauge_class_percent": gauge_class,
        "full_scale": full_scale,
        "resolution": resolution,
    }
    described = read_rig_file(rig) if rig else NOTHING
    try:
        friction = friction_band(friction_percent)
        gauge = gauge_of(rig_of({**given, "friction_percent": friction}, described))
    except InputError as error:
        raise InputError(*map(by_option, error.problems)) from None
    folder = results or Path("results") / read.name
    into = out or folder / PLANS / chosen
    options = PlanOptions(linear, band, to_load, mesh.value if mesh else None, solver.value, gauge)
    made = planned(read, chosen, folder, into, options)
    if as_json:
        write_json(made.model_dump(mode="json"))
    else:
        show(*plan_lines(made, into / PLAN_FILE), width=TABLE_WIDTH)
    if open_:
        open_page(into / PLAN_FILE)


def _case_of(study: "Study", case: str | None) -> str:
    """Return the id of the case that is tested.

    Raises:
        InputError: The study has no such case, or several and none is named.
    """
    from geometry.limits import unknown_name

    known = [placed.case.id for placed in study.cases]
    if case is not None and case not in known:
        raise InputError(unknown_name("--case", "case", case, known))
    if case is None and len(known) > 1:
        raise refuse("--case", f"is not given, and the study has {', '.join(known)}")
    return case or known[0]
