"""`barwright new`: a commented study file to begin with."""

from pathlib import Path
from typing import Annotated

import typer

from studies.commands.output import say


def new(
    name: Annotated[str, typer.Argument(help="Name of the study; NAME.toml is written here.")],
    example: Annotated[
        str,
        typer.Option("--from", help="harbour-flat, harbour-riser or harbour-drop."),
    ] = "harbour-flat",
    family: Annotated[
        str | None,
        typer.Option(
            "--as",
            help="straight, flat, riser or drop: a bar by its measured dimensions, in place of "
            "--from.",
        ),
    ] = None,
) -> None:
    """Write NAME.toml, a commented study to edit.

    An existing file is never overwritten.
    """
    from geometry.errors import refuse
    from studies.study_file.shipped import family_example, renamed_example

    text = family_example(family, name) if family else renamed_example(example, name)
    path = Path(f"{name}.toml")
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise refuse("NAME", f"{path} exists and is left as it is; choose another name") from None
    except OSError as error:
        reason = (error.strerror or "refused").lower()
        raise refuse("NAME", f"{path} cannot be written here ({reason})") from None
    say(f"wrote {path}; go on with `barwright check {path}`")
