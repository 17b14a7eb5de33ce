"""`barwright press`: the record of a press, reduced to figures with their intervals."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from geometry.errors import InputError, refuse
from studies.commands.options import PrintJson
from studies.commands.output import CAUTION, show, write_json
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
    from studies.bench.against import Prediction
    from studies.bench.record import PressRecord
    from studies.bench.reduction import Reduction
    from studies.bench.rig import Rig


def press(  # noqa: PLR0913 each is an option of the command
    record: Annotated[
        Path, typer.Argument(help="Press record.", metavar="RECORD", show_default=False)
    ],
    *,
    force_column: Annotated[
        str | None, typer.Option(help="Head or number of the gauge's column. [default: by heads]")
    ] = None,
    travel_column: Annotated[
        str | None, typer.Option(help="Head or number of the travel's column. [default: by heads]")
    ] = None,
    force_unit: Annotated[
        str | None,
        typer.Option(help="bar, psi, MPa, kPa, kgf/cm2, N, kN, kgf or lbf. [default: by the head]"),
    ] = None,
    travel_unit: Annotated[
        str | None, typer.Option(help="mm, cm or in. [default: by the head]")
    ] = None,
    bore_mm: BoreMm = None,
    area_mm2: AreaMm2 = None,
    gauge_class: GaugeClass = None,
    full_scale: FullScale = None,
    resolution: Resolution = None,
    travel_resolution_mm: Annotated[
        float | None, typer.Option(help="Smallest step of travel.")
    ] = None,
    friction_percent: Friction = None,
    block: Annotated[
        Path | None, typer.Option(help="Record of a rigid block, for the rig's own give.")
    ] = None,
    offset_mm: Annotated[
        list[float] | None,
        typer.Option(help="Shift of a further offset load; may be given again."),
    ] = None,
    against: Annotated[
        Path | None,
        typer.Option(
            metavar="RESULTS",
            help="Results folder of a path past yield, to set the record beside. [default: none]",
        ),
    ] = None,
    case: Annotated[
        str | None, typer.Option(help="Its case. [default: the only one with a path]")
    ] = None,
    rig: RigPath = None,
    specimen: Annotated[str | None, typer.Option(help="Mark of the bar.")] = None,
    mass_g: Annotated[
        float | None, typer.Option(help="Its mass. [default: that of the prediction]")
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(help="Folder for press.json, press.html and press.png. [default: none]"),
    ] = None,
    as_json: PrintJson = False,
    units: PrintUnits = Units.SI,
) -> None:
    """Reduce a press record: stiffness, offset loads, peak, permanent set, energy.

    RECORD is a table of gauge pressure or force and of travel, one point a line, in any encoding,
    with any separator and decimal sign. Each figure comes with its 95 % interval.
    """
    given = {
        "force_column": force_column,
        "travel_column": travel_column,
        "force_unit": force_unit,
        "travel_unit": travel_unit,
        "bore_mm": bore_mm,
        "area_mm2": area_mm2,
        "gauge_class_percent": gauge_class,
        "full_scale": full_scale,
        "resolution": resolution,
        "travel_resolution_mm": travel_resolution_mm,
    }
    from studies.bench.rig_file import NOTHING, read_rig_file, rig_of

    described = read_rig_file(rig) if rig else NOTHING
    try:
        _check_mass(mass_g)
        made_rig = rig_of({**given, "friction_percent": friction_band(friction_percent)}, described)
        found = _reduced(record, made_rig, block or described.block, offset_mm or [])
    except InputError as error:
        raise InputError(*map(by_option, error.problems)) from None
    from studies.bench.record import Told, press_record
    from studies.files.version import barwright_version

    prediction = _prediction(against, case)
    told = Told(barwright_version(), specimen, mass_g, _read_at(out, found))
    made = press_record(found, told, prediction)
    if out:
        _write(made, found, prediction, out)
    if as_json:
        write_json(made.model_dump(mode="json"))
        return
    from studies.commands.against_lines import against_lines
    from studies.commands.press_lines import press_lines

    beside = against_lines(made.against) if made.against else ()
    show(*press_lines(found), *beside, "", CAUTION)
    if out:
        show(f"Record, page and picture in {out}")


def _check_mass(mass_g: float | None) -> None:
    from geometry.limits import number_problem
    from geometry.specimen import SPECIMEN_LIMITS

    problem = mass_g is not None and number_problem("mass_g", mass_g, SPECIMEN_LIMITS["mass_g"])
    if problem:
        raise InputError(problem)


def _read_at(folder: Path | None, found: "Reduction") -> str:
    """Return when a record was first reduced in a folder, now where it was not."""
    from studies.files.results_folder import PRESS_RECORD, landed
    from studies.records.clock import now_utc

    held = landed(folder, PRESS_RECORD).get("record", {}) if folder else {}
    same = held.get("sha256") == found.ready.readings.sha256
    return str((same and held.get("read_at")) or now_utc())


def _prediction(folder: Path | None, case: str | None) -> "Prediction | None":
    if folder is None:
        if case is not None:
            raise refuse("--case", "is of a prediction; give --against RESULTS too, or drop it")
        return None
    from studies.results.prediction import read_prediction

    return read_prediction(folder, case)


def _reduced(record: Path, rig: "Rig", block: Path | None, shifts_mm: list[float]) -> "Reduction":
    from studies.bench.offset_load import SHIFT_MM, check_shift
    from studies.bench.readings import read_readings
    from studies.bench.reduction import reduce_record

    for shift in shifts_mm:
        check_shift(shift)
    readings = read_readings(record, rig)
    pressed = read_readings(block, rig) if block else None
    return reduce_record(readings, rig, pressed, (SHIFT_MM, *shifts_mm))


def _write(
    made: "PressRecord", found: "Reduction", prediction: "Prediction | None", folder: Path
) -> None:
    """Write page, picture and record, each whole; the record, by which it is ours, last."""
    from tempfile import TemporaryDirectory

    from studies.files.atomic_files import write_each
    from studies.files.recovery import held
    from studies.files.results_folder import (
        PRESS_PAGE,
        PRESS_PICTURE,
        PRESS_RECORD,
        check_press_folder,
    )
    from studies.page.press_page import press_html
    from studies.pictures.press_curve import draw_press_curve

    with held(folder, replaced=False), TemporaryDirectory() as aside:
        check_press_folder(folder, made.record.sha256)
        picture = Path(aside) / PRESS_PICTURE
        draw_press_curve(found, picture, prediction)
        contents: dict[str, str | bytes] = {
            PRESS_PICTURE: picture.read_bytes(),
            PRESS_PAGE: press_html(made),
            PRESS_RECORD: made.model_dump_json(indent=2) + "\n",
        }
        write_each(folder, contents)
