"""Arguments and options that several commands take, each with one meaning and one help text."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Level(StrEnum):
    """Mesh levels."""

    COARSE = "coarse"
    STANDARD = "standard"
    FINE = "fine"


class Solver(StrEnum):
    """Sparse direct solvers."""

    AUTO = "auto"
    SPLU = "splu"
    PARDISO = "pardiso"


StudyFile = Annotated[Path, typer.Argument(help="Study file.", metavar="STUDY", show_default=False)]

ResultsFolder = Annotated[
    Path | None, typer.Option(help="Results folder. [default: results/<study name>]")
]

MeshLevel = Annotated[Level | None, typer.Option(help="Mesh level, over the study's.")]

DirectSolver = Annotated[Solver, typer.Option(help="Sparse direct solver.")]

OpenPage = Annotated[bool, typer.Option("--open", help="Open the page in a browser.")]

Workers = Annotated[int | None, typer.Option(min=1, help="Processes. [default: one a processor]")]

Scheduler = Annotated[
    str | None, typer.Option(help="Address of a dask scheduler, tcp://host:port.")
]

Changes = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="PATH=VALUE",
        help="Another value for a key of the study, such as bar.stations.*.wall_mm=1.6; *= for "
        "a factor, += for an addition; may be given again.",
    ),
]

Figures = Annotated[bool, typer.Option(help="Draw the pictures.")]

PrintJson = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")]

Resume = Annotated[
    bool, typer.Option("--resume", help="Go on from the steps of a path that are at hand.")
]
