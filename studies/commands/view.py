"""`barwright view`: opens what an earlier command wrote."""

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
        bool, typer.Option("--vtk", help="Open a window on the fields instead of the page.")
    ] = False,
    case: Annotated[
        str | None, typer.Option(help="With --vtk: which case. [default: the first]")
    ] = None,
) -> None:
    """Open the page of a run or of a comparison in the browser."""
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
