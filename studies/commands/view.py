"""`barwright view`: opens the page or the fields of a results folder."""

from pathlib import Path
from typing import Annotated

import typer

from studies.commands.output import open_page


def view(
    results: Annotated[
        Path,
        typer.Argument(help="Results folder, or a page.", metavar="RESULTS", show_default=False),
    ],
    *,
    vtk: Annotated[
        bool, typer.Option("--vtk", help="Show the fields in a window instead of the page.")
    ] = False,
    case: Annotated[
        str | None, typer.Option(help="Case of the fields, with --vtk. [default: the first]")
    ] = None,
) -> None:
    """Open the page of a results folder in the browser."""
    from geometry.errors import refuse
    from studies.files.opening import fields_in, page_in

    if case is not None and not vtk:
        raise refuse("--case", "chooses the fields of --vtk; the page shows all cases")
    if not vtk:
        open_page(page_in(results))
        return
    from studies.pictures.drawing import show_fields

    path = fields_in(results, case)
    show_fields(path, f"{results.name}: {path.stem}")
