"""Arguments and options that several commands take, each with one meaning and one help text."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from geometry.errors import refuse


class Level(StrEnum):
    """Mesh levels."""

    COARSE = "coarse"
    STANDARD = "standard"
    FINE = "fine"


class Solver(StrEnum):
    """Sparse direct solvers."""

    AUTO = "auto"
    CHOLMOD = "cholmod"
    PARDISO = "pardiso"
    SPLU = "splu"


class Detail(StrEnum):
    """How much a command prints."""

    QUIET = "quiet"
    DEFAULT = "default"
    VERBOSE = "verbose"


StudyFile = Annotated[Path, typer.Argument(help="Study file.", metavar="STUDY", show_default=False)]

ResultsFolder = Annotated[
    Path | None, typer.Option(help="Results folder. [default: results/<study name>]")
]

MeshLevel = Annotated[Level | None, typer.Option(help="Mesh level. [default: the study's]")]

DirectSolver = Annotated[Solver, typer.Option(help="Sparse direct solver.")]

OpenPage = Annotated[bool, typer.Option("--open", help="Open the page in a browser.")]

Workers = Annotated[int | None, typer.Option(min=1, help="Processes. [default: one a processor]")]

Scheduler = Annotated[
    str | None, typer.Option(help="Address of a dask scheduler, tcp://host:port.")
]

AsMeasured = Annotated[
    bool,
    typer.Option(
        "--as-measured",
        help="With the walls that give the mass of the study's specimen, before --set.",
    ),
]
Changes = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="PATH=VALUE",
        help="New value of a key of the study, such as clamp.width_mm=40; *= for a factor, which "
        "keeps the ratios of a butted bar's walls, += for an addition; may be given again.",
    ),
]

Figures = Annotated[bool, typer.Option(help="Draw the pictures.")]

Live = Annotated[
    bool, typer.Option("--live/--no-live", help="Let the page follow other walls and loads.")
]

PrintJson = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")]

Resume = Annotated[bool, typer.Option("--resume", help="Continue from stored steps of a path.")]

Verbose = Annotated[
    bool,
    typer.Option(
        "--verbose", help="Print all limits, zones, clamp stiffness study, contact, references too."
    ),
]

Verified = Annotated[
    bool,
    typer.Option(
        "--verified",
        help="Let only limits count whose inputs are read, derived or your own; the others are "
        "named as not judged.",
    ),
]

Quiet = Annotated[bool, typer.Option("--quiet", help="Print table and governing limit only.")]


def detail_of(*, verbose: bool, quiet: bool) -> Detail:
    """Return how much is printed.

    Raises:
        InputError: Both are given.
    """
    if verbose and quiet:
        raise refuse("--verbose", "does not go with --quiet; give one of them")
    return Detail.VERBOSE if verbose else Detail.QUIET if quiet else Detail.DEFAULT
