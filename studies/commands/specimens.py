"""`barwright specimens`: press records of several specimens over each other."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from studies.commands.options import PrintJson
from studies.commands.output import CAUTION, show, table, write_json

ABREAST = 3
"""Specimens of a printed table: more would cut figures in 80 columns."""

NAME_SIGNS = 16
"""Of a specimen in the head of a printed table."""

if TYPE_CHECKING:
    from rich.table import Table

    from studies.bench.record import PressRecord
    from studies.bench.specimens import SpecimensRecord


def specimens(
    pressed: Annotated[
        list[Path],
        typer.Argument(
            help="Folders of `barwright press --out`, the first to compare with.",
            metavar="PRESSED...",
            show_default=False,
        ),
    ],
    *,
    out: Annotated[Path, typer.Option(help="Folder for specimens.json and specimens.html.")] = Path(
        "results/specimens"
    ),
    as_json: PrintJson = False,
) -> None:
    """Lay the press records of several specimens over each other, also by mass."""
    from studies.bench.specimens import specimens_record
    from studies.files.version import barwright_version
    from studies.results.stored_press import read_pressed

    records = read_pressed(pressed)
    found = specimens_record(records, barwright_version())
    _write(found, records, out)
    if as_json:
        write_json(found.model_dump(mode="json"))
        return
    parts = range(0, len(found.specimens), ABREAST)
    show(*(_table(found, slice(start, start + ABREAST)) for start in parts), "", CAUTION)
    show(f"Specimens in {out}: specimens.html, specimens.json")


def _table(found: "SpecimensRecord", part: slice) -> "Table":
    """Return the table of some of the specimens; all of them stand on the page abreast."""
    from studies.page.specimens_page import cell_of

    heads = [f"{one.letter} {_short(one.id)}" for one in found.specimens[part]]
    rows = table("Specimens", "", "unit", *heads, words=2)
    masses = [f"{one.mass_g:.4g}" if one.mass_g else "-" for one in found.specimens[part]]
    rows.add_row("Mass", "g", *masses)
    for one in found.figures:
        cells = [cell_of(value) for value in one.values[part]]
        rows.add_row(one.name, one.unit, *(cell.value for cell in cells))
        if any(cell.per_gram for cell in cells):
            rows.add_row("   over the mass", f"{one.unit} per g", *(c.per_gram for c in cells))
        if any(cell.apart for cell in cells):
            rows.add_row("   against the first", "", *(cell.apart for cell in cells))
    return rows


def _short(name: str) -> str:
    return name if len(name) <= NAME_SIGNS else f"{name[: NAME_SIGNS - 1]}…"


def _write(found: "SpecimensRecord", records: "list[PressRecord]", folder: Path) -> None:
    """Write page and record, each whole; the record, by which the folder is ours, last."""
    from studies.files.atomic_files import write_each
    from studies.files.recovery import held
    from studies.files.results_folder import SPECIMENS_PAGE, SPECIMENS_RECORD
    from studies.page.specimens_page import specimens_html

    with held(folder, replaced=False):
        page, record = specimens_html(found, records), found.model_dump_json(indent=2) + "\n"
        write_each(folder, {SPECIMENS_PAGE: page, SPECIMENS_RECORD: record})
