"""`barwright compare`: designs beside each other on one page."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from geometry.errors import InputError
from studies.commands.computing import drawing, progress
from studies.commands.interrupted import stopped
from studies.commands.options import AsMeasured, Level, OpenPage
from studies.commands.output import CAUTION, TABLE_WIDTH, indented, note, open_page, show, table
from studies.commands.units import PrintUnits, Units

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import RenderableType

    from studies.comparison.designs import Design
    from studies.comparison.differences import CaseTable, Row
    from studies.study_file.study import Study


def compare(  # noqa: PLR0913 each is an option of the command
    studies: Annotated[
        list[Path], typer.Argument(help="Study files.", metavar="STUDY", show_default=False)
    ],
    *,
    settings: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            metavar="PATH=VALUE[;PATH=VALUE]",
            help="Add a design: the study with these changes, written as in `run --set`, several "
            "joined by a semicolon; may be given again for a further design. For one STUDY.",
        ),
    ] = None,
    as_measured: AsMeasured = False,
    out: Annotated[
        Path | None,
        typer.Option(help="Folder of the page. [default: results/<first>-against-<others>]"),
    ] = None,
    mesh: Annotated[Level | None, typer.Option(help="Mesh level. [default: the studies']")] = None,
    figures: Annotated[bool, typer.Option(help="Draw the pictures of new results.")] = True,
    open_: OpenPage = False,
    units: PrintUnits = Units.SI,
) -> None:
    """Compare designs: a table with differences against the first, curves, two views in 3D.

    The designs are study files, or one study file and a variant of it for each --set.

    Stored results are reused where study, mesh, sources and libraries are the same. The others are
    run, and their results written as `run` does; those with a path past yield are marked instead.
    """
    from studies.comparison.designs import design_of
    from studies.comparison.studies import read_studies
    from studies.files.recovery import held
    from studies.files.results_folder import COMPARISON_FILE

    read = read_studies(studies, settings or (), as_measured=as_measured)
    for sentence in _new_warnings(read) if settings else ():
        note(sentence)
    folder = out or Path("results") / _name([study.name for study in read])
    kept = "no comparison was written; results of designs that were computed are in results"
    with stopped(kept), held(folder), progress() as report:
        draw = drawing(report) if figures else None
        designs = [
            design_of(
                study,
                Path("results") / study.name,
                mesh.value if mesh else None,
                draw,
                report,
                note,
            )
            for study in read
        ]
        report("page")
        hindrance = _written(designs, folder)
    for design in designs:
        if design.reused:
            note(f"results of {design.record.study.name} are reused")
    _print(designs)
    show(*_other_versions(designs))
    show(CAUTION, "")
    if hindrance:
        raise hindrance
    show(f"Page in {folder / COMPARISON_FILE}")
    if open_:
        open_page(folder / COMPARISON_FILE)


def _new_warnings(read: "list[Study]") -> list[str]:
    """Return the warnings on variants that the study itself has not, with their names."""
    first, *variants = read
    return [
        f"{study.name}: {line}"
        for study in variants
        for line in study.warnings
        if line not in first.warnings
    ]


def _other_versions(designs: "list[Design]") -> list[str]:
    """Return a line for each design that was not computed by what compares it."""
    from studies.files.provenance import OTHER_VERSION

    return [
        f"{study.name}: computed by {OTHER_VERSION}; it holds a path past yield, which `barwright "
        f"collapse {study.file}` computes again\n"
        for design in designs
        if design.older and (study := design.record.study)
    ]


def _name(names: list[str]) -> str:
    first, *others = names
    return f"{first}-against-{others[0] if len(others) == 1 else f'{len(others)}-others'}"


def _written(designs: "list[Design]", folder: Path) -> InputError | None:
    """Write page and record; return what hindered it."""
    from studies.comparison.comparison_page import comparison_html
    from studies.comparison.record import comparison_json
    from studies.files.results_folder import (
        COMPARISON_FILE,
        COMPARISON_NAMES,
        COMPARISON_RECORD,
        land,
    )

    page = comparison_html(designs)
    record = comparison_json([design.record for design in designs])

    def write(fresh: Path) -> None:
        (fresh / COMPARISON_FILE).write_text(page, encoding="utf-8")
        (fresh / COMPARISON_RECORD).write_text(record, encoding="utf-8")

    try:
        land(folder, write, COMPARISON_NAMES)
    except InputError as error:
        return error
    return None


def _print(designs: "list[Design]") -> None:
    from studies.comparison.differences import bar_rows, case_tables

    records = [design.record for design in designs]
    names = [record.study.name for record in records]
    _table("Bars", names, bar_rows(records))
    tables = case_tables(records, names)
    for part in tables:
        if part.in_all_designs:
            _table(f"{part.id}: {part.title}", names, part.rows, part.loads)
            show(*([indented(part.note), ""] if part.note else []))
    some = [_owners(part, names) for part in tables if not part.in_all_designs]
    if some:
        show("Cases that not all designs have; their figures are on the page", *some, "")


def _table(
    title: str, names: list[str], rows: "Sequence[Row]", loads: "Sequence[str]" = ()
) -> None:
    from studies.comparison.differences import cell_text

    made = table(title, "", *names, words=1)
    if loads:
        made.add_row("load", *loads)
    for row in rows:
        made.add_row(row.name, *(cell_text(cell, row.decimals) for cell in row.cells))
    show(made, width=TABLE_WIDTH)


def _owners(part: "CaseTable", names: list[str]) -> "RenderableType":
    owners = [name for name, load in zip(names, part.loads, strict=True) if load]
    return indented(f"{part.id}: {', '.join(owners)}")
